"""Every setting of a processor with its unit, by its declaration: nothing rounded, nothing left out but that
it is not bypassed."""

from __future__ import annotations

from arsis.plan.declared import Declared, declared
from arsis.plan.words import key_word
from arsis.report.text import MINUS
from arsis.settings import HighPass, Limiter, LowPass, Processor

_BUTTERWORTH_Q = 0.7071067811865476  # sixteen digits of it tell a reader nothing


def settings_of(processor: Processor | Limiter) -> tuple[tuple[str, str], ...]:
    """Name and value of everything that can be set on it."""
    keys = [key for key in declared(type(processor)) if key != "kind"]
    if isinstance(processor, (HighPass, LowPass)) and processor.order != 2:
        keys.remove("q")  # it has none of its own: the design is Butterworth's
    if not getattr(processor, "bypass", True):
        keys.remove("bypass")
    return tuple((key_word(key), setting(processor, key)) for key in keys)


def setting(processor: Processor | Limiter, key: str) -> str:
    """One value with its unit."""
    one = declared(type(processor))[key]
    value = getattr(processor, one.field)
    if key == "mix":
        return f"{amount(100.0 * value)} %"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return f"{_number(one, value)} {one.unit}".rstrip()
    return str(value).replace("_", " ")


def amount(value: float, *, signed: bool = False) -> str:
    """A number with all its digits and a true minus; with its sign where it is a change of level."""
    text = f"{value:.10g}"
    sign = "+" if signed and value > 0 else ""
    return sign + text.replace("-", MINUS)


def _number(one: Declared, value: float) -> str:
    if one.key == "q" and value == _BUTTERWORTH_Q:
        return "0.7071 (Butterworth)"
    return amount(value, signed=one.unit == "dB" and one.low is not None and one.low < 0.0)
