"""The bench's material: two songs of the demo, one after the other, 210 s of stereo at 44.1 kHz, 24 bits.

Made once and kept in .cache/bench, with the plan that the whole chain is measured on.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from arsis.audio import BLOCK_FRAMES, Block
from arsis.demo.songs import make_song
from arsis.dsp.dither import Quantiser
from arsis.dsp.resample import Resampler
from arsis.io.read import open_sound, read_all
from arsis.io.write import write_sound

from .treatment import SONG_S, plan

CACHE = Path(".cache/bench")
PARTS = ("nine-lamps", "ebb-clock")
RATE_HZ = 44_100
LONG_RATE_HZ = 96_000
LONG_S = 3_600.0


@dataclass(frozen=True, slots=True)
class Material:
    """A sound file and the plan over it, whose paths start at the folder above the plan's."""

    sound: Path
    plan: Path
    seconds: float


def material(folder: Path = CACHE, seconds: float = SONG_S) -> Material:
    """The song itself."""
    path = folder / "mixes" / f"song-{seconds:g}.wav"
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        words = np.concatenate([make_song(name).stems.mix for name in PARTS], axis=1)
        _write(path, RATE_HZ, _around(words, round(seconds * RATE_HZ)))
    return _planned(folder, path, seconds)


def long_material(seconds: float, folder: Path = CACHE) -> Material:
    """The song at 96 kHz, again and again for `seconds`."""
    path = folder / "mixes" / f"song-96k-{seconds:g}.wav"
    if not path.exists():
        short = read_all(material(folder).sound)
        at_rate = Resampler(RATE_HZ, LONG_RATE_HZ, 2).process(short, last=True)
        words = Quantiser(24, 2, seed=1).process(np.ascontiguousarray(at_rate))
        _write(path, LONG_RATE_HZ, _around(words, round(seconds * LONG_RATE_HZ)))
    return _planned(folder, path, seconds)


def blocks(path: Path, level: float = 1.0) -> list[Block]:
    """The sound in memory, block by block as a render sees it."""
    with open_sound(path) as sound:
        found: list[Block] = []
        while (block := sound.read(BLOCK_FRAMES)).shape[1]:
            found.append(block * level)
    return found


def _around(words: NDArray[np.int32], frames: int) -> Iterator[NDArray[np.int32]]:
    while frames > 0:
        part = words[:, :frames]
        yield part
        frames -= part.shape[1]


def _write(path: Path, rate_hz: int, parts: Iterator[NDArray[np.int32]]) -> None:
    with write_sound(path, rate_hz, 2, encoding="pcm_s24") as sound:
        for part in parts:
            sound.write(part)


def _planned(folder: Path, sound: Path, seconds: float) -> Material:
    path = folder / "songs" / f"{sound.stem}.toml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(plan(f"mixes/{sound.name}", seconds), encoding="utf-8")
    return Material(sound, path, seconds)
