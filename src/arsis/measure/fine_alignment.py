"""Where a version of a mix lies against it, so finely that what both share can be taken away.

A version shares part of the mix and lacks the rest: voice or band. Where the rest is silent, in a bar or in
a part of the spectrum, the two are one signal and their delay can be read to a millionth of a frame; where it
is not, it cannot. So each place along the song counts by the least variance its estimate can have
(`alignment`), and the sure places decide alone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.dsp.between import between, needed

from .alignment import CHANCE, Alignment, ReadAt, near

FRAMES = 1 << 15
TAPER = np.hanning(FRAMES)
# So many, and no nearer together than by part of a window: those would say the same again.
PLACES, NEAREST = 64, FRAMES // 8
ROUNDS, SETTLED_FRAMES = 3, 1e-7  # at most, and what one may still change
# Places this much alike are as sure as arithmetic lets them be.
SUREST = 1e-6
# Up to here, in parts of the rate, reading between frames is true enough (dsp/between.py).
TOP = 0.42
# Clocks that differ slip by whole frames within minutes. Less than this from end to end is no drift: in a
# rough alignment, and in a fine one.
ROUGH_SLIP_FRAMES, LEAST_SLIP_FRAMES = 0.5, 0.02

Spectrum: TypeAlias = NDArray[np.complex128]


@dataclass(frozen=True, slots=True)
class _Place:
    at: int
    delay: float
    weight: float
    gain: float  # of the version over what it shares with the mix


@dataclass(frozen=True, slots=True)
class _Line:
    """Delay at frame 0 and its slope, and the standard error of the delays' mean."""

    delay: float
    slope: float
    error: float


def finer(rough: Alignment, reference: ReadAt, other: ReadAt, frames: int) -> Alignment:
    """The same alignment, closer: offset, drift and level from the places that are surest.

    gain_db is of what the two share: a version without the voice is not softer for that.
    """
    found = rough
    if abs(found.drift_ppm) * 1e-6 * frames < ROUGH_SLIP_FRAMES:
        found = replace(found, drift_ppm=0.0)
    starts = [int(at) for at in _places(frames)]
    mix = [_spectrum(reference(at, FRAMES)) for at in starts]
    for _ in range(ROUNDS):
        places = [_place(found, a, other, at) for a, at in zip(mix, starts, strict=True)]
        sure = [place for place in places if place is not None]
        if not sure:
            return found
        line = _line(sure, frames, found.drift_ppm != 0.0)
        found = _moved(found, line, _gain_db(sure))
        if abs(line.delay) + abs(line.slope) * frames < SETTLED_FRAMES:
            break
    return found


def _places(frames: int) -> NDArray[np.float64]:
    """Starts of the windows, along all of the song."""
    last = max(0, frames - FRAMES)
    return np.linspace(0.0, last, min(PLACES, 1 + last // NEAREST))


def _spectrum(block: Block) -> Spectrum:
    return np.fft.rfft(block.mean(axis=0) * TAPER)


def _place(found: Alignment, a: Spectrum, other: ReadAt, at: int) -> _Place | None:
    """By how much the version is later than found where the mix has spectrum `a`; None where the two share
    nothing."""
    ratio = 1.0 + found.drift_ppm * 1e-6
    low, high = needed(found.offset_frames, ratio, at, FRAMES)
    mono = other(low, high - low).mean(axis=0, keepdims=True)
    b = _spectrum(between(mono, low, found.offset_frames, ratio, at, FRAMES)) * found.polarity
    cross = b * np.conj(a)
    powers = near(np.abs(a) ** 2) * near(np.abs(b) ** 2)
    alike = np.abs(near(cross)) ** 2 / np.maximum(powers, 1e-300)
    sure = np.maximum(alike - CHANCE, 0.0) / np.maximum(1.0 - alike, SUREST)
    sure[int(TOP * FRAMES) :] = 0.0
    omega = 2.0 * np.pi * np.arange(a.size) / FRAMES
    weight = float(np.sum(omega**2 * sure))
    if weight == 0.0:
        return None
    delay = -float(np.sum(omega * np.angle(cross) * sure)) / weight
    return _Place(at + FRAMES // 2, delay, weight, _shared_gain(a, b, cross, sure))


def _shared_gain(a: Spectrum, b: Spectrum, cross: Spectrum, sure: NDArray[np.float64]) -> float:
    """Of b over its part of a: what else is in a is not in step with b, and falls out of the cross power."""
    size = float(np.sum(sure * np.maximum(cross.real, 0.0)))
    return float(np.sum(sure * np.abs(b) ** 2)) / size if size > 0.0 else 1.0


def _gain_db(places: list[_Place]) -> float:
    weight = np.array([place.weight for place in places])
    gain = np.array([place.gain for place in places])
    return 20.0 * float(np.log10(weight @ gain / weight.sum()))


def _line(places: list[_Place], frames: int, drifts: bool) -> _Line:
    """By weighted least squares; no slope where none is seen.

    The error is from the scatter of the places around the line, as if as many of them counted as their
    weights amount to (Kish, Survey Sampling, 1965: (Σw)² / Σw²; from memory).
    """
    at = np.array([place.at for place in places], dtype=np.float64)
    delay = np.array([place.delay for place in places])
    weight = np.array([place.weight for place in places])
    weight /= weight.sum()
    middle, mean = float(weight @ at), float(weight @ delay)
    spread = float(weight @ (at - middle) ** 2)
    slope = float(weight @ ((at - middle) * (delay - mean))) / spread if spread > 0.0 else 0.0
    if not drifts and abs(slope) * frames < LEAST_SLIP_FRAMES:
        slope = 0.0
    line = mean - slope * middle
    scatter = float(weight @ (delay - line - slope * at) ** 2)
    return _Line(line, slope, float(np.sqrt(scatter * (weight @ weight))))


def _moved(found: Alignment, line: _Line, gain_db: float) -> Alignment:
    ratio = 1.0 + found.drift_ppm * 1e-6
    return replace(
        found,
        offset_frames=found.offset_frames + line.delay * ratio,
        drift_ppm=1e6 * (ratio * (1.0 + line.slope) - 1.0),
        gain_db=gain_db,
        error_frames=line.error,
    )
