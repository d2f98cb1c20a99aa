"""Where a section is entered cleanly near a place, and what the join does there."""

from __future__ import annotations

from dataclasses import dataclass, replace

from arsis.errors import PlanError
from arsis.plan.model import Join, Section, Song
from arsis.render.join_report import JoinReport
from arsis.render.source import Source
from arsis.render.stretch import Stretch
from arsis.render.words import Word
from arsis.structure.joins import CONTEXT_MS, attack_foot, suggest_join
from arsis.units import ms_to_frames, seconds_to_frames


@dataclass(frozen=True, slots=True)
class Entrance:
    """Enter a section at `at_s` with a fade of `fade_ms` that ends `lead_ms` before.

    dip_db: what the octave that suffers most loses half-way, with the passes as they are; None where nothing
    fades there. note: in words, empty where there is nothing to say.
    """

    at_s: float
    fade_ms: float
    lead_ms: float
    dip_db: float | None
    note: str


def entrance(source: Source, section: str, at_s: float) -> Entrance:
    """The clean entrance into a section nearest a place. Raises PlanError for a section that is not there,
    or that has no room there."""
    song, info = source.song, source.mix.info
    names = [one.name for one in song.section]
    if section not in names[1:]:
        there = ", ".join(names[1:]) or "none"
        raise PlanError(f"no section {section!r} is entered in {song.title!r}; there are: {there}")
    expected = min(max(seconds_to_frames(at_s, info.rate_hz), 0), info.frames - 1)
    context = ms_to_frames(CONTEXT_MS, info.rate_hz)
    first = max(0, expected - context)
    source.mix.seek(first)
    foot = attack_foot(source.mix.read(expected + context - first), info.rate_hz, expected - first)
    found = suggest_join(foot, (first + foot.frame) / info.rate_hz)
    join = Join(fade_ms=found.fade_ms, lead_ms=found.lead_ms)
    number = names.index(section)
    moved = replace(song.section[number], start_s=found.at_s, join=join)
    report = _report(
        replace(source, song=replace(song, section=_with(song, number, moved))), section, found.at_s
    )
    note = "" if foot.strength else "nothing is struck here: what sounds runs on across the join"
    if report is not None and report.deep:
        note = f"{note}; " * bool(note) + f"the octave at {report.dip_freq_hz:g} Hz dips in the fade"
    return Entrance(found.at_s, found.fade_ms, found.lead_ms, report.dip_db if report else None, note)


def _with(song: Song, number: int, section: Section) -> tuple[Section, ...]:
    return (*song.section[:number], section, *song.section[number + 1 :])


def _report(source: Source, section: str, at_s: float) -> JoinReport | None:
    """What the join does, from a stretch of the print around it."""
    info = source.mix.info
    at = seconds_to_frames(at_s, info.rate_hz)
    stretch = Stretch(source, Word(32, is_float=True), max(0, at - 1), min(info.frames, at + 1))
    stretch.read(2)
    return next((one for one in stretch.joins.reports if one.into == section), None)
