"""Corrections of a plan's sections: moved, split, merged, named, and a grid put right; the plan rewritten."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import pairwise
from pathlib import Path

from arsis.errors import ArsisError, DocumentError
from arsis.io.whole import write_text_whole
from arsis.plan import edit
from arsis.plan.codec import check_against
from arsis.plan.compare import compare
from arsis.plan.model import Join, SectionKind, Song
from arsis.plan.rewrite import rewrite
from arsis.render.progress import Progress, unseen
from arsis.structure import (
    Grid,
    JoinSuggestion,
    Nudge,
    join_near,
    nearest_downbeat,
    nudged_grid,
    nudged_starts,
)

from .places import open_plan
from .sections import HeardMix, Sections, heard, planned_sections, warnings_of

LEAST_S = 0.5  # a section that is shorter than a beat is none (common practice, no source)


@dataclass(frozen=True, slots=True)
class Edits:
    """Carried out in this order, whatever order they are given in.

    moves: (section, time). splits: (time, new name). names: (old, new). exact: times are meant to the frame;
    else each is that of the attack on the nearest down-beat.
    """

    nudge: Nudge | None = None
    moves: tuple[tuple[str, float], ...] = ()
    splits: tuple[tuple[float, str], ...] = ()
    merges: tuple[str, ...] = ()
    names: tuple[tuple[str, str], ...] = ()
    kinds: tuple[tuple[str, SectionKind], ...] = ()
    exact: bool = False

    @property
    def any(self) -> bool:
        return bool(self.nudge or self.moves or self.splits or self.merges or self.names or self.kinds)


@dataclass(frozen=True, slots=True)
class Corrected:
    """changes: in words, as `arsis diff` has them. sections: as the plan has them now."""

    changes: tuple[str, ...]
    sections: Sections = field(metadata={"beside": True})

    @property
    def warnings(self) -> tuple[str, ...]:
        return self.sections.warnings


def edit_sections(path: Path, edits: Edits, progress: Progress = unseen) -> Corrected:
    """Writes the corrections into the plan, or none of them.

    Raises PlanError or DocumentError where one cannot be done, ArsisError where the plan was changed
    meanwhile.
    """
    plan = open_plan(path)
    text = path.read_text(encoding="utf-8")
    _check_names(plan.song, edits)
    with heard(plan.mix, progress) as mix:
        grid = mix.grid([section.start_s for section in plan.song.section])
        song = plan.song
        try:
            if edits.nudge:
                song, grid = _nudged(song, mix, grid, edits.nudge)
            song = _corrected(song, mix, None if edits.exact else grid, edits)
        except DocumentError as refused:  # which knows the song by its title
            raise DocumentError([replace(fault, file=str(path)) for fault in refused.faults]) from refused
        check_against(song, mix.info.duration_s, str(path))
        if path.read_text(encoding="utf-8") != text:
            raise ArsisError(f"{path}: was changed while it was listened to, and left so; ask again")
        write_text_whole(path, rewrite(text, song))
        now = replace(planned_sections(path, song.section, mix, grid), warnings=warnings_of(plan))
        return Corrected(tuple(compare(plan.song, song)), now)


def _check_names(song: Song, edits: Edits) -> None:
    """A name that is not there is said before the mix is listened to."""
    new = {name for _, name in edits.splits} | {name for _, name in edits.names}
    for name in (*(n for n, _ in edits.moves), *edits.merges, *(n for n, _ in edits.names + edits.kinds)):
        if name not in new:
            edit.place_of(song, name)


def _nudged(song: Song, mix: HeardMix, grid: Grid | None, how: Nudge) -> tuple[Song, Grid]:
    if grid is None:
        raise ArsisError(
            f"{song.title}: has no steady beat, so there is no grid to nudge; --move moves one section"
        )
    starts = [section.start_s for section in song.section]
    grid = nudged_grid(grid, how, starts[1:])
    moved = [
        old if new == old else _attack(mix, new).at_s
        for old, new in zip(starts, nudged_starts(mix.features, grid, starts, how), strict=True)
    ]
    for section, (before, after) in zip(song.section[1:], pairwise(moved), strict=True):
        if after <= before:
            raise ArsisError(
                f"--nudge {how} would leave nothing of the section before {section.name!r}: merge them first"
            )
    # All at once: one by one, a start might pass its neighbour's on the way.
    return edit.place_starts(song, moved), grid


def _corrected(song: Song, mix: HeardMix, grid: Grid | None, edits: Edits) -> Song:
    for name, time_s in edits.moves:
        song = edit.move_start(song, name, _placed(mix, grid, time_s, edits.exact).at_s)
    for time_s, name in edits.splits:
        at = _placed(mix, grid, time_s, edits.exact)
        _check_apart(song, at.at_s, time_s, edits.exact)
        song = edit.split(song, at.at_s, name)
        join = Join(fade_ms=at.fade_ms, lead_ms=at.lead_ms)
        song = song if join == Join() else edit.set_join(song, name, join)
    for name in edits.merges:
        song = edit.merge(song, name)
    for name, to in edits.names:
        song = edit.rename(song, name, to)
    for name, kind in edits.kinds:
        song = edit.set_kind(song, name, kind)
    return song


def _check_apart(song: Song, at_s: float, time_s: float, exact: bool) -> None:
    """A new start beside one that is there is a slip of the hand, unless it is meant to the frame."""
    near = next((one for one in song.section if not exact and abs(one.start_s - at_s) < LEAST_S), None)
    if near is not None:
        raise ArsisError(
            f"{time_s:.2f} s: would start at {at_s:.2f} s, and {near.name!r} starts at {near.start_s:.2f} s; "
            f"at least {LEAST_S} s lie between starts without --exact"
        )


def _placed(mix: HeardMix, grid: Grid | None, time_s: float, exact: bool) -> JoinSuggestion:
    """Where a section starts that was put at `time_s` by ear: on the attack of the nearest down-beat."""
    if not 0.0 <= time_s < mix.features.duration_s:
        raise ArsisError(f"{time_s:.2f} s: not in the mix, which is {mix.features.duration_s:.2f} s long")
    if exact:
        return replace(_attack(mix, time_s), at_s=time_s)
    return _attack(mix, time_s if grid is None else nearest_downbeat(grid, time_s))


def _attack(mix: HeardMix, time_s: float) -> JoinSuggestion:
    return join_near(time_s, mix.read, mix.info.frames, mix.info.rate_hz)
