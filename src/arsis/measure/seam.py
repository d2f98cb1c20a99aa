"""Whether an edit between two passes can be heard: excitation of the edit against both parents.

Sound is turned into spread excitation on the Bark scale, in two window lengths (long below about
1 kHz, short above). *bump* is how far the edit rises above BOTH passes at the same instant in any
band, *dip* how far it falls below both: a click, a splatter or a change of level that belongs to
neither pass. An edit that is at each instant one of its parents reads 0.

Level difference of about 1 dB in a critical band is just noticeable (Zwicker and Fastl,
Psychoacoustics, 1990: from memory). Spreading slopes of 27 dB per Bark downward and 14 upward stand
for loud sound (from memory), the threshold in quiet is Terhardt's (1979) with 0 dBFS at 100 dB SPL.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

# Half of what is just noticeable.
SEAM_LIMIT_DB = 0.5

# Sound needed either side of the place that is looked at.
REACH_MS = 150.0

_SPLIT_BARK = 8.0  # about 1 kHz
_FULL_SCALE_SPL_DB = 100.0
_HOP_S = 0.0015
_LOW_RATE_HZ = (
    5_500.0  # at least: what lies above a third of it is masked by 100 dB and more in the low bands
)


@dataclass(frozen=True, slots=True)
class Seam:
    """How far an edit rises above, and falls below, both of its parents."""

    bump_db: float
    dip_db: float

    @property
    def clean(self) -> bool:
        return max(self.bump_db, self.dip_db) < SEAM_LIMIT_DB


def seam(edit: Block, before: Block, after: Block, rate_hz: int) -> Seam:
    """The seam of `edit` made from `before` and `after`, three blocks of one shape around the join."""
    first, last = _edited(edit, before, after)
    sounds = np.stack([edit, before, after])
    thinned = max(1 << int(np.log2(max(rate_hz / _LOW_RATE_HZ, 1.0))), 1)
    low = sounds if thinned == 1 else _thinned(sounds, thinned)
    seams = (
        _excess(low, first // thinned, last // thinned, _bands(rate_hz / thinned, 0.046, 0.0, _SPLIT_BARK)),
        _excess(sounds, first, last, _bands(rate_hz, 0.0116, _SPLIT_BARK, 24.0)),
    )
    return Seam(*(max(found) for found in zip(*seams, strict=True)))


def _excess(sounds: NDArray[np.float64], first: int, last: int, bands: _Bands) -> tuple[float, float]:
    """How far the first of three sounds rises above, and falls below, both of the others; 0 at least.

    Where a window hears one of the others alone there is nothing to find: it is not looked at.
    """
    n, hop = len(bands.window), bands.hop
    begin = max((first - n) // hop + 1, 0) * hop
    end = min(last // hop, (sounds.shape[2] - n) // hop) * hop + n
    if end - begin < n:
        return 0.0, 0.0
    made, a, b = _excitation_db(sounds[:, :, begin:end], bands)
    rises, falls = float((made - np.maximum(a, b)).max()), float((np.minimum(a, b) - made).max())
    return max(rises, 0.0), max(falls, 0.0)


def _thinned(sounds: NDArray[np.float64], factor: int) -> NDArray[np.float64]:
    """Every `factor`th frame of what lies below a third of the new rate; the slope is half a cosine."""
    size = 1 << (sounds.shape[2] - 1).bit_length()
    spectra = np.fft.rfft(sounds, size)[..., : size // factor // 2 + 1]
    place = np.linspace(0.0, 0.5, spectra.shape[2])
    slope = 0.5 + 0.5 * np.cos(np.pi * np.clip((place - 0.33) / (0.47 - 0.33), 0.0, 1.0))
    thin = np.fft.irfft(spectra * slope, size // factor)[..., : -(-sounds.shape[2] // factor)]
    return np.asarray(thin / factor)


def _edited(edit: Block, before: Block, after: Block) -> tuple[int, int]:
    """The first frame that is not that of the pass before, and the last that is not that of the one after."""
    left, right = (np.flatnonzero((edit != parent).any(axis=0)) for parent in (before, after))
    frames = edit.shape[1]
    return int(left[0]) if left.size else frames, int(right[-1]) if right.size else -1


def _excitation_db(sounds: NDArray[np.float64], bands: _Bands) -> NDArray[np.float64]:
    """Spread excitation in dB SPL, shape (sounds, instants, bands), of the mean power over channels."""
    frames = np.lib.stride_tricks.sliding_window_view(sounds, len(bands.window), axis=2)[:, :, :: bands.hop]
    power = (np.abs(np.fft.rfft(frames * bands.window, bands.size)) ** 2).mean(axis=1)
    return np.asarray(10.0 * np.log10(power @ bands.spread + bands.quiet))


@dataclass(frozen=True, slots=True)
class _Bands:
    spread: NDArray[np.float64]  # (bins, bands): power in SPL terms to spread excitation
    quiet: NDArray[np.float64]  # (bands,)
    window: NDArray[np.float64]  # (window frames,)
    size: int  # of the transform: the window and some nothing
    hop: int


@cache
def _bands(rate_hz: float, window_s: float, low_bark: float, high_bark: float) -> _Bands:
    n = 2 * round(window_s * rate_hz / 2)
    size = -(-n // 32) * 32  # quickly transformed
    freq_hz = np.fft.rfftfreq(size, 1.0 / rate_hz)
    bark = np.arange(0.5, 24.5, 0.5)
    bin_bark = 13.0 * np.arctan(0.00076 * freq_hz) + 3.5 * np.arctan((freq_hz / 7_500.0) ** 2)
    collect = np.maximum(0.0, 1.0 - np.abs(bin_bark[:, None] - bark) / 0.75)
    distance = bark[None, :] - bark[:, None]  # from masker to band
    slope_db = np.where(distance >= 0.0, -14.0 * distance, 27.0 * distance)
    centre_khz = np.interp(bark, bin_bark, freq_hz) / 1_000.0
    khz = np.maximum(centre_khz, 0.03)
    quiet_db = 3.64 * khz**-0.8 - 6.5 * np.exp(-0.6 * (khz - 3.3) ** 2) + 1e-3 * khz**4
    window = _blackman_harris(n)
    to_spl = 10.0 ** (_FULL_SCALE_SPL_DB / 10.0) * 4.0 / float(np.sum(window)) ** 2 * n / size
    asked = (bark >= low_bark) & (bark < high_bark)
    return _Bands(
        to_spl * collect @ 10.0 ** (slope_db[:, asked] / 10.0),
        10.0 ** (np.minimum(quiet_db[asked], 60.0) / 10.0),
        window,
        size,
        max(1, round(_HOP_S * rate_hz)),
    )


def _blackman_harris(n: int) -> NDArray[np.float64]:
    """Four-term window, side lobes below -92 dB (Harris, Proc. IEEE 66(1), 1978, table 1)."""
    phase = 2.0 * np.pi * np.arange(n) / n
    terms = (0.35875, -0.48829, 0.14128, -0.01168)
    return np.asarray(sum(a * np.cos(k * phase) for k, a in enumerate(terms)), dtype=np.float64)
