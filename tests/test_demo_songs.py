"""The demo's songs: they sound like mixes, and what is said of them is so."""

from __future__ import annotations

import hashlib
from pathlib import Path

import numpy as np
import pyebur128
import pytest
import soundfile
from numpy.typing import NDArray

from arsis.demo import tone
from arsis.demo.mixdown import FULL_SCALE
from arsis.demo.mixes import DemoMix, write_mixes, write_outboard_print
from arsis.demo.outboard import DELAY_FRAMES, GAIN_DB, printed_elsewhere
from arsis.demo.plans import demo_plan, demo_release
from arsis.demo.score import Hit, chord_classes, hits, in_scale, midi, sung, voicing
from arsis.demo.songs import MAIN_SONG, SCORES, SONGS, DemoSong, make_song
from arsis.errors import ArsisError
from arsis.plan.codec import parse_song, song_to_toml
from arsis.plan.identifiers import is_gtin, is_isrc

from .demo_songs import demo_song
from .tolerances import ATTACK_RISE_DB, ATTACK_S, OUTBOARD_GAIN_DB

Sound = NDArray[np.float64]


@pytest.fixture(scope="module")
def songs() -> dict[str, DemoSong]:
    return {name: demo_song(name) for name in SONGS}


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory, songs: dict[str, DemoSong]) -> tuple[DemoMix, ...]:
    folder = tmp_path_factory.mktemp("demo")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("arsis.demo.mixes.make_song", songs.__getitem__)
        return write_mixes(folder)


def sound_of(song: DemoSong) -> Sound:
    return song.stems.mix / FULL_SCALE


def meter(sound: Sound, rate_hz: int) -> pyebur128.R128State:
    mode = pyebur128.MeasurementMode
    state = pyebur128.R128State(2, rate_hz, mode.MODE_I | mode.MODE_LRA | mode.MODE_TRUE_PEAK)
    state.add_frames(np.ascontiguousarray(sound.T).ravel(), sound.shape[1])
    return state


def stretch(song: DemoSong, section: str) -> Sound:
    starts = [round(truth.start_s * song.rate_hz) for truth in song.sections]
    place = [truth.name for truth in song.sections].index(section)
    return sound_of(song)[:, slice(*[*starts, song.stems.mix.shape[1]][place : place + 2])]


def loudness(song: DemoSong, section: str) -> float:
    return float(pyebur128.get_loudness_global(meter(stretch(song, section), song.rate_hz)))


def powers(sound: Sound, rate_hz: int) -> tuple[Sound, Sound]:
    """Frequencies and mean power of both channels, 8192-point Hann windows without overlap."""
    size = 8_192
    frames = sound[:, : sound.shape[1] // size * size].reshape(2, -1, size) * np.hanning(size)
    return np.fft.rfftfreq(size, 1.0 / rate_hz).astype(np.float64), np.mean(
        np.abs(np.fft.rfft(frames)) ** 2, axis=(0, 1)
    )


def share_db(sound: Sound, rate_hz: int, low_hz: float, high_hz: float) -> float:
    freqs, power = powers(sound, rate_hz)
    inside = (freqs >= low_hz) & (freqs < high_hz)
    return float(10.0 * np.log10(power[inside].sum() / power.sum()))


@pytest.mark.parametrize("name", SONGS)
def test_it_measures_like_a_mix(songs: dict[str, DemoSong], name: str) -> None:
    """Loudness, range and true peak by libebur128; the bounds are a mix's as it usually comes in."""
    song = songs[name]
    state = meter(sound_of(song), song.rate_hz)
    peaks = [20.0 * np.log10(pyebur128.get_true_peak(state, channel)) for channel in range(2)]
    assert 60.0 < song.stems.mix.shape[1] / song.rate_hz < 150.0
    assert -18.0 < pyebur128.get_loudness_global(state) < -14.0
    assert 5.0 < pyebur128.get_loudness_range(state) < 10.0
    assert -3.6 < max(peaks) < -2.6


@pytest.mark.parametrize("name", SONGS)
def test_its_spectrum_falls_like_music(songs: dict[str, DemoSong], name: str) -> None:
    """Third octaves fall 3 to 5 dB an octave above 100 Hz, and 16 kHz is still there."""
    song = songs[name]
    freqs, power = powers(sound_of(song), song.rate_hz)
    centres = 1000.0 * 2.0 ** (np.arange(-9, 13) / 3.0)
    edge = 2.0 ** (1.0 / 6.0)
    levels = np.array([10 * np.log10(power[(freqs >= c / edge) & (freqs < c * edge)].sum()) for c in centres])
    slope = np.polyfit(np.log2(centres), levels, 1)[0]
    assert -5.0 < slope < -3.0
    assert levels[-1] > levels.max() - 36.0


@pytest.mark.parametrize("name", SONGS)
def test_it_is_stereo_and_holds_in_mono(songs: dict[str, DemoSong], name: str) -> None:
    left, right = sound_of(songs[name])
    assert 0.2 < np.corrcoef(left, right)[0, 1] < 0.9


@pytest.mark.parametrize("name", SONGS)
def test_sections_start_on_their_first_attack(songs: dict[str, DemoSong], name: str) -> None:
    """Where a struck section starts, the top of the spectrum jumps within a moment of the frame."""
    song = songs[name]
    mono = (song.stems.instrumental / FULL_SCALE).mean(axis=0)
    bright = np.diff(mono, 2, prepend=0.0, append=0.0) ** 2
    reach = round(ATTACK_S * song.rate_hz)
    struck = [t for t, part in zip(song.sections, SCORES[name].parts, strict=True) if "crash" in part.lanes]
    assert struck
    for truth in struck:
        frame = round(truth.start_s * song.rate_hz)
        assert frame / song.rate_hz == pytest.approx(truth.start_s, abs=5e-7)
        assert truth.start_s in song.downbeats_s
        rise = bright[frame : frame + reach].mean() / bright[frame - reach : frame].mean()
        assert 10.0 * np.log10(rise) > ATTACK_RISE_DB, truth


@pytest.mark.parametrize("name", SONGS)
def test_downbeats_keep_the_tempo(songs: dict[str, DemoSong], name: str) -> None:
    song = songs[name]
    bars = np.diff(song.downbeats_s)
    assert np.abs(bars - 240.0 / song.tempo_bpm).max() <= 1.0 / song.rate_hz + 1e-6
    assert len(song.downbeats_s) == sum(part.bars for part in SCORES[name].parts)


@pytest.mark.parametrize("name", SONGS)
def test_it_ends_by_dying_away(songs: dict[str, DemoSong], name: str) -> None:
    """No second of the tail is louder than the one before it, and the last frame is silent."""
    song = songs[name]
    tail = sound_of(song)[:, -3 * song.rate_hz :].reshape(2, 3, -1)
    levels = np.mean(tail**2, axis=(0, 2))
    assert np.all(np.diff(levels) < 0.0)
    assert np.abs(song.stems.mix[:, -1]).max() <= 1


def test_the_main_song_has_its_weaknesses(songs: dict[str, DemoSong]) -> None:
    """Refrains grow by 0.2 to 0.4 LU; beside the sound song the low mid is thin, the verse has edge."""
    weak, sound = songs[MAIN_SONG], songs["nine-lamps"]
    for verse, refrain in (("verse 1", "refrain 1"), ("verse 2", "refrain 2")):
        assert 0.2 < loudness(weak, refrain) - loudness(weak, verse) < 0.4
    low_mid = [share_db(stretch(song, "refrain 1"), song.rate_hz, 120.0, 500.0) for song in (weak, sound)]
    assert low_mid[0] < low_mid[1] - 1.0
    edge = [share_db(stretch(song, "verse 1"), song.rate_hz, 2000.0, 5000.0) for song in (weak, sound)]
    assert edge[0] > edge[1] + 1.0


def test_the_sound_song_grows(songs: dict[str, DemoSong]) -> None:
    song = songs["nine-lamps"]
    assert song.weaknesses == ()
    assert 1.0 < loudness(song, "refrain 1") - loudness(song, "verse 1") < 2.5


def test_the_third_song_has_its_weaknesses(songs: dict[str, DemoSong]) -> None:
    """A bottom that is not one in mono, an s that stands out, and a click where it says."""
    weak, sound = songs["ebb-clock"], songs["nine-lamps"]
    assert _bass_correlation(weak) < 0.5 < 0.9 < _bass_correlation(sound)
    assert _sibilance_db(weak) > _sibilance_db(sound) + 2.0
    click = next(w for w in weak.weaknesses if w.what == "click")
    mono = sound_of(weak).mean(axis=0)
    jumps = np.abs(np.diff(mono, 3))
    near = slice(round((click.amount - 1) * weak.rate_hz), round((click.amount + 1) * weak.rate_hz))
    assert np.argmax(jumps[near]) == pytest.approx(weak.rate_hz, abs=3)
    assert jumps[near].max() > 3.0 * np.sort(jumps[near])[-20]


def _bass_correlation(song: DemoSong) -> float:
    sound = stretch(song, "refrain 1")
    spectra = np.fft.rfft(sound)
    spectra[:, np.fft.rfftfreq(sound.shape[1], 1.0 / song.rate_hz) > 120.0] = 0.0
    return float(np.corrcoef(*np.fft.irfft(spectra))[0, 1])


def _sibilance_db(song: DemoSong) -> float:
    """The loudest twentieth of the voice between 5 and 10 kHz, beside the voice as a whole."""
    voice = (song.stems.acappella / FULL_SCALE).mean(axis=0)
    size = 1_024
    spectra = (
        np.abs(np.fft.rfft(voice[: voice.size // size * size].reshape(-1, size) * np.hanning(size))) ** 2
    )
    freqs = np.fft.rfftfreq(size, 1.0 / song.rate_hz)
    band = spectra[:, (freqs > 5_000.0) & (freqs < 10_000.0)].sum(axis=1)
    return float(10.0 * np.log10(np.quantile(band, 0.95) / spectra.sum(axis=1).mean()))


def test_every_weakness_names_sections_that_exist() -> None:
    for score in SCORES.values():
        names = {part.name for part in score.parts}
        assert len(names) == len(score.parts)
        for weakness in score.weaknesses:
            assert weakness.where == ("all",) or set(weakness.where) <= names


def test_files_add_up_word_for_word(written: tuple[DemoMix, ...], songs: dict[str, DemoSong]) -> None:
    """Read back with libsndfile, which gives 24-bit words in the top of 32."""
    for files in written:
        words = [
            soundfile.read(p, dtype="int32")[0] >> 8
            for p in (files.path, files.instrumental, files.acappella)
        ]
        assert soundfile.info(files.path).subtype == "PCM_24"
        assert soundfile.info(files.path).samplerate == files.truth.rate_hz
        np.testing.assert_array_equal(words[0], words[1] + words[2])
        np.testing.assert_array_equal(words[0].T, songs[files.truth.name].stems.mix)
        assert min(np.abs(word).max() for word in words[1:]) > FULL_SCALE // 16


def test_the_same_bytes_each_time(songs: dict[str, DemoSong]) -> None:
    """Also with nothing kept from the first time."""
    name = "ebb-clock"
    tone._noise_loop.cache_clear()
    tone._response.cache_clear()
    again = make_song(name).stems
    for stem in ("instrumental", "acappella"):
        first, second = (getattr(stems, stem).tobytes() for stems in (songs[name].stems, again))
        assert hashlib.sha256(first).digest() == hashlib.sha256(second).digest()


def test_an_unknown_song_is_refused() -> None:
    with pytest.raises(ArsisError, match="no demo song 'high-water'; there are: low-water"):
        make_song("high-water")


def test_the_plan_reads_back_and_treats_the_refrains(songs: dict[str, DemoSong]) -> None:
    plan = demo_plan(songs[MAIN_SONG].sections)
    assert {s.pass_ for s in plan.section if s.kind == "chorus"} == {"B"}
    assert {s.pass_ for s in plan.section if s.kind != "chorus"} == {"A"}
    assert plan.pass_["A"].chain == ()
    assert parse_song(song_to_toml(plan), "demo") == plan


def test_the_release_has_identifiers_that_hold() -> None:
    release = demo_release()
    assert release.gtin is not None
    assert is_gtin(release.gtin)
    assert [song.plan for song in release.song] == [f"songs/{name}.toml" for name in SONGS]
    assert all(song.isrc is not None and is_isrc(song.isrc) for song in release.song)
    assert len({song.isrc for song in release.song}) == len(SONGS)


def test_the_outboard_print_is_the_same_mix_later_and_softer(songs: dict[str, DemoSong]) -> None:
    song = songs["nine-lamps"]
    words = song.stems.mix[:, 30 * song.rate_hz : 36 * song.rate_hz]
    came_back = printed_elsewhere(words, song.rate_hz)
    assert came_back.shape[1] == words.shape[1] + DELAY_FRAMES
    size = 1 << came_back.shape[1].bit_length()
    spectra = [np.fft.rfft(wave[0] / FULL_SCALE, size) for wave in (came_back, words)]
    likeness = np.fft.irfft(spectra[0] * np.conj(spectra[1]))
    assert np.argmax(likeness) == DELAY_FRAMES
    gain_db = level_db(came_back) - level_db(words)
    assert gain_db == pytest.approx(GAIN_DB, abs=OUTBOARD_GAIN_DB)


def level_db(words: NDArray[np.int32]) -> float:
    return float(10.0 * np.log10(np.mean((words / FULL_SCALE) ** 2)))


def test_the_outboard_print_is_written(tmp_path: Path, songs: dict[str, DemoSong]) -> None:
    path = write_outboard_print(tmp_path, songs["ebb-clock"])
    assert path.relative_to(tmp_path).as_posix() == "prints/ebb-clock-outboard.wav"
    assert soundfile.info(path).frames == songs["ebb-clock"].stems.mix.shape[1] + DELAY_FRAMES


def test_a_lane_is_read_by_bars() -> None:
    assert hits("X==.....o....... ...............-", 0) == [Hit(0, 3, "X"), Hit(8, 1, "o")]
    assert hits("X==.....o....... ...............-", 3) == [Hit(15, 1, "-")]
    with pytest.raises(ValueError, match="16 steps"):
        hits("X...", 0)


def test_notes_and_chords_are_what_musicians_call_them() -> None:
    """Numbers as in the MIDI 1.0 specification with middle C = 60 = C4; A4 is 440 Hz (ISO 16)."""
    assert (midi("C4"), midi("A4"), midi("F#4"), midi("Bb3")) == (60, 69, 66, 58)
    assert tone.pitch_hz(midi("A4")) == 440.0
    assert chord_classes("Am7") == (9, 0, 4, 7)
    assert chord_classes("Bb") == (10, 2, 5)
    assert voicing("C", 55, 4) == (55, 60, 64, 67)
    assert in_scale(midi("C5"), SCORES[MAIN_SONG].scale, -2) == midi("A4")
    with pytest.raises(ValueError, match="not a chord"):
        chord_classes("H")


@pytest.mark.parametrize("name", SONGS)
def test_every_line_fits_its_section(name: str) -> None:
    for part in SCORES[name].parts:
        last = max((note.beat + note.beats for note in sung(part.melody)), default=0.0)
        assert last <= 4 * part.bars, part.name
        for lane in (dict(part.lanes) | dict(part.fill)).values():
            assert [hits(lane, bar) for bar in range(part.bars)]
