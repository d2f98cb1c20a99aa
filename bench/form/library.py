"""The songs of the form corpus as files, made once and kept in .cache/bench/form."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import soundfile

from .play import RATE_HZ, perform
from .score import FormScore

CACHE = Path(".cache/bench/form")


def song_path(score: FormScore, folder: Path = CACHE) -> Path:
    """The song as FLAC; one that is there is taken as it is."""
    path = folder / f"{score.name}.flac"
    if not path.exists():
        folder.mkdir(parents=True, exist_ok=True)
        half = path.with_suffix(".part")
        words = np.rint(perform(score).T * (2**23 - 1)).astype(np.int32) << 8
        soundfile.write(half, words, RATE_HZ, format="FLAC", subtype="PCM_24")
        half.rename(path)
    return path
