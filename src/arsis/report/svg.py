"""Drawing as SVG text. Colours and patterns are classes; the page's style sheet says what they look like."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from html import escape

Scale = Callable[[float], float]


def linear(domain: tuple[float, float], pixels: tuple[float, float]) -> Scale:
    """A scale that takes the ends of `domain` to the ends of `pixels`."""
    low, high = domain
    slope = (pixels[1] - pixels[0]) / ((high - low) or 1.0)
    return lambda value: pixels[0] + (value - low) * slope


def tag(name: str, *children: str, **attributes: object) -> str:
    """One element. `class_` is class; underscores in attribute names are hyphens."""
    named = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(_plain(value))}"' for key, value in attributes.items()
    )
    inner = "".join(children)
    return f"<{name}{named}>{inner}</{name}>" if inner else f"<{name}{named}/>"


def _plain(value: object) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)


def words(text: str, x: float, y: float, class_: str = "", anchor: str = "start") -> str:
    """A line of text."""
    return tag("text", escape(text), x=float(x), y=float(y), class_=class_, text_anchor=anchor)


def line(x1: float, y1: float, x2: float, y2: float, class_: str) -> str:
    return tag("line", x1=float(x1), y1=float(y1), x2=float(x2), y2=float(y2), class_=class_)


def path(points: Iterable[tuple[float, float]], class_: str, *, close: bool = False) -> str:
    """A line through points, closed to a shape where asked."""
    d = "L".join(f"{x:.1f} {y:.1f}" for x, y in points)
    return tag("path", d=f"M{d}{'Z' if close else ''}", class_=class_) if d else ""


def rect(x: float, y: float, width: float, height: float, class_: str) -> str:
    return tag(
        "rect",
        x=float(x),
        y=float(y),
        width=float(max(width, 0.0)),
        height=float(max(height, 0.0)),
        class_=class_,
    )


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a figure's axes lie, in its own pixels."""

    width: float
    height: float
    left: float = 44.0
    right: float = 12.0
    top: float = 20.0
    bottom: float = 24.0

    @property
    def x(self) -> tuple[float, float]:
        return self.left, self.width - self.right

    @property
    def y(self) -> tuple[float, float]:
        """From the bottom of the axes to their top."""
        return self.height - self.bottom, self.top


def figure(frame: Frame, label: str, parts: Sequence[str]) -> str:
    """A whole drawing with a name for who cannot see it."""
    return tag(
        "svg",
        *parts,
        viewBox=f"0 0 {frame.width:g} {frame.height:g}",
        role="img",
        aria_label=label,
        xmlns="http://www.w3.org/2000/svg",
    )


def level_axis(frame: Frame, scale: Scale, values: Iterable[float], unit: str) -> list[str]:
    """Faint lines across at each value, and the values at the left; the unit stands over them."""
    # Clear of a value that stands at the very top.
    parts = [words(unit, frame.left - 6, frame.top - 9, "axis", "end")]
    for value in values:
        y = scale(value)
        parts.append(line(frame.left, y, frame.width - frame.right, y, "grid"))
        parts.append(
            words(f"{value:g}".replace("-", "\N{MINUS SIGN}"), frame.left - 6, y + 3.5, "axis", "end")
        )
    return parts


def time_axis(frame: Frame, scale: Scale, duration_s: float) -> list[str]:
    """Minutes and seconds along the bottom."""
    step_s = next((s for s in (5, 10, 15, 30, 60, 120, 300, 600) if duration_s / s <= 14), 1_200)
    base = frame.height - frame.bottom
    parts = []
    for second in range(0, int(duration_s) + 1, step_s):
        x = scale(second)
        parts.append(line(x, base, x, base + 4, "tick"))
        parts.append(words(f"{second // 60}:{second % 60:02d}", x, base + 15, "axis", "middle"))
    return parts
