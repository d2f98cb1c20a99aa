"""Advice of a profile: what players do with levels, what a lathe has trouble with, and the one trim."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import cast

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.audio import Block
from arsis.deliver.known_profiles import find_profile
from arsis.deliver.loudness_advice import Advice, fit_trim_db, loudness_advice
from arsis.deliver.manifest import SoundFacts, SoundFile
from arsis.deliver.sides import SideSong, level_of_side, side_advice, sides_meter
from arsis.measure.groove import GrooveFacts, GrooveMeter
from arsis.plan.profile import Sides

from .tolerances import GROOVE_DB, LEVEL_DB

RATE_HZ = 44_100
STREAM = find_profile("stream", Path("/nonexistent"))
VINYL = cast(Sides, find_profile("vinyl", Path("/nonexistent")).sides)


def tone(freq_hz: float, seconds: float, level: float = 0.5) -> Block:
    return level * np.sin(2.0 * math.pi * freq_hz * np.arange(round(seconds * RATE_HZ)) / RATE_HZ)[np.newaxis]


def facts_of(sound: Block, size: int = 4_096) -> GrooveFacts:
    meter = GrooveMeter(RATE_HZ, sound.shape[0], 300.0, 6_000.0)
    for start in range(0, sound.shape[1], size):
        meter.add(sound[:, start : start + size])
    return meter.facts()


def stereo(mid: Block, side: Block) -> Block:
    return np.concatenate([mid + side, mid - side])


def test_bass_of_known_width() -> None:
    # Of one tone in mid and side, side over mid is the ratio of amplitudes, before and behind any filter.
    found = facts_of(stereo(tone(80.0, 4.0), 0.25 * tone(80.0, 4.0)))
    assert found.low_width_db == pytest.approx(20.0 * math.log10(0.25), abs=GROOVE_DB)
    assert found.widest_low_db == pytest.approx(20.0 * math.log10(0.25), abs=GROOVE_DB)


def test_bass_from_one_channel_has_its_sides_at_the_mid() -> None:
    found = facts_of(np.concatenate([tone(60.0, 3.0), 0.0 * tone(60.0, 3.0)]))
    assert found.low_width_db == pytest.approx(0.0, abs=GROOVE_DB)


def test_width_above_the_bass_is_not_counted() -> None:
    # Butterworth's low-pass of fourth order at 300 Hz takes 80 dB from 3 kHz; the tone's start is left.
    found = facts_of(stereo(tone(80.0, 3.0), tone(3_000.0, 3.0)))
    assert found.low_width_db is not None
    assert found.low_width_db < -55.0


def test_the_widest_bass_is_found_where_it_is() -> None:
    side = 0.1 * tone(80.0, 8.0)
    side[:, 5 * RATE_HZ : 6 * RATE_HZ] *= 8.0
    found = facts_of(stereo(tone(80.0, 8.0), side))
    assert found.widest_low_db == pytest.approx(20.0 * math.log10(0.8), abs=0.2)
    assert found.widest_low_at_s == pytest.approx(5.3, abs=0.3)


def test_wide_bass_that_is_hardly_there_moves_nothing() -> None:
    mid, side = tone(80.0, 8.0), np.zeros((1, 8 * RATE_HZ))
    mid[:, 4 * RATE_HZ :] = 0.0
    side[:, 4 * RATE_HZ :] = 0.01 * tone(80.0, 4.0)  # nothing but side, 40 dB down
    found = facts_of(stereo(mid, side))
    # The mid counts as its mean over the song: half of it sounds, 3 dB under what it is there.
    assert found.widest_low_db == pytest.approx(-40.0 + 3.01, abs=0.1)


def test_sibilance_of_known_level_and_place() -> None:
    sound = 0.2 * tone(500.0, 6.0)
    sound[:, 2 * RATE_HZ : 2 * RATE_HZ + RATE_HZ // 5] += tone(9_000.0, 0.2, 0.3)
    found = facts_of(np.concatenate([sound, sound]))
    # A sine of amplitude a has the power a²/2; Butterworth's fourth order passes 1 / (1 + (6/9)^8) of it.
    passed = 0.3**2 / 2.0 / (1.0 + (6.0 / 9.0) ** 8)
    assert found.loudest_treble_dbfs == pytest.approx(10.0 * math.log10(passed), abs=0.02)
    assert found.loudest_treble_at_s == pytest.approx(2.05, abs=0.11)
    assert found.level_dbfs == pytest.approx(10.0 * math.log10(0.1**2 / 2 + 0.2 / 6.0 * 0.3**2 / 2), abs=0.01)


def test_silence_and_mono_have_no_width() -> None:
    silent = facts_of(np.zeros((2, RATE_HZ)))
    assert silent == replace(silent, level_dbfs=None, low_width_db=None, widest_low_db=None, treble_dbfs=None)
    assert silent.loudest_treble_dbfs is None
    assert facts_of(tone(80.0, 1.0)).low_width_db is None
    assert facts_of(np.zeros((2, 0))).seconds == 0.0


@pytest.mark.parametrize("size", [1, 441, 100_000])
def test_blocks_do_not_matter(size: int) -> None:
    sound = np.random.default_rng(3).uniform(-0.5, 0.5, (2, RATE_HZ // 2))
    assert facts_of(sound, size) == facts_of(sound)


def test_a_low_rate_has_no_sibilance() -> None:
    meter = GrooveMeter(8_000, 2, 300.0, 6_000.0)
    meter.add(np.ones((2, 8_000)))
    assert meter.facts().treble_dbfs is None


QUIET = GrooveFacts(
    seconds=200.0,
    level_dbfs=-18.0,
    low_width_db=-20.0,
    widest_low_db=-10.0,
    widest_low_at_s=10.0,
    treble_dbfs=-40.0,
    loudest_treble_dbfs=-30.0,
    loudest_treble_at_s=20.0,
)


def advice(*facts: GrooveFacts) -> tuple[str, ...]:
    songs = [SideSong(title, 0.0, one) for title, one in zip(("First", "Second"), facts, strict=False)]
    return side_advice(VINYL, "A", songs)


def test_nothing_is_said_of_a_side_that_cuts_well() -> None:
    assert advice(QUIET, QUIET) == ()


def test_a_side_s_troubles_are_said_with_place_and_measure() -> None:
    assert advice(replace(QUIET, widest_low_db=-2.0, widest_low_at_s=83.4), QUIET) == (
        "First: at 1:23.4 the sides below 300 Hz lie 2.0 dB under the mid; up to −3.0 dB is usual",
    )
    assert advice(QUIET, replace(QUIET, loudest_treble_dbfs=-22.0)) == (
        "Second: at 0:20.0 the sound above 6 kHz comes to 4.0 dB under the level of side A; "
        "up to −8.0 dB is usual",
    )
    [bright] = advice(QUIET, replace(QUIET, treble_dbfs=-36.0))
    assert bright.startswith("Second is the brightest of side A and its last")


def test_the_level_of_a_side_is_that_of_its_songs_end_to_end() -> None:
    first, second = tone(500.0, 2.0), tone(500.0, 1.0, 0.1)
    songs = [SideSong("", 0.0, facts_of(one)) for one in (first, second)]
    # A sine of amplitude a has the power a²/2; so two seconds of one and one of the other, over three.
    power = (2.0 * 0.5**2 + 0.1**2) / 2.0 / 3.0
    assert level_of_side(songs) == pytest.approx(10.0 * math.log10(power), abs=LEVEL_DB)
    assert level_of_side([]) is None


def test_the_meter_is_the_profile_s() -> None:
    meter = sides_meter(RATE_HZ, 2, VINYL)
    meter.add(stereo(tone(80.0, 1.0), tone(80.0, 1.0)))
    assert meter.facts().low_width_db == pytest.approx(0.0, abs=GROOVE_DB)


def song(place: int, title: str, lufs: float | None, peak_dbtp: float | None) -> SoundFile:
    facts = SoundFacts(
        container="wav",
        rate_hz=RATE_HZ,
        channels=2,
        bits=24,
        is_float=False,
        used_bits=24,
        frames=1,
        sound_sha256="",
        integrated_lufs=lufs,
        range_lu=None,
        max_momentary_lufs=None,
        max_short_term_lufs=None,
        true_peak_dbtp=peak_dbtp,
        sample_peak_dbfs=peak_dbtp,
        head_silence_frames=0,
        tail_silence_frames=0,
    )
    return SoundFile(
        path=f"{title}.wav", role="song", sha256="", bytes=1, facts=facts, place=place, title=title
    )


def test_what_players_do_is_said_by_the_published_figures() -> None:
    songs = [song(1, "Loud", -9.3, -1.0), song(2, "Soft", -18.0, -1.0), song(3, "Even", -16.0, -3.0)]
    found = loudness_advice(STREAM, [*songs, replace(songs[0], role="version")], -9.8)
    changes = [None if one.change_db is None else round(one.change_db, 6) for one in found]
    assert changes == [-6.7, 2.0, 0.0, -4.7, -13.2]
    loud, soft, even, album, record = found
    assert loud.text == "Loud: −9.3 LUFS; players that bring every song to −16.0 LUFS turn it down by 6.7 dB"
    assert soft.text.endswith("turn it up by 2.0 dB, those that mind its true peak of −1.0 dBTP by less")
    assert even.text.endswith("leave it as it is")
    assert "the loudest song is Loud" in album.text
    assert "turn the whole record down by 4.7 dB" in album.text
    assert record.text == "the whole record: −9.8 LUFS, 13.2 LU above −23.0 LUFS"
    assert all("TD1008" in one.source for one in (loud, album))
    assert record.source.startswith("EBU R 128")


def test_silence_and_single_songs_get_no_more_than_they_need() -> None:
    assert loudness_advice(STREAM, [song(1, "Still", None, None)], None) == ()
    assert len(loudness_advice(STREAM, [song(1, "One", -14.0, -1.0)], None)) == 1


def test_a_peak_over_the_ceiling_is_said() -> None:
    found = loudness_advice(STREAM, [song(1, "Hot", -16.0, -0.6), song(2, "Held", -16.0, -0.995)], None)
    assert found[-1] == Advice(
        "Hot: true peak −0.60 dBTP, 0.40 dB over the ceiling of −1.0 dBTP", "profile stream", 1
    )
    assert not any("Held: true peak" in one.text for one in found)
    hot = song(1, "Hot", -16.0, -0.6)
    coded = replace(hot, facts=replace(hot.facts, bits=None))  # its ceiling held where its coder was fed
    assert not any("over the ceiling" in one.text for one in loudness_advice(STREAM, [coded], None))


@given(st.lists(st.none() | st.floats(-90.0, 12.0), max_size=5), st.floats(-12.0, 0.0))
@settings(derandomize=True, deadline=None, max_examples=200)
def test_one_trim_brings_every_peak_under_the_ceiling(peaks: list[float | None], ceiling_dbtp: float) -> None:
    trim_db = fit_trim_db(peaks, ceiling_dbtp)
    highest = max((peak for peak in peaks if peak is not None), default=-math.inf)
    assert trim_db <= 0.0
    assert highest + trim_db <= ceiling_dbtp + 1e-6
    if trim_db < 0.0:  # no more than a hundredth is given away
        assert highest + trim_db > ceiling_dbtp - 0.01 - 1e-6


def test_a_trim_is_a_round_figure() -> None:
    assert fit_trim_db([-3.0, 0.504, None], -1.0) == -1.51
    assert fit_trim_db([-3.0], -1.0) == 0.0
    assert fit_trim_db([], -1.0) == 0.0
    assert fit_trim_db([-1.0 + 0.25], -1.0) == -0.25
