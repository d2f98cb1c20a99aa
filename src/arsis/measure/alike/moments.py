"""The moments of a song: what sounds from each onset on, in the bands of `scale`.

An onset is where the K-weighted power rises, as `measure.attack` finds it. From 4 ms before it a fifth of a
second is heard: mid and side, a window that opens at once and closes slowly; and the mid's first 14 ms.
The sound itself is kept for `strokes`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.measure import attack
from arsis.measure.loudness import LoudnessMeter
from arsis.measure.series import Series
from arsis.measure.strokes.sound import Sound, SoundMeter, mid_side
from arsis.measure.strokes.waves import BEFORE_S

from .scale import FIRST_HZ, SIDE_HZ, SIZE, TONE_HZ, Bank, Floats

FIRST_S, LEAST_S = 0.014, 0.17
CHUNK_S, SIDES_S = 8.0, 0.6  # onsets are looked for in so much at once, and so much to either side of it


@dataclass(frozen=True, slots=True)
class Moments:
    """frames: where each begins, rising. powers: (moments, SIZE), of each band, up to one factor for
    the whole sound. sound: what they were heard in, as much of it as is kept."""

    rate_hz: int
    frames: NDArray[np.int64]
    powers: NDArray[np.float32]
    sound: Sound


class MomentMeter:
    """Hears a song of `frames` in blocks of any length; block size changes no bit."""

    def __init__(self, rate_hz: int, channels: int, frames: int) -> None:
        self._rate_hz, self._channels = rate_hz, channels
        self._hop = rate_hz / attack.HOPS_PER_SECOND
        self._chunk, self._sides = round(CHUNK_S * rate_hz), round(SIDES_S * rate_hz)
        self._waiting = np.zeros((channels, self._chunk + 2 * self._sides))
        self._start = -self._sides  # the frame at which what waits begins
        self._held = self._sides
        self._ear = _Ear(rate_hz)
        self._frames: list[int] = []
        self._powers = Series(np.empty((0, SIZE), np.float32))
        self._kept = SoundMeter(rate_hz, frames)

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        self._kept.add(block)
        while block.shape[1]:
            part = block[:, : self._waiting.shape[1] - self._held]
            self._waiting[:, self._held : self._held + part.shape[1]] = part
            self._held += part.shape[1]
            block = block[:, part.shape[1] :]
            if self._held == self._waiting.shape[1]:
                self._take(self._waiting, self._chunk)
                self._held -= self._chunk
                self._waiting[:, : self._held] = self._waiting[:, self._chunk :]
                self._start += self._chunk

    def finish(self) -> Moments:
        """All moments; those that reach over the end are left out. To be called once."""
        self._take(np.ascontiguousarray(self._waiting[:, : self._held]), self._held)
        frames, powers = np.array(self._frames, np.int64), self._powers.whole()
        return Moments(self._rate_hz, frames, powers, self._kept.finish())

    def _take(self, sound: Block, frames: int) -> None:
        """The moments that begin in the `frames` after the first side."""
        meter = LoudnessMeter(self._rate_hz, self._channels, attack.HOPS_PER_SECOND)
        meter.add(sound)
        found = np.rint(attack.onsets(meter.energies()) * self._hop).astype(np.int64)
        last = min(self._sides + frames, sound.shape[1] - self._ear.frames + 1)
        inside = found[(found >= self._sides) & (found < last)]
        if inside.size:
            self._frames += (inside + self._start).tolist()
            self._powers.append(np.stack([self._ear.heard(sound, int(at)) for at in inside]))


class _Ear:
    """Hears one moment."""

    def __init__(self, rate_hz: int) -> None:
        self.frames = 1 << (int(LEAST_S * rate_hz) - 1).bit_length()
        self._before = round(BEFORE_S * rate_hz)
        first = round(FIRST_S * rate_hz)
        self._window = _window(self.frames, self._before, self.frames // 2)
        self._first = _window(first, self._before, first // 3)
        self._first_size = 1 << (2 * first - 1).bit_length()
        bins, first_bins = self.frames // 2 + 1, self._first_size // 2 + 1
        self._tone = Bank(TONE_HZ, rate_hz / self.frames, bins)
        self._side = Bank(SIDE_HZ, rate_hz / self.frames, bins)
        self._early = Bank(FIRST_HZ, rate_hz / self._first_size, first_bins)

    def heard(self, sound: Block, at: int) -> NDArray[np.float32]:
        start = at - self._before
        part = mid_side(sound[:, start : start + self.frames])
        whole = _power(part * self._window, self.frames)
        early = _power(part[0, : self._first.size] * self._first, self._first_size)
        bands = [self._tone.of(whole[0]), self._side.of(whole[1]), self._early.of(early)]
        return np.concatenate(bands).astype(np.float32)


def _power(frames: Floats, size: int) -> Floats:
    spectra = np.fft.rfft(frames, size)
    return np.asarray((spectra.real**2 + spectra.imag**2) / frames.shape[-1])


def _window(frames: int, opens: int, closes: int) -> Floats:
    window = np.ones(frames)
    window[:opens] = np.sin(np.linspace(0.0, np.pi / 2.0, opens)) ** 2
    window[frames - closes :] = np.cos(np.linspace(0.0, np.pi / 2.0, closes)) ** 2
    return window
