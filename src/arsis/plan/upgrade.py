"""Old documents opened by a newer program: one step a schema, from table to table.

A step is given a table of its own to change, must be deterministic, and need not touch `schema`.
When a schema changes: add the step here, raise the number in `model`, keep an old file in the tests.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import TypeAlias

from .table import Table
from .trouble import Trouble, shown

Step: TypeAlias = Callable[[Table], Table]

# The step at place n takes schema n + 1 to n + 2.
SONG_STEPS: tuple[Step, ...] = ()
RELEASE_STEPS: tuple[Step, ...] = ()
PROFILE_STEPS: tuple[Step, ...] = ()


@dataclass(frozen=True, slots=True)
class Upgraded:
    """A table in the newest schema; `too_new` where nothing in it can be judged."""

    table: Table
    troubles: tuple[Trouble, ...] = ()
    too_new: bool = False


def upgraded(table: Table, steps: Sequence[Step]) -> Upgraded:
    """The table as the newest schema has it; the one given is left as it is."""
    newest = len(steps) + 1
    schema = table.get("schema")
    if not isinstance(schema, int) or isinstance(schema, bool) or schema < 1:
        found = "nothing" if schema is None else shown(schema)
        allowed = "1" if newest == 1 else f"a whole number from 1 to {newest}"
        trouble = Trouble(("schema",), found, f"{allowed}, the format of this document")
        return Upgraded({**table, "schema": newest}, (trouble,))
    if schema > newest:
        allowed = f"at most {newest}: a newer arsis wrote this document"
        return Upgraded(table, (Trouble(("schema",), str(schema), allowed),), too_new=True)
    due = steps[schema - 1 :]
    table = deepcopy(table) if due else table
    for step in due:
        table = step(table)
    return Upgraded({**table, "schema": newest})
