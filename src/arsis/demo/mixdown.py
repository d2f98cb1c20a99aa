"""From two buses to three files: room, bus gain, the mixer's hand, and integers that add up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, silence
from arsis.units import db_to_gain

from .tone import Wave, decay, noise

FULL_SCALE = 1 << 23  # 24-bit words
_HOP = 256
_BLOCK = 1 << 16


class Bus:
    """Sums what is placed on it: straight to left and right, and by a send to the room."""

    def __init__(self, frames: int) -> None:
        self.sound = silence(2, frames)
        self.send = np.zeros(frames)

    def place(self, wave: Wave, frame: int, level_db: float, pan: float, room_db: float) -> None:
        """Adds a mono sound at a frame; pan from -1 (left) to 1 (right), equal power."""
        skipped = max(0, -frame)
        start = frame + skipped
        part = wave[skipped : skipped + max(0, self.send.size - start)] * db_to_gain(level_db)
        where = slice(start, start + part.size)
        angle = (pan + 1.0) * np.pi / 4.0
        self.sound[0, where] += np.cos(angle) * part
        self.sound[1, where] += np.sin(angle) * part
        self.send[where] += db_to_gain(room_db) * part

    def with_room(self, response: Block) -> Block:
        """The bus with its send through a room."""
        return self.sound + convolve(self.send, response)


@dataclass(frozen=True, slots=True)
class Stems:
    """24-bit words, shape (2, frames); instrumental + acappella is the mix, exactly."""

    instrumental: NDArray[np.int32]
    acappella: NDArray[np.int32]

    @property
    def mix(self) -> NDArray[np.int32]:
        return self.instrumental + self.acappella


def room(rate_hz: int, rng: np.random.Generator, time_s: float, delay_s: float) -> Block:
    """The response of a room: a few walls, then noise that dies in `time_s` (60 dB), the top sooner."""
    frames = int(1.1 * time_s * rate_hz)
    late = int(delay_s * rate_hz)
    response = silence(2, late + frames)
    for side in range(2):
        low = noise(frames, rate_hz, rng, ((90, -24), (250, -3), (800, 0), (2500, -9), (8000, -30)))
        high = noise(frames, rate_hz, rng, ((500, -30), (2500, -4), (5000, 0), (10000, -7), (18000, -24)))
        tail = low * decay(frames, rate_hz, time_s / 6.9) + 0.7 * high * decay(frames, rate_hz, time_s / 11.0)
        response[side, late:] = tail * np.minimum(1.0, np.arange(frames) / (0.012 * rate_hz))
        for wall in rng.uniform(0.003, 0.03, 5):
            response[side, int(wall * rate_hz)] += rng.choice((-1.0, 1.0)) * rng.uniform(2.0, 5.0)
    return np.asarray(response / np.sqrt(np.sum(response**2) / 2))


def convolve(wave: Wave, response: Block) -> Block:
    """A mono sound through a stereo response, as long as the sound; overlap-add."""
    size = 1 << (_BLOCK + response.shape[1] - 1).bit_length()
    step = size - response.shape[1] + 1
    spectra = np.fft.rfft(response, size)
    total = silence(response.shape[0], wave.size + size)
    for start in range(0, wave.size, step):
        spectrum = np.fft.rfft(wave[start : start + step], size)
        total[:, start : start + size] += np.fft.irfft(spectrum * spectra, size)
    return total[:, : wave.size]


def glue_db(mix: Block, rate_hz: int, threshold_db: float, ratio: float) -> Wave:
    """What a slow bus compressor does to a mix, in dB at each frame: 25 ms attack, 220 ms release.

    Levels are RMS over 256 frames; the gain is drawn straight in dB from one to the next.
    """
    hops = mix.shape[1] // _HOP
    power = np.mean(mix[:, : hops * _HOP].reshape(2, hops, _HOP) ** 2, axis=(0, 2))
    wanted = (threshold_db - 10.0 * np.log10(power + 1e-12)).clip(max=0.0) * (1.0 - 1.0 / ratio)
    attack, release = (1.0 - np.exp(-_HOP / (rate_hz * time_s)) for time_s in (0.025, 0.22))
    gains, now = np.empty(hops), 0.0
    for hop, goal in enumerate(wanted.tolist()):
        now += (attack if goal < now else release) * (goal - now)
        gains[hop] = now
    return np.interp(np.arange(mix.shape[1]), (np.arange(hops) + 0.5) * _HOP, gains)


def trim_db(mix: Block, range_db: float) -> Wave:
    """What a mixer's touch on stray peaks does, in dB at each frame: the top `range_db` comes down by half.

    A dip covers the peak's 256 frames and goes back to nothing over the next 256 on either side.
    """
    hops = mix.shape[1] // _HOP
    peaks = np.max(np.abs(mix[:, : hops * _HOP]).reshape(2, hops, _HOP), axis=(0, 2))
    level_db = 20.0 * np.log10(peaks + 1e-12)
    dips = -0.5 * (level_db - level_db.max() + range_db).clip(min=0.0)
    held = np.minimum(dips, np.minimum(np.roll(dips, 1), np.roll(dips, -1)))
    return np.asarray(np.interp(np.arange(mix.shape[1]), (np.arange(hops) + 0.5) * _HOP, held))


def to_words(instrumental: Block, acappella: Block, peak_dbfs: float) -> Stems:
    """Both stems in 24-bit words at one gain that puts the mix's sample peak at `peak_dbfs`."""
    gain = db_to_gain(peak_dbfs) * FULL_SCALE / np.max(np.abs(instrumental + acappella))
    return Stems(*(np.rint(gain * stem).astype(np.int32) for stem in (instrumental, acappella)))
