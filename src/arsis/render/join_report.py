"""What a join did: how alike its two signals are, the level half-way, and the octave that suffers most.

Where the two passes turn the phase differently, no fade law keeps the level at every frequency; that is
mostly at the bottom. Then the report says how deep the dip is and where, just before, it would matter
less, because there is less of that octave.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, Span

# Below this two passes of one mix are not the same recording in step: a slipped or turned print.
# Measured on joins between equalised, compressed and limited passes of music: 0.985 and above.
ALIKE = 0.9

# Octaves in which a join is looked at, and the share of all power below which one does not count.
OCTAVES_HZ = (31.5, 63.0, 125.0, 250.0, 500.0, 1_000.0, 2_000.0, 4_000.0, 8_000.0)
SILENT_SHARE = 1e-4

# A dip in one octave for a few milliseconds is not heard before it is deeper than a steady one would be.
DEEP_DB = -1.0

# The ends of a stretch wrap into each other when it is filtered by its spectrum; they are left out.
EDGE_S = 0.025


@dataclass(frozen=True, slots=True)
class JoinReport:
    """A join as it was made.

    middle_db: level half-way through the fade against the mean of its ends, over all frequencies.
    dip_db, dip_freq_hz: the same in the octave where it is lowest (0 where none dips). earlier_ms,
    quieter_db: by how much earlier a fade would meet less of that octave, and how much less (0 where the
    dip is not deep, or nowhere near is better).
    """

    into: str
    span: Span
    correlation: float
    middle_db: float
    dip_db: float
    dip_freq_hz: float
    earlier_ms: float
    quieter_db: float

    @property
    def alike(self) -> bool:
        return self.correlation >= ALIKE

    @property
    def deep(self) -> bool:
        return self.dip_db < DEEP_DB


def look_at_join(
    into: str, fade: Span, window: Span, a: Block, b: Block, correlation: float, rate_hz: int
) -> JoinReport:
    """Looks at a fade from a to b, two blocks over `window` of the song."""
    half = 0.5 / (0.5 + 0.5 * min(max(correlation, 0.0), 1.0)) ** 0.5
    taper = np.hanning(a.shape[1])
    leaves, comes = np.fft.rfft(a * taper), np.fft.rfft(b * taper)
    powers = np.array([np.sum(np.abs(x) ** 2, axis=0) for x in (half * (leaves + comes), leaves, comes)])
    dip_db, dip_freq_hz = _deepest(powers, a.shape[1], rate_hz)
    earlier, quieter_db = 0, 0.0
    if dip_db < DEEP_DB:
        earlier, quieter_db = _quieter(a + b, fade, window, dip_freq_hz, rate_hz)
    return JoinReport(
        into,
        fade,
        correlation,
        _middle_db(powers.sum(axis=1)),
        dip_db,
        dip_freq_hz,
        1_000.0 * earlier / rate_hz,
        quieter_db,
    )


def _octave(frames: int, rate_hz: int, centre_hz: float) -> NDArray[np.bool_]:
    freq_hz = np.fft.rfftfreq(frames, 1.0 / rate_hz)
    return np.asarray((freq_hz >= centre_hz / 2**0.5) & (freq_hz < centre_hz * 2**0.5))


def _deepest(powers: NDArray[np.float64], frames: int, rate_hz: int) -> tuple[float, float]:
    """The lowest level half-way of any octave that is there, and its centre."""
    lowest = (0.0, 0.0)
    for centre_hz in OCTAVES_HZ:
        band = powers[:, _octave(frames, rate_hz, centre_hz)].sum(axis=1)
        if band[1:].min() > SILENT_SHARE * powers[1:].sum():
            lowest = min(lowest, (_middle_db(band), centre_hz))
    return lowest


def _middle_db(powers: NDArray[np.float64]) -> float:
    """Power half-way against the geometric mean of the ends, in dB; 0 where an end is silent."""
    middle, leaves, comes = (float(p) for p in powers)
    if min(middle, leaves, comes) <= 0.0:
        return 0.0
    return 10.0 * float(np.log10(middle / (leaves * comes) ** 0.5))


def _quieter(both: Block, fade: Span, window: Span, centre_hz: float, rate_hz: int) -> tuple[int, float]:
    """Frames by which an earlier fade meets the least of an octave, and how much less of it, in dB."""
    spectrum = np.fft.rfft(both) * _octave(both.shape[1], rate_hz, centre_hz)
    power = np.sum(np.fft.irfft(spectrum, both.shape[1]) ** 2, axis=0)
    running = np.concatenate([[0.0], np.cumsum(power)])
    place = fade.start - window.start
    met = running[fade.frames : place + fade.frames + 1] - running[: place + 1]
    if met.size < 2 or met.min() <= 0.0:
        return 0, 0.0
    edge = min(int(EDGE_S * rate_hz), place)
    best = edge + int(np.argmin(met[edge:]))
    return place - best, 10.0 * float(np.log10(met[place] / met[best]))
