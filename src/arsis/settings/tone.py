"""Tone: bell, shelves, passes and tilt."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Le, Unit, doc

from .declare import Bypass, Channel, FreqHz, Phase, Q, ToneGainDb

Order = Annotated[
    int, Ge(1), Le(8), doc("slope: 6 dB per octave for each; 2 takes q, the others are Butterworth")
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bell:
    """A boost or cut around one frequency."""

    kind: Literal["bell"] = "bell"
    freq_hz: FreqHz
    gain_db: ToneGainDb = 0.0
    q: Q = 0.7
    channel: Channel = "stereo"
    phase: Phase = "minimum"
    bypass: Bypass = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LowShelf:
    """A boost or cut of everything below a frequency (half of it at the frequency)."""

    kind: Literal["low_shelf"] = "low_shelf"
    freq_hz: FreqHz
    gain_db: ToneGainDb = 0.0
    q: Annotated[float, Ge(0.3), Le(1.5), doc("steepness; 0.7 is the steepest without a bump")] = 0.7
    channel: Channel = "stereo"
    phase: Phase = "minimum"
    bypass: Bypass = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HighShelf:
    """A boost or cut of everything above a frequency (half of it at the frequency)."""

    kind: Literal["high_shelf"] = "high_shelf"
    freq_hz: FreqHz
    gain_db: ToneGainDb = 0.0
    q: Annotated[float, Ge(0.3), Le(1.5), doc("steepness; 0.7 is the steepest without a bump")] = 0.7
    channel: Channel = "stereo"
    phase: Phase = "minimum"
    bypass: Bypass = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HighPass:
    """Takes away what lies below a frequency."""

    kind: Literal["high_pass"] = "high_pass"
    freq_hz: FreqHz
    order: Order = 2
    q: Annotated[float, Ge(0.3), Le(4.0), doc("resonance at the corner, for order 2")] = 0.7071067811865476
    channel: Channel = "stereo"
    phase: Phase = "minimum"
    bypass: Bypass = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LowPass:
    """Takes away what lies above a frequency."""

    kind: Literal["low_pass"] = "low_pass"
    freq_hz: FreqHz
    order: Order = 2
    q: Annotated[float, Ge(0.3), Le(4.0), doc("resonance at the corner, for order 2")] = 0.7071067811865476
    channel: Channel = "stereo"
    phase: Phase = "minimum"
    bypass: Bypass = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Tilt:
    """Turns the spectrum about a frequency: up on one side by as much as down on the other."""

    kind: Literal["tilt"] = "tilt"
    freq_hz: FreqHz = 700.0
    gain_db: Annotated[
        float, Ge(-12.0), Le(12.0), Unit("dB"), doc("far above freq_hz, and its negative far below")
    ] = 0.0
    channel: Channel = "stereo"
    phase: Phase = "minimum"
    bypass: Bypass = False
