"""What a sound file is, without decoding it."""

from __future__ import annotations

from pathlib import Path

from .info import SoundInfo
from .read import open_sound


def probe(path: str | Path) -> SoundInfo:
    """The file's facts. Raises SoundFileError as `open_sound` does."""
    with open_sound(path) as sound:
        return sound.info
