"""A plan on disk under edit: every change is a step, and every step can be taken back to the byte."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from threading import Barrier, Thread

import pytest

from arsis.errors import ArsisError, DocumentError, PlanError
from arsis.plan.table import as_table
from arsis.workflow.document import Document
from tests.documents import GOOD, Edited, at_once, opened, ride
from tests.releases import SmallRelease, music, write


@pytest.fixture
def plan(tmp_path: Path) -> Iterator[Edited]:
    with at_once():
        yield opened(tmp_path)


def test_an_edit_is_on_disk_with_its_comment_and_is_told(plan: Edited) -> None:
    ride(plan, 0.6)
    assert "ride_db = 0.6            # heard as growth, not as level" in plan.text
    assert plan.is_whole()
    assert plan.told == [plan.document.version] == [2]
    assert plan.document.undo_label == "refrain 1: ride +0.4 → +0.6 dB"


def test_undo_and_redo_go_all_the_way_to_the_byte(tmp_path: Path) -> None:
    first = "\ufeff" + GOOD.replace("\n", "\r\n")
    plan = opened(tmp_path, first)
    texts = [plan.path.read_bytes()]
    for ride_db in (0.6, 0.8, -1.0):
        ride(plan, ride_db)
        texts.append(plan.path.read_bytes())
    assert all(text.startswith(b"\xef\xbb\xbf") and b"\r\n" in text for text in texts)
    for text in reversed(texts[:-1]):
        plan.document.undo()
        assert plan.path.read_bytes() == text
    plan.document.undo()
    assert plan.path.read_bytes() == first.encode()
    assert plan.document.undo_label is None
    for text in texts[1:]:
        plan.document.redo()
        assert plan.path.read_bytes() == text
    assert plan.document.redo_label is None
    assert plan.is_whole()


def test_a_gesture_is_one_step_and_leaves_no_trace_where_it_began(plan: Edited) -> None:
    for ride_db in (0.5, 0.6, 0.7):
        ride(plan, ride_db, "drag 1")
    assert plan.document.undo_label == "refrain 1: ride +0.4 → +0.7 dB"
    ride(plan, 0.9, "drag 2")
    plan.document.undo()
    assert plan.document.song.section[2].ride_db == 0.7
    plan.document.undo()
    assert plan.text == GOOD
    ride(plan, 0.8, "drag 3")
    ride(plan, 0.4, "drag 3")
    assert plan.text == GOOD
    assert plan.document.undo_label is None


def test_an_edit_that_changes_nothing_is_no_step(plan: Edited) -> None:
    ride(plan, 0.4)
    assert plan.document.undo_label is None
    assert plan.told == []


def test_a_revision_comes_back_as_one_more_step(plan: Edited) -> None:
    ride(plan, 0.6)
    assert plan.document.keep("first").number == 1
    kept = plan.text
    ride(plan, 0.8)
    higher = plan.text
    plan.document.restore(1)
    assert plan.text == kept
    assert plan.document.undo_label == "back to revision 1"
    plan.document.undo()
    assert plan.text == higher
    assert [one.number for one in plan.document.revisions] == [1, 2]
    with pytest.raises(ArsisError, match="no revision 7"):
        plan.document.restore(7)


def test_an_edit_past_the_end_of_the_mix_is_refused(release: SmallRelease) -> None:
    document = Document(release.plan, lambda: None)
    before = release.plan.read_text()
    with pytest.raises(DocumentError, match=r"before the mix ends at 7\.0"):
        document.edit("split", {"at_s": 7.5, "name": "coda"})
    assert release.plan.read_text() == before
    write(release.mix, music(3.0))  # a shorter one has come in: two sections have to go, one after the other
    document.edit("merge", {"name": "verse 2"})
    document.edit("merge", {"name": "bridge"})
    release.plan.write_text(before)
    write(release.mix, music(7.0))
    release.change("start_s = 5.500000", "start_s = 8.500000")
    document.look()
    assert document.fault is not None
    assert document.fault.faults[0].line == 28


def test_a_link_is_changed_only_where_it_is_as_it_was_seen(plan: Edited) -> None:
    edit, chain = plan.document.edit, lambda: as_table(plan.document.song)["pass"]["B"]["chain"]
    gain = chain()[0]
    change = {"owner": "B", "place": 0, "was": gain}
    for gain_db in (0.7, 0.8):  # one drag says all along what it saw first
        edit("set_processor", {**change, "processor": {**gain, "gain_db": gain_db}}, "drag 1")
    edit("set_title", {"title": "High Water"})  # another page
    edit("set_processor", {**change, "processor": {**gain, "gain_db": 0.9}}, "drag 1")
    assert chain()[0]["gain_db"] == 0.9
    for name, more in (
        ("remove_processor", {}),
        ("move_processor", {"to": 1}),
        ("set_processor", {"processor": gain}),
    ):
        with pytest.raises(PlanError, match="changed meanwhile"):
            edit(name, {**change, **more}, "drag 2")
    edit("remove_processor", {**change, "was": chain()[0]})
    assert [link["kind"] for link in chain()] == ["low_shelf", "bell"]


def test_two_threads_lose_no_edit(plan: Edited) -> None:
    start = Barrier(4)

    def work(thread: int) -> None:
        start.wait()
        for i in range(5):
            plan.document.edit("new_pass", {"name": f"T{thread} {i}"})
            plan.document.look()

    threads = [Thread(target=work, args=(thread,)) for thread in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(plan.document.song.pass_) == 3 + 20
    assert plan.is_whole()
    assert plan.document.version == 21
    assert plan.told[-1] == 21
    for _ in range(20):
        plan.document.undo()
    assert plan.text == GOOD


def test_a_disk_that_refuses_leaves_everything_as_it_was(
    plan: Edited, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(source: object, target: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(ArsisError, match="no space left"):
        ride(plan, 0.6)
    assert plan.text == GOOD
    assert plan.document.undo_label is None
    assert plan.document.song.section[2].ride_db == 0.4
    assert [file.name for file in plan.path.parent.iterdir()] == ["low-water.toml"]
