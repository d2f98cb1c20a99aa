"""`arsis contour`: mix and print, section by section."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

from arsis.plan.model import Pass, Section, Song
from arsis.render.contour import Contour, SectionShape, contour
from arsis.render.ear import SectionTook
from arsis.render.opening import open_source
from arsis.render.progress import Progress, unseen
from arsis.render.run import Way
from arsis.render.source import Source
from arsis.report.facts import print_warnings

from .places import open_for_render, open_plan
from .print import word_of
from .sections import find_sections


@dataclass(frozen=True, slots=True)
class Shape:
    """The contour of a song and what must be seen about its print."""

    file: str
    sections: tuple[SectionShape, ...]
    warnings: tuple[str, ...]


def song_contour(path: Path, progress: Progress = unseen) -> Shape:
    """The contour of a plan, or of a sound file as it stands, in the sections found in it."""
    with ExitStack() as stack:
        source = opened(path, stack, progress)
        shape = listen(source, progress)
        return Shape(str(path), shape.sections, warnings_of(source, shape))


def listen(source: Source, progress: Progress) -> Contour:
    """Renders without writing, as `arsis print` would at the mix's own rate."""
    way = Way(word_of(None, source.mix.info), source.mix.info.rate_hz)
    return contour(source, way, progress)


def warnings_of(source: Source, shape: Contour) -> tuple[str, ...]:
    """What must be seen about the print that was listened to."""
    took: tuple[SectionTook, ...] = tuple(section.took for section in shape.sections)
    asked = tuple(section.step_asked_db for section in shape.sections)
    return print_warnings(
        source.song, took, shape.took, asked, shape.joins.reports, shape.print.true_peak_dbtp
    )


def opened(path: Path, stack: ExitStack, progress: Progress) -> Source:
    if path.suffix == ".toml":
        plan = open_plan(path)
        return open_for_render(plan, plan.song, stack)
    return open_source(left_alone(path, progress), path.parent, stack)


def left_alone(mix: Path, progress: Progress = unseen) -> Song:
    """A plan that changes nothing, in the sections found in the mix."""
    found = find_sections(mix, progress)
    sections = tuple(
        Section(name=s.name, kind=s.kind, start_s=round(s.start_s, 6), pass_="A") for s in found.sections
    )
    alone = Pass(note="left alone")
    return Song(title=mix.stem, mix=mix.name, section=sections, pass_={"A": alone})
