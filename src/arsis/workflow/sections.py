"""`arsis sections`: the sections of a song, its tempo, its down-beats and the joins they suggest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import cast

import numpy as np
from numpy.typing import NDArray

from arsis.audio import BLOCK_FRAMES, Block
from arsis.io.digest import sha256_of
from arsis.io.read import SoundReader, open_sound
from arsis.measure.loudness import HOPS_PER_SECOND, LoudnessMeter, section_lufs
from arsis.plan.codec import check_against
from arsis.plan.model import Join, Section, SectionKind
from arsis.render.ear import steps
from arsis.render.join_ahead import JoinAhead, Listener
from arsis.render.opening import another_mix
from arsis.render.progress import Progress, unseen
from arsis.structure import (
    Features,
    FeatureStream,
    FoundSection,
    Grid,
    Structure,
    find_structure,
    followed,
    grid_of,
)

from .places import OpenPlan, open_plan


@dataclass(frozen=True, slots=True)
class JoinAt:
    """How a section is entered: a fade of `fade_ms` that ends `lead_ms` before `at_s`."""

    at_s: float
    fade_ms: float
    lead_ms: float


@dataclass(frozen=True, slots=True)
class SectionAt:
    """A section; confidence of its start from 0 to 1, None where the plan says so.

    loudness_lufs: of the mix there. step_lu: from the section before into this one. seam: what a join there
    would do, between the mix and a usual second pass; None where it was not looked at.
    """

    name: str
    kind: SectionKind
    start_s: float
    end_s: float
    confidence: float | None
    join: JoinAt | None
    loudness_lufs: float | None = None
    step_lu: float | None = None
    seam: JoinAhead | None = None


@dataclass(frozen=True, slots=True)
class Sections:
    """What was found in a song, or what its plan has. why: of what is found to be one section, the reason.

    warnings: that the mix which was listened to is not the plan's.
    """

    file: str
    tempo_bpm: float | None
    downbeats_s: tuple[float, ...]
    sections: tuple[SectionAt, ...]
    why: str | None = None
    warnings: tuple[str, ...] = ()


class HeardMix:
    """A mix listened to once, and open to be read again."""

    def __init__(self, sound: SoundReader, progress: Progress) -> None:
        self.info, self._sound = sound.info, sound
        stream = FeatureStream(self.info.rate_hz, self.info.channels)
        meter = LoudnessMeter(self.info.rate_hz, self.info.channels)
        done = 0
        while (block := sound.read(BLOCK_FRAMES)).shape[1]:
            stream.add(block)
            meter.add(block)
            done += block.shape[1]
            progress(done, self.info.frames)
        self.features: Features = stream.result()
        self.energies: NDArray[np.float64] = meter.energies()
        self.found: Structure = find_structure(self.features, self.read)

    def read(self, start: int, frames: int) -> Block:
        self._sound.seek(start)
        return self._sound.read(frames)

    def grid(self, starts_s: Sequence[float]) -> Grid | None:
        """The bars of the song, as the sections of its plan say that they lie."""
        grid = grid_of(self.found)
        return None if grid is None else followed(grid, starts_s)

    def looked_at(self, sections: Sequence[SectionAt]) -> tuple[SectionAt, ...]:
        """The sections with what their joins would do."""
        tempo_bpm, info = self.found.tempo_bpm, self.info
        ear = Listener(self.read, info.frames, info.rate_hz, 60.0 / tempo_bpm if tempo_bpm else None)
        return tuple(
            section
            if section.join is None
            else replace(
                section, seam=ear.look(section.join.at_s, section.join.fade_ms, section.join.lead_ms)
            )
            for section in sections
        )

    def told(self, sections: Sequence[SectionAt]) -> tuple[SectionAt, ...]:
        """The sections with their loudness and steps."""
        edges = [round(section.start_s * HOPS_PER_SECOND) for section in sections]
        ends = [*edges[1:], self.energies.size]
        levels = [section_lufs(self.energies, *span) for span in zip(edges, ends, strict=True)]
        return tuple(
            replace(section, loudness_lufs=level if np.isfinite(level) else None, step_lu=step)
            for section, level, step in zip(sections, levels, steps(levels), strict=True)
        )


@contextmanager
def heard(mix: Path, progress: Progress = unseen) -> Iterator[HeardMix]:
    """Listens to a mix, and keeps it open."""
    with open_sound(mix) as sound:
        yield HeardMix(sound, progress)


def song_sections(path: Path, find: bool = False, progress: Progress = unseen) -> Sections:
    """The sections of a plan with the tempo of its mix, or those found in a sound file.

    find: look for them in the mix, though the plan has its own.

    Raises DocumentError where a plan has sections past the end of its mix.
    """
    plan = None if path.suffix != ".toml" else open_plan(path)
    with heard(path if plan is None else plan.mix, progress) as mix:
        if plan is not None and not find:
            check_against(plan.song, mix.info.duration_s, str(path), plan.text)
            return replace(planned_sections(path, plan.song.section, mix), warnings=warnings_of(plan))
        found = _found_in(path, mix)
        warnings = () if plan is None else warnings_of(plan)
        return replace(found, sections=mix.looked_at(found.sections), warnings=warnings)


def warnings_of(plan: OpenPlan) -> tuple[str, ...]:
    """Sections may be heard over another mix than the plan's: whoever puts them right for it has to."""
    told = another_mix(plan.song, plan.mix, sha256_of(plan.mix))
    return () if told is None else (told,)


def find_sections(mix: Path, progress: Progress = unseen) -> Sections:
    """The sections found in a sound file; their joins are not looked at."""
    with heard(mix, progress) as one:
        return _found_in(mix, one)


def _found_in(file: Path, mix: HeardMix) -> Sections:
    found = mix.found
    sections = mix.told([_found(section) for section in found.sections])
    return Sections(str(file), found.tempo_bpm, found.downbeats_s, sections, found.why)


def planned_sections(
    path: Path, sections: Sequence[Section], mix: HeardMix, grid: Grid | None = None
) -> Sections:
    """The sections of a plan over the bars of its mix, or over those of `grid`."""
    grid = grid or mix.grid([section.start_s for section in sections])
    told = mix.looked_at(mix.told(_planned(sections, mix.features.duration_s)))
    if grid is None:
        return Sections(str(path), None, (), told)
    return Sections(str(path), grid.tempo_bpm, tuple(float(at) for at in grid.downbeats_s), told)


def _found(section: FoundSection) -> SectionAt:
    made = section.join
    join = None if made is None else JoinAt(made.at_s, made.fade_ms, made.lead_ms)
    kind = cast(SectionKind, section.kind)  # the finder says kinds in the plan's own words
    return SectionAt(section.name, kind, section.start_s, section.end_s, section.confidence, join)


def _planned(sections: Sequence[Section], end_s: float) -> list[SectionAt]:
    ends = [*(section.start_s for section in sections[1:]), end_s]
    return [
        SectionAt(
            section.name,
            section.kind,
            section.start_s,
            end,
            None,
            _join(section.start_s, section.join) if i else None,
        )
        for i, (section, end) in enumerate(zip(sections, ends, strict=True))
    ]


def _join(start_s: float, join: Join | None) -> JoinAt:
    made = join or Join()
    return JoinAt(start_s, made.fade_ms, made.lead_ms)
