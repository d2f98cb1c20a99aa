"""The limiter: laws 2 to 5 on any input, and that it lets go as it should."""

from __future__ import annotations

import copy
import itertools
import re
import shutil
import subprocess

import numpy as np
import pyebur128
import pytest
import soundfile
from hypothesis import given
from hypothesis import settings as hyp
from hypothesis import strategies as st

from arsis.audio import Block
from arsis.dsp.interpolate import bend_bound, mirrored, phases
from arsis.dsp.kernels import limiter as kernels
from arsis.process import limiting
from arsis.process.limiting import LimiterRunner
from arsis.settings import Limiter

from . import naive_limiter
from .meter16 import OTHERS, true_peak_dbtp
from .signals import RATES, noise, sine
from .tolerances import CEILING_DB, FLOAT32, SHORT_METER_DB

pytestmark = pytest.mark.kernels

RATE = 44_100


def limited(block: Block, rate_hz: int = RATE, **settings: float) -> tuple[Block, np.ndarray]:
    """Output and gain of a whole recording, aligned with it."""
    runner = LimiterRunner(Limiter(**settings), rate_hz, block.shape[0])
    out, gain = runner.process_with_gain(np.pad(block, ((0, 0), (0, runner.latency))))
    return out[:, runner.latency :], gain[runner.latency :]


def stereo(x: np.ndarray) -> Block:
    return np.ascontiguousarray(np.stack([x, 0.7 * x]))


def tone(cycles_per_frame: float, frames: int = 6_000, peak: float = 1.0, phase: float = 0.3) -> np.ndarray:
    return peak * np.sin(2 * np.pi * cycles_per_frame * np.arange(frames) + phase)


def spikes(frames: int = 6_000) -> np.ndarray:
    """Single samples, a pair of opposite sign, and both ends of the file."""
    x = np.zeros(frames)
    x[[0, 900, 901, 2_500, 3_100, -1]] = [3.0, 1.5, -1.5, 10.0, -2.0, 1.9]
    return x


def steps(frames: int = 8_000) -> np.ndarray:
    x = np.zeros(frames)
    x[1_000:4_000], x[5_000:] = 4.0, -1.0
    return x


def random_signs(frames: int = 8_000) -> np.ndarray:
    return np.where(noise(frames, 1, seed=3)[0] < 0.0, -1.0, 1.0)


TRAPS = {
    "a quarter of the rate, on the flanks": tone(0.25, peak=1.4, phase=np.pi / 4),
    "a sixth of the rate": tone(1 / 6, peak=1.2, phase=np.pi / 6),
    "0.45 of the rate": tone(0.45),
    "0.48 of the rate": tone(0.48),
    "0.49 of the rate": tone(0.49),
    "0.495 of the rate": tone(0.495),
    "0.499 of the rate, 20 dB over": tone(0.499, peak=10.0),
    "square, 50 Hz": np.sign(tone(50 / RATE)),
    "square, 997 Hz": np.sign(tone(997 / RATE)),
    "white noise": np.random.default_rng(1).uniform(-1.0, 1.0, 8_000),
    "Gaussian noise 20 dB over": noise(8_000, 1, seed=2, rms=3.0)[0],
    "random signs": random_signs(),
    "spikes": spikes(),
    "steps": steps(),
    "bass": tone(50 / RATE, peak=1.3),
    "sweep to half the rate": 2.0 * np.sin(np.pi * np.arange(8_000) ** 2 / 16_000),
}


@pytest.mark.parametrize("speed", [{}, {"lookahead_ms": 0.5, "release_ms": 10.0}], ids=["default", "fastest"])
@pytest.mark.parametrize("name", TRAPS)
def test_the_ceiling_holds_on_traps(name, speed):
    out, _ = limited(stereo(TRAPS[name]), **speed)
    assert true_peak_dbtp(out) <= -1.0 + CEILING_DB


@pytest.mark.parametrize("kernel", OTHERS)
@pytest.mark.parametrize(
    "name", ["Gaussian noise 20 dB over", "square, 997 Hz", "0.48 of the rate", "white noise"]
)
def test_the_ceiling_holds_whatever_the_meter_does_near_half_the_rate(name, kernel):
    out, _ = limited(stereo(TRAPS[name]))
    assert true_peak_dbtp(out, OTHERS[kernel]) <= -1.0 + CEILING_DB


@given(
    seed=st.integers(0, 2**32 - 1),
    rate_hz=st.sampled_from(RATES),
    ceiling_dbtp=st.floats(-24.0, 0.0),
    lookahead_ms=st.floats(0.5, 20.0),
    release_ms=st.floats(10.0, 2_000.0),
    over_db=st.floats(-6.0, 20.0),
    colour=st.floats(0.0, 1.0),
    channels=st.integers(1, 2),
)
@hyp(derandomize=True, deadline=None, max_examples=40)
def test_the_ceiling_holds(seed, rate_hz, ceiling_dbtp, lookahead_ms, release_ms, over_db, colour, channels):
    """Bursts of noise from dark to white, with spikes, tones and hard edges at both ends of the file."""
    rng = np.random.default_rng(seed)
    x = rng.standard_normal((channels, 3_000)) * np.repeat(rng.random(30) ** 2, 100)
    x = colour * x + (1.0 - colour) * np.cumsum(x - x.mean(axis=1, keepdims=True), axis=1) / 20.0
    x += rng.random() * np.sin(2 * np.pi * rng.random() * 0.5 * np.arange(3_000))
    x[:, rng.integers(0, 3_000, 3)] += rng.standard_normal(3) * 3.0
    x *= 10 ** ((ceiling_dbtp + over_db) / 20) / np.abs(x).max()
    out, gain = limited(
        x, rate_hz, ceiling_dbtp=ceiling_dbtp, lookahead_ms=lookahead_ms, release_ms=release_ms
    )
    assert true_peak_dbtp(out) <= ceiling_dbtp + CEILING_DB
    assert np.array_equal(out, x * gain)


@pytest.mark.parametrize("peak", [1e10, 1e300])
def test_any_finite_input_is_held(peak):
    x = stereo(noise(2_000, 1, rms=0.1)[0])
    x[0, 1_000:1_010] = peak
    out, gain = limited(x)
    assert np.all(np.isfinite(out))
    assert np.all((gain >= 0.0) & (gain <= 1.0))
    assert true_peak_dbtp(out) <= -1.0 + CEILING_DB


def test_libebur128_agrees():
    """libebur128 interpolates with 49 taps at four times the rate (its source, ebur128.c)."""
    for name in ("square, 997 Hz", "bass", "white noise", "spikes"):
        out, _ = limited(stereo(TRAPS[name]))
        state = pyebur128.R128State(2, RATE, pyebur128.MeasurementMode.MODE_TRUE_PEAK)
        state.add_frames(np.ascontiguousarray(out.T).ravel(), out.shape[1])
        peak = max(pyebur128.get_true_peak(state, channel) for channel in (0, 1))
        assert 20 * np.log10(peak) <= -1.0 + SHORT_METER_DB


@pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="ffmpeg is not installed")
def test_ffmpeg_agrees(tmp_path):
    """FFmpeg's ebur128 filter reads -1.0 dBFS, to the tenth of a dB that it prints."""
    out, _ = limited(np.tile(stereo(TRAPS["square, 997 Hz"]), 6))
    soundfile.write(tmp_path / "x.wav", out.T, RATE, "FLOAT")
    command = [
        "ffmpeg",
        "-nostats",
        "-i",
        str(tmp_path / "x.wav"),
        "-af",
        "ebur128=peak=true",
        "-f",
        "null",
        "-",
    ]
    text = subprocess.run(command, capture_output=True, text=True, check=True).stderr
    assert float(re.findall(r"Peak:\s+(\S+) dBFS", text)[-1]) <= -1.0


def test_the_ceiling_holds_on_bursts_for_a_meter_of_another_shape():
    """Found among random bursts: with a margin of 0.004 dB this meter read more than 0.01 dB over."""
    rng, frames = np.random.default_rng(228), 12_000
    x = np.zeros((2, frames))
    for start in rng.integers(0, frames, 30):
        left = frames - start
        burst = 10 ** rng.uniform(-1, 1) * rng.standard_normal((2, left))
        x[:, start:] += burst * np.exp(-np.arange(left) / 10 ** rng.uniform(0.5, 3.5))
    out, _ = limited(6.0 * x / np.abs(x).max(), lookahead_ms=1.0, release_ms=20.0)
    assert true_peak_dbtp(out, OTHERS["256 taps, beta 8"]) <= -1.0 + CEILING_DB


def test_hands_off_below_the_ceiling():
    block = noise(20_000, rms=0.2)
    block *= 10 ** (-1.5 / 20) / 10 ** (true_peak_dbtp(block) / 20)
    out, gain = limited(block)
    assert np.array_equal(out, block)
    assert np.all(gain == 1.0)


def test_hands_off_again_when_a_peak_is_over():
    """The release ends: the gain is exactly 1 before the peak's look-ahead and some releases after it."""
    block = noise(3 * RATE, rms=0.1, seed=5)
    block[0, RATE] = 2.0
    out, gain = limited(block, release_ms=20.0)
    assert gain[RATE] < 0.5
    before, after = RATE - 2_000, RATE + RATE
    assert np.all(gain[:before] == 1.0)
    assert np.all(gain[after:] == 1.0)
    assert np.array_equal(out[:, after:], block[:, after:])


@given(cuts=st.lists(st.integers(0, 6_000), max_size=8))
@hyp(derandomize=True, deadline=None, max_examples=25)
def test_blocks_do_not_matter(cuts):
    block = noise(6_000, rms=0.7)
    edges = [0, *sorted(cuts), 6_000]
    parts = LimiterRunner(Limiter(), RATE, 2)
    out = [parts.process(block[:, a:b]) for a, b in itertools.pairwise(edges)]
    assert np.array_equal(np.concatenate(out, axis=1), LimiterRunner(Limiter(), RATE, 2).process(block))


def test_single_frames_do_not_matter():
    block = noise(1_500, rms=0.7)
    single = LimiterRunner(Limiter(), RATE, 2)
    out = np.concatenate([single.process(block[:, k : k + 1]) for k in range(1_500)], axis=1)
    assert np.array_equal(out, LimiterRunner(Limiter(), RATE, 2).process(block))


def test_a_deep_copy_goes_on_as_the_original_would():
    block = noise(9_000, rms=0.7)
    runner = LimiterRunner(Limiter(), RATE, 2)
    runner.process(block[:, :3_333])
    other = copy.deepcopy(runner)
    runner_out = runner.process(block[:, 3_333:])
    assert np.array_equal(other.process(block[:, 3_333:]), runner_out)


def test_channels_are_linked_and_mono_is_the_same_signal():
    mono = noise(6_000, 1, rms=0.7)
    left_only = np.concatenate([mono, 0.01 * noise(6_000, 1, seed=9)])
    out, gain = limited(left_only)
    assert gain.min() < 0.9
    assert np.array_equal(out[1], left_only[1] * gain)
    mono_out, mono_gain = limited(mono)
    assert np.array_equal(mono_gain, gain)
    assert np.array_equal(mono_out[0], out[0])


def test_in_place():
    block = np.zeros((2, 4_000))
    block[:, 2_000] = 0.5
    runner = LimiterRunner(Limiter(), RATE, 2)
    out = runner.process(np.pad(block, ((0, 0), (0, runner.latency))))
    assert np.flatnonzero(out[0]).tolist() == [2_000 + runner.latency]


def test_the_input_is_left_alone():
    block = noise(1_000, rms=1.0)
    block.flags.writeable = False
    LimiterRunner(Limiter(), RATE, 2).process(block)


@pytest.mark.parametrize("settings", [Limiter(), Limiter(lookahead_ms=0.5, release_ms=10.0)], ids=repr)
def test_the_first_stage_is_what_its_description_says(settings):
    """Against tests/naive_limiter.py, which sums in float64 where the kernel's detector has float32."""
    block = noise(8_000, rms=0.5, seed=7) * np.repeat(np.arange(8) % 3 / 2.0, 1_000)
    form = limiting.coarse_form(settings, RATE)
    rule = limiting.coarse_rule(settings, RATE, form, 10 ** (settings.ceiling_dbtp / 20))
    late = limiting.lag(form)
    stages = kernels.Stages([form], [rule], limiting.interpolators(), late, late + 2 * kernels.HOP, 2)
    _, gain = stages.run(np.pad(block, ((0, 0), (0, stages.latency))))
    naive = naive_limiter.first_stage(block, form, rule, limiting.COARSE_SINC, kernels.COARSE_PHASES)
    assert naive.min() < 0.7
    np.testing.assert_allclose(gain[stages.latency :], naive, rtol=0, atol=FLOAT32)


def test_what_the_first_stage_misses_the_second_takes():
    """A short burst whose crest only a long interpolator sees: exactly the gain that the crest needs."""
    burst = 0.6 * np.sinc(np.arange(-300, 300) - 0.5) + 0.45 * np.sinc(0.9 * (np.arange(-300, 300) - 0.5))
    block = np.stack([burst, burst])
    settings = Limiter(ceiling_dbtp=0.0)
    peaks = [
        naive_limiter.peaks_between(block, sinc, kernels.FINE_PHASES).max() for sinc in limiting.FINE_SINCS
    ]
    coarse = naive_limiter.peaks_between(block, limiting.COARSE_SINC, kernels.COARSE_PHASES).max()
    scale = 0.999 / coarse
    out, gain = limited(block * scale, ceiling_dbtp=settings.ceiling_dbtp)
    assert max(peaks) * scale > 1.001
    assert gain.min() <= 10 ** (-limiting.FINE_MARGIN_DB / 20) / (max(peaks) * scale) + FLOAT32
    assert true_peak_dbtp(out) <= CEILING_DB


def test_no_phase_rises_further_above_its_neighbours_than_the_bound():
    """The detector skips what this bound rules out; the worst input for each phase comes up to it."""
    for sinc in (limiting.COARSE_SINC, *limiting.FINE_SINCS):
        taps = phases(sinc, 8)
        bound = bend_bound(taps)
        rng = np.random.default_rng(4)
        for x in (*rng.standard_normal((20, sinc.taps)), np.cumsum(rng.choice([-1.0, 1.0], sinc.taps))):
            beside = np.abs(x[sinc.taps // 2 - 1 : sinc.taps // 2 + 1]).max()
            assert np.abs(taps @ x).max() <= beside + bound * np.abs(np.diff(x, 2)).max()


def test_mirrored_halves_make_every_phase():
    taps = phases(limiting.COARSE_SINC, 8)
    x = noise(32, 1)[0]
    even, odd = x[:16] + x[:15:-1], x[:16] - x[:15:-1]
    halves = mirrored(taps)
    for phase in range(5):
        e, d = halves[phase, 0] @ even, halves[phase, 1] @ odd
        np.testing.assert_allclose([e + d, e - d], [taps[phase] @ x, taps[8 - phase] @ x], atol=FLOAT32)


def reduction_after(loud_frames: int, release_ms: float) -> np.ndarray:
    """Reduction in parts of its greatest, from the end of a loud stretch on."""
    block = np.full((1, 6 * RATE), 1e-3)
    block[:, RATE - loud_frames : RATE] = 1.5
    _, gain = limited(block, release_ms=release_ms)
    return (1.0 - gain[RATE:]) / (1.0 - gain).max()


def test_a_short_peak_is_let_go_of_with_the_release_and_a_long_one_later():
    """After hold and release a tenth is left of a short one, much more of a long one; in the end nothing."""
    release_ms = 120.0
    over = round((release_ms + limiting.HOLD_MS) / 1000 * RATE)
    short, long = reduction_after(1, release_ms), reduction_after(RATE // 2, release_ms)
    assert short[over] == pytest.approx(limiting.RELEASE_LEAVES, abs=0.02)
    assert long[over] > 3 * short[over]
    assert np.all(np.diff(short) <= 0.0)
    assert short[-1] == 0.0


def test_the_gain_moves_smoothly():
    """A click from silence: no step of the gain is steeper than the look-ahead's longer mean allows."""
    block = np.zeros((1, RATE))
    block[0, 20_000] = 4.0
    _, gain = limited(block, lookahead_ms=3.0)
    longest = kernels.TICK * limiting.coarse_form(Limiter(), RATE).box_1
    assert np.abs(np.diff(gain)).max() <= (1.0 - gain.min()) / longest * 1.01
    assert np.all(gain[: 20_000 - round(0.004 * RATE)] == 1.0)


@pytest.mark.parametrize("freq_hz", [40, 50, 80])
def test_bass_keeps_its_waveform(freq_hz):
    """A sine 3 dB over the ceiling has less than -120 dB of harmonics once the gain has settled."""
    out, _ = limited(sine(freq_hz, RATE, 3.0, peak=10 ** (2 / 20), channels=1))
    spectrum = np.abs(np.fft.rfft(out[0, RATE : 2 * RATE] * np.hanning(RATE)))
    harmonics = [spectrum[k * freq_hz - 2 : k * freq_hz + 3].max() for k in range(1, 20)]
    assert 20 * np.log10(np.linalg.norm(harmonics[1:]) / harmonics[0]) < -120.0


def controlled_mix(seconds: int) -> Block:
    """A dense bed with a drum on every half second whose first milliseconds stand out by some dB."""
    bed = 0.12 * noise(seconds * RATE, 2, seed=11, rms=1.0).clip(-2.5, 2.5)
    t = np.arange(RATE // 4) / RATE
    drum = 0.3 * np.sin(2 * np.pi * 60 * t) * np.exp(-25 * t) + 0.5 * np.sin(2 * np.pi * 900 * t) * np.exp(
        -500 * t
    )
    for start in range(0, seconds * RATE, RATE // 2):
        bed[:, start : start + len(t)] += drum
    return bed * (10 ** (-1.0 / 20) / 10 ** (true_peak_dbtp(bed) / 20))


def test_a_refrain_keeps_its_step():
    """Law 11's concern: of one dB asked for in the refrain, at least nine tenths arrive."""
    block = controlled_mix(8)
    asked = block.copy()
    asked[:, 4 * RATE :] *= 10 ** (1.0 / 20)
    out, gain = limited(asked)
    before, after = (np.sqrt(np.mean(part**2)) for part in (out[:, : 4 * RATE], out[:, 4 * RATE :]))
    plain = np.sqrt(np.mean(block[:, 4 * RATE :] ** 2) / np.mean(block[:, : 4 * RATE] ** 2))
    assert gain.min() < 10 ** (-0.9 / 20)
    assert 20 * np.log10(after / before / plain) >= 0.9
