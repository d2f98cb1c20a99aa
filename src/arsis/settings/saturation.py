"""Harmonics and rounded peaks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Le, Unit, doc

from .declare import Bypass, Channel, Mix


@dataclass(frozen=True, slots=True, kw_only=True)
class Saturator:
    """A smooth curve that bends the signal towards full scale; small signals keep their level."""

    kind: Literal["saturator"] = "saturator"
    drive_db: Annotated[
        float, Ge(0.0), Le(24.0), Unit("dB"), doc("how far into the curve; small signals keep their level")
    ] = 3.0
    even: Annotated[
        float, Ge(0.0), Le(1.0), doc("share of even harmonics: 0 is symmetrical, 1 is the most lopsided")
    ] = 0.0
    mix: Mix = 1.0
    channel: Channel = "stereo"
    bypass: Bypass = False
