"""A plan that is changed by hand while it is under edit: taken as a step, told, and never lost."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from arsis.errors import ArsisError, DocumentError, PlanError
from arsis.workflow import document_file
from arsis.workflow.document import Document
from tests.documents import BROKEN, GOOD, Edited, at_once, opened, ride


@pytest.fixture
def plan(tmp_path: Path) -> Iterator[Edited]:
    with at_once():
        yield opened(tmp_path)


def test_a_hand_edit_is_one_more_step(plan: Edited) -> None:
    ride(plan, 0.6)
    plan.by_hand('title = "Low Water"', 'title = "High Water"  # at last')
    assert plan.document.look()
    assert not plan.document.look()
    assert plan.document.song.title == "High Water"
    assert plan.document.undo_label == "changed on disk: title “Low Water” → “High Water”"
    assert plan.told == [2, 3]
    ride(plan, 0.8)
    assert "# at last" in plan.text
    assert plan.document.clash is None
    for _ in range(3):
        plan.document.undo()
    assert plan.text == GOOD
    plan.document.redo()
    plan.document.redo()
    assert "# at last" in plan.text


def test_the_same_size_and_time_do_not_hide_a_hand_edit(plan: Edited) -> None:
    before = plan.path.stat()
    plan.by_hand("ride_db = 0.4", "ride_db = 0.5")
    os.utime(plan.path, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert plan.path.stat().st_size == before.st_size
    assert plan.document.look()
    assert plan.document.song.section[2].ride_db == 0.5


def test_a_hand_edit_does_not_lose_what_had_been_taken_back(plan: Edited) -> None:
    ride(plan, 0.6)
    ride(plan, 0.8)
    higher = plan.text
    plan.document.undo()
    plan.document.undo()
    plan.by_hand("Low Water", "High Water")
    plan.document.look()
    assert plan.document.redo_label is None
    plan.document.undo()
    assert plan.text == GOOD
    assert plan.document.undo_label == "2 changes taken back"
    seen = set()
    while plan.document.undo_label is not None:
        plan.document.undo()
        seen.add(plan.text)
    assert higher in seen
    assert plan.text == GOOD


def test_what_both_changed_is_told_and_both_are_kept(plan: Edited) -> None:
    plan.by_hand("ride_db = 0.4", "ride_db = -2.0")
    by_hand = plan.text
    ride(plan, 0.6)
    clash = plan.document.clash
    assert clash is not None
    assert clash.told == ("refrain 1: ride +0.4 → −2.0 dB",)
    assert plan.document.song.section[2].ride_db == 0.6
    ride(plan, 0.7, seen=plan.document.version)
    assert plan.document.clash == clash
    plan.document.take("disk")
    assert plan.text == by_hand
    assert plan.document.clash is None
    plan.document.undo()
    plan.document.undo()
    assert plan.document.song.section[2].ride_db == 0.6
    plan.document.undo()
    assert plan.text == by_hand
    plan.document.undo()
    assert plan.text == GOOD


def test_a_clash_is_over_when_the_edit_is_taken_back_or_the_desk_s_is_kept(plan: Edited) -> None:
    for by_hand_db, answer in ((-2.5, plan.document.undo), (-3.5, lambda: plan.document.take("desk"))):
        plan.by_hand(f"ride_db = {plan.document.song.section[2].ride_db}", f"ride_db = {by_hand_db}")
        ride(plan, 0.6)
        assert plan.document.clash is not None
        answer()
        assert plan.document.clash is None
    assert plan.document.song.section[2].ride_db == 0.6


def test_a_clash_takes_in_what_the_page_had_not_seen(plan: Edited) -> None:
    seen = plan.document.version
    plan.by_hand("ride_db = 0.4", "ride_db = -2.0")
    plan.document.look()  # the watcher was quicker than the page
    ride(plan, 0.6, seen=plan.document.version)
    assert plan.document.clash is None
    plan.document.undo()
    ride(plan, 0.6, seen=seen)
    assert plan.document.clash is not None


GAIN = {"kind": "gain", "gain_db": 0.9}
LINK = {"owner": "B", "place": 0, "was": {**GAIN, "gain_db": 0.6}}
MET: list[tuple[str, str, str, dict[str, object], bool]] = [
    ("ride_db = 0.4", "ride_db = 0.5", "set_kind", {"name": "refrain 1", "kind": "solo"}, False),
    ("ride_db = 0.4", "ride_db = 0.5", "merge", {"name": "refrain 1"}, True),
    ("lead_ms = 8.0", "lead_ms = 9.0", "set_join", {"name": "refrain 1", "join": None}, True),
    ("lead_ms = 8.0", "lead_ms = 9.0", "set_join", {"name": "bridge", "join": {}}, False),
    ("freq_hz = 95.0", "freq_hz = 96.0", "set_processor", {**LINK, "processor": GAIN}, False),
    ("freq_hz = 95.0", "freq_hz = 96.0", "remove_processor", LINK, True),
    ("gain_db = 0.5", "gain_db = 0.6", "draw_ride", {"points": []}, True),
    ("most_db = 1.5", "most_db = 2.5", "set_limiter", {"limiter": {}}, True),
    ("most_db = 1.5", "most_db = 2.5", "set_finish", {"gain_db": 1.0}, False),
]


@pytest.mark.parametrize(("old", "new", "edit", "args", "met"), MET)
def test_only_changes_of_the_same_thing_clash(
    plan: Edited, old: str, new: str, edit: str, args: dict[str, object], met: bool
) -> None:
    plan.by_hand(old, new)
    plan.document.edit(edit, args)
    assert (plan.document.clash is not None) == met
    plan.document.undo()
    assert plan.text == GOOD.replace(old, new)


@pytest.mark.parametrize(
    "text", [BROKEN, "", GOOD[:300], "title = \udcff"], ids=["bound", "empty", "cut", "utf"]
)
def test_a_broken_hand_edit_is_kept_apart(plan: Edited, text: str) -> None:
    ride(plan, 0.6)
    mine, broken = plan.text, text.encode(errors="surrogateescape")
    plan.path.write_bytes(broken)
    assert plan.document.look()
    assert plan.document.fault is not None
    assert plan.document.song.section[2].ride_db == 0.6
    for refused in (lambda: ride(plan, 0.8), plan.document.undo, lambda: plan.document.take("disk")):
        with pytest.raises(PlanError, match=r"songs/low-water.toml.*Mend the file, or put"):
            refused()
        assert plan.path.read_bytes() == broken
    said = plan.document.take("desk")
    assert said is not None
    assert "revisions/low-water/by-hand-1.toml" in said
    assert (plan.document.release / "revisions/low-water/by-hand-1.toml").read_bytes() == broken
    assert plan.text == mine
    assert plan.document.fault is None
    plan.path.write_bytes(broken)
    assert "by-hand-2.toml" in (plan.document.take("desk") or "")


def test_a_mended_file_is_taken_up_again(plan: Edited) -> None:
    plan.path.write_text(BROKEN)
    plan.document.look()
    assert plan.document.fault is not None
    assert plan.document.fault.faults[0].line == BROKEN[: BROKEN.index("ride_db = 40.4")].count("\n") + 1
    plan.path.write_text(GOOD)
    assert plan.document.look()
    assert plan.document.fault is None
    assert plan.document.undo_label is None  # as it was before
    plan.path.write_text(BROKEN.replace("40.4", "4.4"))
    ride(plan, 0.6, seen=plan.document.version + 1)
    plan.document.undo()
    assert plan.document.song.section[2].ride_db == 4.4


def test_undo_takes_nothing_back_that_nobody_has_seen(plan: Edited) -> None:
    ride(plan, 0.6)
    plan.by_hand("Low Water", "High Water")
    with pytest.raises(PlanError, match="changed on disk meanwhile"):
        plan.document.undo()
    assert "High Water" in plan.text
    plan.document.undo()
    plan.document.undo()
    assert plan.text == GOOD


def test_a_plan_that_is_gone_is_written_anew_only_when_asked(plan: Edited) -> None:
    plan.path.unlink()
    with pytest.raises(PlanError, match="no such file"):
        ride(plan, 0.6)
    assert not plan.path.exists()
    plan.document.take("desk")
    assert plan.text == GOOD
    ride(plan, 0.6)
    assert plan.is_whole()


@pytest.mark.parametrize("what", ["link", "folder", "pipe", "folder of songs"])
def test_nothing_is_read_or_written_outside_the_release(plan: Edited, tmp_path: Path, what: str) -> None:
    outside = tmp_path.parent / f"{tmp_path.name}-outside"
    outside.mkdir()
    (outside / "low-water.toml").write_text(BROKEN)
    plan.path.unlink()
    if what == "link":
        plan.path.symlink_to(outside / "low-water.toml")
    elif what == "folder":
        plan.path.mkdir()
    elif what == "pipe":
        os.mkfifo(plan.path)
    else:
        plan.path.parent.rmdir()
        plan.path.parent.symlink_to(outside)
    assert plan.document.look()
    with pytest.raises(PlanError):
        ride(plan, 0.6)
    with pytest.raises(ArsisError):
        plan.document.take("desk")
    assert (outside / "low-water.toml").read_text() == BROKEN
    with pytest.raises(DocumentError, match=r"outside|plain"):
        Document(plan.path, lambda: None)


def test_what_is_no_plan_is_not_written_over_through_a_link(plan: Edited) -> None:
    mix = plan.document.release / "low-water.wav"
    mix.write_bytes(b"RIFF\xff")
    plan.path.unlink()
    plan.path.symlink_to(mix)
    with pytest.raises(ArsisError, match="is a link"):
        plan.document.take("desk")
    assert mix.read_bytes() == b"RIFF\xff"
    plan.path.unlink()
    plan.document.take("desk")
    assert plan.text == GOOD


def test_a_link_inside_the_release_is_followed(plan: Edited) -> None:
    kept = plan.document.release / "kept.toml"
    plan.path.rename(kept)
    plan.path.symlink_to(kept)
    ride(plan, 0.6)
    assert plan.path.is_symlink()
    assert "ride_db = 0.6" in kept.read_text()


def test_kept_states_do_not_leave_the_release_either(plan: Edited, tmp_path: Path) -> None:
    outside = tmp_path.parent / f"{tmp_path.name}-elsewhere"
    outside.mkdir()
    (plan.document.release / "revisions").symlink_to(outside)
    plan.path.write_text(BROKEN)
    with pytest.raises(ArsisError, match="outside"):
        plan.document.take("desk")
    plan.path.write_text(GOOD)
    with pytest.raises(ArsisError, match="outside"):
        plan.document.keep("before")
    assert list(outside.iterdir()) == []


@pytest.mark.parametrize("half", ["", GOOD[: GOOD.index("[finish]")]], ids=["broken", "a plan by itself"])
def test_a_file_that_is_just_being_written_is_waited_for(
    plan: Edited, monkeypatch: pytest.MonkeyPatch, half: str
) -> None:
    whole = plan.text.replace("Low Water", "High Water")
    pieces = iter([half + "\n", whole])
    plan.path.write_text(half)
    monkeypatch.setattr(document_file.time, "sleep", lambda _: plan.path.write_text(next(pieces, whole)))
    ride(plan, 0.6)
    assert plan.text == whole.replace("ride_db = 0.4", "ride_db = 0.6")
    plan.document.undo()
    plan.document.undo()
    assert plan.text == GOOD


def test_a_hand_edit_right_before_the_write_is_not_written_over(
    plan: Edited, monkeypatch: pytest.MonkeyPatch
) -> None:
    write, hits = document_file.PlanFile.write, []

    def late(self: document_file.PlanFile, data: bytes, over: document_file.OnDisk) -> document_file.OnDisk:
        if not hits:
            hits.append(plan.path.write_text(plan.text.replace("Low Water", "High Water")))
        return write(self, data, over)

    monkeypatch.setattr(document_file.PlanFile, "write", late)
    ride(plan, 0.6)
    assert 'title = "High Water"' in plan.text
    assert plan.document.song.section[2].ride_db == 0.6
    assert plan.is_whole()
