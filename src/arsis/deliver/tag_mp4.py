"""Tags as an MP4 file has them, for AAC.

The names of the atoms are common practice, no standard: the well-known ones, and free-form ones, which
every reader looks for in one and the same name space.
"""

# mutagen says that it is typed, and is so in part.
# mypy: disable-error-code="no-untyped-call"

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

from mutagen.mp4 import MP4, MP4Cover, MP4FreeForm

from .gains import replaygain_tags
from .tags import Tags

_ATOMS = {
    "title": "\xa9nam",
    "artist": "\xa9ART",
    "album": "\xa9alb",
    "album_artist": "aART",
    "date": "\xa9day",
    "copyright": "cprt",
    "encoder": "\xa9too",
}
_SPACE = "----:com.apple.iTunes:"
_FREE = {
    "isrc": "ISRC",
    "gtin": "BARCODE",
    "version": "VERSION",
    "catalogue_number": "CATALOGNUMBER",
}
_COVERS = {"image/jpeg": MP4Cover.FORMAT_JPEG, "image/png": MP4Cover.FORMAT_PNG}


def write_mp4(path: Path, tags: Tags) -> None:
    """Puts the tags into an MP4 file, in the place of any it has."""
    file: Any = MP4(path)
    texts = tags.texts()
    if file.tags is None:
        file.add_tags()
    file.tags.clear()
    for name, atom in _ATOMS.items():
        if name in texts:
            file.tags[atom] = [texts[name]]
    if tags.place:
        file.tags["trkn"] = [(tags.place, tags.total or 0)]
    own = {shown: texts[name] for name, shown in _FREE.items() if name in texts}
    gains = {name.lower(): text for name, text in replaygain_tags(tags.gains).items()}
    for name, text in (own | gains).items():
        file.tags[_SPACE + name] = [MP4FreeForm(text.encode())]
    if tags.artwork:
        file.tags["covr"] = [MP4Cover(tags.artwork.data, _COVERS[tags.artwork.mime])]
    file.save(padding=_none)


def read_mp4(path: Path) -> dict[str, str]:
    """The tags by our own names."""
    atoms: Any = MP4(path).tags or {}
    found = {name: atoms[atom][0] for name, atom in _ATOMS.items() if atom in atoms}
    for place, total in atoms.get("trkn", [])[:1]:
        found |= {"place": str(place)} | ({"total": str(total)} if total else {})
    own = {shown: name for name, shown in _FREE.items()}
    for key, values in atoms.items():
        if key.startswith(_SPACE):
            name = key.removeprefix(_SPACE)
            found[own.get(name, name.lower())] = bytes(values[0]).decode("utf-8", "replace")
    for cover in atoms.get("covr", [])[:1]:
        mime = {kind: mime for mime, kind in _COVERS.items()}.get(cover.imageformat, "image")
        found["artwork"] = f"{mime} {hashlib.sha256(cover).hexdigest()}"
    return found


def _none(_: object) -> int:
    """No padding: a file is tagged once."""
    return 0
