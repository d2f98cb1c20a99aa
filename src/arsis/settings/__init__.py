"""What an engineer can ask of each processor: frozen data with bounds and units, nothing that runs.

`Processor` is the union of every kind a chain may hold; its declarations feed validation, help
texts, controls, reports and docs.
"""

from __future__ import annotations

from typing import TypeAlias

from .dynamics import Compressor, DynamicBell
from .level import Delay, Gain, Polarity
from .limiting import Limiter
from .saturation import Saturator
from .stereo import Width
from .tone import Bell, HighPass, HighShelf, LowPass, LowShelf, Tilt

Processor: TypeAlias = (
    Gain
    | Bell
    | LowShelf
    | HighShelf
    | HighPass
    | LowPass
    | Tilt
    | DynamicBell
    | Compressor
    | Saturator
    | Width
    | Delay
    | Polarity
)

PROCESSORS: tuple[type, ...] = (
    Gain,
    Bell,
    LowShelf,
    HighShelf,
    HighPass,
    LowPass,
    Tilt,
    DynamicBell,
    Compressor,
    Saturator,
    Width,
    Delay,
    Polarity,
)

__all__ = [
    "PROCESSORS",
    "Bell",
    "Compressor",
    "Delay",
    "DynamicBell",
    "Gain",
    "HighPass",
    "HighShelf",
    "Limiter",
    "LowPass",
    "LowShelf",
    "Polarity",
    "Processor",
    "Saturator",
    "Tilt",
    "Width",
]
