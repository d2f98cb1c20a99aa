"""Tags as ID3 version 2.4 has them, in MP3 and in the `id3 ` chunk of WAV.

ID3.org, "ID3 tag version 2.4.0 - Native Frames" (2000). 2.4 and not 2.3: texts in UTF-8, a date to the
month, and a `/` inside a text that does not cut it in two.
"""

# mutagen says that it is typed, and is so in part.
# mypy: disable-error-code="no-untyped-call"

from __future__ import annotations

import hashlib
import io
from pathlib import Path

from mutagen import id3
from mutagen.mp3 import MP3

from .gains import replaygain_tags
from .tags import Tags

_UTF8 = id3.Encoding.UTF8
_FRAMES = {
    "title": "TIT2",
    "artist": "TPE1",
    "album": "TALB",
    "album_artist": "TPE2",
    "isrc": "TSRC",
    "date": "TDRC",
    "version": "TIT3",
    "copyright": "TCOP",
    "encoder": "TSSE",
}
_OWN = {"gtin": "BARCODE", "catalogue_number": "CATALOGNUMBER"}  # TXXX: common practice, no source


def id3_bytes(tags: Tags) -> bytes:
    """A whole tag, for a chunk."""
    file = io.BytesIO()
    _made(tags).save(file, v1=0, v2_version=4, padding=_none)
    return file.getvalue()


def write_mp3(path: Path, tags: Tags) -> None:
    """Puts the tag at the head of an MP3 file, in the place of any it has."""
    MP3(path)  # mutagen would tag any file, and make one that is not there
    _made(tags).save(path, v1=0, v2_version=4, padding=_none)


def read_mp3(path: Path) -> dict[str, str]:
    """The tags by our own names."""
    frames = MP3(path).tags
    return {} if frames is None else _read(frames)


def read_id3(body: bytes) -> dict[str, str]:
    """The tags of a chunk by our own names; none where it holds no tag."""
    try:
        return _read(id3.ID3(io.BytesIO(body)))
    except id3.ID3NoHeaderError:
        return {}


def _read(frames: id3.ID3) -> dict[str, str]:
    found = {name: str(frames[frame]) for name, frame in _FRAMES.items() if frame in frames}
    if "TRCK" in frames:
        place, _, total = str(frames["TRCK"]).partition("/")
        found |= {"place": place} | ({"total": total} if total else {})
    for frame in frames.getall("TXXX"):
        own = {shown: name for name, shown in _OWN.items()}
        found[own.get(frame.desc, frame.desc.lower())] = str(frame)
    for picture in frames.getall("APIC")[:1]:
        found["artwork"] = f"{picture.mime} {hashlib.sha256(picture.data).hexdigest()}"
    return found


def _made(tags: Tags) -> id3.ID3:
    frames, texts = id3.ID3(), tags.texts()
    for name, frame in _FRAMES.items():
        if name in texts:
            frames.add(getattr(id3, frame)(encoding=_UTF8, text=[texts[name]]))
    if "place" in texts:
        number = "/".join(texts[name] for name in ("place", "total") if name in texts)
        frames.add(id3.TRCK(encoding=_UTF8, text=[number]))
    own = {shown: texts[name] for name, shown in _OWN.items() if name in texts}
    for name, text in (own | replaygain_tags(tags.gains)).items():
        frames.add(id3.TXXX(encoding=_UTF8, desc=name, text=[text]))
    if tags.artwork:
        front = id3.PictureType.COVER_FRONT
        frames.add(
            id3.APIC(encoding=_UTF8, mime=tags.artwork.mime, type=front, desc="", data=tags.artwork.data)
        )
    return frames


def _none(_: object) -> int:
    """No padding: a file is tagged once."""
    return 0
