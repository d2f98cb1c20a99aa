"""Edits give a new sound song, leave the old one as it was, and refuse what no file could hold."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from arsis.errors import ArsisError
from arsis.plan import edit
from arsis.plan.codec import read_song
from arsis.plan.model import Join, Pass, RidePoint, Song, Version, VersionPrint
from arsis.settings import Bell, Gain, Polarity

SONG = read_song(Path(__file__).parent / "plans" / "v1" / "low-water.toml")


def names(song: Song) -> list[str]:
    return [section.name for section in song.section]


def test_a_split_and_its_merge_give_the_song_again() -> None:
    halves = edit.split(SONG, 50.1234567, "refrain 1b", "build")
    assert names(halves) == ["intro", "verse 1", "refrain 1", "refrain 1b", "bridge"]
    second = halves.section[3]
    assert (second.start_s, second.kind, second.pass_, second.ride_db) == (50.123457, "build", "B", 0.4)
    assert second.join is None
    assert edit.merge(halves, "refrain 1b") == SONG


def test_times_are_rounded_as_they_are_written() -> None:
    moved = edit.move_start(SONG, "bridge", 76.19047619)
    assert moved.section[3].start_s == 76.190476
    ride = edit.draw_ride(
        SONG, [RidePoint(time_s=2.00000049, gain_db=1), RidePoint(time_s=1, gain_db=0)]
    ).ride
    assert [point.time_s for point in ride] == [1.0, 2.0]


def test_an_edit_leaves_the_old_song_as_it_was() -> None:
    before = repr(SONG)
    edit.set_pass(SONG, "D", Pass())
    edit.add_processor(SONG, "A", Gain())
    edit.rename_pass(SONG, "B", "E")
    assert repr(SONG) == before


def test_a_renamed_pass_takes_its_sections_along() -> None:
    renamed = edit.rename_pass(SONG, "B", "loud")
    assert renamed.pass_["loud"] == SONG.pass_["B"]
    assert list(renamed.pass_) == ["A", "loud", "C"]
    assert renamed.section[2].pass_ == "loud"


def test_a_renamed_pass_takes_the_versions_prints_along() -> None:
    version = Version(name="clean", mix="c.wav", print=(VersionPrint(pass_="C", file="c.wav"),))
    renamed = edit.rename_pass(replace(SONG, version=(version,)), "C", "outboard")
    assert renamed.version[0].print == (VersionPrint(pass_="outboard", file="c.wav"),)


def test_a_pass_is_added_copied_noted_and_printed() -> None:
    song = edit.copy_pass(edit.new_pass(SONG, "D", "air"), "B", "E")
    assert (song.pass_["D"], song.pass_["E"]) == (Pass(note="air"), SONG.pass_["B"])
    assert edit.set_pass_note(song, "D", "more air").pass_["D"].note == "more air"
    printed = edit.set_pass_print(song, "E", "prints/e.wav").pass_["E"]
    assert (printed.print, printed.chain, printed.note) == ("prints/e.wav", (), SONG.pass_["B"].note)
    assert edit.set_pass_print(song, "C", None).pass_["C"] == replace(SONG.pass_["C"], print=None)


def test_links_are_added_moved_replaced_and_removed() -> None:
    kinds = [link.kind for link in edit.move_processor(SONG, "B", 0, 2).pass_["B"].chain]
    assert kinds == ["low_shelf", "bell", "gain"]
    added = edit.add_processor(SONG, "B", Polarity(), 1)
    assert [link.kind for link in added.pass_["B"].chain] == ["gain", "polarity", "low_shelf", "bell"]
    assert edit.remove_processor(added, "B", 1) == SONG
    finish = edit.add_processor(SONG, None, Gain(gain_db=1))
    assert edit.chain_of(edit.set_processor(finish, None, 0, Polarity()), None) == (Polarity(),)


REFUSED: list[tuple[Callable[[Song], Song], str]] = [
    (
        lambda song: edit.rename(song, "refrian 1", "x"),
        r"no section 'refrian 1'; did you mean \"refrain 1\"\?",
    ),
    (lambda song: edit.rename(song, "verse 1", "intro"), r"section\[2\]\.name: found \"intro\""),
    (lambda song: edit.move_start(song, "verse 1", 40.0), r"section\[3\]\.start_s.*later than"),
    (lambda song: edit.move_start(song, "intro", 1.0), "the first section starts with the song"),
    (lambda song: edit.split(song, -1.0, "x"), "before the first section"),
    (lambda song: edit.split(song, 38.095238, "x"), "later than the section before it"),
    (lambda song: edit.merge(song, "intro"), "none before it"),
    (lambda song: edit.assign(song, "intro", "Z"), "there are: A, B, C"),
    (lambda song: edit.set_ride(song, "intro", 12.5), "from -24 to 12 dB"),
    (lambda song: edit.set_ride(song, "intro", float("nan")), "found nan"),
    (lambda song: edit.set_join(song, "intro", Join()), "nothing comes before"),
    (lambda song: edit.remove_pass(song, "B"), "refrain 1 use it"),
    (lambda song: edit.remove_pass(song, "Z"), "no pass 'Z'"),
    (lambda song: edit.rename_pass(song, "A", "B"), "there is a pass B already"),
    (lambda song: edit.new_pass(song, "A"), "there is a pass A already"),
    (lambda song: edit.copy_pass(song, "A", "B"), "there is a pass B already"),
    (lambda song: edit.copy_pass(song, "Z", "D"), "no pass 'Z'"),
    (lambda song: edit.set_title(song, ""), "title: found"),
    (lambda song: edit.set_pass(song, "D", Pass(chain=(Gain(),), print="a.wav")), "a chain, or a file"),
    (lambda song: edit.add_processor(song, "C", Gain()), "both a chain and a print"),
    (lambda song: edit.add_processor(song, "B", Gain(), 4), "no place 4 in a chain of 3"),
    (lambda song: edit.remove_processor(song, "B", 3), "no link 3 in a chain of 3"),
    (lambda song: edit.add_processor(song, "B", Bell(freq_hz=1.0)), r"chain\[4\]\.freq_hz: found 1\.0"),
    (lambda song: edit.set_finish(song, gain_db=25.0), "from -24 to 24 dB"),
    (lambda song: edit.draw_ride(song, [RidePoint(time_s=1, gain_db=0)] * 2), r"ride\[2\]\.time_s"),
]


@pytest.mark.parametrize(("change", "message"), REFUSED, ids=[message for _, message in REFUSED])
def test_what_no_file_could_hold_is_refused(change: Callable[[Song], Song], message: str) -> None:
    with pytest.raises(ArsisError, match=message):
        change(SONG)


def test_only_the_codec_knows_how_documents_are_validated() -> None:
    plan = Path(edit.__file__).parent
    users = [file.name for file in plan.glob("*.py") if "pydantic" in file.read_text().split('"""', 2)[2]]
    assert users == ["codec.py"]
