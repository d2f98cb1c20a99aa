"""The ceiling of a run: where songs overlap, in every file that is cut out of running sound, and at rest."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.deliver.cut_guard import CutGuard
from arsis.deliver.record import Record
from arsis.deliver.record_sound import RunWay, Sounding, run_limiter, run_words
from arsis.plan.model import Between
from arsis.process.limiting import LimiterRunner
from arsis.render.words import Word, Words
from arsis.settings import Limiter
from tests.meter16 import true_peak_dbtp
from tests.records import RATE_HZ, WORDS, blocks, files, laid, three_songs
from tests.signals import noise, sine
from tests.tolerances import ALGEBRA, CEILING_DB


@pytest.fixture(scope="module")
def hot() -> Block:
    """A low tone just under the ceiling: cut at a peak, it rings over it (Gibbs), by 1.1 dB."""
    return sine(100.0, RATE_HZ, 4.2, peak=0.999 * 10.0 ** (-1.0 / 20.0))


RINGS_DBTP = -0.5  # well over the ceiling: there is something to guard
# Frames at which the tone is at a peak or a trough: its period is 441 frames.
PEAKS = [100 * 441 + 110, 300 * 441 + 110, 306 * 441 + 331]


def cut_up(sound: Block, at: list[int]) -> tuple[Record, list[Block]]:
    """The sound as songs that run on from one to the next."""
    pieces = np.split(sound, at, axis=1)
    return laid({}, *[{"gap_s": 0.0}] * len(at), sounds=pieces), pieces


def test_the_ceiling_holds_in_every_file_of_a_cut_up_record(hot: Block) -> None:
    """A file that begins in full sound rings over the ceiling by itself, were it not for the guard."""
    record, pieces = cut_up(hot, PEAKS)
    plain = [true_peak_dbtp(piece) for piece in pieces]
    assert max(plain) > RINGS_DBTP
    heard: list[NDArray[np.float64]] = []
    way = RunWay(Word(32, is_float=True), RATE_HZ, 2, 1, "flat", Limiter(), gain=heard.append)
    songs = {i + 1: Sounding(blocks(piece, 9_999)) for i, piece in enumerate(pieces)}
    made: dict[int, list[Words]] = {}
    for place, words in run_words(record.runs[0], songs, way):
        made.setdefault(place, []).append(words)
    whole = np.concatenate([part for parts in made.values() for part in parts], axis=1)
    for parts in made.values():
        assert true_peak_dbtp(np.concatenate(parts, axis=1)) <= -1.0 + CEILING_DB
    assert true_peak_dbtp(whole) <= -1.0 + CEILING_DB
    gain = np.concatenate(heard)
    np.testing.assert_allclose(whole, hot * gain, rtol=0.0, atol=ALGEBRA)
    np.testing.assert_array_equal(whole[:, gain == 1.0], hot[:, gain == 1.0])
    assert 0.5 < gain.min() < 0.99  # 1.2 dB, for ringing of 1.1: it works, and is no mute
    near = np.zeros(gain.size, dtype=bool)
    for edge in PEAKS:
        near[edge - RATE_HZ // 2 : edge + 9 * RATE_HZ // 10] = True
    assert np.all(gain[~near] == 1.0)
    # No step at the cut, nor where it ends: 0.13 in 1.5 ms, 66 frames, is 0.004 a frame at its steepest.
    assert np.abs(np.diff(gain)).max() < 0.01


@pytest.mark.parametrize("size", [777, 16_384, 400_000])
def test_guarded_cuts_do_not_hang_on_blocks(hot: Block, size: int) -> None:
    record, pieces = cut_up(hot, PEAKS)
    expected = files(record, pieces, Word(24), limiter=Limiter())
    made = files(record, pieces, Word(24), size=size, block_frames=size, limiter=Limiter())
    for place, words in expected.items():
        np.testing.assert_array_equal(made[place], words)


@pytest.mark.parametrize("sounding", ["before", "after"])
def test_each_side_of_a_cut_has_what_it_needs(hot: Block, sounding: str) -> None:
    """Only one side sounds, up to a peak of the tone that lies at the cut."""
    cut = PEAKS[0]
    side = hot.copy()
    side[:, slice(cut, None) if sounding == "before" else slice(0, cut)] = 0.0
    assert true_peak_dbtp(side) > RINGS_DBTP
    guard = CutGuard([cut], 0, Limiter(), RATE_HZ)
    made = list(guard.guarded(blocks(side, 10_000)))
    sound = np.concatenate([finished.sound for finished in made], axis=1)
    assert true_peak_dbtp(sound) <= -1.0 + CEILING_DB


def test_a_song_cut_off_in_full_sound_holds_the_ceiling(hot: Block) -> None:
    start = PEAKS[0]
    record = laid({"from_s": start / RATE_HZ}, sounds=[hot])
    made = files(record, [hot], Word(32, is_float=True), limiter=Limiter(release_ms=20.0))[1]
    assert true_peak_dbtp(hot[:, start:]) > RINGS_DBTP
    assert true_peak_dbtp(made) <= -1.0 + CEILING_DB
    np.testing.assert_array_equal(made[:, RATE_HZ:], hot[:, start + RATE_HZ :])


def test_the_ceiling_holds_where_two_hot_songs_overlap() -> None:
    """Read by tests/meter16.py, which shares no code with the limiter."""
    limiter = Limiter(ceiling_dbtp=-1.0)
    pieces = [_limited(noise(3 * RATE_HZ, seed=i, rms=0.5), limiter) for i in (1, 2)]
    record = laid({}, {"overlap_s": 1.5}, sounds=pieces)
    made = files(record, pieces, Word(32, is_float=True), limiter=limiter)
    whole = np.concatenate([made[1], made[2]], axis=1)
    both = record.songs[1].song.start, record.songs[0].song.end
    plain = pieces[0][:, -66_150:] + pieces[1][:, :66_150]
    assert true_peak_dbtp(plain) > 2.0  # there is something to limit, and no more is taken than must be
    assert -1.1 < true_peak_dbtp(whole[:, both[0] - 500 : both[1] + 500]) <= -1.0 + CEILING_DB
    assert true_peak_dbtp(whole) <= -1.0 + CEILING_DB


def _limited(sound: Block, limiter: Limiter) -> Block:
    """A song as its own limiter leaves it."""
    runner = LimiterRunner(limiter, RATE_HZ, 2)
    return runner.process(np.pad(sound, ((0, 0), (0, runner.latency))))[:, runner.latency :]


def test_the_limiter_rests_where_nothing_overlaps() -> None:
    """Law 5: songs that only touch have their own sound, bit for bit."""
    sounds = three_songs(rms=0.05)
    record = laid({}, {"gap_s": 0.0}, {"gap_s": 0.0}, sounds=sounds)
    heard: list[NDArray[np.float64]] = []
    way = RunWay(Word(32, is_float=True), RATE_HZ, 2, 1, "flat", Limiter(), gain=heard.append)
    songs = {p: Sounding(blocks(sounds[p - 1], 5_000)) for p in (1, 2, 3)}
    made = np.concatenate([w for _, w in run_words(record.runs[0], songs, way)], axis=1)
    assert made.tobytes() == np.concatenate(sounds, axis=1).tobytes()
    assert np.concatenate(heard).shape == (record.frames,)
    assert np.concatenate(heard).min() == 1.0


def test_the_limiter_of_a_run_is_that_with_the_lowest_ceiling() -> None:
    low = Limiter(ceiling_dbtp=-2.0, release_ms=80.0)
    assert run_limiter([None, Limiter(), low]) == low
    assert run_limiter([None, None]) is None


@pytest.mark.parametrize("word", WORDS, ids=("16", "24", "32f"))
def test_silence_is_zeros_even_while_the_limiter_recovers(word: Word) -> None:
    sounds = [noise(50_000, seed=1, rms=0.5), noise(50_000, seed=2, rms=0.1)]
    air = noise(4_410, seed=3, rms=0.5)
    record = laid({}, {"gap_s": 1.0, "between": Between(file="a")}, sounds=sounds, between_frames={2: 4_410})
    made = files(record, sounds, word, betweens={2: air}, limiter=Limiter())
    assert made[1][:, 50_000:54_410].any()
    assert not made[1][:, 54_410:].any()
    assert record.songs[0].tail_frames == RATE_HZ - 4_410
