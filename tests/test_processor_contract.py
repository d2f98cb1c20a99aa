"""What every processor promises, over examples of every settings class. A new kind joins by its examples."""

from __future__ import annotations

import copy
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, replace
from itertools import pairwise
from typing import Any, get_args

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.audio import Block, silence
from arsis.errors import PlanError
from arsis.process import ChainRunner, apply, drain, is_neutral, is_neutral_chain, prepare, routed
from arsis.settings import (
    PROCESSORS,
    Bell,
    Compressor,
    Delay,
    DynamicBell,
    Gain,
    HighPass,
    HighShelf,
    LowPass,
    LowShelf,
    Polarity,
    Saturator,
    Tilt,
    Width,
)
from arsis.settings.declare import Channel
from tests.signals import RATES, noise
from tests.tolerances import ALGEBRA

pytestmark = pytest.mark.kernels

RATE = 44_100
FRAMES = 6_000
CHANNELS = get_args(get_args(Channel)[0])

EXAMPLES: list[Any] = [
    Gain(gain_db=-1.5),
    Bell(freq_hz=1_000.0, gain_db=3.0),
    Bell(freq_hz=15_000.0, gain_db=-4.0, q=2.0),
    Bell(freq_hz=2_500.0, gain_db=2.0, phase="linear"),
    LowShelf(freq_hz=95.0, gain_db=0.7),
    HighShelf(freq_hz=9_000.0, gain_db=2.0),
    HighShelf(freq_hz=9_000.0, gain_db=2.0, phase="linear"),
    HighPass(freq_hz=25.0),
    HighPass(freq_hz=400.0, order=8, phase="linear"),
    LowPass(freq_hz=16_000.0, order=5),
    Tilt(gain_db=1.0),
    DynamicBell(freq_hz=6_000.0, threshold_dbfs=-40.0),
    DynamicBell(freq_hz=80.0, q=0.7, range_db=4.0, threshold_dbfs=-45.0),
    Compressor(threshold_dbfs=-30.0, ratio=3.0, attack_ms=1.0, release_ms=20.0),
    Compressor(threshold_dbfs=-30.0, knee_db=0.0, makeup_db=2.0, sidechain_high_pass_hz=100.0, mix=0.5),
    Saturator(drive_db=6.0),
    Saturator(drive_db=12.0, even=0.5, mix=0.4),
    Width(side_db=1.5, fold_below_hz=120.0),
    Width(side_db=-60.0),
    Delay(delay_frames=37.0),
    Delay(delay_frames=2.25),
    Polarity(),
]
NEUTRAL: list[Any] = [
    Gain(),
    Bell(freq_hz=1_000.0),
    Bell(freq_hz=1_000.0, phase="linear"),
    LowShelf(freq_hz=1_000.0),
    HighShelf(freq_hz=1_000.0),
    Tilt(),
    DynamicBell(freq_hz=1_000.0, range_db=0.0),
    Compressor(ratio=1.0),
    Saturator(drive_db=0.0),
    Width(),
    Delay(),
]
# Kinds that divide by how far they move or bend: at nought they are only ever passed through.
NO_RUNNER = (DynamicBell, Saturator)

every_example = pytest.mark.parametrize("example", EXAMPLES, ids=repr)
with_channel = [example for example in EXAMPLES if hasattr(example, "channel")]


def in_blocks(runner: Any, block: Block, cuts: list[int]) -> Block:
    edges = [0, *sorted(cuts), block.shape[1]]
    return np.concatenate(
        [runner.process(np.ascontiguousarray(block[:, a:b])) for a, b in pairwise(edges)],
        axis=1,
    )


def test_every_kind_has_an_example() -> None:
    assert {type(example) for example in EXAMPLES} == set(PROCESSORS)


@every_example
@given(cuts=st.lists(st.integers(0, FRAMES), max_size=8), one_by_one=st.integers(0, FRAMES - 20))
@settings(max_examples=12)
def test_block_size_never_changes_a_sample(example: Any, cuts: list[int], one_by_one: int) -> None:
    x = noise(FRAMES)
    cuts = [*cuts, *range(one_by_one, one_by_one + 20), one_by_one]  # 1 frame at a time, and 0 frames
    parts = in_blocks(routed(example, RATE, 2), x, cuts)
    assert np.array_equal(parts, routed(example, RATE, 2).process(x))


@every_example
def test_long_runs_in_long_blocks_are_the_same_too(example: Any) -> None:
    x = noise(50_000)
    parts = in_blocks(routed(example, RATE, 2), x, [16_384, 32_768, 49_152])
    assert np.array_equal(parts, routed(example, RATE, 2).process(x))


@every_example
def test_the_result_is_as_long_and_the_input_is_left_alone(example: Any) -> None:
    x = noise(2_000)
    x.flags.writeable = False
    kept = x.copy()
    out = apply(example, x, RATE)
    assert out.shape == x.shape
    assert np.isfinite(out).all()
    assert not np.array_equal(out, x)
    assert np.array_equal(x, kept)


@every_example
def test_the_declared_latency_is_the_true_one(example: Any) -> None:
    """Wide noise comes out in place: its cross-correlation with the input peaks where a delay says."""
    x = noise(8_192)
    meant = getattr(example, "delay_frames", 0.0)
    out = apply(example, x, RATE)
    across = np.fft.irfft(np.fft.rfft(out[0]) * np.conj(np.fft.rfft(x[0])))
    assert int(np.argmax(np.abs(across))) == round(meant)


@pytest.mark.parametrize("example", NEUTRAL, ids=repr)
def test_neutral_settings_change_nothing(example: Any) -> None:
    x = noise(3_000)
    assert is_neutral(example)
    assert np.array_equal(apply(example, x, RATE), x)
    assert routed(example, RATE, 2).latency == 0
    assert is_neutral_chain([example, example])


@pytest.mark.parametrize("example", [e for e in NEUTRAL if not isinstance(e, NO_RUNNER)], ids=repr)
def test_neutral_settings_do_nothing_audible_even_when_run(example: Any) -> None:
    """Neutral is not a special case: the runner comes to the same."""
    x = noise(9_000)
    out = drain(prepare(example, RATE, 2), x)
    np.testing.assert_allclose(out, x, rtol=0, atol=ALGEBRA)


@every_example
def test_what_is_not_neutral_says_so(example: Any) -> None:
    assert not is_neutral(example)


@every_example
def test_a_bypassed_one_is_a_chain_without_it(example: Any) -> None:
    x = noise(6_000)
    bypassed = replace(example, bypass=True)
    other = Bell(freq_hz=2_500.0, gain_db=2.0, phase="linear")
    assert is_neutral(bypassed)
    assert is_neutral_chain([bypassed])
    runner, without = ChainRunner([bypassed, other, bypassed], RATE, 2), ChainRunner([other], RATE, 2)
    assert runner.latency == without.latency
    assert np.array_equal(runner.process(x), without.process(x))
    assert np.array_equal(apply(bypassed, x, RATE), x)


def test_what_could_not_run_can_be_bypassed() -> None:
    refused = Bell(freq_hz=5.0, gain_db=6.0, q=20.0, phase="linear", channel="side")
    with pytest.raises(PlanError):
        ChainRunner([refused], RATE, 1)
    assert ChainRunner([replace(refused, bypass=True)], RATE, 1).latency == 0


@every_example
def test_silence_stays_silence(example: Any) -> None:
    assert not apply(example, silence(2, 5_000), RATE).any()


@every_example
def test_threads_at_once_give_the_same(example: Any) -> None:
    x = noise(4_000)
    want = apply(example, x, RATE)
    with ThreadPoolExecutor(4) as pool:
        for out in pool.map(lambda _: apply(example, x, RATE), range(6)):
            assert np.array_equal(out, want)


@every_example
@pytest.mark.parametrize("rate_hz", RATES)
def test_every_rate_runs(example: Any, rate_hz: int) -> None:
    out = apply(example, noise(2_000), rate_hz)
    assert np.isfinite(out).all()
    assert np.abs(out).max() > 0.0 or getattr(example, "freq_hz", 0.0) > rate_hz / 2


@every_example
def test_settings_survive_a_document(example: Any) -> None:
    assert type(example)(**asdict(example)) == example


@every_example
def test_a_copy_of_a_runner_goes_on_as_it_would(example: Any) -> None:
    x = noise(6_000)
    runner = routed(example, RATE, 2)
    runner.process(x[:, :2_345])
    checkpoint = copy.deepcopy(runner)
    want = runner.process(x[:, 2_345:])
    assert np.array_equal(checkpoint.process(x[:, 2_345:]), want)


@every_example
def test_mono_runs_as_one_of_two_equal_channels(example: Any) -> None:
    x = noise(4_000, channels=1)
    mono = apply(example, x, RATE)
    assert np.array_equal(mono, apply(example, np.tile(x, (2, 1)), RATE)[:1])


@pytest.mark.parametrize("example", with_channel, ids=repr)
@pytest.mark.parametrize("channel", CHANNELS)
def test_a_channel_leaves_the_rest_alone(example: Any, channel: str) -> None:
    x = noise(4_000)
    out = apply(replace(example, channel=channel), x, RATE)
    if channel == "left":
        assert np.array_equal(out[1], x[1])
        assert np.array_equal(out[:1], apply(example, x[:1], RATE))
    elif channel == "right":
        assert np.array_equal(out[0], x[0])
        assert np.array_equal(out[1:], apply(example, x[1:], RATE))
    elif channel == "mid":
        np.testing.assert_allclose(out[0] - out[1], x[0] - x[1], rtol=0, atol=ALGEBRA)
        np.testing.assert_allclose(
            out.sum(axis=0) / 2, apply(example, x.sum(axis=0)[None] / 2, RATE)[0], atol=ALGEBRA
        )
    elif channel == "side":
        np.testing.assert_allclose(out.sum(axis=0), x.sum(axis=0), rtol=0, atol=ALGEBRA)
        alike = np.tile(x[:1], (2, 1))
        assert np.array_equal(apply(replace(example, channel="side"), alike, RATE), alike)
    assert not np.array_equal(out, x)


@pytest.mark.parametrize("example", with_channel, ids=repr)
def test_a_channel_that_is_not_there_is_refused(example: Any) -> None:
    with pytest.raises(PlanError, match="needs a stereo mix"):
        routed(replace(example, channel="side"), RATE, 1)
    assert np.array_equal(
        apply(replace(example, channel="mid"), noise(500, 1), RATE), apply(example, noise(500, 1), RATE)
    )


@pytest.mark.parametrize("example", [e for e in EXAMPLES if hasattr(e, "mix")], ids=repr)
def test_mix_blends_dry_and_wet_in_one_phase(example: Any) -> None:
    x = noise(4_000)
    wet = apply(replace(example, mix=1.0), x, RATE)
    np.testing.assert_allclose(
        apply(replace(example, mix=0.25), x, RATE), 0.75 * x + 0.25 * wet, rtol=0, atol=ALGEBRA
    )
    assert np.array_equal(apply(replace(example, mix=0.0), x, RATE), x)


def test_a_chain_waits_for_its_links_and_for_others() -> None:
    x = noise(9_000)
    chain = [
        Gain(gain_db=-1.0),
        Tilt(gain_db=1.0),
        Bell(freq_hz=2_500.0, gain_db=2.0, phase="linear"),
        Polarity(),
    ]
    runner = ChainRunner(chain, RATE, 2, at_least_latency=20_000)
    assert runner.latency >= 20_000
    want = x
    for link in chain:
        want = apply(link, want, RATE)
    tight = ChainRunner(chain, RATE, 2)
    assert tight.latency == sum(routed(link, RATE, 2).latency for link in chain)
    assert np.array_equal(drain(runner, x), drain(tight, x))
    inner = slice(1_000, -1_000)  # a link by itself is cut off at both ends, within a chain it is not
    np.testing.assert_allclose(drain(runner, x)[:, inner], want[:, inner], rtol=0, atol=ALGEBRA)


def test_neighbours_that_run_as_one_come_to_the_same_bits() -> None:
    x = noise(3_000)
    chain = [
        HighPass(freq_hz=25.0),
        Bell(freq_hz=200.0),
        Bell(freq_hz=9_000.0, gain_db=2.0),
        Gain(gain_db=1.0),
    ]
    want = x
    for link in chain:
        want = apply(link, want, RATE)
    assert np.array_equal(drain(ChainRunner(chain, RATE, 2), x), want)


@given(cuts=st.lists(st.integers(0, FRAMES), max_size=6))
@settings(max_examples=8)
def test_blocks_do_not_matter_in_a_chain_either(cuts: list[int]) -> None:
    x = noise(FRAMES)
    assert np.array_equal(
        in_blocks(ChainRunner(EXAMPLES, RATE, 2), x, cuts), ChainRunner(EXAMPLES, RATE, 2).process(x)
    )
