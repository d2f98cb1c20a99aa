"""Where tone is judged, and what is found there."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from arsis.report.text import number

# Places where each is heard (DESIGN 9: common practice, no source).
LOW_HZ, BODY_HZ, EDGE_HZ = 70.0, (140.0, 420.0), (2_000.0, 5_000.0)
# Refrains that are brighter than their verses grow by it (common practice, no source): more is asked of them.
LEAST_BRIGHTER_DB = 1.6


class ToneWhat(Enum):
    """Low end, body and edge; the value is their name in an id."""

    LOW_END = "low_end"
    BODY = "body"
    EDGE = "edge"

    @property
    def word(self) -> str:
        return self.value.replace("_", " ")


@dataclass(frozen=True, slots=True)
class ToneFound:
    """size_db: of `one` kind against the other. It is spoken of from least_db.

    How sure: `least` at least_db, `most` from full_db on. heard: by what, in words.
    """

    freq_hz: float
    size_db: float
    least_db: float
    full_db: float
    least: float
    most: float
    heard: str = "in what sounds in both"


def place(freq_hz: float) -> str:
    """As one says it: two figures."""
    return f"{freq_hz / 1000.0:.1f} kHz" if freq_hz >= 1000.0 else f"{round(freq_hz, -1):.0f} Hz"


def outside(freq_hz: float, inside_hz: tuple[float, float]) -> bool:
    """Whether a place is none where this is heard."""
    return not inside_hz[0] <= freq_hz <= inside_hz[1]


def near(what: ToneWhat, freq_hz: float, size_db: float, inside_hz: tuple[float, float]) -> str:
    """In words, that nothing stands apart far enough."""
    if outside(freq_hz, inside_hz):
        low, high = (place(edge_hz) for edge_hz in inside_hz)
        return f"{what.word}: nothing stands out between {low} and {high}"
    return f"{what.word}: at most {number(abs(size_db))} dB apart, around {place(freq_hz)}"
