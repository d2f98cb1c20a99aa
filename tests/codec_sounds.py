"""Sounds for the lossy coders, and FFmpeg's command line as the decoder from outside."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from arsis.audio import Block
from arsis.units import db_to_gain

from .meter16 import true_peak_dbtp
from .releases import RATE_HZ, music
from .signals import noise
from .sound_files import ffmpeg

SECONDS = 3.0
BAND_HZ = 15_000.0  # under every coder's low-pass at the rates tried here


def in_band(sound: Block, top_hz: float = BAND_HZ) -> Block:
    """The sound without anything above, as a tape or an old converter would leave it."""
    spectrum = np.fft.rfft(sound)
    spectrum[:, np.fft.rfftfreq(sound.shape[1], 1 / RATE_HZ) > top_hz] = 0.0
    return np.fft.irfft(spectrum, sound.shape[1])


def song(seconds: float = SECONDS) -> Block:
    """Music that no coder has to cut."""
    return in_band(music(seconds))


def hot(seconds: float = SECONDS, seed: int = 5) -> Block:
    """Clipped sound, rounded off by a low-pass as a converter does it, with a true peak of -1 dBTP."""
    clipped = in_band(np.clip(12.0 * noise(round(seconds * RATE_HZ), seed=seed), -0.8, 0.8), 16_000.0)
    return clipped * db_to_gain(-1.0 - true_peak_dbtp(clipped))


def blocks(sound: Block, frames: int = 16_384) -> list[Block]:
    return [np.ascontiguousarray(sound[:, at : at + frames]) for at in range(0, sound.shape[1], frames)]


def ffmpeg_decoded(path: Path, channels: int = 2) -> Block:
    """What FFmpeg's own decoder makes of a file, in float, without any rate or level change."""
    raw = ffmpeg("-i", path, "-f", "f64le", "-")
    return np.frombuffer(raw).reshape(-1, channels).T
