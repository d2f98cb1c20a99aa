"""Tags as chunks of a WAV file: bext, axml, markers, LIST INFO and an ID3 tag.

LIST INFO: IBM and Microsoft, "Multimedia Programming Interface and Data Specifications 1.0" (1991), 2-14;
IPRD for the album and ITRK for the place are common practice, no source. Its texts are UTF-8.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from arsis.io.axml import isrc_axml, isrc_of_axml
from arsis.io.bext import Bext, Loudness, coding_history
from arsis.io.chunks import read_chunks
from arsis.io.markers import Marker, marker_chunks, parts, read_markers
from arsis.io.wav_form import chunk
from arsis.io.write import Chunks

from .tag_id3 import id3_bytes, read_id3
from .tags import Tags, one_line

_INFO = {
    "title": b"INAM",
    "artist": b"IART",
    "album": b"IPRD",
    "place": b"ITRK",
    "date": b"ICRD",
    "copyright": b"ICOP",
    "encoder": b"ISFT",
}
# The five levels of a bext chunk of version 2 (EBU Tech 3285).
BEXT_LEVELS = (
    "integrated_lufs",
    "range_lu",
    "true_peak_dbtp",
    "max_momentary_lufs",
    "max_short_term_lufs",
)


def wav_ahead(tags: Tags, *, rate_hz: int, channels: int, bits: int, start_frame: int = 0) -> Chunks:
    """What stands before the sound, still without loudness: for `ahead` of `write_sound`."""
    return ((b"bext", _bext(tags, None, rate_hz, channels, bits, start_frame).to_bytes()),)


def wav_chunks(
    tags: Tags,
    facts: Loudness | None,
    markers: Sequence[Marker] = (),
    *,
    rate_hz: int,
    channels: int,
    bits: int,
    start_frame: int = 0,
) -> Chunks:
    """All the chunks of a file, bext first: for `chunks` of `write_sound`.

    facts: the measured loudness, None where there is none. start_frame: of the file in the record.
    """
    found = [(b"bext", _bext(tags, facts, rate_hz, channels, bits, start_frame).to_bytes())]
    if tags.isrc:
        found.append((b"axml", isrc_axml(tags.isrc)))
    found += marker_chunks([replace(marker, name=one_line(marker.name)) for marker in markers])
    found.append((b"LIST", _info(tags)))
    found.append((b"id3 ", id3_bytes(tags)))
    return tuple(found)


def read_wav(path: Path) -> dict[str, str]:
    """The tags by our own names, from the ID3 tag; what the other chunks say under `bext.…` and so on."""
    chunks = read_chunks(path)
    found: dict[str, str] = {}
    for name, body in chunks:
        if name == b"id3 ":
            found |= read_id3(body)
        elif name == b"bext":
            found |= _read_bext(body)
        elif name == b"axml":
            found["axml.isrc"] = isrc_of_axml(body) or ""
        elif name == b"LIST" and body[:4] == b"INFO":
            found |= _read_info(body)
    markers = [f"{marker.frame} {marker.name}" for marker in read_markers(chunks)]
    return found | ({"markers": "; ".join(markers)} if markers else {})


def _bext(
    tags: Tags, facts: Loudness | None, rate_hz: int, channels: int, bits: int, start_frame: int
) -> Bext:
    texts = tags.texts()
    shown = [texts[name] for name in ("title", "artist", "album") if name in texts]
    loudness = {name: getattr(facts, name) for name in BEXT_LEVELS} if facts else {}
    return Bext(
        description=" - ".join(shown),
        originator="arsis",
        originator_reference=tags.isrc or tags.catalogue_number,
        date=tags.made,
        time="00:00:00" if tags.made else "",  # the day is fixed when a delivery is begun; no clock is read
        time_reference_frames=start_frame,
        coding_history=coding_history(rate_hz, bits, channels, tags.encoder),
        **loudness,
    )


def _read_bext(body: bytes) -> dict[str, str]:
    bext = Bext.from_bytes(body)
    texts = {
        "description": bext.description,
        "originator": bext.originator,
        "originator_reference": bext.originator_reference,
        "date": bext.date,
        "time": bext.time,
        "time_reference_frames": str(bext.time_reference_frames),
        "coding_history": bext.coding_history.strip(),
    }
    values = {name: getattr(bext, name) for name in BEXT_LEVELS}
    texts |= {name: f"{value:.2f}" for name, value in values.items() if value is not None}
    return {f"bext.{name}": text for name, text in texts.items() if text}


def _info(tags: Tags) -> bytes:
    texts = tags.texts()
    return b"INFO" + b"".join(
        chunk(name, texts[own].encode() + b"\0") for own, name in _INFO.items() if own in texts
    )


def _read_info(body: bytes) -> dict[str, str]:
    own = {name: shown for shown, name in _INFO.items()}
    return {
        f"info.{own.get(name, name.decode('latin-1').strip())}": text.split(b"\0", 1)[0].decode(
            "utf-8", "replace"
        )
        for name, text in parts(body[4:])
    }
