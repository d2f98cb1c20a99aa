"""`start`: mixes become a release whose plans leave them alone."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from arsis.errors import ArsisError
from arsis.io.digest import sha256_of
from arsis.plan.codec import read_release, read_song
from arsis.workflow.contour import song_contour
from arsis.workflow.print import print_song
from arsis.workflow.start import start_release, titled
from tests.releases import RATE_HZ, music, write
from tests.test_cli_faults import arsis


@pytest.fixture
def incoming(tmp_path: Path) -> Path:
    """A folder as it comes from the mixer."""
    folder = tmp_path / "in"
    write(folder / "low-tide.wav", music(4.0))
    write(folder / "low-tide-instrumental.wav", 0.8 * music(4.0))
    write(folder / "low-tide-tv.wav", 0.9 * music(4.0))
    write(folder / "high_tide.wav", music(3.0, seed=6))
    return folder


def mixes(folder: Path) -> list[Path]:
    return [folder / f"{n}.wav" for n in ("low-tide-instrumental", "low-tide", "high_tide", "low-tide-tv")]


def test_mixes_from_outside_are_copied(incoming: Path, tmp_path: Path) -> None:
    made = start_release(tmp_path / "two-tides", mixes(incoming))
    assert [song.title for song in made.songs] == ["Low Tide", "High Tide"]
    assert made.songs[0].versions == ("instrumental", "tv")
    for mix in mixes(incoming):
        assert sha256_of(mix) == sha256_of(tmp_path / "two-tides" / "mixes" / mix.name)
    record = read_release(tmp_path / "two-tides" / "release.toml")
    assert (record.title, [song.plan for song in record.song]) == (
        "Two Tides",
        ["songs/low-tide.toml", "songs/high_tide.toml"],
    )


def test_mixes_inside_stay_where_they_are(incoming: Path) -> None:
    made = start_release(incoming, mixes(incoming), "Tides")
    assert read_song(made.songs[0].plan).mix == "low-tide.wav"
    assert not list((incoming / "mixes").iterdir())
    assert made.title == "Tides"


def test_plans_are_whole_and_change_nothing(incoming: Path, tmp_path: Path) -> None:
    made = start_release(tmp_path / "new", mixes(incoming))
    for song in made.songs:
        plan = read_song(song.plan)
        assert plan.mix_sha256 == sha256_of(song.mix)
        assert len(plan.section) == song.sections
        printed = print_song(song.plan)
        assert printed.warnings == ()
        np.testing.assert_array_equal(
            soundfile.read(printed.out, dtype="int32")[0], soundfile.read(song.mix, dtype="int32")[0]
        )


def test_a_version_without_its_song_is_a_song(incoming: Path, tmp_path: Path) -> None:
    (song,) = start_release(tmp_path / "new", [incoming / "low-tide-instrumental.wav"]).songs
    assert (song.title, song.versions) == ("Low Tide Instrumental", ())


def test_a_start_that_was_stopped_starts_again(incoming: Path, tmp_path: Path) -> None:
    """Up to release.toml everything is there: plans and mixes stay as they are."""
    made = start_release(tmp_path / "new", mixes(incoming))
    (tmp_path / "new" / "release.toml").unlink()
    edited = made.songs[0].plan.read_text(encoding="utf-8") + "# by hand\n"
    made.songs[0].plan.write_text(edited, encoding="utf-8")
    start_release(tmp_path / "new", mixes(incoming))
    assert made.songs[0].plan.read_text(encoding="utf-8") == edited


@pytest.mark.parametrize(
    ("stem", "name"),
    [
        ("Low Tide (Instrumental)", "instrumental"),
        ("Low Tide_TV", "tv"),
        ("Low Tide - A Cappella", "a cappella"),
        ("Low Tide-acappella", "acappella"),
    ],
)
def test_versions_are_known_as_mixers_call_them(stem: str, name: str, tmp_path: Path) -> None:
    mixes = [write(tmp_path / "in" / f"{one}.wav", music(1.0)) for one in (stem, "Low Tide")]
    (song,) = start_release(tmp_path / "new", mixes).songs
    assert (song.title, song.versions) == ("Low Tide", (name,))


def test_two_versions_of_one_name_are_refused_before_anything_is_written(tmp_path: Path) -> None:
    stems = ("Tide", "Tide-tv", "Tide_TV")
    mixes = [write(tmp_path / "in" / f"{one}.wav", music(1.0)) for one in stems]
    with pytest.raises(ArsisError, match="tv"):
        start_release(tmp_path / "new", mixes)
    assert not (tmp_path / "new").exists()


ODD = {
    "silence": np.zeros((2, 3 * RATE_HZ)),
    "half a second": music(0.5),
    "a few frames": music(1.0)[:, :50],
    "mono": music(3.0)[:1],
    "over full scale": 0.999 * np.sign(music(2.0)),
}


@pytest.mark.parametrize("name", ODD)
def test_odd_mixes_go_the_whole_way(name: str, tmp_path: Path) -> None:
    mix = write(tmp_path / "odd.wav", ODD[name])
    unfit = name == "silence"
    assert arsis("start", tmp_path / "new", mix).exit_code == (3 if unfit else 0)
    plan = tmp_path / "new" / "songs" / "odd.toml"
    for command in ("sections", "contour", "print", "report"):
        result = arsis(command, plan)
        # Square waves have true peaks far over full scale: the limiter works, and that is said.
        assert result.exit_code in ((0, 3) if name == "over full scale" else (0,)), result.output
        assert "nan" not in result.stdout
    page = (tmp_path / "new" / "reports" / "odd.html").read_text(encoding="utf-8")
    assert "NaN" not in page
    assert ">None<" not in page


def test_the_contour_of_a_file_needs_no_plan(incoming: Path) -> None:
    shape = song_contour(incoming / "low-tide.wav")
    assert all(section.pass_ == "A" for section in shape.sections)
    for section in shape.sections:
        assert section.mix.loudness_lufs == section.print.loudness_lufs
        assert section.took.max_db == 0.0
    assert shape.sections[-1].end_s == 4.0
    assert not (incoming / "prints").exists()


def test_titles_from_names() -> None:
    names = ("low-water", "nine_lamps", "A", "--", "der große Fluß", "EP two")
    assert [titled(n) for n in names] == [
        "Low Water",
        "Nine Lamps",
        "A",
        "--",
        "Der Große Fluß",
        "EP Two",
    ]


def test_a_mix_that_is_not_fit_is_told_when_work_starts(incoming: Path, tmp_path: Path) -> None:
    mix = incoming / "low-tide.wav"
    sound, rate_hz = soundfile.read(mix)
    soundfile.write(mix, np.clip(1.8 * sound / np.abs(sound).max(), -1.0, 1.0), rate_hz, subtype="PCM_24")
    [said] = start_release(tmp_path / "new", [mix]).warnings
    assert said.startswith(f"{mix}: ")
    assert "cut off at 0.0 dBFS" in said
    assert arsis("start", tmp_path / "newer", mix).exit_code == 3
