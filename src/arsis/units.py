"""Conversions between the units of the trade. Scalars only; no numpy."""

from __future__ import annotations

import math


def steady(value: float, bits: int = 44) -> float:
    """The nearest number with so many bits: what a machine's libm may do to the last ones is lost."""
    mantissa, exponent = math.frexp(value)
    return math.ldexp(round(math.ldexp(mantissa, bits)), exponent - bits)


def db_to_gain(level_db: float) -> float:
    """Amplitude ratio of a level in dB, the same on every machine; minus infinity gives 0."""
    return steady(math.pow(10.0, level_db / 20.0))


def gain_to_db(gain: float) -> float:
    """Level in dB of an amplitude ratio; 0 gives minus infinity."""
    return 20.0 * math.log10(gain) if gain > 0.0 else -math.inf


def power_to_db(power: float) -> float:
    """Level in dB of a power ratio; 0 gives minus infinity."""
    return 10.0 * math.log10(power) if power > 0.0 else -math.inf


def seconds_to_frames(time_s: float, rate_hz: int) -> int:
    """The nearest frame."""
    return math.floor(time_s * rate_hz + 0.5)


def ms_to_frames(time_ms: float, rate_hz: int) -> int:
    """The nearest frame."""
    return seconds_to_frames(time_ms / 1000.0, rate_hz)


def frames_to_seconds(frames: int, rate_hz: int) -> float:
    """Seconds from the start of the file."""
    return frames / rate_hz
