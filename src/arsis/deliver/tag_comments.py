"""Tags as Vorbis comments, in FLAC, Ogg Vorbis and Ogg Opus.

Xiph.Org, "Vorbis I specification", 5.2.3, names TITLE, VERSION, ALBUM, TRACKNUMBER, ARTIST, COPYRIGHT, DATE
and ISRC; ALBUMARTIST, TRACKTOTAL, BARCODE, CATALOGNUMBER and ENCODER are common practice, no source.
"""

# mutagen says that it is typed, and is so in part.
# mypy: disable-error-code="no-untyped-call"

from __future__ import annotations

import base64
import hashlib
from pathlib import Path
from typing import Any

from mutagen.flac import FLAC, Picture
from mutagen.id3 import PictureType
from mutagen.ogg import OggPage
from mutagen.oggopus import OggOpus
from mutagen.oggvorbis import OggVorbis

from .artwork import Artwork
from .gains import r128_tags, replaygain_tags
from .tags import Tags

_NAMES = {
    "title": "TITLE",
    "artist": "ARTIST",
    "album": "ALBUM",
    "album_artist": "ALBUMARTIST",
    "place": "TRACKNUMBER",
    "total": "TRACKTOTAL",
    "isrc": "ISRC",
    "gtin": "BARCODE",
    "date": "DATE",
    "version": "VERSION",
    "catalogue_number": "CATALOGNUMBER",
    "copyright": "COPYRIGHT",
    "encoder": "ENCODER",
}
_OWN = {shown.lower(): name for name, shown in _NAMES.items()}
_PICTURE = "METADATA_BLOCK_PICTURE"  # Xiph.Org wiki, "VorbisComment", unofficial but read by all
_OPUS_GAIN_AT = 16  # RFC 7845, 5.1: output gain, Q7.8, little-endian


def write_flac(path: Path, tags: Tags) -> None:
    """Puts the tags into a FLAC file, in the place of any it has."""
    file: Any = FLAC(path)
    if file.tags is None:
        file.add_tags()
    file.tags[:] = _comments(tags, replaygain_tags(tags.gains))
    file.clear_pictures()
    if tags.artwork:
        file.add_picture(_picture(tags.artwork))
    file.save(padding=_none)


def write_vorbis(path: Path, tags: Tags) -> None:
    """Puts the tags into an Ogg Vorbis file, in the place of any it has."""
    file: Any = OggVorbis(path)
    file.tags[:] = _comments(tags, replaygain_tags(tags.gains)) + _coded_picture(tags)
    file.save(padding=_none)


def write_opus(path: Path, tags: Tags) -> None:
    """Puts the tags into an Ogg Opus file, in the place of any it has."""
    file: Any = OggOpus(path)
    file.tags[:] = _comments(tags, r128_tags(tags.gains, opus_output_gain(path))) + _coded_picture(tags)
    file.save(padding=_none)


def opus_output_gain(path: Path) -> int:
    """The gain in the head of an Opus stream, in 256ths of a dB."""
    with path.open("rb") as file:
        head = OggPage(file).packets[0]
    return int.from_bytes(head[_OPUS_GAIN_AT : _OPUS_GAIN_AT + 2], "little", signed=True)


def read_flac(path: Path) -> dict[str, str]:
    """The tags by our own names."""
    file: Any = FLAC(path)
    pictures = {"artwork": _shown(file.pictures[0])} if file.pictures else {}
    return _read(file.tags or []) | pictures


def read_vorbis(path: Path) -> dict[str, str]:
    """The tags by our own names."""
    return _read(OggVorbis(path).tags)


def read_opus(path: Path) -> dict[str, str]:
    """The tags by our own names."""
    return _read(OggOpus(path).tags)


def _comments(tags: Tags, gains: dict[str, str]) -> list[tuple[str, str]]:
    return [(_NAMES[name], text) for name, text in tags.texts().items()] + list(gains.items())


def _read(comments: Any) -> dict[str, str]:
    found: dict[str, str] = {}
    for name, text in comments:
        if name.upper() == _PICTURE:
            found.setdefault("artwork", _shown(Picture(base64.b64decode(text))))
        else:
            found.setdefault(_OWN.get(name.lower(), name.lower()), text)
    return found


def _picture(artwork: Artwork) -> Picture:
    picture = Picture()
    picture.type = PictureType.COVER_FRONT
    picture.mime = artwork.mime
    picture.width, picture.height, picture.depth = artwork.width, artwork.height, artwork.depth
    picture.data = artwork.data
    return picture


def _coded_picture(tags: Tags) -> list[tuple[str, str]]:
    if tags.artwork is None:
        return []
    return [(_PICTURE, base64.b64encode(_picture(tags.artwork).write()).decode())]


def _shown(picture: Picture) -> str:
    return f"{picture.mime} {hashlib.sha256(picture.data).hexdigest()}"


def _none(_: object) -> int:
    """No padding: a file is tagged once."""
    return 0
