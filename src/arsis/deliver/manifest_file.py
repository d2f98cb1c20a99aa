"""The manifest as a file: written the same to the byte each time, and read as strictly as a plan."""

from __future__ import annotations

import json
import math
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Any

from arsis.errors import DocumentError, Fault
from arsis.io.whole import write_text_whole
from arsis.plan.text import read_text

from .manifest import MANIFEST, Manifest, SoundFile
from .manifest_shape import troubles_in, value_of


def write_manifest(folder: Path, manifest: Manifest) -> None:
    """Writes `manifest.json` into a delivery. Raises ArsisError where the disk refuses."""
    write_text_whole(folder / MANIFEST, manifest_to_json(manifest))


def read_manifest(path: Path) -> Manifest:
    """The manifest of a delivery, from its file or the folder that holds it.

    Raises ArsisError where it cannot be read, DocumentError with everything in it that is not allowed.
    """
    file = path / MANIFEST if path.is_dir() else path
    return manifest_from_json(read_text(file), str(file))


def manifest_to_json(manifest: Manifest) -> str:
    """The manifest's text: keys as they are declared, files in their order, a line each."""
    return json.dumps(_plain(in_order(manifest)), ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def manifest_from_json(text: str, name: str = MANIFEST) -> Manifest:
    """The manifest of a text; `name` stands for the file in messages. Raises as `read_manifest`."""
    try:
        table = json.loads(text, object_pairs_hook=_without_doubles, parse_constant=_refused)
    except RecursionError:
        raise _not_json(name, 0, "lists within lists without end") from None
    except json.JSONDecodeError as fault:
        raise _not_json(name, fault.lineno, fault.msg.lower()) from None
    except ValueError as fault:  # what the two hooks refuse, and numbers of thousands of digits
        raise _not_json(name, 0, str(fault)) from None
    troubles = troubles_in(table)
    if troubles:
        raise DocumentError([Fault(name, 0, one.key, one.found, one.allowed) for one in troubles])
    made: Manifest = value_of(Manifest, table)
    return made


def in_order(manifest: Manifest) -> Manifest:
    """The same manifest with its files in the order of the record, whole records first; the rest by name."""
    return replace(
        manifest,
        mixes=tuple(sorted(manifest.mixes, key=lambda mix: mix.path)),
        sounds=tuple(sorted(manifest.sounds, key=_place)),
        documents=tuple(sorted(manifest.documents, key=lambda document: document.path)),
    )


def _place(sound: SoundFile) -> tuple[int, int, str, int, str]:
    place = sound.place if sound.place is not None else 0
    return (
        ("assembly", "song", "version").index(sound.role) > 0,
        place,
        sound.role,
        sound.start_frame,
        sound.path,
    )


def _plain(value: Any) -> Any:
    """What JSON can carry; null for a number that does not exist, such as the loudness of silence."""
    if is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    if isinstance(value, dict):
        return dict(sorted(value.items()))
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def _without_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    table = dict(pairs)
    if len(table) < len(pairs):
        names = [name for name, _ in pairs]
        double = next(name for name in names if names.count(name) > 1)
        raise ValueError(f'the key "{double}" twice in one object')
    return table


def _refused(constant: str) -> Any:
    raise ValueError(f"{constant}, which is no number in JSON")


def _not_json(name: str, line: int, found: str) -> DocumentError:
    return DocumentError(
        [Fault(name, line, "the document", found, "a JSON document as `arsis deliver` writes it")]
    )
