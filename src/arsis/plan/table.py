"""Between the frozen data and plain tables of dicts, lists and scalars, as TOML and JSON have them."""

from __future__ import annotations

import dataclasses
import math
from typing import Any, TypeAlias

from arsis.settings import PROCESSORS

from .declared import Declared, class_of_kind, declared

Table: TypeAlias = dict[str, Any]


def as_table(item: Any) -> Table:
    """Every key with its value, defaults too; None where there is nothing."""
    return {one.key: _plain(getattr(item, one.field)) for one in declared(type(item)).values()}


def without_none(value: Any) -> Any:
    """A table without the keys that hold nothing, all the way down; TOML has no word for nothing."""
    if isinstance(value, dict):
        return {key: without_none(one) for key, one in value.items() if one is not None}
    return [without_none(one) for one in value] if isinstance(value, list) else value


def from_table(kind: type, table: Table) -> Any:
    """The frozen data of a table that has been checked; keys that are missing take their default."""
    keys = declared(kind)
    return kind(**{keys[key].field: _frozen(keys[key], value) for key, value in table.items()})


def _plain(value: Any) -> Any:
    if dataclasses.is_dataclass(value):
        return as_table(value)
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    return value


def _frozen(one: Declared, value: Any) -> Any:
    if value is None or one.shape == "value":
        return value
    if one.shape == "list":
        return tuple(_made(one.classes, entry) for entry in value)
    if one.shape == "tables by name":
        return {name: _made(one.classes, entry) for name, entry in value.items()}
    return _made(one.classes, value)


def _made(choices: tuple[type, ...], table: Table) -> Any:
    kind = class_of_kind(choices, table.get("kind"))
    if kind is None:
        raise TypeError(f"no such kind: {table.get('kind')!r}")
    return from_table(kind, table)


def processor_from_table(table: Table) -> Any:
    """The settings of a chain's entry that has been checked."""
    return _made(PROCESSORS, table)


def tables_at(table: Table, key: str) -> list[tuple[int, Table]]:
    """The entries of a list that are tables, with their places."""
    entries = table.get(key)
    entries = entries if isinstance(entries, list) else []
    return [(place, entry) for place, entry in enumerate(entries) if isinstance(entry, dict)]


def number_at(table: Table, key: str) -> float | None:
    """A finite number; None where there is none, or something else."""
    value = table.get(key)
    fits = isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)
    return float(value) if fits and value is not None else None
