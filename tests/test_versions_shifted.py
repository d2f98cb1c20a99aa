"""Versions that lie part of a frame away, on another clock, or begin elsewhere (law 10, issue 5)."""

from __future__ import annotations

import re
from contextlib import ExitStack
from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
import soundfile

from arsis.audio import Block
from arsis.demo.mixdown import FULL_SCALE
from arsis.demo.songs import SONGS
from arsis.dsp.long_shift import HOP, LongShift
from arsis.errors import NotSameRecordingError, PlanError
from arsis.measure.alignment import find_alignment
from arsis.plan.model import Finish, RidePoint, VersionPrint
from arsis.render.printed import SoundAt
from arsis.render.run import Rendering, Way
from arsis.render.version_mix import open_apart
from arsis.render.words import Word
from arsis.settings import Gain, Limiter

from .demo_songs import demo_song
from .meter16 import true_peak_dbtp
from .render_plans import song
from .signals import noise
from .test_alignment import resampled, sound
from .tolerances import (
    CEILING_DB,
    DRIFT_PPM,
    LAW_10_DBFS,
    OFFSET_FRAMES,
    SHIFT_DB,
    SHIFTED_FRAMES,
    SIX_DECIMALS,
)
from .versions import (
    VERSIONS,
    Folder,
    folder,
    null_dbfs,
    open_source,
    printed_elsewhere,
    worked_plan,
)

SECONDS = 16
INSTRUMENTAL, ACAPPELLA = VERSIONS
ROOM = 8_192


def turned(block: Block, offset: float) -> Block:
    """Later by `offset` frames, by the phases of one spectrum over all of it: shares no code with arsis."""
    wide = np.pad(block, ((0, 0), (ROOM, ROOM)))
    size = wide.shape[1]
    turn = np.exp(-2j * np.pi * np.fft.rfftfreq(size) * offset)
    return np.fft.irfft(np.fft.rfft(wide, axis=1) * turn, size, axis=1)[:, ROOM:-ROOM]


@cache
def excerpt(name: str) -> tuple[Block, Block, int]:
    """Part of a demo song with band and voice, from silence to silence, and its rate."""
    made = demo_song(name)
    start = 20 * made.rate_hz
    part = slice(start, start + SECONDS * made.rate_hz)
    t = np.linspace(0.0, 1.0, SECONDS * made.rate_hz)
    swell = np.sin(np.pi * np.clip(np.minimum(t, 1.0 - t) * SECONDS, 0.0, 0.5)) ** 2
    stems = (made.stems.instrumental, made.stems.acappella)
    band, voice = (np.pad(stem[:, part] / FULL_SCALE * swell, ((0, 0), (0, 4_096))) for stem in stems)
    return band, voice, made.rate_hz


@pytest.mark.parametrize(
    ("name", "shared", "band_at", "voice_at"),
    [(SONGS[0], False, 0.37, 0.0), (SONGS[1], False, -210.25, 1000.61), (SONGS[2], True, 0.004, 0.5)],
)
def test_law_10_on_the_demo_songs_shifted_by_part_of_a_frame(
    tmp_path, name, shared, band_at, voice_at
) -> None:
    """Limiter and compressor at work. Where each version keeps the ceiling by itself, the sum is looked at
    wherever none has to; where they share the limiter, everywhere."""
    band, voice, rate_hz = excerpt(name)
    plan = worked_plan(float(SECONDS))
    finish = replace(plan.finish, gain_db=11.0, share_limiter=shared)
    made = folder(tmp_path, replace(plan, finish=finish), band, voice, rate_hz)
    for version, block, offset in ((INSTRUMENTAL, band, band_at), (ACAPPELLA, voice, voice_at)):
        made.put(version.mix, turned(block, offset))
    main, gain = made.main()
    led = [made.led(version) for version in VERSIONS]
    for one, offset in zip(led, (band_at, voice_at), strict=True):
        assert one.alignment.offset_frames == pytest.approx(offset, abs=SHIFTED_FRAMES)
        assert one.alignment.drift_ppm == 0.0
        assert one.in_step == (offset == round(offset))
    assert -20.0 * np.log10(gain.min()) >= 2.0  # the limiter is at work
    sums = np.logical_and.reduce([one.gain == gain for one in led])
    assert sums.all() if shared else sums.mean() > 0.5  # enough is left to be looked at
    assert null_dbfs(main[:, sums], *(one.sound[:, sums] for one in led)) < LAW_10_DBFS


@pytest.mark.parametrize("offset", [0.37, -3.5, 700.004])
def test_the_long_shift_is_a_shift(offset: float) -> None:
    """Of noise up to 0.99 of half the rate, from silence to silence."""
    frames = 300_000
    spectrum = np.fft.rfft(noise(frames, rms=0.1), axis=1)
    spectrum[:, int(0.99 * spectrum.shape[1]) :] = 0.0
    block = np.fft.irfft(spectrum, frames, axis=1) * np.hanning(frames)
    read = SoundAt(sound(turned(np.pad(block, ((0, 0), (0, 2_000))), offset)))  # type: ignore[arg-type]
    back = LongShift(read, offset, 2)(0, frames)
    assert null_dbfs(block, back) - null_dbfs(block) < SHIFT_DB


def test_the_long_shift_is_the_same_in_any_pieces_and_order() -> None:
    read = SoundAt(sound(noise(HOP + 5_000)))  # type: ignore[arg-type]
    whole = LongShift(read, 0.37, 2)(0, HOP + 5_000)
    edges, shift = [0, 1, 1, HOP - 3, HOP + 7, HOP + 5_000], LongShift(read, 0.37, 2)
    parts = [shift(a, b - a) for a, b in pairwise(edges)]
    assert np.array_equal(np.concatenate(parts, axis=1), whole)
    assert np.array_equal(shift(100, 200), whole[:, 100:300])
    assert np.array_equal(shift(-500, 600)[:, 500:], whole[:, :100])


def plain(path, band: Block, voice: Block, rate_hz: int, starts_s: tuple[float, ...] = (0.0,)) -> Folder:
    plan = song(
        list(starts_s),
        "AB"[: len(starts_s)],
        {"A": (), "B": (Gain(gain_db=3.0),)},
        finish=Finish(gain_db=12.0, limiter=Limiter(ceiling_dbtp=-1.0)),
    )
    return folder(path, plan, band, voice, rate_hz)


@pytest.fixture(scope="module")
def stems() -> tuple[Block, Block]:
    """Ten seconds of a band and a voice that rests for half of them."""
    rate = 44_100
    band, voice = noise(10 * rate, seed=3, rms=0.05), noise(10 * rate, seed=4, rms=0.04)
    voice[:, 3 * rate : 8 * rate] = 0.0
    return band, voice


@pytest.mark.parametrize("ppm", [20.0, -60.0])
def test_another_clock_is_found_and_told(tmp_path, stems, ppm) -> None:
    made = plain(tmp_path, *stems, 44_100)
    made.put("instrumental.wav", resampled(stems[0], 5.5, ppm))
    found = made.led(INSTRUMENTAL)
    assert found.alignment.drift_ppm == pytest.approx(ppm, abs=DRIFT_PPM)
    assert found.alignment.offset_frames == pytest.approx(5.5, abs=OFFSET_FRAMES)
    assert not found.in_step


def test_another_arrangement_is_refused_and_may_go_its_own_way(tmp_path, stems) -> None:
    """It begins half a second late: too late to follow, and its sections move along."""
    band, voice = stems
    made = plain(tmp_path, band, voice, 44_100, (0.0, 4.0))
    late = 22_050
    made.put("instrumental.wav", band[:, late:])
    with pytest.raises(PlanError, match=r"starts 0\.500 s late.*follow = false.*leave it out"):
        made.led(INSTRUMENTAL)
    with ExitStack() as stack:
        main = open_source(made.song, tmp_path, stack)
        apart = open_apart(main, replace(INSTRUMENTAL, follow=False), tmp_path, stack)
        assert apart.offset_s == pytest.approx(-0.5, abs=2 * SIX_DECIMALS)
        sections = apart.source.song.section
        assert [section.start_s for section in sections] == [0.0, pytest.approx(3.5, abs=2 * SIX_DECIMALS)]
        with Rendering(apart.source, Way(Word(24), 44_100)) as rendering:
            out = np.concatenate([one.sound for one in rendering.blocks()], axis=1)
    assert out.shape == (2, band.shape[1] - late)
    assert true_peak_dbtp(out) <= -1.0 + CEILING_DB
    assert true_peak_dbtp(out) > -1.5  # its own limiter was at work


def test_another_song_is_refused(tmp_path) -> None:
    band, voice, rate_hz = excerpt(SONGS[1])
    other, _, same_rate_hz = excerpt(SONGS[2])
    assert rate_hz == same_rate_hz
    made = plain(tmp_path, band, voice, rate_hz)
    made.put("instrumental.wav", other)
    with pytest.raises(PlanError, match="cannot follow"):
        made.led(INSTRUMENTAL)


def test_a_ride_of_a_version_apart_begins_at_the_level_it_has_come_to(tmp_path, stems) -> None:
    """From 0 dB at 0.1 s to 6 dB at 0.7 s: half a second in, it has come to 4 dB."""
    band, voice = stems
    made = plain(tmp_path, band, voice, 44_100)
    made.put("instrumental.wav", band[:, 22_050:])
    points = ((0.1, 0.0), (0.7, 6.0), (3.0, -1.0))
    ride = tuple(RidePoint(time_s=time_s, gain_db=gain_db) for time_s, gain_db in points)
    with ExitStack() as stack:
        main = open_source(replace(made.song, ride=ride), tmp_path, stack)
        apart = open_apart(main, replace(INSTRUMENTAL, follow=False), tmp_path, stack)
    found = [(point.time_s, point.gain_db) for point in apart.source.song.ride]
    assert found == [
        (0.0, pytest.approx(4.0, abs=1e-4)),  # 10 dB a second, from a place found to 1e-5 s at worst
        (pytest.approx(0.2, abs=2 * SIX_DECIMALS), 6.0),
        (pytest.approx(2.5, abs=2 * SIX_DECIMALS), -1.0),
    ]


def test_a_voice_with_hiss_in_its_rests_is_found(tmp_path, stems) -> None:
    """It rests for most of the song, but for noise 70 dB down, which is not in the mix."""
    band, voice = stems[0], stems[1].copy()
    voice[:, 88_200:405_720] = 0.0
    made = plain(tmp_path, band, voice, 44_100)
    made.put("acappella.wav", turned(voice, 12.25) + noise(voice.shape[1], seed=9, rms=1e-5))
    assert made.led(ACAPPELLA).alignment.offset_frames == pytest.approx(12.25, abs=OFFSET_FRAMES)


def test_a_quiet_voice_is_found_beside_its_band(tmp_path, stems) -> None:
    """Far under the band: too little of the mix to be found by itself."""
    band, voice = stems
    quiet = 0.1 * voice
    made = plain(tmp_path, band, quiet, 44_100)
    made.put("acappella.wav", turned(quiet, -7.25))
    with pytest.raises(PlanError, match="cannot follow"):
        replace(made, song=replace(made.song, version=(ACAPPELLA,))).led(ACAPPELLA)
    assert made.led(ACAPPELLA).alignment.offset_frames == pytest.approx(-7.25, abs=OFFSET_FRAMES)


def test_a_versions_own_print_at_another_rate_is_refused(tmp_path, stems) -> None:
    band, voice = stems
    made = plain(tmp_path, band, voice, 44_100)
    song = printed_elsewhere(made.song, "A", "mix.wav")
    soundfile.write(tmp_path / "band-a.wav", band.T, 48_000)
    own = replace(INSTRUMENTAL, print=(VersionPrint(pass_="A", file="band-a.wav"),))
    with pytest.raises(PlanError, match=r"band-a\.wav: not a print of the version: it has 2.*48000.*44100"):
        replace(made, song=replace(song, version=(own,))).led(own)


@pytest.mark.parametrize(("version", "edit_s"), [(INSTRUMENTAL, 3.0), (ACAPPELLA, 1.3), (INSTRUMENTAL, -0.8)])
def test_an_edit_late_in_a_version_is_refused(tmp_path, version, edit_s) -> None:
    """Three quarters through, a little is put in or taken out, and the end made as long as before."""
    band, voice, rate_hz = excerpt(SONGS[2])
    made = plain(tmp_path, band, voice, rate_hz)
    whole = band if version is INSTRUMENTAL else voice
    at, frames = round(11.0 * rate_hz), round(abs(edit_s) * rate_hz)
    more, less = (frames, 0) if edit_s > 0.0 else (0, frames)
    parts = [whole[:, :at], np.zeros((2, more)), whole[:, at + less :], np.zeros((2, less))]
    made.put(version.mix, np.concatenate(parts, axis=1)[:, : whole.shape[1]])
    with pytest.raises(PlanError, match=r"cannot follow.*(edited|slips)"):
        made.led(version)


def test_an_edit_is_told_with_its_place(stems) -> None:
    """Of ten seconds the last three lie 1.3 s late: most windows are where they were."""
    band, rate_hz = stems[0], 44_100
    at, late = 7 * rate_hz, round(1.3 * rate_hz)
    edited = np.concatenate([band[:, :at], np.zeros((2, late)), band[:, at:]], axis=1)
    with pytest.raises(NotSameRecordingError, match="it is edited") as caught:
        find_alignment(SoundAt(sound(band)), SoundAt(sound(edited)), band.shape[1], edited.shape[1], rate_hz)
    has_s, true_s = (float(number) for number in re.findall(r"(\d+\.\d+) s", str(caught.value)))
    assert has_s > 8.3 - 0.4  # half a window before the edit's end
    assert has_s - true_s == pytest.approx(1.3, abs=0.02)  # both are told in hundredths
