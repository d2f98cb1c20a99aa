"""`voice_db` and `density_per_s` against sounds whose voice and strokes are known."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from scipy.signal import sosfilt, tf2sos

from arsis.audio import Block, Span
from arsis.demo.songs import DemoSong, make_song
from arsis.measure.spectrum import BandLevels
from arsis.measure.summary import SectionFacts, SectionMeters
from arsis.units import db_to_gain, seconds_to_frames
from tests.signals import noise
from tests.tolerances import VOICE_APART_DB, VOICE_EQUALISED_DB, VOICE_SHARE

RATE_HZ = 44_100
LENGTH_S = 6
T_S = np.arange(LENGTH_S * RATE_HZ) / RATE_HZ
LEVELS_DB = (-6.0, -3.0, 0.0, 3.0, 6.0)


def heard(sound: Block, rate_hz: int = RATE_HZ, starts_s: tuple[float, ...] = (0.0,)) -> list[SectionFacts]:
    edges = [*(seconds_to_frames(start_s, rate_hz) for start_s in starts_s), sound.shape[1]]
    spans = [Span(a, b) for a, b in pairwise(edges)]
    meter = SectionMeters(rate_hz, sound.shape[0], spans)
    meter.add(np.ascontiguousarray(sound))
    return list(meter.facts())


def voices(song: DemoSong, voice_gain: float) -> dict[str, float | None]:
    stems = song.stems
    mix = (stems.instrumental + voice_gain * stems.acappella) * 2.0**-23
    facts = heard(mix, song.rate_hz, tuple(section.start_s for section in song.sections))
    return {one.name: fact.voice_db for one, fact in zip(song.sections, facts, strict=True)}


def sung(song: DemoSong) -> set[str]:
    """Sections whose a cappella is within 20 dB of the instrumental."""
    frames = [
        *(seconds_to_frames(one.start_s, song.rate_hz) for one in song.sections),
        song.stems.mix.shape[1],
    ]
    levels = [
        [float(np.square(stem[:, a:b] * 2.0**-23).mean()) for a, b in pairwise(frames)]
        for stem in (song.stems.instrumental, song.stems.acappella)
    ]
    return {one.name for one, band, voice in zip(song.sections, *levels, strict=True) if voice > 0.01 * band}


@pytest.fixture(scope="module")
def song() -> DemoSong:
    return make_song("ebb-clock")


@pytest.fixture(scope="module")
def readings(song: DemoSong) -> dict[float, dict[str, float | None]]:
    """The voice of every section, by how much it was turned up; -inf for the instrumental."""
    return {level_db: voices(song, db_to_gain(level_db)) for level_db in (-np.inf, *LEVELS_DB)}


def test_a_voice_turned_up_reads_higher_by_its_share(
    song: DemoSong, readings: dict[float, dict[str, float | None]]
) -> None:
    assert len(sung(song)) >= 4
    for name in sung(song):
        values = [readings[level_db][name] for level_db in LEVELS_DB]
        assert None not in values
        assert values == sorted(values), name  # type: ignore[type-var]
        share = (values[-1] - values[0]) / (LEVELS_DB[-1] - LEVELS_DB[0])  # type: ignore[operator]
        assert VOICE_SHARE[0] < share < VOICE_SHARE[1], name


def test_sections_without_a_voice_read_lower(
    song: DemoSong, readings: dict[float, dict[str, float | None]]
) -> None:
    nobody = [readings[0.0][name] for name in readings[0.0] if name not in sung(song)]
    nobody += list(readings[-np.inf].values())
    least = min(readings[0.0][name] for name in sung(song))  # type: ignore[type-var]
    assert len(nobody) > len(song.sections)
    assert max(-np.inf if value is None else value for value in nobody) < least - VOICE_APART_DB


def swaying(freq_hz: float = 220.0, cents: float = 40.0) -> Block:
    """A tone of twenty partials with the vibrato of a singer, one channel."""
    phase = 2 * np.pi * np.cumsum(freq_hz * 2.0 ** (cents / 1200 * np.sin(2 * np.pi * 5.5 * T_S))) / RATE_HZ
    return np.asarray(0.1 * sum(np.sin(k * phase) / k for k in range(1, 21)))


def struck(decay_s: float = 0.06) -> Block:
    return np.asarray(noise(T_S.size, 1, 5, 0.3)[0] * np.exp(-(T_S % 0.5) / decay_s))


def keys() -> Block:
    chord = sum(
        np.sin(2 * np.pi * freq_hz * k * T_S) / k for freq_hz in (220.0, 277.2, 329.6) for k in range(1, 12)
    )
    return np.asarray(0.1 * chord * np.exp(-(T_S % 0.5) / 0.3))


def reading(middle: Block, ambience: float = 0.03) -> float:
    """Of a sound in the middle with noise of its own in each channel; what is not read counts as lowest."""
    found = heard(np.stack([middle, middle]) + noise(T_S.size, 2, 1, ambience))[0].voice_db
    return -np.inf if found is None else found


def test_what_sways_in_the_middle_is_a_voice_and_what_is_struck_or_stands_still_is_not() -> None:
    voice = reading(swaying())
    assert voice > max(reading(keys()), reading(struck()), reading(0.0 * T_S)) + 2 * VOICE_APART_DB
    assert reading(struck() + swaying()) > reading(struck()) + 2 * VOICE_APART_DB


def test_a_voice_at_one_side_is_none() -> None:
    aside = np.stack([swaying(), 0.0 * T_S]) + noise(T_S.size, 2, 1, 0.03)
    assert heard(aside)[0].voice_db is None


def test_an_equaliser_over_the_whole_moves_little() -> None:
    middle = struck() + swaying()
    sound = np.stack([middle, middle]) + noise(T_S.size, 2, 1, 0.03)
    gain, width = 10 ** (6.0 / 40), np.sin(2 * np.pi * 2500 / RATE_HZ) / 2
    turn = -2 * np.cos(2 * np.pi * 2500 / RATE_HZ)
    # A bell of +6 dB, R. Bristow-Johnson, "Cookbook formulae for audio EQ biquad filter coefficients".
    bell = tf2sos([1 + width * gain, turn, 1 - width * gain], [1 + width / gain, turn, 1 - width / gain])
    before, after = heard(sound)[0].voice_db, heard(sosfilt(bell, sound))[0].voice_db
    assert after == pytest.approx(before, abs=VOICE_EQUALISED_DB)


@pytest.mark.parametrize(
    "sound",
    [swaying()[np.newaxis], np.stack([swaying()] * 2), np.zeros((2, T_S.size)), noise(T_S.size)],
    ids=["one channel", "two alike", "silence", "noise"],
)
def test_where_it_cannot_be_told_there_is_none(sound: Block) -> None:
    assert heard(sound)[0].voice_db is None


def test_strokes_are_counted() -> None:
    wave = np.stack([struck(0.03)] * 2) + noise(T_S.size, 2, 1, 0.001)
    # Two a second; the first begins with the sound, where nothing is before it.
    assert heard(wave)[0].density_per_s == pytest.approx(2.0 - 1.0 / LENGTH_S)
    assert heard(0.0 * wave)[0].density_per_s == 0.0


@pytest.mark.parametrize("bands", [True, False])
def test_what_is_not_listened_for_is_not_there_and_changes_nothing_else(song: DemoSong, bands: bool) -> None:
    sound = np.ascontiguousarray(song.stems.mix[:, 30 * song.rate_hz : 45 * song.rate_hz] * 2.0**-23)
    [full] = heard(sound, song.rate_hz)
    assert full.voice_db is not None
    meter = SectionMeters(song.rate_hz, 2, [Span(0, sound.shape[1])], bands=bands, voice=not bands)
    meter.add(sound)
    expected = replace(full, voice_db=None)
    if not bands:
        empty = BandLevels(*(-np.inf,) * 5)
        expected = replace(expected, bands_db=empty, third_octave_db=(-np.inf,) * 31)
    assert meter.facts() == (expected,)
