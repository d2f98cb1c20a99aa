"""Faults planted into clean material, at the strengths that docs/examine.md states, and material without any.

What is planted is made here or by other programs (FFmpeg's coders, soxr); nothing of arsis plants a fault.
"""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile
import soxr
from click.testing import CliRunner

from arsis.advice.finding import Finding, placed
from arsis.audio import Block
from arsis.cli.main import main
from arsis.demo.songs import SONGS
from arsis.io.info import SoundInfo
from arsis.measure.defects.examiner import Examiner
from arsis.workflow.examine import Examined, examine_file

from .demo_songs import demo_song
from .examine_sounds import (
    CLEAN,
    RATE_HZ,
    acoustic,
    demo,
    driven_bass,
    examined,
    kinds,
    loud,
    whole_words,
)

Plant = Callable[[Block, float], Block]
Material = Callable[[], Block]
INFO = SoundInfo(Path("song.wav"), "wav", "pcm_s24", 24, RATE_HZ, 2, 6 * RATE_HZ, False, False)


def one(found: Examined, kind: str) -> Finding:
    """The only finding of a kind."""
    [only] = [finding for finding in found.findings if finding.kind == kind]
    return only


# Nothing planted ----------------------------------------------------------------------------------------

# What is truly there: a limiter, and what the demo's own list of weaknesses says (docs/demo.md).
TRUE = {"loud": {"limited"}, "ebb-clock": {"fold_down", "clicks"}}


@pytest.mark.parametrize("name", CLEAN)
def test_clean_material_gives_no_cause_to_speak(name: str, tmp_path: Path) -> None:
    found = examined(tmp_path, CLEAN[name]())
    assert kinds(found) == TRUE.get(name, set())
    assert found.fit


@pytest.mark.parametrize("name", SONGS)
def test_whole_demo_songs_have_the_faults_that_they_are_made_with(name: str, tmp_path: Path) -> None:
    made = demo_song(name)
    path = tmp_path / "song.wav"
    mix = (made.stems.instrumental + made.stems.acappella) / 2.0**23
    soundfile.write(path, mix.T, made.rate_hz, "PCM_24")
    assert kinds(examine_file(path)) == TRUE.get(name, set())


# Faults in the sound ------------------------------------------------------------------------------------


def clipped(sound: Block, over_db: float) -> Block:
    """Its highest sample would lie so far over full scale."""
    return np.clip(sound / np.abs(sound).max() * 10.0 ** (over_db / 20.0), -1.0, 1.0)


def clipped_and_turned_down(sound: Block, over_db: float) -> Block:
    return 0.5 * clipped(sound, over_db)


def between_samples(sound: Block, over_db: float) -> Block:
    """A burst at a quarter of the rate, whose samples lie 3 dB under its tops."""
    out, at = 0.1 * sound, np.arange(2_000)
    burst = np.sin(np.pi / 2.0 * at + np.pi / 4.0) * np.hanning(at.size)
    out[:, 300_000 : 300_000 + at.size] += 10.0 ** (over_db / 20.0) * burst
    return out


def clicked(sound: Block, size: float) -> Block:
    """One sample, in the middle of everything."""
    out = sound.copy()
    out[:, 377_777] += size
    return out


def holed(sound: Block, length_ms: float) -> Block:
    at, frames = loudest(sound), round(length_ms * RATE_HZ / 1_000.0)
    out = sound.copy()
    out[:, at : at + frames] = 0.0
    return out


def holed_at_the_left(sound: Block, length_ms: float) -> Block:
    return np.stack([holed(sound, length_ms)[0], sound[1]])


def loudest(sound: Block) -> int:
    """Start of the loudest tenth of a second: no hole there passes for a rest."""
    frames = RATE_HZ // 10
    power = np.convolve(np.mean(sound * sound, axis=0), np.ones(frames), "valid")
    return int(np.argmax(power))


def hummed_at_50(sound: Block, level_dbfs: float) -> Block:
    return hummed(sound, level_dbfs, 50.0)


def hummed_at_60(sound: Block, level_dbfs: float) -> Block:
    return hummed(sound, level_dbfs, 60.0)


def hummed(sound: Block, level_dbfs: float, first_hz: float) -> Block:
    """A mains' first eight lines, the odd ones stronger."""
    t = np.arange(sound.shape[1]) / RATE_HZ
    lines = sum(np.sin(2.0 * np.pi * k * first_hz * t + k) / (k if k % 2 else 2 * k) for k in range(1, 9))
    return sound + 2.0**0.5 * 10.0 ** (level_dbfs / 20.0) * lines


def noisy(sound: Block, level_dbfs: float) -> Block:
    """A rest of two seconds in which only hiss is left."""
    level = 10.0 ** (level_dbfs / 20.0)
    gate = np.ones(sound.shape[1])
    rest = slice(8 * RATE_HZ, 10 * RATE_HZ)
    gate[rest] = 0.0
    gate = np.convolve(gate, np.hanning(4_001) / np.hanning(4_001).sum(), "same")
    return gate * sound + level * np.random.default_rng(21).standard_normal(sound.shape)


def leaning(sound: Block, balance_db: float) -> Block:
    return sound * np.array([[1.0], [10.0 ** (-balance_db / 20.0)]])


def opposed(sound: Block, share: float) -> Block:
    """So much of the right is the left, turned over."""
    return np.stack([sound[0], (1.0 - share) * sound[1] - share * sound[0]])


def wide_at_the_bottom(sound: Block, side_share: float) -> Block:
    """Below 120 Hz the right is turned down by twice this share: to a fifth of 0.4."""
    spectrum = np.fft.rfft(sound, axis=1)
    low = np.fft.rfftfreq(sound.shape[1], 1.0 / RATE_HZ) < 120.0
    spectrum[1, low] = spectrum[1, low] * (1.0 - 2.0 * side_share)
    return np.fft.irfft(spectrum, sound.shape[1], axis=1)


def rumbling(sound: Block, level_dbfs: float) -> Block:
    t = np.arange(sound.shape[1]) / RATE_HZ
    return sound + 2.0**0.5 * 10.0 ** (level_dbfs / 20.0) * np.sin(2.0 * np.pi * 7.3 * t)


def offset(sound: Block, percent: float) -> Block:
    return sound + percent / 100.0


def begun_late(sound: Block, start_s: float) -> Block:
    return sound[:, round(start_s * RATE_HZ) :]


def ended_early(sound: Block, end_s: float) -> Block:
    return sound[:, : round(end_s * RATE_HZ)]


ALL = (demo, acoustic, driven_bass)
# At what strengths each is found in which material; docs/examine.md has the same table.
PLANTS: list[tuple[str, Plant, tuple[float, ...], tuple[Material, ...]]] = [
    ("clipping", clipped, (2.0,), (demo, acoustic)),
    ("clipping", clipped, (6.0,), ALL),
    ("clipping", clipped_and_turned_down, (2.0,), (demo, acoustic)),
    ("clipping", clipped_and_turned_down, (6.0,), ALL),
    ("overs", between_samples, (1.0, 2.5), ALL),
    ("clicks", clicked, (0.6,), (demo, acoustic)),
    ("clicks", clicked, (0.05,), (acoustic,)),
    ("holes", holed, (1.0, 12.0, 200.0), ALL),
    ("holes", holed_at_the_left, (2.0, 12.0), ALL),
    ("hum", hummed_at_50, (-30.0,), ALL),
    ("hum", hummed_at_60, (-30.0,), ALL),
    ("hum", hummed_at_50, (-56.0,), (acoustic,)),
    ("hum", hummed_at_60, (-56.0,), (acoustic,)),
    ("noise", noisy, (-50.0,), (demo, driven_bass)),
    ("noise", noisy, (-62.0,), ALL),
    ("balance", leaning, (3.0, 6.0), ALL),
    ("silent_channel", leaning, (300.0,), ALL),
    ("polarity", opposed, (0.85, 1.0), ALL),
    ("fold_down", wide_at_the_bottom, (0.4,), (demo, driven_bass)),
    ("subsonic", rumbling, (-24.0, -34.0), ALL),
    ("dc", offset, (0.15, 1.0), ALL),
    ("cut_start", begun_late, (5.0,), ALL),
    ("cut_end", ended_early, (10.0,), ALL),
]


@pytest.mark.parametrize(
    ("kind", "plant", "strength", "material"),
    [
        pytest.param(kind, plant, strength, material, id=f"{plant.__name__}-{strength:g}-{material.__name__}")
        for kind, plant, strengths, materials in PLANTS
        for strength in strengths
        for material in materials
    ],
)
def test_a_planted_fault_is_found(
    kind: str, plant: Plant, strength: float, material: Material, tmp_path: Path
) -> None:
    found = examined(tmp_path, plant(material(), strength))
    assert kind in kinds(found)


def test_faults_are_placed_where_they_were_planted(tmp_path: Path) -> None:
    click = one(examined(tmp_path, clicked(demo(), 0.6)), "clicks")
    assert click.at_s == (pytest.approx(377_777 / RATE_HZ, abs=1e-3),)
    hole = one(examined(tmp_path, holed(demo(), 12.0)), "holes")
    assert hole.at_s == (pytest.approx(loudest(demo()) / RATE_HZ, abs=1e-3),)
    assert "12.0 ms" in hole.says
    over = one(examined(tmp_path, between_samples(demo(), 1.0)), "overs")
    assert over.at_s == (6.8,)  # the burst's top lies at 301,000 frames, which is 6.825 s


def test_lost_samples_are_found_where_nothing_hides_them(tmp_path: Path) -> None:
    """Of forty places in plucked strings at which 300 samples are missing, more than every third: elsewhere
    the two ends happen to meet, or a stroke is near."""
    sound, rng = acoustic(), np.random.default_rng(31)
    at = np.sort(rng.integers(RATE_HZ, sound.shape[1] - RATE_HZ, size=40))
    parts = np.split(sound, at, axis=1)
    lost = np.concatenate([parts[0], *(part[:, 300:] for part in parts[1:])], axis=1)
    found = one(examined(tmp_path, lost), "clicks")
    assert found.count is not None
    assert 14 <= found.count <= 40


# Faults of the file -------------------------------------------------------------------------------------


@pytest.mark.parametrize(("subtype", "bits"), [("PCM_24", 16), ("FLOAT", 16), ("PCM_16", 16)])
def test_a_short_word_is_found_in_a_longer_one(subtype: str, bits: int, tmp_path: Path) -> None:
    found = one(examined(tmp_path, demo(), subtype=subtype, bits=bits), "short_word")
    assert "16" in found.says
    assert found.sure == 1.0


@pytest.mark.parametrize("subtype", ["PCM_24", "FLOAT", "PCM_32"])
def test_a_full_word_is_no_fault(subtype: str, tmp_path: Path) -> None:
    assert "short_word" not in kinds(examined(tmp_path, demo(), subtype=subtype))


def through_coder(folder: Path, sound: Block, *coder: str) -> Path:
    """Coded and decoded by FFmpeg: 24-bit words again."""
    whole, coded, back = folder / "whole.wav", folder / f"coded.{coder[0]}", folder / "back.wav"
    soundfile.write(whole, whole_words(sound).T, RATE_HZ, "PCM_24")
    run = ["ffmpeg", "-v", "error", "-y", "-i"]
    subprocess.run([*run, whole, *coder[1:], coded], check=True)
    subprocess.run([*run, coded, "-c:a", "pcm_s24le", back], check=True)
    return back


@pytest.mark.parametrize(
    "coder",
    [
        ("mp3", "-c:a", "libmp3lame", "-b:a", "128k"),
        ("mp3", "-c:a", "libmp3lame", "-b:a", "192k"),
        ("m4a", "-c:a", "aac", "-b:a", "128k"),
        ("ogg", "-c:a", "libvorbis", "-b:a", "96k"),
    ],
    ids=lambda coder: f"{coder[2]}-{coder[4]}",
)
@pytest.mark.parametrize("material", [demo, loud], ids=lambda material: material.__name__)
def test_a_coder_in_a_mixs_past_is_found(coder: tuple[str, ...], material: Material, tmp_path: Path) -> None:
    found = examine_file(through_coder(tmp_path, material(), *coder))
    assert "coded_once" in kinds(found)


def test_a_low_rate_is_told(tmp_path: Path) -> None:
    found = examined(tmp_path, soxr.resample(demo().T, RATE_HZ, 32_000, "HQ").T, 32_000)
    assert "nothing above 16 kHz" in one(found, "low_rate").says
    assert not found.fit


def test_places_are_told_once_and_the_rest_counted() -> None:
    """Clock times are to a tenth of a second: clicks within one are one place."""
    found = Finding(
        kind="clicks", says="9 clicks", at_s=(6.51, 9.11, 9.12, 9.13, 11.0), count=9, sure=1.0, means=""
    )
    assert placed(found) == "9 clicks: 0:06.5, 0:09.1, 0:11.0 and 4 more"


def test_a_coded_file_is_what_it_is(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "song.mp3", demo().T, RATE_HZ)
    found = examine_file(tmp_path / "song.mp3")
    assert not found.fit
    assert "coded_file" in kinds(found)


@pytest.mark.parametrize(("rate_hz", "of_khz"), [(88_200, "44.1"), (96_000, "44.1"), (48_000, "44.1")])
def test_a_mix_of_a_lower_rate_is_known(rate_hz: int, of_khz: str, tmp_path: Path) -> None:
    hissing = demo() + 1e-5 * np.random.default_rng(41).standard_normal(demo().shape)
    up = soxr.resample(hissing.T, RATE_HZ, rate_hz, "VHQ").T
    found = one(examined(tmp_path, up, rate_hz), "upsampled")
    assert f"at {of_khz} kHz" in found.means


@pytest.mark.parametrize("rates", [(48_000, RATE_HZ), (RATE_HZ, 48_000)])
def test_a_mix_played_at_the_wrong_rate_is_suspected(rates: tuple[int, int], tmp_path: Path) -> None:
    made, played = rates
    sound = soxr.resample(demo().T, RATE_HZ, made, "HQ").T
    assert "wrong_rate" in kinds(examined(tmp_path, sound, played))
    assert "wrong_rate" not in kinds(examined(tmp_path, sound, made))


# The command --------------------------------------------------------------------------------------------


def run(*words: object) -> tuple[int, str]:
    result = CliRunner().invoke(main, ["examine", *map(str, words)])
    return result.exit_code, result.stdout


def test_the_command_says_what_was_found_and_what_is_good(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "low-light.wav", whole_words(demo()).T, RATE_HZ, "PCM_24")
    soundfile.write(tmp_path / "over.wav", whole_words(clipped(demo(), 6.0)).T, RATE_HZ, "PCM_24")
    status, said = run(tmp_path / "low-light.wav")
    assert status == 0
    assert "fit to master" in said
    assert "no clicks, no holes" in said
    status, said = run(tmp_path / "low-light.wav", tmp_path / "over.wav")
    assert status == 1
    assert "another file is wanted first" in said
    assert "tops cut off at 0.0 dBFS" in said


def test_the_note_is_courteous_and_asks_for_the_weightiest_first(tmp_path: Path) -> None:
    path = tmp_path / "night-bus.wav"
    soundfile.write(path, whole_words(clicked(clipped(demo(), 6.0), 0.6), 16).T, RATE_HZ, "PCM_24")
    status, said = run(path, "--notes")
    assert status == 1
    assert said.startswith("Thank you for Night Bus. Before the work begins,")
    assert said.index("cut off") < said.index("16 bits used")
    soundfile.write(path, whole_words(demo()).T, RATE_HZ, "PCM_24")
    assert run(path, "--notes") == (
        0,
        "Thank you for Night Bus. The file is fine, and there is nothing to ask for.\n",
    )


def test_json_carries_every_finding(tmp_path: Path) -> None:
    path = tmp_path / "song.wav"
    soundfile.write(path, whole_words(holed(demo(), 12.0)).T, RATE_HZ, "PCM_24")
    status, said = run(path, "--json")
    [file] = json.loads(said)
    assert status == 1
    assert file["fit"] is False
    assert {"kind", "says", "at_s", "count", "sure", "means", "asks", "stops"} == set(file["findings"][0])
    assert file["findings"][0]["kind"] == "holes"


@pytest.mark.parametrize("frames", [1, 50, 5_000])
@pytest.mark.parametrize("level", [0.0, 0.3])
def test_very_short_and_silent_files_are_no_fault_of_the_program(
    frames: int, level: float, tmp_path: Path
) -> None:
    sound = np.full((2, frames), level)
    path = tmp_path / "short.wav"
    soundfile.write(path, sound.T, RATE_HZ, "PCM_24")
    status, said = run(path, "--json")
    assert status in (0, 1)
    assert json.loads(said)[0]["duration_s"] == pytest.approx(frames / RATE_HZ)


def test_any_blocks_give_the_same_figures() -> None:
    """Law 2, of these meters: what a block holds changes nothing but the last bits of sums."""
    sound, info = clicked(clipped(demo(), 2.0), 0.4)[:, : 6 * RATE_HZ], INFO
    found = []
    for size in (1_000, 16_384, 10**7):
        examiner = Examiner(info)
        for start in range(0, sound.shape[1], size):
            examiner.add(np.ascontiguousarray(sound[:, start : start + size]))
        found.append(examiner.finish())
    for other in found[1:]:
        assert other.flat_tops == found[0].flat_tops
        assert other.breaks == found[0].breaks
        assert other.word == found[0].word
        assert other.edge == found[0].edge
        assert other.levels.rest_dbfs == pytest.approx(found[0].levels.rest_dbfs, abs=1e-9)
        assert other.levels.tail_dbfs == pytest.approx(found[0].levels.tail_dbfs, abs=1e-9)
        assert other.low.subsonic_dbfs == pytest.approx(found[0].low.subsonic_dbfs, abs=1e-9)
