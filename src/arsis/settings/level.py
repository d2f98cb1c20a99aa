"""Level, time and sign."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Le, Unit, doc

from .declare import Bypass, Channel


@dataclass(frozen=True, slots=True, kw_only=True)
class Gain:
    """Level, up or down."""

    kind: Literal["gain"] = "gain"
    gain_db: Annotated[float, Ge(-60.0), Le(24.0), Unit("dB"), doc("level change")] = 0.0
    channel: Channel = "stereo"
    bypass: Bypass = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Delay:
    """Makes one channel (or both) later, by whole samples and parts of one."""

    kind: Literal["delay"] = "delay"
    delay_frames: Annotated[
        float, Ge(0.0), Le(96_000.0), Unit("frames"), doc("how much later; parts of a frame are interpolated")
    ] = 0.0
    channel: Channel = "stereo"
    bypass: Bypass = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Polarity:
    """Turns the sign of the signal."""

    kind: Literal["polarity"] = "polarity"
    channel: Channel = "stereo"
    bypass: Bypass = False
