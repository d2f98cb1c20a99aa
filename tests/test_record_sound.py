"""A run's words: the files' sum, its ceiling and its silence, against an assembly by the formula."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from arsis.audio import Span
from arsis.deliver.between_sound import between_frames, open_between
from arsis.deliver.fades import quarter_sine
from arsis.deliver.record import alone, lay_out
from arsis.deliver.record_sound import RunWay, Sounding, run_words, sounding
from arsis.dsp.dither import Quantiser
from arsis.errors import PlanError
from arsis.io.probe import probe
from arsis.plan.model import Between, Finish, Pass, Release, ReleaseSong, Section, Song
from arsis.render.run import Rendering, Way
from arsis.render.words import Untouched, Word
from arsis.settings import Gain, Limiter
from tests.records import RATE_HZ, WORDS, blocks, fade, files, laid, releases, three_songs
from tests.renders import make_print, source, whole_words
from tests.signals import noise, sine
from tests.tolerances import ALGEBRA, SINGLE

SEGUE = ({}, {"overlap_s": 0.2, "fade_in_s": 0.2}, {"gap_s": 0.0})


@pytest.mark.parametrize("word", WORDS, ids=("16", "24", "32f"))
@pytest.mark.parametrize("cut_frames", [1, 588])
def test_the_files_are_the_record_in_pieces(word: Word, cut_frames: int) -> None:
    """One assembly by the formula: sums of faded songs on one time, rounded once, cut nowhere."""
    sounds, air = three_songs(), noise(30_000, seed=9, rms=0.05)
    songs = (
        {"fade_out_s": 0.3},
        {"overlap_s": 0.2, "fade_in_s": 0.2},
        {"gap_s": 0.4, "between": Between(file="a", lead_s=0.1, fade_in_s=0.1, fade_out_s=0.05)},
    )
    record = laid(*songs, sounds=sounds, cut_frames=cut_frames, between_frames={3: air.shape[1]})
    made = files(record, sounds, word, betweens={3: air})
    total = np.zeros((2, record.frames))
    first, second, third = sounds[0].copy(), sounds[1].copy(), sounds[2]
    first[:, -13_230:] *= fade(13_230, shared=True)[::-1]
    second[:, :8_820] *= fade(8_820, shared=True)
    air = air.copy()
    air[:, :4_410] *= fade(4_410, shared=True)
    air[:, -2_205:] *= fade(2_205, shared=True)[::-1]
    for start, sound in (
        (0, first),
        (50_000 - 8_820, second),
        (50_000 - 8_820 + 61_234 + 17_640, third),
        (50_000 - 8_820 + 61_234 - 4_410, air),
    ):
        total[:, start : start + sound.shape[1]] += sound
    whole = np.concatenate([made[place] for place in (1, 2, 3)], axis=1)
    assert [made[p].shape[1] for p in (1, 2, 3)] == [placed.cut.frames for placed in record.songs]
    if word.is_float:
        np.testing.assert_allclose(whole, total, rtol=0.0, atol=ALGEBRA)
    else:
        exact = np.zeros(record.frames, dtype=np.uint8)
        exact[record.songs[2].song.end :] = 1
        expected = Quantiser(word.bits, 2, 1).process(total, exact)
        assert np.count_nonzero(whole != expected) <= 2  # a step's edge met by another sine's last bit


@settings(max_examples=60, derandomize=True, deadline=None)
@given(releases(), st.sampled_from((1, 588)), st.integers(50, 9_000))
def test_any_record_is_the_sum_of_its_songs(
    made_up: tuple[Release, list[int], dict[int, int]], cut_frames: int, size: int
) -> None:
    """Made-up releases at 1000 Hz against a plain sum in numpy: nothing is lost, doubled or out of place."""
    release, frames, air_frames = made_up
    record = lay_out(release, frames, 1_000, cut_frames, air_frames)
    sounds = [noise(n, seed=i) for i, n in enumerate(frames)]
    airs = {place: noise(n, seed=100 + place) for place, n in air_frames.items()}
    total = np.zeros((2, record.frames))
    for placed in record.songs:
        for lies, sound in (
            (placed.song, sounds[placed.place - 1]),
            (placed.between, airs.get(placed.place)),
        ):
            if lies is not None and sound is not None:
                part = sound[:, lies.used.start : lies.used.end].copy()
                part[:, : lies.fade_in] *= fade(lies.fade_in, shared=lies.head_shared)
                part[:, part.shape[1] - lies.fade_out :] *= fade(lies.fade_out, shared=lies.tail_shared)[::-1]
                total[:, lies.start : lies.end] += part
    made = files(record, sounds, Word(32, is_float=True), betweens=airs, size=size, block_frames=size)
    whole = np.concatenate([made[placed.place] for placed in record.songs], axis=1)
    np.testing.assert_allclose(whole, total, rtol=0.0, atol=ALGEBRA)


@pytest.mark.parametrize("word", WORDS, ids=("16", "24", "32f"))
@pytest.mark.parametrize("dither", ["flat", "lipshitz_5"])
def test_blocks_never_change_a_word(word: Word, dither: str) -> None:
    sounds = three_songs(rms=0.3)  # hot enough for the limiter to work
    record = laid(*SEGUE, sounds=sounds, cut_frames=588)
    made = [
        files(record, sounds, word, size=size, block_frames=of, limiter=Limiter(), dither=dither)
        for size, of in ((16_384, 16_384), (1_000, 777), (60_000, 100_000))
    ]
    for other in made[1:]:
        for place, words in made[0].items():
            np.testing.assert_array_equal(words, other[place])


def test_cuts_only_cut() -> None:
    """The same music with other cuts: the words of the record are the same, here with a limiter at work."""
    sounds = three_songs(rms=0.08)
    sounds[0][:, 20_000:20_050] *= 12.0  # far from every cut
    apart = [
        np.concatenate(
            list(
                files(laid(*SEGUE, sounds=sounds, cut_frames=c), sounds, Word(24), limiter=Limiter()).values()
            ),
            axis=1,
        )
        for c in (1, 588)
    ]
    np.testing.assert_array_equal(apart[0], apart[1][:, : apart[0].shape[1]])
    assert not apart[1][:, apart[0].shape[1] :].any()


def test_a_tone_runs_on_over_a_cut() -> None:
    """One tone in two songs that join without a gap: no step at the cut is larger than within the tone."""
    whole = sine(997.0, RATE_HZ, 4.0)
    at = 2 * RATE_HZ + 123
    sounds = [whole[:, :at], whole[:, at:]]
    record = laid({}, {"gap_s": 0.0}, sounds=sounds, cut_frames=588)
    made = files(record, sounds, Word(24), limiter=Limiter())
    cut = made[1].shape[1]
    assert cut == at - at % 588 < at
    joined = np.concatenate([made[1], made[2]], axis=1)
    steps = np.abs(np.diff(joined[:, : whole.shape[1]], axis=1))
    assert steps[:, cut - 3 : cut + 3].max() <= steps[:, : cut - 1000].max()
    assert steps[:, at - 3 : at + 3].max() <= steps[:, : cut - 1000].max()
    np.testing.assert_array_equal(joined[:, : whole.shape[1]], Quantiser(24, 2, 1).process(whole))


def plan(limiter: Limiter | None = None, gain_db: float = 0.0, dither: str = "flat") -> Song:
    """Half of it left alone, half turned up."""
    sections = (
        Section(name="verse", start_s=0.0, pass_="A"),
        Section(name="refrain", start_s=0.7, pass_="B"),
    )
    return Song(
        title="Low Water",
        mix="mixes/low-water.wav",
        section=sections,
        pass_={"A": Pass(), "B": Pass(chain=(Gain(gain_db=2.0),))},
        finish=Finish(limiter=limiter, gain_db=gain_db, dither=dither),  # type: ignore[arg-type]
    )


@pytest.mark.parametrize("word", WORDS, ids=("16", "24", "32f"))
@pytest.mark.parametrize("dither", ["flat", "wannamaker_9", "none"])
@pytest.mark.parametrize("out_rate_hz", [RATE_HZ, 48_000])
def test_a_run_of_one_is_the_print(word: Word, dither: str, out_rate_hz: int) -> None:
    mix = whole_words(60_000, 16, seed=3, peak=0.9) / 2.0**15
    of = source(plan(Limiter(), dither=dither), mix, RATE_HZ, 16)
    printed = make_print(of, word, out_rate_hz=out_rate_hz).words
    entries = (ReleaseSong(plan="songs/low-water.toml"), ReleaseSong(plan="b"))
    record = lay_out(Release(title="x", song=entries), [printed.shape[1], 9], out_rate_hz)
    way = Way(word, out_rate_hz)
    with Rendering(of, way) as rendering:
        run_way = RunWay(word, out_rate_hz, 2, of.seed, dither, Limiter(ceiling_dbtp=-20.0))
        parts = [w for _, w in run_words(record.runs[0], {1: sounding(rendering)}, run_way)]
    words = np.concatenate(parts, axis=1)
    assert words[:, : printed.shape[1]].tobytes() == printed.tobytes()
    assert words.shape[1] == printed.shape[1] + 2 * out_rate_hz
    assert not words[:, printed.shape[1] :].any()


def test_a_trimmed_song_has_its_prints_words() -> None:
    mix = whole_words(60_000, 16, seed=3, peak=0.3) / 2.0**15
    of = source(plan(), mix, RATE_HZ, 16)
    printed = make_print(of, Word(16)).words
    record = laid({"from_s": 0.2, "until_s": 1.1, "fade_out_s": 0.1}, sounds=[mix])
    with Rendering(of, Way(Word(16), RATE_HZ)) as rendering:
        way = RunWay(Word(16), RATE_HZ, 2, of.seed, "flat")
        song = sounding(rendering)
        words = np.concatenate([w for _, w in run_words(record.runs[0], {1: song}, way)], axis=1)
    assert words.shape[1] == round(0.9 * RATE_HZ)
    np.testing.assert_array_equal(words[:, :-4_410], printed[:, 8_820 : 48_510 - 4_410])
    assert np.abs(words[:, -1]).max() <= 2


def test_own_words_pass_untouched_where_one_song_sounds() -> None:
    sounds = [whole_words(50_000, 16, seed=i, peak=0.3) / 2.0**15 for i in (1, 2)]
    record = laid({}, {"overlap_s": 0.1}, sounds=sounds)
    made = files(record, sounds, Word(16), limiter=Limiter(), own=(Span(0, 40_000),))
    np.testing.assert_array_equal(made[1][:, :40_000], sounds[0][:, :40_000] * 2.0**15)
    np.testing.assert_array_equal(made[2][:, 4_410:40_000], sounds[1][:, 4_410:40_000] * 2.0**15)
    # Where both sound, or the plan did something, there is noise of the dither.
    both = sounds[0][:, -4_410:] + sounds[1][:, :4_410]
    assert np.any(made[2][:, :4_410] != both * 2.0**15)
    assert np.any(made[1][:, 40_000:45_000] != sounds[0][:, 40_000:45_000] * 2.0**15)


def test_own_words_are_dithered_where_they_were_faded_or_limited() -> None:
    """Rounding alone errs by half a step at most, dither by up to one and a half."""
    sounds = [whole_words(50_000, 16, seed=i, peak=0.3) / 2.0**15 for i in (1, 2)]
    sounds[1][:, 30_000:30_050] *= 3.0
    sounds = [np.round(sound * 2.0**15) / 2.0**15 for sound in sounds]
    record = laid({"fade_in_s": 0.2}, {"gap_s": 0.0}, sounds=sounds)
    heard: list[NDArray[np.float64]] = []
    way = RunWay(Word(16), RATE_HZ, 2, 1, "flat", Limiter(), gain=heard.append)
    own = Untouched((Span(0, 50_000),))
    songs = {p: Sounding(blocks(sounds[p - 1], 5_000), own) for p in (1, 2)}
    words = np.concatenate([w for _, w in run_words(record.runs[0], songs, way)], axis=1)
    gain = np.concatenate(heard)
    gain[:8_820] *= fade(8_820, shared=False)
    error = np.abs(words - np.concatenate(sounds, axis=1) * gain * 2.0**15)
    assert not error[:, 8_820 : 80_000 - 2_000].any()
    for changed in (slice(0, 8_800), slice(80_000, 80_500)):
        assert gain[changed].max() < 1.0
        assert 0.9 < error[:, changed].max() < 1.5 + ALGEBRA * 2.0**15


def test_a_crossfade_of_two_songs_keeps_their_power() -> None:
    sounds = [noise(6 * RATE_HZ, seed=i, rms=0.1) for i in (1, 2)]
    record = laid({"fade_out_s": 4.0}, {"overlap_s": 4.0, "fade_in_s": 4.0}, sounds=sounds)
    made = files(record, sounds, Word(32, is_float=True))
    both = np.concatenate([made[1], made[2]], axis=1)[:, 2 * RATE_HZ : 6 * RATE_HZ]
    level_db = 10.0 * np.log10((both**2).reshape(2, 8, -1).mean(axis=(0, 2)) / 0.01)
    assert np.abs(level_db).max() < 0.2  # four sigma of half a second of noise in two channels


def test_a_fade_to_silence_is_a_raised_cosine() -> None:
    sounds = [np.ones((2, RATE_HZ))]
    record = laid({"fade_in_s": 0.25, "fade_out_s": 0.5}, sounds=sounds)
    made = files(record, sounds, Word(32, is_float=True))[1]
    expected = np.ones(RATE_HZ)
    expected[:11_025] = fade(11_025, shared=False)
    expected[-22_050:] = fade(22_050, shared=False)[::-1]
    np.testing.assert_allclose(made, np.tile(expected, (2, 1)), rtol=0.0, atol=ALGEBRA)


def test_the_quarter_sine_is_one() -> None:
    t = np.linspace(0.0, 1.0, 10_001)
    np.testing.assert_allclose(quarter_sine(t), np.sin(np.pi * t / 2.0), rtol=0.0, atol=ALGEBRA)
    np.testing.assert_allclose(quarter_sine(t) ** 2 + quarter_sine(1.0 - t) ** 2, 1.0, rtol=0.0, atol=ALGEBRA)


def test_mono_songs_become_two_channels_alike() -> None:
    sounds = [noise(50_000, channels=1)]
    made = files(laid({}, sounds=sounds), sounds, Word(32, is_float=True))[1]
    np.testing.assert_array_equal(made, np.repeat(sounds[0], 2, axis=0))


def test_a_version_alone_has_no_neighbour_in_it() -> None:
    sounds = three_songs()
    record = laid({"fade_out_s": 0.2}, *SEGUE[1:], sounds=sounds)
    run = alone(record.songs[0])
    way = RunWay(Word(32, is_float=True), RATE_HZ, 2, 1, "flat", Limiter())
    made = np.concatenate([w for _, w in run_words(run, {1: Sounding(blocks(sounds[0], 999))}, way)], axis=1)
    expected = sounds[0].copy()
    expected[:, -8_820:] *= fade(8_820, shared=True)[::-1]
    np.testing.assert_allclose(made, expected, rtol=0.0, atol=ALGEBRA)


def test_a_sound_shorter_than_laid_out_is_a_mistake_of_the_program() -> None:
    sounds = three_songs()
    record = laid({}, sounds=sounds[:1])
    with pytest.raises(ValueError, match="ended after 40000 frames"):
        files(record, [sounds[0][:, :40_000]], Word(16))


def test_sound_between_is_read_at_its_level_and_the_records_rate(tmp_path: Path) -> None:
    air = tmp_path / "harbour.wav"
    soundfile.write(air, sine(440.0, 48_000, 1.0, channels=1).T, 48_000, subtype="PCM_24")
    frames = between_frames(probe(air), RATE_HZ)
    with ExitStack() as stack:
        opened = open_between(air, Between(file="x", gain_db=-6.0), RATE_HZ, 2, Word(24), stack)
        sound = np.concatenate([finished.sound for finished in opened.blocks], axis=1)
    assert sound.shape == (1, frames) == (1, RATE_HZ)
    # A crest of 440 Hz lies within 1e-6 of a sample somewhere in a second, and soxr passes it as it is.
    crest = np.abs(sound[0, 9_000:-9_000]).max()
    np.testing.assert_allclose(crest, 0.5 * 10 ** (-6 / 20), rtol=SINGLE)


def test_stereo_sound_between_mono_songs_is_refused(tmp_path: Path) -> None:
    air = tmp_path / "harbour.wav"
    soundfile.write(air, sine(440.0, RATE_HZ, 0.1).T, RATE_HZ)
    with ExitStack() as stack, pytest.raises(PlanError, match="has 2; allowed: 1"):
        open_between(air, Between(file="x"), RATE_HZ, 1, Word(24), stack)


def test_own_words_of_sound_between_pass(tmp_path: Path) -> None:
    air = tmp_path / "harbour.wav"
    soundfile.write(air, sine(440.0, RATE_HZ, 1.0).T, RATE_HZ, subtype="PCM_16")
    with ExitStack() as stack:
        way = (RATE_HZ, 2, Word(16), stack)
        assert open_between(air, Between(file="x"), *way).untouched == Untouched((Span(0, RATE_HZ),))
        assert open_between(air, Between(file="x", gain_db=1.0), *way).untouched == Untouched()
