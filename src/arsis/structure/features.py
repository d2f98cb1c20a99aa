"""What the section finder keeps of a song: about 1.1 MB a minute, taken in one pass over the sound."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import soxr
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.dsp.spectra import SIZE, Bank, compressed_sums, power_sums

from .banks import BANDS_HZ, MEL_BANDS, band_bank, loudness_bank, mel_bank, pitch_bank

Floats = NDArray[np.float32]

# Every file is analysed at these two rates, so that each constant below holds for all of them.
WIDE_HZ = 44_100
HARMONY_HZ = 11_025

FRAME_S = 512 / WIDE_HZ  # spectra of the mid, and from them onsets
SIDE_S = 2048 / WIDE_HZ  # the side is only asked for its level
PITCH_S = 512 / HARMONY_HZ

# Input is regrouped to this many frames whatever the blocks that come in: the resampler then sees the
# same shapes, and block size cannot change a bit.
CHUNK_FRAMES = 1 << 17

# Magnitudes are compressed against the median of their frame: a voice does not drown what lies under it.
PITCH_STEEPNESS, PITCH_LEAST = 2.5, 1.40955e-7  # the latter is far below any music


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
    """Cuts a stream into frames and keeps what `reduce` (samples, frames, hop) makes of them."""

    def __init__(self, hop: int, reduce: Callable[[Floats, int, int], Floats]) -> None:
        self._hop, self._reduce = hop, reduce
        self._rest = np.zeros(SIZE // 2, np.float32)
        self._rows: list[Floats] = []

    def add(self, samples: Floats) -> None:
        buffer = np.concatenate([self._rest, samples])
        count = max((len(buffer) - SIZE) // self._hop + 1, 0)
        self._rows.append(self._reduce(buffer, count, self._hop))
        self._rest = buffer[count * self._hop :].copy()

    def result(self) -> Floats:
        """All rows; the last is centred at or after the last sample."""
        self.add(np.zeros(SIZE // 2 + self._hop, np.float32))
        return np.concatenate(self._rows)


class FeatureStream:
    """Collects Features from blocks (channels, frames) of any size. Size of block changes no bit."""

    def __init__(self, rate_hz: int, channels: int) -> None:
        self._rate_hz, self._channels = rate_hz, channels
        self._waiting = np.zeros((2, CHUNK_FRAMES), np.float32)  # mid and side
        self._waiting_frames = 0
        self._frames = 0
        freqs = np.asarray(np.fft.rfftfreq(SIZE, 1.0 / WIDE_HZ), np.float64)
        low = np.asarray(np.fft.rfftfreq(SIZE, 1.0 / HARMONY_HZ), np.float64)
        wide = Bank.of(np.concatenate([mel_bank(freqs), band_bank(freqs), loudness_bank(freqs)], axis=1))
        bands, classes = Bank.of(band_bank(freqs)), Bank.of(pitch_bank(low))
        self._mid = _Spectra(512, lambda x, frames, hop: power_sums(x, frames, hop, wide))
        self._side = _Spectra(2048, lambda x, frames, hop: power_sums(x, frames, hop, bands))
        self._pitch = _Spectra(
            512, lambda x, frames, hop: compressed_sums(x, frames, hop, classes, PITCH_STEEPNESS, PITCH_LEAST)
        )
        self._resamplers = [
            None
            if rate_hz == to_hz
            else soxr.ResampleStream(rate_hz, to_hz, 1, dtype="float32", quality="HQ")
            for to_hz in (WIDE_HZ, WIDE_HZ, HARMONY_HZ)
        ]

    def add(self, block: Block) -> None:
        """Take the next block."""
        self._frames += block.shape[1]
        while block.shape[1]:
            room = self._waiting[:, self._waiting_frames : self._waiting_frames + block.shape[1]]
            part, block = block[:, : room.shape[1]], block[:, room.shape[1] :]
            left, right = part[0], part[self._channels - 1]
            np.add(left, right, out=room[0], casting="same_kind")
            np.subtract(left, right, out=room[1], casting="same_kind")
            room *= 0.5
            self._waiting_frames += room.shape[1]
            if self._waiting_frames == CHUNK_FRAMES:
                self._take(last=False)

    def result(self) -> Features:
        """Features of all that was added. To be called once."""
        self._take(last=True)
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

    def _take(self, last: bool) -> None:
        mid, side = self._waiting[:, : self._waiting_frames]
        sinks = zip((mid, side, mid), self._resamplers, (self._mid, self._side, self._pitch), strict=True)
        for samples, resampler, spectra in sinks:
            spectra.add(samples if resampler is None else resampler.resample_chunk(samples, last=last))
        self._waiting_frames = 0
