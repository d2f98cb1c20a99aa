"""`arsis sections`: the sections of a song, its tempo, its down-beats and the joins they suggest."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import cast

from arsis.audio import BLOCK_FRAMES, Block
from arsis.io.read import open_sound
from arsis.plan.model import Join, SectionKind
from arsis.render.progress import Progress, unseen
from arsis.structure.features import FeatureStream
from arsis.structure.find import FoundSection, find_structure

from .places import OpenPlan, open_plan


@dataclass(frozen=True, slots=True)
class JoinAt:
    """How a section is entered: a fade of `fade_ms` that ends `lead_ms` before `at_s`."""

    at_s: float
    fade_ms: float
    lead_ms: float


@dataclass(frozen=True, slots=True)
class SectionAt:
    """A section; confidence of its start from 0 to 1, None where the plan says so."""

    name: str
    kind: SectionKind
    start_s: float
    end_s: float
    confidence: float | None
    join: JoinAt | None


@dataclass(frozen=True, slots=True)
class Sections:
    """What was found in a song, or what its plan has."""

    file: str
    tempo_bpm: float | None
    downbeats_s: tuple[float, ...]
    sections: tuple[SectionAt, ...]


def song_sections(path: Path, find: bool = False, progress: Progress = unseen) -> Sections:
    """The sections of a plan with the tempo of its mix, or those found in a sound file.

    find: look for them in the mix, though the plan has its own.
    """
    if path.suffix != ".toml":
        return find_sections(path, progress)
    plan = open_plan(path)
    found = find_sections(plan.mix, progress)
    sections = found.sections if find else _planned(plan, found.sections[-1].end_s)
    return replace(found, file=str(path), sections=sections)


def find_sections(mix: Path, progress: Progress = unseen) -> Sections:
    """The sections found in a sound file."""
    with open_sound(mix) as sound:
        info = sound.info
        features = FeatureStream(info.rate_hz, info.channels)
        done = 0
        while (block := sound.read(BLOCK_FRAMES)).shape[1]:
            features.add(block)
            done += block.shape[1]
            progress(done, info.frames)

        def read(start: int, frames: int) -> Block:
            sound.seek(start)
            return sound.read(frames)

        found = find_structure(features.result(), read)
    return Sections(str(mix), found.tempo_bpm, found.downbeats_s, tuple(_found(s) for s in found.sections))


def _found(section: FoundSection) -> SectionAt:
    made = section.join
    join = None if made is None else JoinAt(made.at_s, made.fade_ms, made.lead_ms)
    kind = cast(SectionKind, section.kind)  # the finder says kinds in the plan's own words
    return SectionAt(section.name, kind, section.start_s, section.end_s, section.confidence, join)


def _planned(plan: OpenPlan, end_s: float) -> tuple[SectionAt, ...]:
    sections = plan.song.section
    ends = [*(section.start_s for section in sections[1:]), end_s]
    return tuple(
        SectionAt(
            section.name,
            section.kind,
            section.start_s,
            end,
            None,
            _join(section.start_s, section.join) if i else None,
        )
        for i, (section, end) in enumerate(zip(sections, ends, strict=True))
    )


def _join(start_s: float, join: Join | None) -> JoinAt:
    made = join or Join()
    return JoinAt(start_s, made.fade_ms, made.lead_ms)
