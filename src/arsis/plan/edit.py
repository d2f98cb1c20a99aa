"""Edits of a plan: a song in, a new song out. The old one stays as it was, so undo is to keep it.

Every edit gives back a song that could be read from a file; what could not raises PlanError or
DocumentError with the reasons. Sections and passes are named, links of a chain counted from 0.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from arsis.errors import PlanError
from arsis.settings import Limiter, Processor

from .codec import song_from_table
from .model import Join, Pass, RidePoint, Section, SectionKind, Song
from .table import as_table
from .trouble import meant

_PLACES = 6  # decimals of a time in a document


def place_of(song: Song, name: str) -> int:
    """Where a section stands; raises PlanError where there is none of that name."""
    names = tuple(section.name for section in song.section)
    if name not in names:
        raise PlanError(f"no section {name!r}; {meant(name, names)}there are: {', '.join(names)}")
    return names.index(name)


def move_start(song: Song, name: str, start_s: float) -> Song:
    """Lets a section start at another time, between its neighbours' starts."""
    return _section(song, name, start_s=round(start_s, _PLACES))


def set_title(song: Song, title: str) -> Song:
    """Calls the song by another title."""
    return _whole(replace(song, title=title))


def place_starts(song: Song, starts_s: Sequence[float]) -> Song:
    """Lets every section start at a time of its own, in their order."""
    moved = zip(song.section, starts_s, strict=True)
    return _sections(song, [replace(one, start_s=round(start_s, _PLACES)) for one, start_s in moved])


def split(song: Song, at_s: float, name: str, kind: SectionKind | None = None) -> Song:
    """Cuts the section at `at_s` in two; the second part is called `name` and goes on as the first."""
    at_s = round(at_s, _PLACES)
    place = sum(section.start_s < at_s for section in song.section) - 1
    if place < 0:
        raise PlanError(f"nothing to split at {at_s:.6f} s: it lies before the first section")
    first = song.section[place]
    second = replace(first, name=name, kind=kind or first.kind, start_s=at_s, join=None)
    return _sections(song, [*song.section[: place + 1], second, *song.section[place + 1 :]])


def merge(song: Song, name: str) -> Song:
    """Joins a section to the one before it, which goes on in its place."""
    place = place_of(song, name)
    if place == 0:
        raise PlanError(f"{name!r} is the first section: there is none before it to join it to")
    return _sections(song, [*song.section[:place], *song.section[place + 1 :]])


def rename(song: Song, name: str, to: str) -> Song:
    """Calls a section by another name."""
    return _section(song, name, name=to)


def set_kind(song: Song, name: str, kind: SectionKind) -> Song:
    """Says what kind of section it is."""
    return _section(song, name, kind=kind)


def assign(song: Song, name: str, pass_name: str) -> Song:
    """Gives a section to a pass."""
    return _section(song, name, pass_=pass_name)


def set_ride(song: Song, name: str, ride_db: float) -> Song:
    """Sets a section's level on top of its pass."""
    return _section(song, name, ride_db=ride_db)


def set_join(song: Song, name: str, join: Join | None) -> Song:
    """Sets how a section is entered; None is as usual."""
    return _section(song, name, join=join)


def draw_ride(song: Song, points: Sequence[RidePoint]) -> Song:
    """Replaces the drawn ride; points may come in any order."""
    rounded = (replace(point, time_s=round(point.time_s, _PLACES)) for point in points)
    return _whole(replace(song, ride=tuple(sorted(rounded, key=lambda point: point.time_s))))


def set_pass(song: Song, name: str, treatment: Pass) -> Song:
    """Adds a pass, or replaces the one of that name."""
    return _whole(replace(song, pass_={**song.pass_, name: treatment}))


def new_pass(song: Song, name: str, note: str = "") -> Song:
    """Adds a pass that leaves the mix alone."""
    return _added(song, name, Pass(note=note))


def copy_pass(song: Song, name: str, to: str) -> Song:
    """Adds a pass that does as another one does."""
    return _added(song, to, _pass_of(song, name))


def set_pass_note(song: Song, name: str, note: str) -> Song:
    """Says what a pass is for."""
    return set_pass(song, name, replace(_pass_of(song, name), note=note))


def set_pass_print(song: Song, name: str, print: str | None) -> Song:
    """Takes a file printed elsewhere in place of the pass's chain; None is an empty chain again."""
    return set_pass(song, name, replace(_pass_of(song, name), chain=(), print=print))


def remove_pass(song: Song, name: str) -> Song:
    """Takes away a pass that no section uses."""
    _pass_of(song, name)
    users = [section.name for section in song.section if section.pass_ == name]
    if users:
        raise PlanError(f"pass {name} cannot be removed: {', '.join(users)} use it")
    return _whole(replace(song, pass_={key: one for key, one in song.pass_.items() if key != name}))


def rename_pass(song: Song, name: str, to: str) -> Song:
    """Calls a pass by another name, in the sections and the versions too."""
    _pass_of(song, name)
    if to != name:
        _refuse_taken(song, to)
    sections = tuple(replace(one, pass_=to) if one.pass_ == name else one for one in song.section)
    passes = {to if key == name else key: one for key, one in song.pass_.items()}
    versions = tuple(
        replace(
            version,
            print=tuple(replace(one, pass_=to) if one.pass_ == name else one for one in version.print),
        )
        for version in song.version
    )
    return _whole(replace(song, section=sections, pass_=passes, version=versions))


def chain_of(song: Song, owner: str | None) -> tuple[Processor, ...]:
    """The chain of a pass, or of the finish where `owner` is None."""
    return song.finish.chain if owner is None else _pass_of(song, owner).chain


def add_processor(song: Song, owner: str | None, processor: Processor, place: int | None = None) -> Song:
    """Puts a processor into a chain: before the link at `place`, or last."""
    chain = chain_of(song, owner)
    place = len(chain) if place is None else place
    if not 0 <= place <= len(chain):
        raise PlanError(f"no place {place} in a chain of {len(chain)}")
    return _chained(song, owner, (*chain[:place], processor, *chain[place:]))


def set_processor(song: Song, owner: str | None, place: int, processor: Processor) -> Song:
    """Puts a processor in the stead of the link at `place`."""
    chain = _with_link(song, owner, place)
    return _chained(song, owner, (*chain[:place], processor, *chain[place + 1 :]))


def remove_processor(song: Song, owner: str | None, place: int) -> Song:
    """Takes the link at `place` away."""
    chain = _with_link(song, owner, place)
    return _chained(song, owner, (*chain[:place], *chain[place + 1 :]))


def move_processor(song: Song, owner: str | None, place: int, to: int) -> Song:
    """Moves the link at `place` so that it stands at `to`."""
    link = _with_link(song, owner, place)[place]
    return add_processor(remove_processor(song, owner, place), owner, link, to)


def set_finish(song: Song, **changes: Any) -> Song:
    """Changes the finish: `chain`, `gain_db`, `limiter`, `dither`."""
    return _whole(replace(song, finish=replace(song.finish, **changes)))


def set_limiter(song: Song, limiter: Limiter | None) -> Song:
    """Sets the last limiter; None is none."""
    return set_finish(song, limiter=limiter)


def _added(song: Song, name: str, treatment: Pass) -> Song:
    _refuse_taken(song, name)
    return set_pass(song, name, treatment)


def _refuse_taken(song: Song, name: str) -> None:
    if name in song.pass_:
        raise PlanError(f"there is a pass {name} already")


def _section(song: Song, called: str, **changes: Any) -> Song:
    place = place_of(song, called)
    changed = replace(song.section[place], **changes)
    return _sections(song, [*song.section[:place], changed, *song.section[place + 1 :]])


def _sections(song: Song, sections: Sequence[Section]) -> Song:
    return _whole(replace(song, section=tuple(sections)))


def _pass_of(song: Song, name: str) -> Pass:
    if name not in song.pass_:
        raise PlanError(
            f"no pass {name!r}; {meant(name, tuple(song.pass_))}there are: {', '.join(song.pass_)}"
        )
    return song.pass_[name]


def _with_link(song: Song, owner: str | None, place: int) -> tuple[Processor, ...]:
    chain = chain_of(song, owner)
    if not 0 <= place < len(chain):
        raise PlanError(f"no link {place} in a chain of {len(chain)}")
    return chain


def _chained(song: Song, owner: str | None, chain: tuple[Processor, ...]) -> Song:
    if owner is None:
        return set_finish(song, chain=chain)
    return set_pass(song, owner, replace(_pass_of(song, owner), chain=chain))


def _whole(song: Song) -> Song:
    """The song, once it has been read as a file would be."""
    return song_from_table(as_table(song), song.title)
