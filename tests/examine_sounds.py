"""Clean material to plant faults into: excerpts of the demo songs, and sounds of other kinds."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
import soundfile

from arsis.audio import Block
from arsis.demo.mixdown import FULL_SCALE
from arsis.process.base import drain
from arsis.process.limiting import LimiterRunner
from arsis.settings import Limiter
from arsis.workflow.examine import Examined, examine_file

from .demo_songs import demo_song

RATE_HZ = 44_100
SECONDS = 12


def whole_words(sound: Block, bits: int = 24) -> Block:
    """Dithered to whole words, as a session's bounce is: a triangle of two steps, from a fixed seed."""
    rng, scale = np.random.default_rng(2), 2.0 ** (bits - 1)
    noise = rng.random(sound.shape) - rng.random(sound.shape)
    return np.clip(np.floor(sound * scale + noise + 0.5), -scale, scale - 1.0) / scale


def from_rest_to_rest(sound: Block, rate_hz: int = RATE_HZ) -> Block:
    """With a moment of silence before it, and dying away at its end."""
    frames = rate_hz // 2
    out = np.pad(sound, ((0, 0), (rate_hz // 10, 0)))
    out[:, : 2 * frames] *= np.clip(np.arange(2 * frames) / frames - 0.2, 0.0, 1.0) ** 2
    out[:, -frames:] *= np.linspace(1.0, 0.0, frames) ** 4
    return out


@cache
def demo(name: str = "nine-lamps", start_s: float = 30.0, seconds: float = SECONDS) -> Block:
    """Part of a demo song's mix, at its own rate (44.1 kHz of this one)."""
    made = demo_song(name)
    start, end = round(start_s * made.rate_hz), round((start_s + seconds) * made.rate_hz)
    mix = (made.stems.instrumental + made.stems.acappella)[:, start:end] / FULL_SCALE
    return from_rest_to_rest(mix, made.rate_hz)


@cache
def loud() -> Block:
    """Loud and modern: 6 dB into a limiter, its top where a release has it."""
    return drain(LimiterRunner(Limiter(ceiling_dbtp=-1.0), RATE_HZ, 2), demo() * 2.0)


@cache
def acoustic() -> Block:
    """Quiet plucked strings with the noise of a good room: uneven strokes, each decaying on its own."""
    rng = np.random.default_rng(11)
    t = np.arange(SECONDS * RATE_HZ) / RATE_HZ
    sound = 10.0 ** (-82.0 / 20.0) * rng.standard_normal((2, t.size))
    for at_s in np.cumsum(rng.uniform(0.15, 0.6, size=45)):
        since = np.maximum(t - at_s, 0.0)
        freq_hz, side = 110.0 * 2.0 ** (rng.integers(0, 30) / 12.0), rng.uniform(-0.5, 0.5)
        for k in range(1, 12):
            body = np.sin(2.0 * np.pi * k * freq_hz * since + k) * np.exp(-since * (1.2 + 0.7 * k)) / k
            sound += 0.03 * body * (1.0 - np.exp(-since / 0.003)) * np.array([[1.0 + side], [1.0 - side]])
    return from_rest_to_rest(sound)


@cache
def driven_bass() -> Block:
    """A bass driven hard on purpose, under a steady stroke."""
    rng = np.random.default_rng(12)
    t = np.arange(SECONDS * RATE_HZ) / RATE_HZ
    freq_hz = np.repeat(rng.choice((41.2, 49.0, 55.0, 65.4), size=2 * SECONDS), RATE_HZ // 2)
    bass = np.tanh(8.0 * np.sin(2.0 * np.pi * np.cumsum(freq_hz) / RATE_HZ))
    stroke = np.exp(-(t % 0.5) / 0.06) * rng.standard_normal(t.size) * (1.0 - np.exp(-(t % 0.5) / 0.001))
    return from_rest_to_rest(np.stack([0.3 * bass + 0.08 * stroke, 0.3 * bass + 0.06 * stroke]))


def mono() -> Block:
    return np.ascontiguousarray(np.broadcast_to(demo().mean(axis=0), demo().shape))


CLEAN: dict[str, Callable[[], Block]] = {
    "demo": demo,
    "loud": loud,
    "acoustic": acoustic,
    "driven bass": driven_bass,
    "mono": mono,
}


def examined(
    folder: Path, sound: Block, rate_hz: int = RATE_HZ, subtype: str = "PCM_24", bits: int = 24
) -> Examined:
    """What is said of a sound as a file."""
    path = folder / "song.wav"
    soundfile.write(path, (whole_words(sound, bits) if bits else sound).T, rate_hz, subtype)
    return examine_file(path)


def kinds(found: Examined) -> set[str]:
    return {one.kind for one in found.findings}
