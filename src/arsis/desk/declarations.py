"""What the documents' declarations say, as the page makes its controls from them."""

from __future__ import annotations

import inspect
from dataclasses import dataclass
from typing import Any

from arsis.plan.declared import MISSING, Declared, declared, kind_of
from arsis.plan.model import Finish, Join, Section
from arsis.plan.words import key_word
from arsis.settings import PROCESSORS, Limiter

# Where a new processor stands whose frequency has to be given: out of the way for passes, at the usual places
# for the others. Common practice, no source.
_STARTS_HZ = {
    "bell": 1_000.0,
    "low_shelf": 100.0,
    "high_shelf": 8_000.0,
    "high_pass": 20.0,
    "low_pass": 20_000.0,
    "dynamic_bell": 6_500.0,
}


@dataclass(frozen=True, slots=True)
class Key:
    """One setting. type: number, whole, word, text or yes_no. start: its value where it is new."""

    key: str
    name: str
    type: str
    words: tuple[str, ...]
    low: float | None
    high: float | None
    unit: str
    about: str
    default: Any
    required: bool
    start: Any


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of processor and its settings, `kind` itself aside."""

    kind: str
    name: str
    about: str
    keys: tuple[Key, ...]


@dataclass(frozen=True, slots=True)
class Declarations:
    """Everything that the page makes controls from."""

    processors: tuple[Kind, ...]
    limiter: tuple[Key, ...]
    join: tuple[Key, ...]
    finish: tuple[Key, ...]
    section_kinds: tuple[str, ...]
    dithers: tuple[str, ...]


def declarations() -> Declarations:
    """The declarations of this arsis."""
    return Declarations(
        processors=tuple(_kind(one) for one in PROCESSORS),
        limiter=_keys(Limiter),
        join=_keys(Join),
        finish=_keys(Finish),
        section_kinds=declared(Section)["kind"].words,
        dithers=declared(Finish)["dither"].words,
    )


def _kind(settings: type) -> Kind:
    kind = kind_of(settings)
    about = " ".join((inspect.getdoc(settings) or "").split("\n\n")[0].split())
    return Kind(kind, kind.replace("_", " "), about, _keys(settings, _STARTS_HZ.get(kind)))


def _keys(table: type, start_hz: float | None = None) -> tuple[Key, ...]:
    values = (one for one in declared(table).values() if one.shape == "value" and one.key != "kind")
    return tuple(_key(one, start_hz) for one in values)


def _key(one: Declared, start_hz: float | None) -> Key:
    default = None if one.default is MISSING else one.default
    return Key(
        key=one.key,
        name=key_word(one.key),
        type=_type(one),
        words=one.words,
        low=one.low,
        high=one.high,
        unit=one.unit,
        about=one.about,
        default=default,
        required=one.required,
        start=start_hz if one.required else default,
    )


def _type(one: Declared) -> str:
    if one.words:
        return "word"
    return {bool: "yes_no", int: "whole", float: "number", str: "text"}[one.type]
