"""Kept states of a plan: kept to the byte, told apart, brought back, and never lost."""

from __future__ import annotations

import tomllib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier

import pytest

from arsis.errors import ArsisError, DocumentError
from arsis.io.whole import write_text_whole
from arsis.version import VERSION
from arsis.workflow.revisions import Revision, diff, keep, restore, revisions

PLAN = (Path(__file__).parent / "plans" / "v1" / "low-water.toml").read_text()
HIGHER = PLAN.replace("ride_db = 0.4", "ride_db = 0.6")


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    """A release folder with one mix and one plan."""
    (tmp_path / "songs").mkdir()
    (tmp_path / "mixes").mkdir()
    (tmp_path / "mixes" / "low-water.wav").write_bytes(b"a mix")
    path = tmp_path / "songs" / "low-water.toml"
    path.write_text(PLAN)
    return path


def test_what_is_kept_at_once_is_all_kept(plan: Path) -> None:
    """The numbers are given one by one, and no note is written over by another's."""
    start = Barrier(6)

    def decide(i: int) -> Revision:
        start.wait()
        write_text_whole(plan, PLAN.replace("ride_db = 0.4", f"ride_db = 0.{i + 1}"))
        return keep(plan, f"ride {i}")

    with ThreadPoolExecutor(6) as pool:
        made = {one.number for one in pool.map(decide, range(6)) if one.is_new}
    assert [one.number for one in revisions(plan)] == sorted(made) == list(range(1, len(made) + 1))
    for one in revisions(plan):
        diff(plan, one.number)  # refuses a copy that is not as it was kept


def test_a_note_says_something(plan: Path) -> None:
    with pytest.raises(ArsisError, match="note"):
        keep(plan, " \n")
    assert revisions(plan) == ()


def test_a_revision_is_the_plan_to_the_byte_with_its_note(plan: Path) -> None:
    plan.write_bytes(PLAN.replace("\n", "\r\n").encode())
    made = keep(plan, 'sent to "the artist"\nby post')
    assert (made.number, made.is_new, made.arsis) == (1, True, VERSION)
    assert made.path == plan.parent.parent / "revisions" / "low-water" / "0001.toml"
    assert made.path.read_bytes() == plan.read_bytes()
    notes = tomllib.loads((made.path.parent / "notes.toml").read_text())
    assert notes["revision"][0]["note"] == 'sent to "the artist"\nby post'
    # SHA-256 of the five bytes of the mix, by coreutils' sha256sum.
    assert made.mix_sha256 == "a0cf82ee309a367d9a4c6ccd5dffb4d4ef172540742ee65e39d3be17e3af41d5"
    [read] = revisions(plan)
    assert (read.number, read.note, read.date, read.is_new) == (1, made.note, made.date, False)


def test_an_unchanged_plan_is_not_kept_twice(plan: Path) -> None:
    first, again = keep(plan, "first"), keep(plan, "again")
    assert (again.number, again.note, again.is_new) == (first.number, "first", False)
    (plan.parent.parent / "mixes" / "low-water.wav").write_bytes(b"another mix")
    assert keep(plan, "new mix").number == 2
    assert diff(plan, 1, 2) == ["the mix file itself has changed"]


def test_differences_are_told_between_revisions_and_to_now(plan: Path) -> None:
    keep(plan, "first")
    plan.write_text(HIGHER)
    assert diff(plan, 1) == ["refrain 1: ride +0.4 → +0.6 dB"]
    keep(plan, "second")
    plan.write_text(PLAN)
    assert diff(plan, 2, 1) == ["refrain 1: ride +0.6 → +0.4 dB"]
    assert diff(plan, 1) == []
    assert [one.note for one in revisions(plan)] == ["first", "second"]


def test_going_back_keeps_what_stood_there(plan: Path) -> None:
    keep(plan, "first")
    plan.write_text(HIGHER)
    assert restore(plan, 1).number == 1
    assert plan.read_text() == PLAN
    kept = revisions(plan)
    assert kept[-1].path.read_text() == HIGHER
    assert kept[-1].note == "as it stood before going back to revision 1"
    restore(plan, 2)
    assert plan.read_text() == HIGHER
    assert len(revisions(plan)) == 2


def test_a_broken_plan_can_be_mended_by_going_back(plan: Path) -> None:
    keep(plan, "first")
    plan.write_text("broken = [")
    restore(plan, 1)
    assert plan.read_text() == PLAN
    assert revisions(plan)[-1].path.read_text() == "broken = ["


def test_a_plan_at_fault_is_not_kept(plan: Path) -> None:
    plan.write_text(PLAN.replace("ride_db = 0.4", "ride_db = 40"))
    with pytest.raises(DocumentError, match="ride_db"):
        keep(plan, "no")
    assert revisions(plan) == ()


def test_what_is_missing_or_damaged_is_said(plan: Path) -> None:
    with pytest.raises(ArsisError, match="no revision 3; there are: none yet"):
        diff(plan, 3)
    made = keep(plan, "first")
    made.path.write_text(HIGHER)
    with pytest.raises(ArsisError, match=r"0001\.toml: changed since it was kept"):
        restore(plan, 1)
    made.path.unlink()
    with pytest.raises(ArsisError, match="copy is gone"):
        diff(plan, 1)
    (made.path.parent / "notes.toml").write_text("[[revision]]\nnumber = 1\n")
    with pytest.raises(ArsisError, match=r"notes\.toml: an entry is damaged"):
        revisions(plan)


def test_a_copy_without_a_note_does_not_lend_its_number(plan: Path) -> None:
    keep(plan, "first")
    (plan.parent.parent / "revisions" / "low-water" / "0002.toml").write_text("stopped half-way")
    plan.write_text(HIGHER)
    assert keep(plan, "third").number == 3
    assert [one.number for one in revisions(plan)] == [1, 3]
