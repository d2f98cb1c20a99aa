"""Puts tags into delivered files and reads them back. What goes where: docs/tags.md.

The same tags make the same bytes: a fixed order, no padding, nothing of the clock.
"""

from __future__ import annotations

import struct
from collections.abc import Callable
from pathlib import Path

from mutagen import MutagenError

from arsis.errors import SoundFileError
from arsis.io.markers import Marker

from .artwork import Artwork, artwork_of
from .gains import Gains
from .tag_comments import read_flac, read_opus, read_vorbis, write_flac, write_opus, write_vorbis
from .tag_id3 import read_mp3, write_mp3
from .tag_mp4 import read_mp4, write_mp4
from .tag_wav import read_wav, wav_ahead, wav_chunks
from .tags import ENCODER, Tags

__all__ = [
    "ENCODER",
    "Artwork",
    "Gains",
    "Marker",
    "Tags",
    "artwork_of",
    "read_tags",
    "wav_ahead",
    "wav_chunks",
    "write_tags",
]

_WRITERS: dict[str, Callable[[Path, Tags], None]] = {
    "flac": write_flac,
    "mp3": write_mp3,
    "aac": write_mp4,
    "opus": write_opus,
    "vorbis": write_vorbis,
}
_READERS: dict[str, Callable[[Path], dict[str, str]]] = {
    "wav": read_wav,
    "flac": read_flac,
    "mp3": read_mp3,
    "aac": read_mp4,
    "opus": read_opus,
    "vorbis": read_vorbis,
}
# What mutagen raises, and what it lets through where a file is damaged.
_FAULTS = (MutagenError, OSError, EOFError, LookupError, ValueError, struct.error)


def write_tags(path: str | Path, container: str, tags: Tags) -> None:
    """Puts the tags into a finished file that has not its last name yet, in the place of any it has.

    container: flac, mp3, aac, opus or vorbis; a WAV file gets its chunks while it is written.
    Raises SoundFileError where the file is no such file or the disk refuses it.
    """
    if container not in _WRITERS:
        raise ValueError(f"a file of {container!r} is not tagged after it is written")
    try:
        _WRITERS[container](Path(path), tags)
    except _FAULTS as fault:
        raise SoundFileError(f"{path}: cannot be tagged: {_reason(fault)}") from fault


def read_tags(path: str | Path, container: str) -> dict[str, str]:
    """What a file says of itself, by our own names. Raises SoundFileError where it is no such file."""
    try:
        return _READERS[container](Path(path))
    except _FAULTS as fault:
        raise SoundFileError(f"{path}: its tags cannot be read: {_reason(fault)}") from fault


def _reason(fault: Exception) -> str:
    cause = fault.args[0] if fault.args and isinstance(fault.args[0], OSError) else fault
    if isinstance(cause, OSError):
        return (cause.strerror or str(cause)).lower()
    return str(fault) if isinstance(fault, MutagenError) else "the file is damaged"
