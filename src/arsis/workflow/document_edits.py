"""Edits of a plan by name: what is asked in plain JSON, checked, and put to the functions of `plan.edit`."""

from __future__ import annotations

import inspect
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, is_dataclass
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from arsis.errors import ArsisError, PlanError
from arsis.plan import edit
from arsis.plan.codec import part_from_table
from arsis.plan.declared import class_of_kind, kind_of
from arsis.plan.model import Dither, Song
from arsis.plan.table import Table
from arsis.plan.trouble import meant, shown
from arsis.plan.words import described
from arsis.settings import Processor


def set_finish(
    song: Song,
    gain_db: float | None = None,
    dither: Dither | None = None,
    share_limiter: bool | None = None,
) -> Song:
    """Changes what is given of the finish's own keys."""
    given = {"gain_db": gain_db, "dither": dither, "share_limiter": share_limiter}
    return edit.set_finish(song, **{key: one for key, one in given.items() if one is not None})


EDITS: dict[str, Callable[..., Song]] = {
    one.__name__: one
    for one in (
        edit.set_title,
        edit.move_start,
        edit.split,
        edit.merge,
        edit.rename,
        edit.set_kind,
        edit.assign,
        edit.set_ride,
        edit.set_join,
        edit.draw_ride,
        edit.new_pass,
        edit.copy_pass,
        edit.set_pass_note,
        edit.set_pass_print,
        edit.remove_pass,
        edit.rename_pass,
        edit.add_processor,
        edit.set_processor,
        edit.remove_processor,
        edit.move_processor,
        set_finish,
        edit.set_limiter,
    )
}
# These take `was` too, the link as it was seen: a link is known by its place, and places shift.
_OF_A_LINK = ("set_processor", "remove_processor", "move_processor")


@dataclass(frozen=True, slots=True)
class _Argument:
    """One argument of an edit."""

    type: Any
    required: bool


def edited(song: Song, name: str, args: Table, known: Song | None = None) -> Song:
    """The song after the edit called `name`.

    known: the song as whoever asks left it last; its links may be changed, too, as they stand there.
    Raises ArsisError where there is no such edit or an argument is at fault, PlanError where the song has
    no place for it any more, DocumentError where no plan could hold what would come of it.
    """
    if name not in EDITS:
        raise ArsisError(f"no edit {shown(name)}; {meant(name, tuple(EDITS))}there are: {', '.join(EDITS)}")
    given = _checked(name, args)
    if name in _OF_A_LINK:
        _check_link(song, known, given["owner"], given["place"], given.pop("was"))
    return EDITS[name](song, **given)


@cache
def arguments(name: str) -> dict[str, _Argument]:
    """The arguments of an edit, as its function declares them."""
    function = EDITS[name]
    types = get_type_hints(function)
    found = {
        key: _Argument(types[key], one.default is inspect.Parameter.empty)
        for key, one in inspect.signature(function).parameters.items()
        if key != "song"
    }
    return {**found, "was": _Argument(Processor, True)} if name in _OF_A_LINK else found


def _checked(name: str, args: Table) -> Table:
    known = arguments(name)
    for key in args:
        if key not in known:
            raise ArsisError(f"{name}: an unknown argument {shown(key)}; it takes {', '.join(known)}")
    for key, one in known.items():
        if one.required and key not in args:
            raise ArsisError(f"{name}: {key} is missing; it takes {', '.join(known)}")
    return {key: _value(known[key].type, value, f"{name}: {key}") for key, value in args.items()}


def _value(kind: Any, value: Any, where: str) -> Any:
    """The value of an argument of that type; `where` stands for it in messages."""
    if get_origin(kind) in (Union, UnionType):
        kinds = tuple(one for one in get_args(kind) if one is not NoneType)
        if value is None and len(kinds) < len(get_args(kind)):
            return None
        return _value(kinds[0], value, where) if len(kinds) == 1 else _part(kinds, value, where)
    if is_dataclass(kind):
        return _part((kind,), value, where)  # type: ignore[arg-type]
    if get_origin(kind) is Sequence:
        (entry,) = get_args(kind)
        if not isinstance(value, list):
            raise _misfit(where, value, "a list")
        return tuple(_value(entry, one, f"{where}[{place}]") for place, one in enumerate(value, 1))
    if get_origin(kind) is Literal:
        if value not in get_args(kind):
            raise _misfit(where, value, f"one of {', '.join(map(shown, get_args(kind)))}")
        return value
    return _scalar(kind, value, where)


def _scalar(kind: type, value: Any, where: str) -> Any:
    is_whole = isinstance(value, int) and not isinstance(value, bool)
    if kind is float and (is_whole or isinstance(value, float)):
        number = float(value) if abs(value) < 2**63 else math.inf
        if math.isfinite(number):
            return number
    elif (is_whole and kind is int) or (kind in (str, bool) and isinstance(value, kind)):
        return value
    allowed = {float: "a number", int: "a whole number", str: "text", bool: "true or false"}[kind]
    raise _misfit(where, value, allowed)


def _part(kinds: tuple[type, ...], value: Any, where: str) -> Any:
    """A table of a document: a join, a point, a limiter, a processor."""
    if not isinstance(value, dict):
        raise _misfit(where, value, "a table")
    kind = class_of_kind(kinds, word := value.get("kind"))
    if kind is None:
        words = tuple(map(kind_of, kinds))
        raise _misfit(f"{where}.kind", word, f"{meant(word, words)}one of {', '.join(words)}")
    return part_from_table(kind, value, where)


def _misfit(where: str, value: Any, allowed: str) -> ArsisError:
    found = "nothing" if value is None else shown(value)
    return ArsisError(f"{where}: found {found}; allowed: {allowed}")


def _check_link(song: Song, known: Song | None, owner: str | None, place: int, was: Processor) -> None:
    """Raises PlanError where another link stands there than was seen, or than was left there."""
    link = _link(song, owner, place)
    if link == was or (link is not None and known is not None and link == _link(known, owner, place)):
        return
    chain = "the finish" if owner is None else f"pass {owner}"
    now = "nothing" if link is None else described(link)
    raise PlanError(f"{chain} has changed meanwhile: at place {place + 1} stood {described(was)}, now {now}")


def _link(song: Song, owner: str | None, place: int) -> Processor | None:
    if owner is not None and owner not in song.pass_:
        return None
    chain = edit.chain_of(song, owner)
    return chain[place] if 0 <= place < len(chain) else None
