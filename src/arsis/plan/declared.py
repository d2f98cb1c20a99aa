"""What the declarations say of every key of a document: type, bounds, unit, words, default.

One reader of the annotations, for validation, messages, help texts, controls and docs alike.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, TypeAlias, Union, get_args, get_origin, get_type_hints

from annotated_types import DocInfo, Ge, Le, MinLen, Unit

MISSING: Any = dataclasses.MISSING
Shape: TypeAlias = Literal["value", "table", "list", "tables by name"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Declared:
    """One key of a table.

    key: as the document has it; field: as the dataclass has it (`pass` and `pass_`).
    type: without None and annotations; default: MISSING where the key must be given.
    low, high: bounds, both allowed; unit, about: empty where there is none.
    shape: what the key holds. classes: the dataclasses a table here may be: several for a chain's entry,
    none for a plain value.
    """

    key: str
    field: str
    annotation: Any
    type: Any
    shape: Shape
    classes: tuple[type, ...]
    default: Any = MISSING
    low: float | None = None
    high: float | None = None
    unit: str = ""
    about: str = ""
    not_empty: bool = False

    @property
    def required(self) -> bool:
        return self.default is MISSING

    @property
    def words(self) -> tuple[str, ...]:
        """The words it may be, where it is one of a few."""
        return get_args(self.type) if get_origin(self.type) is Literal else ()


def declared(table: type) -> dict[str, Declared]:
    """Every key of a table, in the order of its declaration."""
    known: Any = table
    return _keys_of(known)


@cache
def _keys_of(table: Any) -> dict[str, Declared]:
    hints = get_type_hints(table, include_extras=True)
    keys = (_declared(field, hints[field.name]) for field in dataclasses.fields(table))
    return {one.key: one for one in keys}


def class_of_kind(choices: tuple[type, ...], kind: object) -> type | None:
    """The one that a table's `kind` names; the only one where there is no choice."""
    if len(choices) == 1:
        return choices[0]
    return next((choice for choice in choices if kind_of(choice) == kind), None)


def kind_of(processor: type) -> str:
    """The word for a processor in a document."""
    return str(declared(processor)["kind"].words[0])


def in_words(one: Declared) -> str:
    """What a key may be, for a message."""
    if one.shape != "value":
        return {"table": "a table", "list": "a list of tables", "tables by name": "tables by name"}[one.shape]
    if one.words:
        return ("one of " if len(one.words) > 1 else "") + ", ".join(f'"{word}"' for word in one.words)
    if one.type is bool:
        return "true or false"
    if one.type is str:
        return "text, not empty" if one.not_empty else "text"
    return " ".join(filter(None, ["a whole number" if one.type is int else "a number", bounds_in_words(one)]))


def bounds_in_words(one: Declared) -> str:
    """The bounds with their unit: `from -24 to 12 dB`; empty where there are none."""
    unit = f" {one.unit}" if one.unit else ""
    if one.low is not None and one.high is not None:
        return f"from {one.low:g} to {one.high:g}{unit}"
    if one.low is not None:
        return f"of at least {one.low:g}{unit}"
    return f"of at most {one.high:g}{unit}" if one.high is not None else unit.strip()


def _declared(field: dataclasses.Field[Any], annotation: Any) -> Declared:
    metadata = annotation.__metadata__ if get_origin(annotation) is Annotated else ()
    key = field.name.rstrip("_")
    factory: Any = field.default_factory
    default = field.default if factory is MISSING else factory()
    kind = _plain(annotation)
    classes = _classes(kind)
    return Declared(
        key=key,
        field=field.name,
        annotation=annotation,
        type=kind,
        shape=_shape(kind, classes),
        classes=classes,
        default=MISSING if key == "schema" or (key == "kind" and not _has_choice(annotation)) else default,
        low=next((one.ge for one in metadata if isinstance(one, Ge)), None),  # type: ignore[arg-type]
        high=next((one.le for one in metadata if isinstance(one, Le)), None),  # type: ignore[arg-type]
        unit=next((one.unit for one in metadata if isinstance(one, Unit)), ""),
        about=next((one.documentation for one in metadata if isinstance(one, DocInfo)), ""),
        not_empty=any(isinstance(one, MinLen) for one in metadata),
    )


def _classes(kind: Any) -> tuple[type, ...]:
    inner = get_args(kind)[-1] if get_origin(kind) is dict else kind
    inner = get_args(inner)[0] if get_origin(inner) is tuple else inner
    choices = get_args(inner) if _is_union(inner) else (inner,)
    return tuple(one for one in choices if isinstance(one, type) and dataclasses.is_dataclass(one))


def _shape(kind: Any, classes: tuple[type, ...]) -> Shape:
    if get_origin(kind) is dict:
        return "tables by name"
    if get_origin(kind) is tuple:
        return "list"
    return "table" if classes else "value"


def _plain(annotation: Any) -> Any:
    """The type without its annotations and without None."""
    if get_origin(annotation) is Annotated:
        return _plain(get_args(annotation)[0])
    if _is_union(annotation):
        rest = [arm for arm in get_args(annotation) if arm is not NoneType]
        if len(rest) == 1:
            return _plain(rest[0])
    return annotation


def _is_union(annotation: Any) -> bool:
    return get_origin(annotation) in (Union, UnionType)


def _has_choice(annotation: Any) -> bool:
    return len(get_args(_plain(annotation))) > 1
