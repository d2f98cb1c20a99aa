"""How one recording lies against another: offset, polarity, gain, drift, and whether it is the same.

The coarse offset is the peak of the cross-correlation of both at a low rate. From there, windows along
the song give a delay each, from the slope of the phase of the cross spectrum, weighted by f² c / (1 - c),
c the squared coherence (the least-variance delay estimate: Knapp and Carter, IEEE Trans. ASSP 24(4), 1976,
from memory). So the top of the spectrum, where a chain's tone hardly turns the phase, says when, however
loud the bass is; and a top that is only noise says nothing. A line through those delays gives the offset
at the start and the drift between the two clocks.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.dsp.between import between, needed
from arsis.errors import NotSameRecordingError

# frames [start, start + n) of a recording, zeros outside it
ReadAt = Callable[[int, int], Block]

WINDOWS = 24
WINDOW_S = 0.75
COARSE_HZ = 3_000.0
ROUNDS, SETTLED_FRAMES = 3, 0.005  # after the first look: at most, and what one may still change
COARSE_MOST_S = 600.0

# Delays that scatter more than this around their line belong to an edit or another take.
SCATTER_FRAMES = 1.5
AGREED_S = 0.001
# Less of `other` than this, of what usually is in the mix, and it is not there; so much again elsewhere,
# within EDIT_MOST_S, and it was moved. Where it is softer than LEAST_PART of the mix's power, or than SOFT of
# its own loudest, it is not looked at.
LOST, FOUND, LEAST_PART, SOFT = 0.3, 0.6, 0.05, 1e-3
EDIT_LEAST_S, EDIT_MOST_S = 0.005, 6.0  # nearer is no edit: there the alignment itself is not settled yet
# Windows of one recording through two treatments correlate above this; different takes far below.
ALIKE = 0.6
# Coherence is read over so many neighbouring bins; unrelated sound reaches a few parts of that by chance,
# and no part of the spectrum is so sure that it alone decides.
NEAR_BINS = 33
CHANCE = 4.0 / NEAR_BINS
SUREST = 1e-3
# Up to here, in parts of the rate, reading between frames is true enough (dsp/between.py).
TOP = 0.42
# Where `other` is so much softer than at its loudest it rests: what is left there says nothing about time.
REST_DB = 40.0
# A clock further off than this was not a clock of the trade.
MOST_DRIFT_PPM = 2_000.0


@dataclass(frozen=True, slots=True)
class Alignment:
    """`other` at frame `offset_frames + (1 + drift_ppm / 1e6) * n` is the reference at frame n.

    gain_db: level of `other` over the reference. polarity: +1 or -1. correlation: median over windows.
    confidence: share of the windows along the song that say the same to within AGREED_S. error_frames:
    standard error of the offset along the song, where it was asked for (`fine_alignment`).
    """

    offset_frames: float
    drift_ppm: float
    polarity: int
    gain_db: float
    correlation: float
    confidence: float = 1.0
    error_frames: float | None = None


@dataclass(frozen=True, slots=True)
class _Window:
    at: int  # middle, frame of the reference
    delay: float  # frames by which `other` is late
    correlation: float  # signed
    gain: float
    power: float  # of `other`


@dataclass(frozen=True, slots=True)
class _Share:
    """`other` in a window of the reference: its power, that over the reference's, and the gain with which it
    is in there."""

    at: int
    power: float
    part: float
    gain: float


def find_alignment(
    reference: ReadAt,
    other: ReadAt,
    frames: int,
    other_frames: int,
    rate_hz: int,
    least_correlation: float = ALIKE,
) -> Alignment:
    """Where `other` lies against `reference`, which it correlates with at least so much in most windows.

    Raises NotSameRecordingError with the reason where it does not.
    """
    coarse = _coarse_offset(reference, other, frames, other_frames, rate_hz)
    places = _places(reference, frames, rate_hz)
    windows = _windows(reference, other, places, coarse, rate_hz)
    if not windows:
        raise NotSameRecordingError("nothing in it lines up with the mix: one of the two is silent")
    correlation = float(np.median([abs(w.correlation) for w in windows]))
    if correlation < least_correlation:
        raise NotSameRecordingError(
            f"it does not follow the mix (correlation {correlation:.2f} at the best offset, needed: "
            f"{least_correlation})"
        )
    offset, drift = _fitted(windows)
    # A clock that is off smears each window's delay; again with the answer so far taken out, until it stays.
    for _ in range(ROUNDS):
        windows = _windows(reference, _moved(other, offset, 1.0 + drift), places, 0, rate_hz)
        more, drift_more = _fitted(windows)
        off = np.array([w.delay - more - drift_more * w.at for w in windows])
        offset, drift = offset + more * (1.0 + drift), drift + drift_more * (1.0 + drift)
        if abs(more) + abs(drift_more) * frames < SETTLED_FRAMES:
            break
    _check_whole(reference, _moved(other, offset, 1.0 + drift), windows, rate_hz)
    return Alignment(
        offset_frames=offset,
        drift_ppm=1e6 * drift,
        polarity=1 if float(np.median([w.correlation for w in windows])) > 0.0 else -1,
        gain_db=20.0 * float(np.log10(np.median([w.gain for w in windows]))),
        correlation=float(np.median([abs(w.correlation) for w in windows])),
        confidence=float((np.abs(off) <= AGREED_S * rate_hz).mean()),
    )


def _check_whole(reference: ReadAt, other: ReadAt, windows: list[_Window], rate_hz: int) -> None:
    """Raises NotSameRecordingError where a part of `other`, in the reference's time, belongs elsewhere.

    What is part of the reference is in it everywhere with the same gain, however much else is there. A window
    of which that is not true is looked for around: what was only replaced has no other place.
    """
    shares = [_share(reference, other, window.at, rate_hz) for window in windows]
    loudest = max((share.power for share in shares), default=0.0)
    seen = [share for share in shares if share.power > SOFT * loudest and share.part > LEAST_PART]
    usual = float(np.median([share.gain for share in seen] or [0.0]))
    for share in seen:
        if share.gain < LOST * usual:
            lag, found = _elsewhere(reference, other, share.at, rate_hz)
            if found > FOUND * usual and abs(lag) > EDIT_LEAST_S * rate_hz:
                at_s, true_s = share.at / rate_hz, (share.at + lag) / rate_hz
                raise NotSameRecordingError(
                    f"it is edited: what it has at {at_s:.2f} s, the mix has at {true_s:.2f} s"
                )


def _share(reference: ReadAt, other: ReadAt, at: int, rate_hz: int) -> _Share:
    n = round(WINDOW_S * rate_hz)
    a, b = (read(at - n // 2, n).mean(axis=0) for read in (reference, other))
    power, whole = float(b @ b), float(a @ a)
    return _Share(
        at,
        power,
        power / whole if whole > 0.0 else 0.0,
        abs(float(a @ b)) / power if power > 0.0 else 0.0,
    )


def _elsewhere(reference: ReadAt, other: ReadAt, at: int, rate_hz: int) -> tuple[int, float]:
    """The lag within EDIT_MOST_S at which the reference is most like what `other` has at one place, and how
    much of that is in it there."""
    n, most = round(WINDOW_S * rate_hz), round(EDIT_MOST_S * rate_hz)
    b = other(at - n // 2, n).mean(axis=0)
    a = reference(at - n // 2 - most, n + 2 * most).mean(axis=0)
    size = 1 << (a.size + b.size - 1).bit_length()
    cross = np.abs(np.fft.irfft(np.fft.rfft(a, size) * np.conj(np.fft.rfft(b, size)), size)[: 2 * most + 1])
    running = np.cumsum(np.concatenate([[0.0], a * a]))
    power, own = running[n : n + 2 * most + 1] - running[: 2 * most + 1], float(b @ b)
    best = int(np.argmax(cross / np.sqrt(np.maximum(power, LEAST_PART * own))))
    return best - most, float(cross[best]) / own


def _windows(reference: ReadAt, other: ReadAt, places: list[int], coarse: int, rate_hz: int) -> list[_Window]:
    found = [_window(reference, other, at, coarse, rate_hz) for at in places]
    heard = [window for window in found if window is not None]
    least = max((window.power for window in heard), default=0.0) * 10.0 ** (-REST_DB / 10.0)
    return [window for window in heard if window.power >= least]


def _moved(other: ReadAt, offset: float, ratio: float) -> ReadAt:
    """`other` read in the reference's time, its channels as one."""

    def read(start: int, frames: int) -> Block:
        low, high = needed(offset, ratio, start, frames)
        mono = other(low, high - low).mean(axis=0, keepdims=True)
        return between(mono, low, offset, ratio, start, frames)

    return read


def _fitted(windows: list[_Window]) -> tuple[float, float]:
    """Offset and drift of the windows. Raises NotSameRecordingError where they are not on one line."""
    offset, drift = _line(windows)
    scatter = float(np.median([abs(w.delay - offset - drift * w.at) for w in windows]))
    if scatter > SCATTER_FRAMES:
        raise NotSameRecordingError(
            f"it slips against the mix by {scatter:.1f} frames: edited, stretched, or another take"
        )
    if abs(drift) * 1e6 > MOST_DRIFT_PPM:
        raise NotSameRecordingError(
            f"its clock is off by {drift * 1e6:.0f} ppm, at most {MOST_DRIFT_PPM:.0f}"
        )
    return offset, drift


def _coarse_offset(reference: ReadAt, other: ReadAt, frames: int, other_frames: int, rate_hz: int) -> int:
    """The offset of `other` to within a few frames, from both at a low rate."""
    step = max(1, round(rate_hz / COARSE_HZ))
    most = int(COARSE_MOST_S * rate_hz)
    a, b = _thinned(reference, min(frames, most), step), _thinned(other, min(other_frames, most), step)
    size = 1 << (a.size + b.size - 1).bit_length()
    product = np.fft.rfft(b, size) * np.conj(np.fft.rfft(a, size))
    lag = int(np.argmax(np.abs(np.fft.irfft(product, size))))
    return (lag - size if lag > b.size else lag) * step


def _thinned(read: ReadAt, frames: int, step: int) -> NDArray[np.float64]:
    """The mean of the channels, averaged over `step` frames, its own mean taken away."""
    chunk = step * 65_536
    parts = []
    for start in range(0, frames, chunk):
        mono = read(start, min(chunk, frames - start)).mean(axis=0)
        parts.append(mono[: mono.size // step * step].reshape(-1, step).mean(axis=1))
    thin = np.concatenate(parts)
    return np.diff(thin, prepend=thin[:1])  # less weight to the bottom, which says little about time


def _places(reference: ReadAt, frames: int, rate_hz: int) -> list[int]:
    """Middles of windows along the song, the quietest third left out."""
    n = min(round(WINDOW_S * rate_hz), frames)
    middles = np.unique(np.linspace(n // 2, frames - n + n // 2, WINDOWS).astype(int))
    powers = np.array([float(np.mean(reference(int(m) - n // 2, n) ** 2)) for m in middles])
    return [int(m) for m in middles[powers >= np.quantile(powers, 1 / 3)]]


def _window(reference: ReadAt, other: ReadAt, at: int, coarse: int, rate_hz: int) -> _Window | None:
    n = 1 << (round(WINDOW_S * rate_hz)).bit_length()
    taper = _taper(n)
    a = reference(at - n // 2, n).mean(axis=0) * taper
    b = other(at - n // 2 + coarse, n).mean(axis=0) * taper
    if not a.any() or not b.any():
        return None
    whole = _peak_lag(a, b)
    if whole:
        b = other(at - n // 2 + coarse + whole, n).mean(axis=0) * taper
    own, power = float(np.sum(a * a)), float(np.sum(b * b))
    signed = float(np.sum(a * b)) / (own * power) ** 0.5 if own * power > 0.0 else 0.0
    delay = coarse + whole + _phase_delay(np.fft.rfft(a), np.fft.rfft(b if signed > 0.0 else -b), n)
    return _Window(at, delay, signed, (power / own) ** 0.5, power)


@cache
def _taper(n: int) -> NDArray[np.float64]:
    return np.hanning(n)


def _peak_lag(a: NDArray[np.float64], b: NDArray[np.float64]) -> int:
    """Whole frames by which b is late, either polarity; high frequencies, which tell time best, lifted."""
    size = 2 * a.size
    cross = np.fft.rfft(np.diff(b), size) * np.conj(np.fft.rfft(np.diff(a), size))
    lag = int(np.argmax(np.abs(np.fft.irfft(cross, size))))
    return lag - size if lag > size // 2 else lag


def _phase_delay(a: NDArray[np.complex128], b: NDArray[np.complex128], n: int) -> float:
    """Frames by which the second spectrum is late, from the slope of the phase; |delay| < 16 or so.

    First over the lowest sixteenth, where so many frames turn the phase by less than half a circle.
    """
    omega = 2.0 * np.pi * np.arange(a.size) / n
    cross, powers = b * np.conj(a), near(np.abs(a) ** 2) * near(np.abs(b) ** 2)
    delay = 0.0
    for part in (16, 4, 1, 1):
        top = min(a.size // part, int(TOP * n))
        turned = cross[: top + NEAR_BINS // 2] * np.exp(1j * omega[: top + NEAR_BINS // 2] * delay)
        alike = np.abs(near(turned)[:top]) ** 2 / np.maximum(powers[:top], 1e-300)
        sure = np.maximum(alike - CHANCE, 0.0) / np.maximum(1.0 - alike, SUREST)
        weight = float(np.sum(omega[:top] ** 2 * sure))
        delay -= float(np.sum(omega[:top] * np.angle(turned[:top]) * sure)) / max(weight, 1e-300)
    return delay


def near(values: NDArray[Any]) -> NDArray[Any]:
    """Sums over NEAR_BINS neighbours, fewer at the ends."""
    running, half = np.cumsum(values), NEAR_BINS // 2
    sums = np.concatenate([np.zeros(half + 1), running, np.full(half, running[-1])])
    return np.asarray(sums[NEAR_BINS:] - sums[:-NEAR_BINS])


def _line(windows: list[_Window]) -> tuple[float, float]:
    """Offset and drift of the line through the delays: median of all pairs' slopes (Theil, 1950)."""
    at = np.array([w.at for w in windows], dtype=np.float64)
    delay = np.array([w.delay for w in windows])
    i, j = np.triu_indices(at.size, 1)
    drift = float(np.median((delay[j] - delay[i]) / (at[j] - at[i]))) if i.size else 0.0
    return float(np.median(delay - drift * at)), drift
