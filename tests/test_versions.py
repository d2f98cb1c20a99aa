"""Law 10: a version gets the main version's decisions, and prints of mixes that sum, sum."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from arsis.audio import Block
from arsis.demo.mixdown import FULL_SCALE
from arsis.demo.songs import MAIN_SONG
from arsis.errors import PlanError
from arsis.plan.model import Finish, VersionPrint
from arsis.settings import Gain, Limiter

from .demo_songs import demo_song
from .meter16 import true_peak_dbtp
from .render_plans import song
from .signals import noise, sine
from .tolerances import ALGEBRA, CEILING_DB, EXACT, GAIN_MATCH_DB, SHIFTED_FRAMES, VERSIONS_NULL_DBFS
from .versions import VERSIONS, Folder, folder, null_dbfs, printed_elsewhere, worked_plan

RATE = 48_000
INSTRUMENTAL, ACAPPELLA = VERSIONS


@pytest.fixture(scope="module")
def stems() -> tuple[Block, Block]:
    """Five seconds of a demo song: band and voice."""
    made = demo_song(MAIN_SONG)
    assert made.rate_hz == RATE
    part = slice(30 * RATE, 35 * RATE)
    return made.stems.instrumental[:, part] / FULL_SCALE, made.stems.acappella[:, part] / FULL_SCALE


@pytest.fixture
def parts() -> tuple[Block, Block]:
    """A band that plays throughout, and a voice that rests in the first half."""
    band, voice = noise(2 * RATE, seed=3, rms=0.08), noise(2 * RATE, seed=4, rms=0.06)
    voice[:, :RATE] = 0.0
    return band, voice


def shifted(block: Block, offset: float) -> Block:
    """Later by part of a frame, by a phase in the spectrum: exact for what comes round again."""
    size = block.shape[1]
    turn = np.exp(-2j * np.pi * np.arange(size // 2 + 1) * offset / size)
    return np.fft.irfft(np.fft.rfft(block, axis=1) * turn, size, axis=1)


def plain(path: Path, parts: tuple[Block, Block], *, limiter: Limiter | None = None) -> Folder:
    plan = song([0.0], "A", {"A": (Gain(gain_db=1.0),)}, finish=Finish(limiter=limiter))
    return folder(path, plan, *parts, RATE)


@pytest.mark.parametrize("out_rate_hz", [44_100, RATE])
def test_law_10_on_a_demo_song(tmp_path, stems, out_rate_hz) -> None:
    plan = worked_plan(5.0)
    plan = replace(plan, finish=replace(plan.finish, gain_db=10.5))
    made = folder(tmp_path, plan, *stems, RATE)
    main, gain = made.main(out_rate_hz)
    versions = [made.led(version, out_rate_hz) for version in VERSIONS]
    assert -20.0 * np.log10(gain.min()) >= 2.0  # the limiter is at work
    sums = np.logical_and.reduce([one.gain == gain for one in versions])
    assert sums.mean() > 0.9  # and little is left out of the sum
    assert null_dbfs(main[:, sums], *(one.sound[:, sums] for one in versions)) < VERSIONS_NULL_DBFS
    for one in versions:
        assert bool(np.all(one.gain == gain)) == (one.guarded.max_db == 0.0)


@pytest.mark.parametrize("block_frames", [997, 5_000])
def test_law_2_blocks_do_not_matter(tmp_path, parts, block_frames) -> None:
    made = folder(tmp_path, worked_plan(2.0), *parts, RATE)
    one, other = made.led(INSTRUMENTAL), made.led(INSTRUMENTAL, block_frames=block_frames)
    assert np.array_equal(one.sound, other.sound)
    assert np.array_equal(one.words, other.words)


def test_law_1_untouched_words_pass(tmp_path, parts) -> None:
    made = folder(tmp_path, song([0.0], "A", {"A": ()}), *parts, RATE)
    for name, block in zip(("instrumental.wav", "acappella.wav"), parts, strict=True):
        made.put(name, np.round(block * 2.0**23) * 2.0**-23, "PCM_24")
    for version, block in zip(VERSIONS, parts, strict=True):
        assert np.array_equal(made.led(version).words, np.round(block * 2.0**23))


@pytest.mark.parametrize("offset", [0.37, 20.25])
def test_part_of_a_frame_is_found(tmp_path, parts, offset) -> None:
    made = plain(tmp_path, parts)
    made.put("instrumental.wav", shifted(parts[0], offset))
    assert made.led(INSTRUMENTAL).alignment.offset_frames == pytest.approx(offset, abs=SHIFTED_FRAMES)


def test_polarity_is_turned_and_level_told(tmp_path, parts) -> None:
    made = plain(tmp_path, parts)
    before = made.led(INSTRUMENTAL)
    made.put("instrumental.wav", -(10 ** (-1 / 20)) * np.round(parts[0] * 2.0**23) * 2.0**-23)
    led = made.led(INSTRUMENTAL)
    assert led.alignment.polarity == -1
    assert led.alignment.gain_db == pytest.approx(-1.0, abs=GAIN_MATCH_DB)
    assert np.allclose(led.sound, 10 ** (-1 / 20) * before.sound, rtol=EXACT, atol=ALGEBRA)


def refused(made: Folder) -> str:
    with pytest.raises(PlanError) as caught:
        made.led(INSTRUMENTAL)
    return str(caught.value)


def test_what_cannot_follow_is_refused(tmp_path, parts) -> None:
    made, band, more = plain(tmp_path, parts), parts[0], noise(RATE // 4, seed=11, rms=0.08)
    for wrong, words in (
        (noise(2 * RATE, seed=9), "does not follow the mix"),
        (band[:, : RATE + RATE // 2], "early"),
        (band[:1], "channel"),
        (np.zeros_like(band), "silent"),
        (np.delete(band, slice(RATE // 2, RATE), axis=1), "instrumental cannot follow"),
        (np.concatenate([band, more], axis=1), "goes on after the main mix, by 0.250 s"),
        (np.concatenate([more, band], axis=1), "begins before the main mix, by 0.250 s"),
    ):
        made.put("instrumental.wav", wrong)
        said = refused(made)
        assert words in said
        assert "follow = false" in said
    replace(made, rate_hz=44_100).put("instrumental.wav", band)
    assert "44100 Hz" in refused(made)


def test_silence_round_a_version_is_no_other_length(tmp_path, parts) -> None:
    made, band, rest = plain(tmp_path, parts), parts[0], np.zeros((2, RATE // 4))
    made.put("instrumental.wav", np.concatenate([rest, band, rest], axis=1))
    led = made.led(INSTRUMENTAL)
    assert led.in_step
    assert led.alignment.offset_frames == pytest.approx(RATE // 4, abs=SHIFTED_FRAMES)
    assert led.sound.shape == band.shape


def test_the_ceiling_holds_where_the_voice_took_the_bands_peak(tmp_path, parts) -> None:
    band = parts[0] * 0.5
    band[:, RATE:] += sine(440.0, RATE, 1.0, peak=0.9)
    voice = np.zeros_like(band)
    voice[:, RATE:] = -sine(440.0, RATE, 1.0, peak=0.6)
    made = plain(tmp_path, (band, voice), limiter=Limiter(ceiling_dbtp=-1.0))
    led = made.led(INSTRUMENTAL)
    assert led.guarded.max_db > 1.0  # without the voice the tone is 3.5 dB higher
    assert led.guarded.max_at_s > 0.9  # where the tone is
    assert true_peak_dbtp(led.sound) <= -1.0 + CEILING_DB


def test_a_pass_printed_elsewhere_needs_a_print_of_its_own(tmp_path, parts) -> None:
    plan = printed_elsewhere(worked_plan(2.0), "B", "b.wav")
    made = folder(tmp_path, plan, *parts, RATE)
    made.put("b.wav", 0.9 * (parts[0] + parts[1]))
    made.put("b1.wav", 0.9 * parts[0])
    assert 'print = [{ pass = "B"' in refused(made)
    version = replace(INSTRUMENTAL, print=(VersionPrint(pass_="B", file="b1.wav"),))
    assert made.led(version).sound.shape == (2, 2 * RATE)
