"""Whatever is done to a plan under edit, its file is the plan, and all of it can be taken back."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.errors import ArsisError
from tests.documents import GOOD, Edited, at_once, opened

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


@given(ACTIONS)
@settings(derandomize=True, deadline=None, max_examples=40)
def test_whatever_is_done_the_file_is_the_plan_and_all_of_it_can_be_taken_back(
    actions: list[tuple[str, int, int, int]],
) -> None:
    folder = Path(tempfile.mkdtemp())
    with at_once():
        plan = opened(folder)
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
    shutil.rmtree(folder)
