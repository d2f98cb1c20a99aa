"""The picture that a release names, looked at before a delivery is begun."""

from __future__ import annotations

import hashlib
from pathlib import Path

from arsis.errors import ArsisError

from .artwork import Artwork, artwork_of
from .gathering import Gathering, ReadDocument
from .order import ArtworkUsed

# A picture in a FLAC file is at most so long: the length of its block has 24 bits (RFC 9639, 8.1), less
# what stands before it in the block.
MOST_BYTES = 2**24 - 1024
LEAST_PIXELS = 1400  # shops want 1400 to 3000 a side, as many as the other: common practice, no source

_ALLOWED = f"a JPEG or PNG picture inside the release folder, of at most {MOST_BYTES} bytes"


def look_at_picture(
    release: Path, given: str, document: ReadDocument, faults: Gathering
) -> ArtworkUsed | None:
    """The picture that a release names; None where there is none that can be used."""
    path = release / given
    try:
        inside = path.resolve(strict=True).is_relative_to(release.resolve())
        data = path.read_bytes() if inside and path.is_file() else b""
        picture = artwork_of(data, given)
    except OSError as fault:
        reason = f", and {(fault.strerror or str(fault)).lower()}"
    except ArsisError:
        reason = (
            ", which holds no such picture" if inside else ", a link that leads out of the release folder"
        )
    else:
        if len(data) <= MOST_BYTES and picture.width and picture.height:
            return _used(given, data, picture, faults)
        reason = f", {len(data)} bytes long, of {picture.width} × {picture.height} pixels"
    faults.at(document, ("artwork",), f'"{given}"{reason}', _ALLOWED)
    return None


def _used(given: str, data: bytes, picture: Artwork, faults: Gathering) -> ArtworkUsed:
    if picture.width != picture.height or picture.width < LEAST_PIXELS:
        faults.warnings.append(
            f"the artwork has {picture.width} × {picture.height} pixels; shops want a square of at least"
            f" {LEAST_PIXELS} × {LEAST_PIXELS} (common practice)"
        )
    return ArtworkUsed(
        path=given,
        sha256=hashlib.sha256(data).hexdigest(),
        bytes=len(data),
        mime=picture.mime,
        width=picture.width,
        height=picture.height,
    )
