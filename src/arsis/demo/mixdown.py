"""From two buses to three files: room, bus gain, the mixer's hand, and integers that add up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, silence
from arsis.units import db_to_gain

from .tone import Wave, decay, noise

FULL_SCALE = 1 << 23  # 24-bit words
_HOP = 256  # frames from one look at the level to the next
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

    def add_room(self, response: Block) -> None:
        """Adds what the room makes of the send; overlap-add, up to the end of the bus."""
        size = 1 << (_BLOCK + response.shape[1] - 1).bit_length()
        step = size - response.shape[1] + 1
        spectra = np.fft.rfft(response, size)
        for start in range(0, self.send.size, step):
            spectrum = np.fft.rfft(self.send[start : start + step], size)
            heard = np.fft.irfft(spectrum * spectra, size)[:, : self.send.size - start]
            self.sound[:, start : start + size] += heard


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


def glue_gain(mix: Block, rate_hz: int, threshold_db: float, ratio: float) -> Wave:
    """The gain of a slow bus compressor over the mix's RMS, for each hop: 25 ms attack, 220 ms release."""
    hops = _hops(mix)
    power = np.einsum("chf,chf->h", hops, hops) / (2 * _HOP)
    wanted = (threshold_db - 10.0 * np.log10(power + 1e-12)).clip(max=0.0) * (1.0 - 1.0 / ratio)
    attack, release = (1.0 - np.exp(-_HOP / (rate_hz * time_s)) for time_s in (0.025, 0.22))
    gains_db, now_db = np.empty(power.size), 0.0
    for hop, goal_db in enumerate(wanted.tolist()):
        now_db += (attack if goal_db < now_db else release) * (goal_db - now_db)
        gains_db[hop] = now_db
    return np.asarray(10.0 ** (gains_db / 20.0))


def trim_gain(mix: Block, range_db: float) -> Wave:
    """The gain of a mixer's touch on stray peaks, for each hop: the top `range_db` comes down by half.

    A dip covers the peak's hop and goes back to nothing over the next on either side.
    """
    hops = _hops(mix)
    peaks = np.maximum(hops.max(axis=(0, 2)), -hops.min(axis=(0, 2)))
    level_db = 20.0 * np.log10(peaks + 1e-12)
    dips = -0.5 * (level_db - level_db.max() + range_db).clip(min=0.0)
    held = np.minimum(dips, np.minimum(np.roll(dips, 1), np.roll(dips, -1)))
    return np.asarray(10.0 ** (held / 20.0))


def at_frames(hop_gains: Wave, frames: int) -> Wave:
    """The gain of each hop drawn straight from middle to middle."""
    middles = (np.arange(hop_gains.size) + 0.5) * _HOP
    return np.asarray(np.interp(np.arange(float(frames)), middles, hop_gains))


def to_words(instrumental: Block, acappella: Block, peak_dbfs: float) -> Stems:
    """Both stems in 24-bit words at one gain that puts the mix's sample peak at `peak_dbfs`."""
    peak = max(
        float(np.abs(music + voice).max()) for music, voice in zip(instrumental, acappella, strict=True)
    )
    gain = db_to_gain(peak_dbfs) * FULL_SCALE / peak
    return Stems(_words(instrumental, gain), _words(acappella, gain))


def _words(stem: Block, gain: float) -> NDArray[np.int32]:
    """The stem in whole numbers; a channel at a time, to hold less at once."""
    words = np.empty(stem.shape, dtype=np.int32)
    for channel, word in zip(stem, words, strict=True):
        word[:] = np.rint(gain * channel)
    return words


def _hops(mix: Block) -> Block:
    """The mix as (channels, hops, frames of a hop); what is left at the end is out."""
    count = mix.shape[1] // _HOP
    return mix[:, : count * _HOP].reshape(2, count, _HOP)
