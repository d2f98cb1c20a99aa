"""A reference record: read once, and kept in the release folder as a curve. None of its sound is kept."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from dataclasses import asdict, dataclass, fields, is_dataclass
from itertools import pairwise
from pathlib import Path
from types import UnionType
from typing import Any, get_args, get_origin, get_type_hints

from arsis.audio import BLOCK_FRAMES, Block, Span
from arsis.errors import ArsisError
from arsis.io.digest import sha256_of
from arsis.io.names import fit_stem
from arsis.io.read import SoundReader, open_sound
from arsis.io.whole import refused, write_text_whole
from arsis.measure.spectrum import THIRD_OCTAVES
from arsis.measure.summary import Meters, SectionMeters
from arsis.plan.text import read_text
from arsis.render.progress import Progress, unseen
from arsis.structure.features import FeatureStream
from arsis.structure.find import FoundSection, find_structure
from arsis.units import seconds_to_frames

from .curve import WHOLE, Curve, Part, curve_of

FOLDER = "references"
SCHEMA = 1
_DIGITS = 12  # of the digest, in a kept file's name


@dataclass(frozen=True, slots=True)
class Reference:
    """file: the record's name, without its folder. sha256: of the file that was read."""

    schema: int
    file: str
    sha256: str
    curve: Curve

    @property
    def name(self) -> str:
        """What the record is called beside a song."""
        return Path(self.file).stem


def read_reference(record: Path, release: Path, progress: Progress = unseen) -> Reference:
    """The curve of a record: the one kept in the release folder, or what is read now and then kept.

    Raises ArsisError where the record cannot be read or is silent, and where what was kept is broken.
    """
    sha256 = sha256_of(record)
    kept = kept_at(record, sha256, release)
    if kept.exists():
        found = load_reference(kept)
        if found.sha256 != sha256:
            raise _broken(kept, "it is of another record")
        return found
    curve = _read(record, progress)
    if curve is None:
        raise ArsisError(f"{record}: is silent: nothing can be held beside it")
    reference = Reference(SCHEMA, record.name, sha256, curve)
    _keep(reference, kept)
    return reference


def kept_at(record: Path, sha256: str, release: Path) -> Path:
    """Where the curve of a record is kept."""
    return release / FOLDER / f"{fit_stem(record.stem)}-{sha256[:_DIGITS]}.json"


def load_reference(kept: Path) -> Reference:
    """A curve that was kept. Raises ArsisError for anything but what `read_reference` wrote."""
    try:
        table = json.loads(read_text(kept))
        found = table.get("schema") if isinstance(table, dict) else None
        if isinstance(found, int) and found > SCHEMA:
            raise ValueError(f"a newer arsis wrote it: schema {found}, at most {SCHEMA}")
        reference: Reference = _value(Reference, table, "the document")
        _check(reference)
    except (ValueError, RecursionError) as fault:
        raise _broken(kept, str(fault)) from None
    return reference


def _broken(kept: Path, why: str) -> ArsisError:
    return ArsisError(
        f"{kept}: is not a reference as arsis keeps it: {why}; remove it to read the record again"
    )


def _keep(reference: Reference, kept: Path) -> None:
    try:
        kept.parent.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise refused(kept.parent, fault, ArsisError) from fault
    text = json.dumps(asdict(reference), ensure_ascii=False, indent=1, allow_nan=False)
    write_text_whole(kept, text + "\n")


def _read(record: Path, progress: Progress) -> Curve | None:
    """Two passes over the sound: its sections are sought, then measured."""
    with open_sound(record) as sound:
        info = sound.info
        features = FeatureStream(info.rate_hz, info.channels)
        done = 0
        for block in _blocks(sound):
            features.add(block)
            done += block.shape[1]
            progress(done, 2 * info.frames)

        def read(start: int, frames: int) -> Block:
            sound.seek(start)
            return sound.read(frames)

        sections = find_structure(features.result(), read).sections
        sound.seek(0)
        whole = Meters(info.rate_hz, info.channels)
        meters = SectionMeters(info.rate_hz, info.channels, _spans(sections, info.rate_hz, done))
        for block in _blocks(sound):
            whole.add(block)
            meters.add(block)
            done += block.shape[1]
            progress(done, 2 * info.frames)
    parts = [
        Part(section.kind, section.end_s - section.start_s, facts)
        for section, facts in zip(sections, meters.facts(), strict=True)
    ]
    return curve_of(whole.facts(), parts)


def _blocks(sound: SoundReader) -> Iterator[Block]:
    while (block := sound.read(BLOCK_FRAMES)).shape[1]:
        yield block


def _spans(sections: tuple[FoundSection, ...], rate_hz: int, frames: int) -> list[Span]:
    edges = [*(seconds_to_frames(section.start_s, rate_hz) for section in sections), frames]
    return [Span(start, end) for start, end in pairwise(edges)]


def _value(kind: Any, value: Any, where: str) -> Any:
    """The frozen data of a JSON value, by its declaration. Raises ValueError at the first misfit."""
    if get_origin(kind) is UnionType:
        return None if value is None else _value(get_args(kind)[0], value, where)
    if is_dataclass(kind) and isinstance(value, dict):
        hints = get_type_hints(kind)
        names = {field.name for field in fields(kind)}
        if wrong := sorted(names ^ value.keys()):
            raise ValueError(f"{where} {'lacks' if wrong[0] in names else 'has a strange'} {wrong[0]}")
        made: Any = kind
        return made(**{name: _value(hints[name], value[name], name) for name in names})
    if get_origin(kind) is tuple and isinstance(value, list):
        return tuple(_value(get_args(kind)[0], one, f"an entry of {where}") for one in value)
    if (
        kind is float
        and isinstance(value, float | int)
        and not isinstance(value, bool)
        and math.isfinite(value)
    ):
        return float(value)
    if kind in (int, str) and isinstance(value, kind) and not isinstance(value, bool):
        return value
    raise ValueError(f"{where} is {json.dumps(value)[:40]}")


def _check(reference: Reference) -> None:
    """What the declarations cannot say."""
    if reference.schema != SCHEMA:
        raise ValueError(f"schema is {reference.schema}")
    if not re.fullmatch("[0-9a-f]{64}", reference.sha256):
        raise ValueError("sha256 is not 64 digits from 0 to f")
    kinds = [one.kind for one in reference.curve.kinds]
    if kinds[:1] != [WHOLE] or len(set(kinds)) < len(kinds):
        raise ValueError("kinds are not the whole and then each kind once")
    if any(len(one.third_octaves_db) != len(THIRD_OCTAVES) for one in reference.curve.kinds):
        raise ValueError(f"third_octaves_db are not {len(THIRD_OCTAVES)}")
