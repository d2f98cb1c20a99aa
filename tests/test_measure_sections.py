"""Each section's facts are those of the section heard alone, or follow from the signal's construction."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from arsis.audio import Block, Span
from arsis.measure.loudness import LoudnessMeter, section_lufs
from arsis.measure.stereo import LevelMeter
from arsis.measure.summary import Meters, SectionFacts, SectionMeters
from arsis.plan.model import Finish
from arsis.render.contour import contour
from arsis.render.run import Way
from arsis.render.words import Word
from arsis.settings import Gain, Limiter
from arsis.units import gain_to_db
from tests.render_plans import song
from tests.renders import source, whole_words
from tests.signals import noise, sine
from tests.tolerances import CHECK_LU, LEVEL_DB, NEIGHBOUR_DB, NOISE_SPREAD_LU, TRUE_PEAK_HIGH_DB

RATE_HZ = 44_100


def sections(x: Block, spans: list[Span]) -> tuple[SectionFacts, ...]:
    meter = SectionMeters(RATE_HZ, x.shape[0], spans)
    meter.add(x)
    return meter.facts()


def test_three_tones() -> None:
    """Steps of 6 and 3 dB between tones of one, then two channels out of phase, then one alone."""
    parts = [
        sine(1000.0, RATE_HZ, 5.0, peak=0.25),
        sine(100.0, RATE_HZ, 5.0, peak=0.5),
        sine(8000.0, RATE_HZ, 5.0, peak=0.35),
    ]
    parts[1][1] *= -1.0
    parts[2][1] = 0.0
    edges = [0, 5 * RATE_HZ, 10 * RATE_HZ, 15 * RATE_HZ]
    first, second, third = sections(np.hstack(parts), [Span(a, b) for a, b in pairwise(edges)])
    assert first.loudness_lufs == pytest.approx(20 * math.log10(0.25) - 0.691 + 0.6977, abs=CHECK_LU)
    assert first.max_short_term_lufs == pytest.approx(first.loudness_lufs, abs=CHECK_LU)
    assert (first.correlation, first.width_db) == (1.0, -math.inf)
    assert (second.correlation, second.width_db) == (-1.0, math.inf)
    assert (third.correlation, third.width_db) == (None, 0.0)
    assert first.bands_db.mid == pytest.approx(0.0, abs=NEIGHBOUR_DB)
    assert second.bands_db.low == pytest.approx(0.0, abs=NEIGHBOUR_DB)
    assert third.bands_db.air == pytest.approx(0.0, abs=NEIGHBOUR_DB)
    # the hard change rings a little
    assert second.crest_db == pytest.approx(10 * math.log10(2.0), abs=NEIGHBOUR_DB)


def test_sections_tile_the_whole() -> None:
    x = noise(20 * RATE_HZ)
    cuts = [0, 123_457, 400_001, 400_002, x.shape[1]]
    spans = [Span(a, b) for a, b in pairwise(cuts)]
    whole = sections(x, [Span(0, x.shape[1])])[0]
    parts = sections(x, spans)
    assert max(part.true_peak_dbtp for part in parts) == whole.true_peak_dbtp
    powers = [10 ** (part.loudness_lufs / 10) * span.frames for part, span in zip(parts, spans, strict=True)]
    assert 10 * math.log10(sum(powers) / x.shape[1]) == pytest.approx(whole.loudness_lufs, abs=CHECK_LU)


def test_levels_of_a_section_are_those_of_its_frames() -> None:
    x = noise(3 * RATE_HZ)
    x[1] += 0.3 * x[0]
    span = Span(10_007, 90_001)
    alone = LevelMeter(2)
    alone.add(np.ascontiguousarray(x[:, span.start : span.end]))
    found = sections(x, [span])[0]
    assert found.correlation == pytest.approx(alone.levels().correlation, abs=LEVEL_DB)
    assert found.width_db == pytest.approx(alone.levels().width_db, abs=LEVEL_DB)


def test_a_section_of_any_frames_reads_its_loudness() -> None:
    x = noise(10 * RATE_HZ)
    whole = LoudnessMeter(RATE_HZ, 2)
    whole.add(x)
    found = sections(x, [Span(2 * RATE_HZ, 7 * RATE_HZ)])[0]
    assert found.loudness_lufs == pytest.approx(section_lufs(whole.energies(), 200, 700), abs=LEVEL_DB)


def test_sections_may_overlap_leave_gaps_and_be_empty() -> None:
    x = noise(6 * RATE_HZ)
    a, b, c = Span(0, 2 * RATE_HZ), Span(RATE_HZ, 5 * RATE_HZ), Span(3 * RATE_HZ, 3 * RATE_HZ)
    together = sections(x, [a, b, c])
    assert together[0].true_peak_dbtp == sections(x, [a])[0].true_peak_dbtp
    assert together[1].true_peak_dbtp == sections(x, [b])[0].true_peak_dbtp
    assert together[1].loudness_lufs == sections(x, [b])[0].loudness_lufs
    assert together[1].bands_db == sections(x, [b])[0].bands_db
    assert together[2].loudness_lufs == together[2].true_peak_dbtp == -math.inf
    assert (together[2].crest_db, together[2].attack_db, together[2].correlation) == (None, None, None)


def test_the_peak_of_the_very_end_belongs_to_the_last_section() -> None:
    x = np.zeros((1, RATE_HZ))
    x[0, -1] = 0.5
    first, last = sections(x, [Span(0, RATE_HZ // 2), Span(RATE_HZ // 2, RATE_HZ)])
    assert first.true_peak_dbtp == -math.inf
    assert last.true_peak_dbtp == pytest.approx(gain_to_db(0.5), abs=TRUE_PEAK_HIGH_DB)


def test_a_section_shorter_than_three_seconds_has_no_short_term() -> None:
    short, long = sections(noise(6 * RATE_HZ), [Span(0, 2 * RATE_HZ), Span(2 * RATE_HZ, 6 * RATE_HZ)])
    assert short.max_short_term_lufs == -math.inf
    assert long.max_short_term_lufs == pytest.approx(long.loudness_lufs, abs=NOISE_SPREAD_LU)


CASES = {  # passes of two sections, the finish, and the bits of the print
    "left alone": ({"A": (), "B": ()}, Finish(), 24),
    "a limiter at rest": ({"A": (), "B": ()}, Finish(limiter=Limiter()), 24),
    "fewer bits": ({"A": (), "B": ()}, Finish(), 16),
    "one section treated": ({"A": (), "B": (Gain(gain_db=-1.0),)}, Finish(), 24),
    "a gain at the end": ({"A": (), "B": ()}, Finish(gain_db=1.0), 24),
}


@pytest.mark.parametrize("case", CASES)
def test_the_mix_is_measured_as_it_is_whatever_its_print(case: str) -> None:
    """Also where the print is the mix, and is measured for both."""
    passes, finish, bits = CASES[case]
    x = whole_words(2 * RATE_HZ, 24, 5) * 2.0**-23
    at = source(song([0.0, 1.0], "AB", passes, finish=finish), x, RATE_HZ)
    shape = contour(at, Way(Word(bits), RATE_HZ))
    whole = Meters(RATE_HZ, 2)
    whole.add(x)
    assert shape.mix.integrated_lufs == pytest.approx(whole.facts().integrated_lufs, abs=1e-9)
    assert shape.mix.true_peak_dbtp == whole.facts().true_peak_dbtp
    halves = sections(x, [Span(0, RATE_HZ), Span(RATE_HZ, 2 * RATE_HZ)])
    for said, alone in zip(shape.sections, halves, strict=True):
        assert said.mix.loudness_lufs == pytest.approx(alone.loudness_lufs, abs=1e-9)
        assert said.mix.third_octave_db == alone.third_octave_db
    untouched = case in ("left alone", "a limiter at rest")
    assert [said.print == said.mix for said in shape.sections] == [untouched] * 2  # a fade lies in the first
