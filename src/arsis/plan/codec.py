"""Documents in and out: the one place where text becomes trusted data, every fault reported at once.

The shapes that pydantic checks are made from the dataclasses' own declarations, so that nothing is
said twice; the dataclasses themselves stay free of it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path as FilePath
from typing import Annotated, Any, NotRequired, Required, TypeVar, Union

from pydantic import ConfigDict, Field, TypeAdapter, ValidationError, with_config
from typing_extensions import TypedDict  # pydantic asks for this one before Python 3.12

from arsis.errors import DocumentError, Fault

from .check import check_release, check_song, past_the_end
from .declared import Declared, class_of_kind, declared, in_words, kind_of
from .layout import release_to_toml, song_to_toml
from .model import Release, Song
from .profile import Profile
from .profile_check import check_profile
from .table import Table, from_table, without_none
from .text import read_text, toml_table
from .trouble import Path, Trouble, key_path, meant, shown
from .upgrade import PROFILE_STEPS, RELEASE_STEPS, SONG_STEPS, Step, upgraded

__all__ = [
    "check_against",
    "parse_profile",
    "parse_release",
    "parse_song",
    "part_from_table",
    "read_profile",
    "read_release",
    "read_song",
    "release_from_table",
    "release_to_toml",
    "schema",
    "song_from_table",
    "song_to_toml",
]

_STRICT = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False)
Document = TypeVar("Document", Song, Release, Profile)
Part = TypeVar("Part")


def read_song(path: str | FilePath) -> Song:
    """The song of a plan; raises DocumentError with every fault."""
    return parse_song(read_text(path), str(path))


def read_release(path: str | FilePath) -> Release:
    """The release of its document; raises DocumentError with every fault."""
    return parse_release(read_text(path), str(path))


def read_profile(path: str | FilePath) -> Profile:
    """The profile of its document; raises DocumentError with every fault."""
    return parse_profile(read_text(path), str(path))


def parse_song(text: str, name: str = "plan") -> Song:
    """The song of a plan's text; `name` stands for the file in messages."""
    return _parsed(Song, text, name, SONG_STEPS, check_song)


def parse_release(text: str, name: str = "release") -> Release:
    """The release of a document's text; `name` stands for the file in messages."""
    return _parsed(Release, text, name, RELEASE_STEPS, check_release)


def parse_profile(text: str, name: str = "profile") -> Profile:
    """The profile of a document's text; `name` stands for the file in messages."""
    return _parsed(Profile, text, name, PROFILE_STEPS, check_profile)


def check_against(song: Song, duration_s: float, name: str, text: str = "") -> None:
    """Raises DocumentError with everything of the plan that lies past the end of its mix.

    name, text: of its file; without the text, faults have no line.
    """
    troubles = past_the_end(song, duration_s)
    if troubles:
        document = toml_table(text, name)
        raise DocumentError([_fault(name, document.line_of(one.path), one) for one in troubles])


def song_from_table(table: Table, name: str = "plan") -> Song:
    """The song of a plain table, such as JSON holds (null where there is nothing); faults have no line."""
    return _judged(
        Song, without_none(table), SONG_STEPS, check_song, lambda trouble: _fault(name, 0, trouble)
    )


def release_from_table(table: Table, name: str = "release") -> Release:
    """The release of a plain table; faults have no line."""
    return _judged(
        Release, without_none(table), RELEASE_STEPS, check_release, lambda one: _fault(name, 0, one)
    )


def part_from_table(kind: type[Part], table: Table, name: str) -> Part:
    """One table of a document, such as a join or a processor, from a plain table; faults have no line."""
    troubles = _misfits(kind, table := without_none(table))
    if troubles:
        raise DocumentError([_fault(name, 0, one) for one in troubles])
    made: Part = from_table(kind, _validator(kind).validate_python(table))
    return made


def schema(kind: type = Song) -> dict[str, Any]:
    """The JSON Schema of a document or of one of its tables, with units and defaults."""
    return _validator(kind).json_schema()


def _parsed(
    kind: type[Document],
    text: str,
    name: str,
    steps: Sequence[Step],
    check: Callable[[Table], list[Trouble]],
) -> Document:
    document = toml_table(text, name)
    return _judged(
        kind, document.table, steps, check, lambda one: _fault(name, document.line_of(one.path), one)
    )


def _judged(
    kind: type[Document],
    table: Table,
    steps: Sequence[Step],
    check: Callable[[Table], list[Trouble]],
    fault: Callable[[Trouble], Fault],
) -> Document:
    now = upgraded(table, steps)
    troubles = list(now.troubles)
    if not now.too_new:
        troubles += _misfits(kind, now.table) + check(now.table)
    if troubles:
        raise DocumentError(sorted((fault(one) for one in troubles), key=lambda one: one.line))
    made: Document = from_table(kind, _validator(kind).validate_python(now.table))
    return made


def _fault(name: str, line: int, trouble: Trouble) -> Fault:
    return Fault(name, line, key_path(trouble.path), trouble.found, trouble.allowed)


def _validator(kind: type) -> TypeAdapter[Table]:
    known: Any = kind
    return _validator_of(known)


@cache
def _validator_of(kind: Any) -> TypeAdapter[Table]:
    return TypeAdapter(_shape(kind))


@cache
def _shape(kind: Any) -> Any:
    """The table of a dataclass as pydantic checks it: its keys, which are needed, and nothing else."""
    keys: dict[str, Any] = {}
    for one in declared(kind).values():
        known: dict[str, Any] = {"unit": one.unit} if one.unit else {}
        if not one.required and one.shape == "value" and one.default is not None:
            known["default"] = one.default
        said = Field(description=one.about or None, json_schema_extra=known or None)
        inner: Any = Annotated[_inner(one), said]
        keys[one.key] = Required[inner] if one.required else NotRequired[inner]
    make: Any = TypedDict
    return with_config(_STRICT)(make(kind.__name__, keys))


def _inner(one: Declared) -> Any:
    if one.shape == "value":
        return one.annotation
    entries = [_shape(choice) for choice in one.classes]
    entry: Any = entries[0]
    if len(entries) > 1:
        entry = Annotated[Union[tuple(entries)], Field(discriminator="kind")]  # noqa: UP007
    return {"list": list[entry], "tables by name": dict[str, entry], "table": entry}[one.shape]


def _misfits(kind: type, table: Table) -> list[Trouble]:
    """Everything in a table that its declarations do not allow."""
    try:
        _validator(kind).validate_python(table)
    except ValidationError as error:
        return [_trouble(kind, table, one) for one in error.errors(include_url=False)]
    return []


def _trouble(kind: type, table: Table, error: Any) -> Trouble:
    path = _without_tags(error["loc"])
    if error["type"].startswith("union_tag"):
        classes = _declared_at(kind, table, path).classes
        kinds = [kind_of(choice) for choice in classes]
        found = error["ctx"]["tag"] if error["type"] == "union_tag_invalid" else None
        allowed = f"{meant(found, kinds)}one of {', '.join(kinds)}"
        return Trouble((*path, "kind"), "nothing" if found is None else shown(found), allowed)
    if error["type"] == "extra_forbidden":
        table_kind = _class_at(kind, table, path[:-1])
        keys = tuple(declared(table_kind)) if table_kind else ()
        return Trouble(path, "an unknown key", f"{meant(path[-1], keys)}the keys here are {', '.join(keys)}")
    one = _declared_at(kind, table, path)
    if error["type"] == "missing":
        return Trouble(path, "nothing", in_words(one))
    allowed = "a table" if isinstance(path[-1], int) or path[-1] != one.key else in_words(one)
    close = meant(error["input"], one.words) if one.words else ""
    return Trouble(path, shown(error["input"]), close + allowed)


def _without_tags(loc: tuple[str | int, ...]) -> Path:
    """A path without the kind that pydantic puts behind the place of a chain's entry."""
    path: list[str | int] = []
    tagged = False
    for part in loc:
        if len(path) >= 2 and path[-2] == "chain" and isinstance(path[-1], int) and not tagged:
            tagged = True
            continue
        path.append(part)
    return tuple(path)


def _declared_at(kind: type, table: Table, path: Path) -> Declared:
    """The declaration of the key that a path leads to or into."""
    depth = max(place for place, part in enumerate(path) if _class_at(kind, table, path[:place]) is not None)
    owner = _class_at(kind, table, path[:depth])
    assert owner is not None
    return declared(owner)[str(path[depth])]


def _class_at(kind: type, table: Table, path: Path) -> type | None:
    """The dataclass of the table that a path leads to; None where it leads to none."""
    owner: type | None = kind
    one: Declared | None = None
    value: Any = table
    for part in path:
        value = _member(value, part)
        if owner is not None:
            one = declared(owner).get(str(part))
            owner = _single(one, value) if one is not None and one.shape == "table" else None
        elif one is not None:
            owner, one = _single(one, value), None
    return owner


def _single(one: Declared, value: Any) -> type | None:
    return class_of_kind(one.classes, value.get("kind") if isinstance(value, dict) else None)


def _member(value: Any, part: str | int) -> Any:
    if isinstance(value, dict):
        return value.get(part)
    return value[part] if isinstance(value, list) and isinstance(part, int) and part < len(value) else None
