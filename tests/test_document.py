"""A plan on disk under edit: every step can be taken back to the byte, and nothing made by hand is lost."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from threading import Barrier, Thread

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.errors import ArsisError, DocumentError, PlanError
from arsis.plan.codec import parse_song
from arsis.plan.table import as_table
from arsis.workflow import document_file
from arsis.workflow.document import Document
from tests.releases import SmallRelease

PLANS = Path(__file__).parent / "plans" / "v1"
GOOD = (PLANS / "low-water.toml").read_text()
BROKEN = GOOD.replace("ride_db = 0.4", "ride_db = 40.4")


@dataclass
class Edited:
    """A plan under edit; `told` counts what the pages were told."""

    document: Document
    told: list[int] = field(default_factory=list)

    @property
    def path(self) -> Path:
        return self.document.plan_path

    @property
    def text(self) -> str:
        return self.path.read_text()

    def by_hand(self, old: str, new: str) -> None:
        assert old in self.text
        self.path.write_text(self.text.replace(old, new))

    def is_whole(self) -> bool:
        data = self.path.read_bytes()
        return data == self.document.data and parse_song(data.decode("utf-8-sig")) == self.document.song


def opened(folder: Path, text: str = GOOD) -> Edited:
    path = folder / "songs" / "low-water.toml"
    path.parent.mkdir(parents=True)
    (folder / "release.toml").write_text('schema = 1\ntitle = "Tide Tables"\n')
    path.write_bytes(text.encode())
    told: list[int] = []
    edited = Edited(Document(path, lambda: told.append(edited.document.version)), told)
    return edited


@pytest.fixture
def plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Edited:
    monkeypatch.setattr(document_file, "_QUIET_S", 0.001)
    return opened(tmp_path)


def ride(plan: Edited, ride_db: float, gesture: str | None = None, seen: int | None = None) -> None:
    plan.document.edit("set_ride", {"name": "refrain 1", "ride_db": ride_db}, gesture, seen=seen)


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
    plan.document.take("disk")
    assert plan.text == by_hand
    assert plan.document.clash is None
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


# What a page may ask for, given two numbers to choose with; none of it takes a commented line away.
ASKED: list[Callable[[int, int], tuple[str, dict[str, object]]]] = [
    lambda a, b: (
        "set_ride",
        {"name": ("intro", "verse 1", "refrain 1", "bridge")[a % 4], "ride_db": b / 10},
    ),
    lambda a, b: ("move_start", {"name": ("verse 1", "bridge")[a % 2], "start_s": 20 + b}),
    lambda a, b: ("split", {"at_s": 50 + a + b / 10, "name": f"split {a} {b}"}),
    lambda a, b: ("assign", {"name": "verse 1", "pass_name": "AB"[a % 2]}),
    lambda a, b: ("set_join", {"name": "bridge", "join": {"fade_ms": float(b)} if a % 2 else None}),
    lambda a, b: ("new_pass", {"name": f"N{a}"}),
    lambda a, b: ("copy_pass", {"name": "B", "to": f"N{b}"}),
    lambda a, b: ("rename_pass", {"name": "ABC"[a % 3], "to": "CBX"[b % 3]}),
    lambda a, b: ("add_processor", {"owner": None, "place": 0, "processor": {"kind": "gain", "gain_db": b}}),
    lambda a, b: ("set_pass_note", {"name": "B", "note": f'"{a}" # {b}'}),
    lambda a, b: ("set_finish", {"gain_db": b / 4}),
    lambda a, b: ("set_limiter", {"limiter": {"most_db": float(b)}}),
    lambda a, b: ("set_title", {"title": f"Water {a}"}),
]
ACTIONS = st.lists(
    st.tuples(
        st.sampled_from(["edit"] * 5 + ["undo"] * 3 + ["redo"] * 2 + ["hand", "hand ride", "break", "gone"]),
        st.integers(0, len(ASKED) - 1),
        st.integers(0, 3),
        st.integers(0, 9),
    ),
    max_size=12,
)


def comments(text: str) -> set[str]:
    return {
        line.partition("#")[2].strip() for line in text.splitlines() if "#" in line and "note" not in line
    }


def act(plan: Edited, what: str, which: int, a: int, b: int) -> None:
    """One thing that a page or a person does, and what has to be true after it."""
    before = plan.text
    if what == "edit":
        try:
            plan.document.edit(*ASKED[which](a, b), gesture=None if a else f"drag {b}")
        except ArsisError:
            assert plan.text == before
        assert comments(before) <= comments(plan.text)
    elif what in ("undo", "redo"):
        getattr(plan.document, what)()
    elif what == "hand":
        plan.path.write_text(f"# by hand {b}\n{before}")
    elif what == "hand ride":
        plan.path.write_text(before.replace("gain_db = 0.0  # up", f"gain_db = {b}.0  # up"))
    elif what == "break":
        plan.path.write_text(before + "[[section]]\n")
        plan.document.look()
        plan.document.take("desk")
        assert plan.text == before
    else:
        plan.path.unlink()
        plan.document.look()
        plan.document.take("desk")
        assert plan.text == before
    plan.document.look()
    assert plan.is_whole()


@contextmanager
def quick() -> Iterator[Edited]:
    """A plan under edit in a folder of its own, where nobody writes slowly."""
    folder = Path(tempfile.mkdtemp())
    quiet_s, document_file._QUIET_S = document_file._QUIET_S, 0.0
    try:
        yield opened(folder)
    finally:
        document_file._QUIET_S = quiet_s
        shutil.rmtree(folder)


@given(ACTIONS)
@settings(derandomize=True, deadline=None, max_examples=40)
def test_whatever_is_done_the_file_is_the_plan_and_all_of_it_can_be_taken_back(
    actions: list[tuple[str, int, int, int]],
) -> None:
    with quick() as plan:
        for action in actions:
            act(plan, *action)
        last = plan.text
        steps = 0
        while plan.document.undo_label is not None:
            plan.document.undo()
            assert plan.is_whole()
            steps += 1
        assert plan.text == GOOD
        for _ in range(steps):
            plan.document.redo()
        assert plan.text == last if steps else plan.text == GOOD
