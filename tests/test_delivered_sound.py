"""What delivered files hold, by libsndfile and another true-peak meter: noise, ceilings, kept words."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
import soundfile
from click.testing import CliRunner
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.cli.main import main
from arsis.deliver.manifest_file import read_manifest

from .dithered import CURVES_DB, FLOOR_DBFS, floor_db
from .meter16 import true_peak_dbtp
from .no_pdf import hide_pdf
from .releases import write
from .tolerances import CEILING_DB, EXACT, SHAPED_GAIN_DB, SINGLE

PLAN = """\
schema = 1
title = {title}
mix = "mixes/{stem}.wav"
{version}
[[section]]
name = "all"
start_s = 0.0
pass = "A"

[pass.A]
chain = [{chain}]

[finish]
{finish}
"""
LIMITER = "limiter = { ceiling_dbtp = -0.1, lookahead_ms = 3.0, release_ms = 120.0, most_db = 20.0 }"
VERSION = '[[version]]\nname = "{name}"\nmix = "mixes/{stem}.wav"\n'


@pytest.fixture(autouse=True)
def _plain(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    hide_pdf(monkeypatch, tmp_path)


def add_song(
    folder: Path,
    stem: str,
    sound: Block,
    rate_hz: int,
    *,
    subtype: str = "PCM_24",
    title: str = "",
    chain: str = "",
    finish: str = "",
    version: str = "",
) -> None:
    write(folder / f"mixes/{stem}.wav", sound, subtype, rate_hz)
    text = PLAN.format(
        title=json.dumps(title or stem), stem=stem, chain=chain, finish=finish, version=version
    )
    (folder / "songs").mkdir(exist_ok=True)
    (folder / f"songs/{stem}.toml").write_text(text, encoding="utf-8")


def add_release(folder: Path, songs: Sequence[tuple[str, str]], profiles: dict[str, str]) -> None:
    entries = "".join(f'\n[[song]]\nplan = "songs/{stem}.toml"\n{entry}\n' for stem, entry in songs)
    head = 'schema = 1\ntitle = "Nothing Known"\nartist = "Nobody Yet"\n'
    (folder / "release.toml").write_text(head + entries, encoding="utf-8")
    (folder / "profiles").mkdir()
    for name, text in profiles.items():
        (folder / f"profiles/{name}.toml").write_text(f'schema = 1\nname = "{name}"\n{text}\n')


def delivered(folder: Path, profile: str) -> Path:
    made = CliRunner().invoke(main, ["deliver", str(folder), "--profile", profile, "--jobs", "1"])
    assert made.exit_code in (0, 3), made.output
    return folder / "deliveries" / profile


def verified(delivery: Path) -> None:
    """Holds, and every file was made again."""
    result = CliRunner().invoke(main, ["verify", str(delivery), "--jobs", "1", "--json"])
    found = json.loads(result.stdout)
    assert found["findings"] == []
    assert found["not_rebuilt"] == []
    assert result.exit_code == 0


def read(path: Path) -> Block:
    """(channels, frames), full scale 1.0, by libsndfile."""
    return np.ascontiguousarray(soundfile.read(path, always_2d=True)[0].T)


# Noise of the word length -------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def hush(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Noise at -70 dBFS, 0.3 dB louder by its plan, to be delivered with every curve and without."""
    folder = tmp_path_factory.mktemp("hush")
    breath = 10.0 ** (-70.0 / 20.0) * np.random.default_rng(14).standard_normal((2, 5 * 44_100))
    add_song(folder, "hush", breath, 44_100, chain='{ kind = "gain", gain_db = 0.3 }')
    profiles = {name: f'rate_hz = 44100\nbits = "16"\ndither = "{name}"' for name in ("flat", *CURVES_DB)}
    add_release(folder, [("hush", "")], profiles | {"float": 'bits = "32f"'})
    return folder


def noise_of(folder: Path, profile: str) -> Block:
    clean, dithered = (read(delivered(folder, name) / "01 hush.wav") for name in ("float", profile))
    return dithered - clean


@pytest.mark.parametrize("curve", ["flat", *CURVES_DB])
def test_the_noise_of_a_delivered_file_is_that_of_its_curve(curve: str, hush: Path) -> None:
    noise = noise_of(hush, curve)
    within_db = floor_db(noise.size) if curve == "flat" else SHAPED_GAIN_DB
    power_dbfs = 10.0 * np.log10(2.0 * np.mean(noise**2))
    assert power_dbfs == pytest.approx(FLOOR_DBFS + CURVES_DB.get(curve, 0.0), abs=within_db)


# Ceilings -----------------------------------------------------------------------------------------------


def hot(seconds: float, rate_hz: int, seed: int, channels: int = 2) -> Block:
    """Clipped noise over strokes of low notes: much lies between its samples."""
    rng = np.random.default_rng(seed)
    t = np.arange(round(seconds * rate_hz)) / rate_hz
    body = 0.5 * np.sin(2.0 * np.pi * 65.4 * t) * np.exp(-4.0 * (t % 0.4))
    return np.clip(body + 0.25 * rng.standard_normal((channels, t.size)), -0.99, 0.99)


HARD_PROFILES = {
    "fits-0": 'bits = "32f"\nlimiter = false\nceiling_dbtp = 0.0',
    "fits-6": 'bits = "32f"\nlimiter = false\nceiling_dbtp = -6.0',
    "at-48k": 'rate_hz = 48000\nbits = "24"\nceiling_dbtp = -0.3',
    "grid": 'container = "flac"\nrate_hz = 48000\nbits = "16"\nceiling_dbtp = -1.0\ncut_frames = 480',
}


@pytest.fixture(scope="module")
def hard(tmp_path_factory: pytest.TempPathFactory) -> dict[int, Path]:
    """By rate: 6 dB into the limiter, songs cut off inside, an overlap, and a loud sound between."""
    folders = {}
    for rate_hz in (96_000, 44_100):
        folder = folders[rate_hz] = tmp_path_factory.mktemp("hard")
        for number, stem in enumerate(("one", "two", "three")):
            add_song(folder, stem, hot(4.3, rate_hz, number), rate_hz, finish=f"gain_db = 6.0\n{LIMITER}")
        write(folder / "mixes/room.wav", 0.5 * hot(0.8, 48_000, 9, channels=1), "PCM_24", 48_000)
        songs = [
            ("one", "from_s = 0.1"),
            ("two", "overlap_s = 0.1\nuntil_s = 4.2"),
            ("three", 'gap_s = 0.2\nbetween = { file = "mixes/room.wav", lead_s = 0.3, gain_db = 6.0 }'),
        ]
        add_release(folder, songs, HARD_PROFILES)
    return folders


@pytest.mark.parametrize(
    ("rate_hz", "profile"),
    [(96_000, "hires"), (96_000, "cd"), (44_100, "vinyl"), (96_000, "at-48k"), (44_100, "grid")],
)
def test_the_ceiling_holds_in_hard_places_at_every_rate(
    rate_hz: int, profile: str, hard: dict[int, Path]
) -> None:
    target = delivered(hard[rate_hz], profile)
    sounds = read_manifest(target).sounds
    assert len(sounds) >= 3
    for sound in sounds:
        assert sound.ceiling_dbtp is not None
        assert soundfile.info(target / sound.path).samplerate == sound.facts.rate_hz
        assert true_peak_dbtp(read(target / sound.path)) <= sound.ceiling_dbtp + CEILING_DB, sound.path


def test_a_sound_between_songs_is_turned_down_with_them(hard: dict[int, Path]) -> None:
    """Without limiters a release keeps its levels: at another ceiling all of it is another amount down."""
    high, low = (delivered(hard[44_100], name) for name in ("fits-0", "fits-6"))
    trims_db = [read_manifest(target).trim_db for target in (high, low)]
    assert trims_db[0] < -3.0  # there is something to turn down
    down = 10.0 ** ((trims_db[1] - trims_db[0]) / 20.0)
    for path in sorted(high.glob("*.wav")):
        np.testing.assert_allclose(read(low / path.name), down * read(path), atol=SINGLE, rtol=EXACT)


# Words that are kept, and deliveries that hold ----------------------------------------------------------


@pytest.fixture(scope="module")
def odd(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A 16-bit song that is left alone, with a version that has a slash in its name, and one of silence."""
    folder = tmp_path_factory.mktemp("odd")
    rng = np.random.default_rng(3)
    sound = np.round(0.1 * rng.standard_normal((2, round(4.321 * 44_100))) * 2.0**15) / 2.0**15
    version = VERSION.format(name="a/b", stem="kept")
    add_song(folder, "kept", sound, 44_100, subtype="PCM_16", title="Kept " * 60, version=version)
    add_song(folder, "still", np.zeros((2, 4 * 44_100)), 44_100, finish="gain_db = 3.0")
    tried = '[[codec]]\ncodec = "mp3"\nkbps = 320.0\nmost_dbtp = -12.0'
    profiles = {"whole": f"assembly = true\n{tried}", "float": 'bits = "32f"'}
    add_release(folder, [("kept", ""), ("still", "gap_s = 1.777")], profiles)
    return folder


@pytest.mark.parametrize("profile", ["cd", "whole", "float"])
def test_a_song_left_alone_passes_as_it_is_with_zeros_after_it(profile: str, odd: Path) -> None:
    """Law 1: 16-bit words in files of 16 bits without dither, in longer ones as they are."""
    target = delivered(odd, profile)
    song = next(one for one in read_manifest(target).sounds if (one.role, one.place) == ("song", 1))
    found, mix = read(target / song.path), read(odd / "mixes/kept.wav")
    assert np.array_equal(found[:, : mix.shape[1]], mix)
    gap: NDArray[np.float64] = found[:, mix.shape[1] :]
    assert gap.shape[1] >= round(1.777 * 44_100)
    assert not gap.any()


@pytest.mark.parametrize("profile", ["cd", "whole", "float"])
def test_odd_deliveries_hold(profile: str, odd: Path) -> None:
    """Dithered silence under the least that bext can hold; names that are no file's; a coder's warning."""
    verified(delivered(odd, profile))


def test_a_continuous_file_holds_the_songs_and_no_versions(odd: Path) -> None:
    target = delivered(odd, "whole")
    sounds = read_manifest(target).sounds
    assert [one.role for one in sounds if one.place == 1] == ["song", "version"]
    [whole] = [one for one in sounds if one.role == "assembly"]
    songs = [read(target / one.path) for one in sounds if one.role == "song"]
    assert whole.songs == (1, 2)
    assert np.array_equal(read(target / whole.path), np.concatenate(songs, axis=1))


def test_a_coder_that_passes_its_limit_is_told_of_its_song_alone(odd: Path) -> None:
    kept, still = (one for one in read_manifest(delivered(odd, "whole")).sounds if one.warnings)
    assert [(one.role, one.place) for one in (kept, still)] == [("song", 1), ("song", 2)]
    assert kept.warnings[0].startswith("mp3 at 320 kbit/s: decoded peaks pass −12.0 dBTP")
    assert still.warnings == ("there is no sound in it",)


def test_a_long_title_is_cut_and_the_versions_name_stays(odd: Path) -> None:
    names = sorted(path.stem for path in delivered(odd, "whole").glob("01*.wav"))
    assert len(names) == 2
    assert names[1].startswith("01 Kept Kept")
    assert {name.endswith("(a-b)") for name in names} == {True, False}
    assert all(len(name.encode()) <= 200 for name in names)
