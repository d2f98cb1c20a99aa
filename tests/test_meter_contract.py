"""What every meter promises, whatever it measures."""

from __future__ import annotations

import math
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.audio import Block, Span
from arsis.measure.cuts import GivenCuts, GridCuts
from arsis.measure.defects.both_channels import ChannelMeter
from arsis.measure.defects.flat_tops import FlatTopMeter
from arsis.measure.defects.levels import LevelsMeter
from arsis.measure.defects.low import LowMeter
from arsis.measure.defects.tuning import TuningMeter
from arsis.measure.defects.word import WordMeter
from arsis.measure.loudness import LoudnessMeter
from arsis.measure.peaks import TruePeakMeter
from arsis.measure.spectrum import SpectrumMeter
from arsis.measure.stereo import LevelMeter
from arsis.measure.summary import Meters, SectionMeters
from tests.signals import noise
from tests.tolerances import LEVEL_DB, SINGLE_DB

RATE_HZ = 8000
FRAMES = 4 * RATE_HZ
SPANS = (Span(0, 9001), Span(9001, 9002), Span(9002, 9002), Span(9002, FRAMES - 5))


class Metered:
    """A meter and the numbers it gives, flattened."""

    def __init__(self, meter: object, read: Callable[[object], object]) -> None:
        self.meter = meter
        self.read = read

    def add(self, block: Block) -> None:
        self.meter.add(block)  # type: ignore[attr-defined]

    def numbers(self) -> list[float | None]:
        return flat(self.read(self.meter))


def flat(value: object) -> list[float | None]:
    if isinstance(value, np.ndarray):
        return [float(number) for number in value.ravel()]
    if isinstance(value, dict):
        return [number for part in value.values() for number in flat(part)]
    if isinstance(value, list | tuple):
        return [number for part in value for number in flat(part)]
    return [value]  # type: ignore[list-item]


METERS: dict[str, Callable[[int], Metered]] = {
    "loudness": lambda c: Metered(LoudnessMeter(RATE_HZ, c), lambda m: m.energies()),
    "fine loudness": lambda c: Metered(LoudnessMeter(RATE_HZ, c, 500), lambda m: m.energies()),
    "peaks": lambda c: Metered(TruePeakMeter(c, GridCuts(RATE_HZ, 10)), lambda m: m.peaks()),
    "levels": lambda c: Metered(LevelMeter(c, GivenCuts([5, 9001])), lambda m: m.pieces()),
    "spectrum": lambda c: Metered(SpectrumMeter(RATE_HZ, c, SPANS), lambda m: [s.power for s in m.spectra()]),
    "whole": lambda c: Metered(Meters(RATE_HZ, c), lambda m: asdict(m.facts())),
    "sections": lambda c: Metered(SectionMeters(RATE_HZ, c, SPANS), lambda m: [asdict(f) for f in m.facts()]),
    "word": lambda c: Metered(WordMeter(24, False), lambda m: asdict(m.facts())),
    "flat tops": lambda c: Metered(FlatTopMeter(RATE_HZ, c, 24), lambda m: asdict(m.facts())),
    "both channels": lambda c: Metered(ChannelMeter(RATE_HZ, c), lambda m: asdict(m.facts())),
    "low": lambda c: Metered(LowMeter(RATE_HZ), lambda m: [m.facts().subsonic_dbfs, m.facts().subsonic_db]),
    "moments": lambda c: Metered(LevelsMeter(RATE_HZ, c), lambda m: asdict(m.facts())),
    "tuning": lambda c: Metered(TuningMeter(RATE_HZ), lambda m: [m._sum.real, m._sum.imag, m._weight]),
}
every_meter = pytest.mark.parametrize("name", METERS)


def sound(channels: int = 2, seed: int = 1) -> Block:
    """Noise with hits, so that there are onsets; the channels are related."""
    x = noise(FRAMES, 2, seed)
    x[1] = 0.6 * x[0] + 0.4 * x[1]
    x *= 0.1 + np.exp(-(np.arange(FRAMES) % 2000) / 300.0)
    return np.ascontiguousarray(x[:channels])


def numbers(name: str, x: Block, edges: tuple[int, ...] = ()) -> list[float | None]:
    meter = METERS[name](x.shape[0])
    for start, end in pairwise((0, *edges, x.shape[1])):
        meter.add(np.ascontiguousarray(x[:, start:end]))
    return meter.numbers()


@every_meter
@settings(derandomize=True, deadline=None, max_examples=8)
@given(edges=st.lists(st.integers(0, FRAMES), max_size=8).map(sorted), channels=st.integers(1, 2))
def test_blocks_change_no_bit(name: str, edges: list[int], channels: int) -> None:
    x = sound(channels)
    assert numbers(name, x, tuple(edges)) == numbers(name, x)


@every_meter
def test_blocks_of_one_frame_change_no_bit(name: str) -> None:
    x = sound()[:, :3000]
    assert numbers(name, x, tuple(range(1, 3000))) == numbers(name, x)


@every_meter
def test_asking_changes_nothing(name: str) -> None:
    x = sound()
    meter = METERS[name](2)
    meter.add(np.ascontiguousarray(x[:, :7777]))
    assert meter.numbers() == numbers(name, x[:, :7777])
    meter.add(np.ascontiguousarray(x[:, 7777:]))
    assert meter.numbers() == meter.numbers() == numbers(name, x)


@every_meter
def test_the_block_is_not_written_to(name: str) -> None:
    x = sound()
    x.setflags(write=False)
    numbers(name, x)


@every_meter
def test_two_at_once_do_not_mix(name: str) -> None:
    sounds = [sound(seed=seed) for seed in range(4)]
    edges = tuple(range(0, FRAMES, 500))
    with ThreadPoolExecutor(4) as pool:
        together = list(pool.map(lambda x: numbers(name, x, edges), sounds))
    assert together == [numbers(name, x, edges) for x in sounds]


@every_meter
@pytest.mark.parametrize("frames", [0, 1, 5, 400])
@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize("silent", [True, False])
def test_too_short_or_silent_is_never_a_nan(name: str, frames: int, channels: int, silent: bool) -> None:
    x = np.zeros((channels, frames)) if silent else sound(channels)[:, :frames].copy()
    assert not any(math.isnan(number) for number in numbers(name, x) if number is not None)


@every_meter
def test_four_seconds_of_silence_are_never_a_nan(name: str) -> None:
    assert not any(math.isnan(n) for n in numbers(name, np.zeros((2, FRAMES))) if n is not None)


def assert_alike(found: list[float | None], expected: list[float | None], tolerance: float) -> None:
    """Close where there are numbers, the same where there are none."""
    for a, b in zip(found, expected, strict=True):
        if a is None or b is None or math.isinf(a):
            assert a == b
        else:
            assert a == pytest.approx(b, abs=tolerance)


LEVELS = {
    "integrated_lufs", "max_momentary_lufs", "max_short_term_lufs", "true_peak_dbtp", "sample_peak_dbfs",
    "loudness_lufs", "third_octave_db",
}  # fmt: skip
LINEAR = {"dc_offset"}


def shifted(facts: dict[str, object], gain_db: float) -> dict[str, object]:
    """The facts of the same sound `gain_db` louder."""
    moved: dict[str, object] = {}
    for key, value in facts.items():
        if key in LEVELS:
            moved[key] = [v + gain_db for v in flat(value) if v is not None]
        elif key in LINEAR:
            moved[key] = [v * 10 ** (gain_db / 20) for v in flat(value) if v is not None]
        else:
            moved[key] = value
    return moved


@pytest.mark.parametrize("gain_db", [-13.7, 4.2])
@pytest.mark.parametrize("name", ["whole", "sections"])
def test_gain_moves_levels_and_nothing_else(name: str, gain_db: float) -> None:
    spans = (Span(0, FRAMES // 2), Span(FRAMES // 2, FRAMES))
    facts = []
    for x in (sound(), 10 ** (gain_db / 20) * sound()):
        meter = Meters(RATE_HZ, 2) if name == "whole" else SectionMeters(RATE_HZ, 2, spans)
        meter.add(x)
        found = meter.facts()
        facts.append([asdict(fact) for fact in (found if isinstance(found, tuple) else (found,))])
    expected = [shifted(fact, gain_db) for fact in facts[0]]
    assert_alike(flat(facts[1]), flat(expected), SINGLE_DB)


@pytest.mark.parametrize("name", ["loudness", "peaks", "spectrum", "sections"])
def test_swapped_channels_measure_alike(name: str) -> None:
    x = sound()
    swapped = numbers(name, np.ascontiguousarray(x[::-1]))
    assert_alike(swapped, numbers(name, x), LEVEL_DB)
