"""What the section finder keeps of a song: about 1.1 MB a minute, taken in one pass over the sound."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import soxr
from numpy.typing import NDArray

from arsis.audio import Block

from .banks import BANDS_HZ, MEL_BANDS, band_bank, loudness_bank, mel_bank, pitch_bank

Floats = NDArray[np.float32]
Spectra = NDArray[np.complexfloating[Any, Any]]

# Every file is analysed at these two rates, so that each constant below holds for all of them.
WIDE_HZ = 44_100
HARMONY_HZ = 11_025

FRAME_S = 512 / WIDE_HZ  # spectra of the mid, and from them onsets
SIDE_S = 2048 / WIDE_HZ  # the side is only asked for its level
PITCH_S = 512 / HARMONY_HZ

# Input is regrouped to this many frames whatever the blocks that come in: products of matrices and
# the resampler then see the same shapes, and block size cannot change a bit.
CHUNK_FRAMES = 1 << 17
# Frames that are transformed together: they stay in the second-level cache, 128 take twice as long.
BATCH = 64

# Pitch compression works on magnitudes of an unscaled Hann spectrum, where 1e-3 is far below any music.
PITCH_SCALE = float(np.sqrt((np.hanning(2049)[:-1] ** 2).sum() * 1024.0))


@dataclass(frozen=True, slots=True)
class Features:
    """Streams of features; row k of each is centred on k times its step in seconds.

    mel (n, 40), bands (n, 5), loudness (n,): powers of the mid, every FRAME_S.
    side_bands (m, 5): powers of the side, every SIDE_S.
    pitch (p, 24): pitch classes of harmony and bass, compressed, every PITCH_S.
    """

    rate_hz: int
    frames: int
    mel: Floats
    bands: Floats
    loudness: Floats
    side_bands: Floats
    pitch: Floats

    @property
    def duration_s(self) -> float:
        return self.frames / self.rate_hz


class _Spectra:
    """Cuts a stream into windowed frames and keeps what `reduce` makes of each batch of spectra."""

    def __init__(self, size: int, hop: int, reduce: Callable[[Spectra], Floats]) -> None:
        self._size, self._hop, self._reduce = size, hop, reduce
        window = np.hanning(size + 1)[:-1]
        # A full-scale sine then has the power 1/2 summed over its bins.
        self._window = (window / np.sqrt((window**2).sum() * size / 2.0)).astype(np.float32)
        self._rest = np.zeros(size // 2, np.float32)
        self._rows: list[Floats] = []

    def add(self, samples: Floats) -> None:
        buffer = np.concatenate([self._rest, samples])
        count = max((len(buffer) - self._size) // self._hop + 1, 0)
        for start in range(0, count, BATCH):
            stop = min(start + BATCH, count)
            cut = buffer[start * self._hop : (stop - 1) * self._hop + self._size]
            frames = np.lib.stride_tricks.sliding_window_view(cut, self._size)[:: self._hop]
            self._rows.append(self._reduce(np.fft.rfft(frames * self._window, axis=1)))
        self._rest = buffer[count * self._hop :].copy()

    def result(self) -> Floats:
        """All rows; the last is centred at or after the last sample."""
        self.add(np.zeros(self._size // 2 + self._hop, np.float32))
        return np.concatenate(self._rows)


def _power(spectra: Spectra) -> Floats:
    return np.asarray(spectra.real**2 + spectra.imag**2)


class FeatureStream:
    """Collects Features from blocks (channels, frames) of any size. Size of block changes no bit."""

    def __init__(self, rate_hz: int, channels: int) -> None:
        self._rate_hz, self._channels = rate_hz, channels
        self._waiting: list[Block] = []
        self._waiting_frames = 0
        self._frames = 0
        freqs = np.asarray(np.fft.rfftfreq(2048, 1.0 / WIDE_HZ), np.float64)
        low = np.asarray(np.fft.rfftfreq(2048, 1.0 / HARMONY_HZ), np.float64)
        wide = np.concatenate([mel_bank(freqs), band_bank(freqs), loudness_bank(freqs)], axis=1)
        bands, classes = band_bank(freqs), pitch_bank(low)

        def pitch(spectra: Spectra) -> Floats:
            size = np.sqrt(_power(spectra)) * np.float32(PITCH_SCALE)
            middle = np.median(size, axis=1, keepdims=True)
            return np.asarray(np.log1p(20.0 * size / (8.0 * middle + np.float32(1e-3))) @ classes)

        self._mid = _Spectra(2048, 512, lambda spectra: np.asarray(_power(spectra) @ wide))
        self._side = _Spectra(2048, 2048, lambda spectra: np.asarray(_power(spectra) @ bands))
        self._pitch = _Spectra(2048, 512, pitch)
        self._resamplers = [
            None
            if rate_hz == to_hz
            else soxr.ResampleStream(rate_hz, to_hz, 1, dtype="float32", quality="HQ")
            for to_hz in (WIDE_HZ, WIDE_HZ, HARMONY_HZ)
        ]

    def add(self, block: Block) -> None:
        """Take the next block."""
        self._waiting.append(block)
        self._waiting_frames += block.shape[1]
        self._frames += block.shape[1]
        if self._waiting_frames < CHUNK_FRAMES:
            self._waiting[-1] = block.copy()  # the caller may use its array again
            return
        joined = np.concatenate(self._waiting, axis=1)
        whole = joined.shape[1] // CHUNK_FRAMES * CHUNK_FRAMES
        for start in range(0, whole, CHUNK_FRAMES):
            self._take(joined[:, start : start + CHUNK_FRAMES], last=False)
        self._waiting = [joined[:, whole:].copy()]
        self._waiting_frames -= whole

    def result(self) -> Features:
        """Features of all that was added. To be called once."""
        rest = np.concatenate(self._waiting, axis=1) if self._waiting else np.zeros((self._channels, 0))
        self._take(rest, last=True)
        wide = self._mid.result()
        mel, bands, loudness = np.split(wide, [MEL_BANDS, MEL_BANDS + len(BANDS_HZ)], axis=1)
        return Features(
            rate_hz=self._rate_hz,
            frames=self._frames,
            mel=mel,
            bands=bands,
            loudness=loudness[:, 0],
            side_bands=self._side.result(),
            pitch=self._pitch.result(),
        )

    def _take(self, chunk: Block, last: bool) -> None:
        mid = chunk.mean(axis=0).astype(np.float32)
        side = np.zeros_like(mid)
        if self._channels > 1:
            side = ((chunk[0] - chunk[1]) * 0.5).astype(np.float32)
        sinks = zip((mid, side, mid), self._resamplers, (self._mid, self._side, self._pitch), strict=True)
        for samples, resampler, spectra in sinks:
            spectra.add(samples if resampler is None else resampler.resample_chunk(samples, last=last))
