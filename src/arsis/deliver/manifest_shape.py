"""What a manifest's table may hold, read off the declarations of its data: every misfit with its key path."""

from __future__ import annotations

import re
from dataclasses import MISSING, Field, dataclass, fields, is_dataclass
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from arsis.plan.trouble import Path, key_path, meant, shown

from .manifest import MANIFEST_SCHEMA, Manifest

_MOST = 2**63  # more is no number of bytes
_MOST_LEVEL = 2000.0  # all numbers with a point are levels: past what floating point holds, ±900 dB
# Half of a character that UTF-16 writes in two is none: it cannot be printed, nor be part of a file's name.
_TEXT = (re.compile(r"[^\ud800-\udfff]*", re.DOTALL), "text")
# Text that is more than text, by the name of its key: what it has to look like, in a pattern and in words.
_SHA256 = (re.compile(r"[0-9a-f]{64}"), "64 digits from 0 to f")
_DATE = (re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}"), "a date as YYYY-MM-DD")
# Nothing that leads out of the delivery or the release: what reads the manifest opens these paths.
_INSIDE = (
    re.compile(r"(?![/\\])(?![A-Za-z]:)(?!(.*[/\\])?\.\.([/\\]|$))[^\0\ud800-\udfff]+", re.DOTALL),
    "a path that stays inside its folder",
)
_PATTERNS = {"sha256": _SHA256, "sound_sha256": _SHA256, "date": _DATE, "path": _INSIDE, "plans": _INSIDE}
# What whole numbers are at least, where it is not 0.
_LEAST = {"schema": 1, "rate_hz": 1, "channels": 1, "bits": 1, "place": 1, "songs": 1}


@dataclass(frozen=True, slots=True)
class Misfit:
    """One thing wrong: the key path, what was found, what is allowed."""

    key: str
    found: str
    allowed: str


def troubles_in(table: Any) -> list[Misfit]:
    """Everything in a table that a manifest does not allow."""
    if not isinstance(table, dict):
        return [Misfit("the document", shown(table), "a table")]
    found = table.get("schema")
    if isinstance(found, int) and not isinstance(found, bool) and found > MANIFEST_SCHEMA:
        allowed = f"at most {MANIFEST_SCHEMA}; a newer arsis wrote it"
        return [Misfit("schema", str(found), allowed)]
    troubles: list[Misfit] = []
    _check(Manifest, table, (), "", troubles)
    return troubles or _doubles(table)


def value_of(kind: Any, value: Any) -> Any:
    """The frozen data of a value that has been checked."""
    kind = _without_none(kind)
    if value is None:
        return None
    if is_dataclass(kind):
        made: Any = kind
        hints = _hints(made)
        return made(**{key: value_of(hints[key], one) for key, one in value.items()})
    if get_origin(kind) is tuple:
        return tuple(value_of(get_args(kind)[0], one) for one in value)
    return float(value) if kind is float else value


def _check(kind: Any, value: Any, path: Path, key: str, troubles: list[Misfit]) -> None:
    """Adds what is wrong with one value and all that it holds. key: what it stands under, as declared."""
    inner = _without_none(kind)
    if value is None and inner is not kind:
        return
    if is_dataclass(inner) and isinstance(value, dict):
        _check_table(inner, value, path, troubles)
    elif get_origin(inner) is tuple and isinstance(value, list):
        for place, one in enumerate(value):
            _check(get_args(inner)[0], one, (*path, place), key, troubles)
    elif get_origin(inner) is dict and isinstance(value, dict):
        for name, one in value.items():  # names of the user's own, which say nothing of their value
            _check(get_args(inner)[1], one, (*path, name), "", troubles)
    elif not _fits(inner, value, key):
        nothing = "" if inner is kind else ", or null"
        troubles.append(Misfit(key_path(path), _found(value), _allowed(inner, key) + nothing))


def _check_table(kind: Any, table: dict[str, Any], path: Path, troubles: list[Misfit]) -> None:
    hints, keys = _hints(kind), _keys(kind)
    for key, value in table.items():
        if key in keys:
            _check(hints[key], value, (*path, key), key, troubles)
        else:
            allowed = f"{meant(key, tuple(keys))}the keys here are {', '.join(keys)}"
            troubles.append(Misfit(key_path((*path, key)), "an unknown key", allowed))
    for key, field in keys.items():
        if key not in table and (_is_needed(field) or key == "schema"):
            allowed = _allowed(_without_none(hints[key]), key)
            troubles.append(Misfit(key_path((*path, key)), "nothing", allowed))


def _doubles(table: dict[str, Any]) -> list[Misfit]:
    """Files that are entered twice."""
    seen: set[str] = set()
    troubles = []
    for name in ("sounds", "documents"):
        for place, entry in enumerate(table.get(name, [])):
            if entry["path"] in seen:
                key = key_path((name, place, "path"))
                troubles.append(Misfit(key, shown(entry["path"]), "each file once"))
            seen.add(entry["path"])
    return troubles


def _fits(kind: Any, value: Any, key: str) -> bool:
    if get_origin(kind) is Literal:
        return isinstance(value, str) and value in get_args(kind)
    if kind is float:
        return isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) <= _MOST_LEVEL
    if kind is int:
        return isinstance(value, int) and not isinstance(value, bool) and _LEAST.get(key, 0) <= value < _MOST
    if kind is str:
        pattern = _PATTERNS.get(key, _TEXT)[0]
        return isinstance(value, str) and pattern.fullmatch(value) is not None
    return kind is bool and isinstance(value, bool)


def _allowed(kind: Any, key: str) -> str:
    if get_origin(kind) is Literal:
        return "one of " + ", ".join(f'"{word}"' for word in get_args(kind))
    if kind is str:
        return _PATTERNS.get(key, _TEXT)[1]
    if kind is int:
        return f"a whole number of at least {_LEAST.get(key, 0)}"
    if get_origin(kind) is tuple:
        return "a list"
    return {float: f"a number from {-_MOST_LEVEL:g} to {_MOST_LEVEL:g}", bool: "true or false"}.get(
        kind, "a table"
    )


def _found(value: Any) -> str:
    return "null" if value is None else shown(value)


def _is_needed(field: Field[Any]) -> bool:
    return field.default is MISSING and field.default_factory is MISSING


@cache
def _keys(kind: Any) -> dict[str, Field[Any]]:
    return {field.name: field for field in fields(kind)}


@cache
def _hints(kind: Any) -> dict[str, Any]:
    return get_type_hints(kind)


def _without_none(kind: Any) -> Any:
    """The type without None; the very same where it has none."""
    if get_origin(kind) not in (Union, UnionType):
        return kind
    (rest,) = (arm for arm in get_args(kind) if arm is not NoneType)
    return rest
