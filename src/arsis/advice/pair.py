"""Two kinds of section to be compared, and what was measured of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from arsis.measure.alike.transfer import Transfer
from arsis.measure.shapes import Floats
from arsis.measure.strokes.between import Strokes

from .tone_strokes import ToneTold, tone_by_strokes

NAMES = {
    "chorus": "refrains", "verse": "verses", "pre_chorus": "pre-choruses", "bridge": "bridges",
    "solo": "solos", "intro": "intros", "outro": "outros", "build": "builds", "break": "breaks",
    "interlude": "interludes", "other": "the other sections",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class KindLevel:
    """All sections of a kind.

    peaks_db: how far the mix's peaks stand over its loudness there. The rest is of the print: means over time
    of the contour's figures. body_over_edge_db: of low mid over presence. voice_db: None where there may be
    none. third_octaves_db: of `spectrum.THIRD_OCTAVES`, powers averaged over time.
    """

    kind: str
    sections: tuple[str, ...]
    loudness_lufs: float
    peaks_db: float
    density_per_s: float
    low_db: float
    body_over_edge_db: float
    voice_db: float | None
    third_octaves_db: Floats

    @property
    def named(self) -> str:
        return NAMES[self.kind]


@dataclass(frozen=True)
class Pair:
    """`one` kind of section against the `other`: refrains against verses where there are both.

    strokes: those that are the same in both kinds. alike: hears what sounds much alike in both; None where
    there is too little to hear it by.
    """

    one: KindLevel
    other: KindLevel
    strokes: Strokes
    alike: Callable[[], Transfer] | None

    @cached_property
    def between(self) -> Transfer | None:
        """Waited for when it is first asked for: strokes that are the same tell more."""
        return None if self.alike is None else self.alike()

    @cached_property
    def by_strokes(self) -> ToneTold:
        """Tone as far as strokes tell it."""
        return tone_by_strokes(self.strokes)

    @property
    def step_lu(self) -> float:
        return self.one.loudness_lufs - self.other.loudness_lufs

    @property
    def has_refrains(self) -> bool:
        return self.one.kind == "chorus"

    def weak(self, lacks_db: float) -> tuple[KindLevel, KindLevel]:
        """The kind that has less, and the other. lacks_db: `one` against the other."""
        return (self.one, self.other) if lacks_db < 0.0 else (self.other, self.one)

    def lacks_in_quieter(self, lacks_db: float, cut_db: float) -> bool:
        """Whether the kind that has less is the quieter one. cut_db: what the step lacks already."""
        louder = self.one if self.step_lu + cut_db > 0.0 else self.other
        return self.weak(lacks_db)[0] is not louder
