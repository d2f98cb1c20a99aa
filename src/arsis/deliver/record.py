"""The record as arithmetic: where every song sounds, and where the files are cut.

All of it is whole frames at the delivered rate; every time of the release is rounded once. Song 1 begins
at frame 0: the gap before it is not in the sound. A file begins where its song begins and holds the silence
that follows it, so that the files partition the record.

Cuts fall on multiples of `cut_frames`. After silence the next song is moved there, later by less than one
multiple; where sound runs on from song to song nothing is moved, and the cut is the last multiple at or
before the song's start. The last file is filled with zeros up to a multiple.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from arsis.audio import Span
from arsis.errors import PlanError
from arsis.plan.model import Release

from .laid import Laid, Placed, Record, Run, Side
from .placing import Placing, up

__all__ = ["Laid", "Placed", "Record", "Run", "Side", "alone", "lay_out"]


def lay_out(
    release: Release,
    print_frames: Sequence[int],
    rate_hz: int,
    cut_frames: int = 1,
    between_frames: Mapping[int, int] | None = None,
    *,
    by_side: bool = False,
) -> Record:
    """Lays the songs of a release on one time.

    print_frames: of each song's whole print at the delivered rate. between_frames: of the sound laid over the
    gap before a song, by its place. by_side: each side begins anew, without the gap before its first song.
    Raises PlanError with all that cannot be, one line each.
    """
    if not release.song:
        raise PlanError(f"{release.title!r} has no songs: nothing to lay out")
    placing = Placing(release, rate_hz, cut_frames, by_side)
    used = placing.used(print_frames)
    _refuse(placing)
    songs = placing.placed(used)
    betweens = placing.betweens(songs, between_frames or {})
    _refuse(placing)
    cuts = _cuts(songs, placing)
    _refuse(placing)
    placed = tuple(_placed(i, songs, betweens, cuts[i], placing) for i in range(len(songs)))
    return Record(rate_hz, placed, _runs(placed, placing), _sides(placed))


def alone(placed: Placed) -> Run:
    """The song by itself in a file of its own, with its trims and fades and nothing after it: a version.

    Its fades stay those of the record, so that versions that sum to the main mix still do.
    """
    cut = Span(placed.song.start, placed.song.end)
    return Run((replace(placed, between=None, cut=cut, gap_frames=0, tail_frames=0, overlap_frames=0),))


def _refuse(placing: Placing) -> None:
    if placing.faults:
        raise PlanError("\n".join(placing.faults))


def _cuts(songs: Sequence[Laid], placing: Placing) -> list[Span]:
    multiple = placing.cut_frames
    starts = [song.start - song.start % multiple for song in songs]
    cuts = [Span(a, b) for a, b in zip(starts, [*starts[1:], up(songs[-1].end, multiple)], strict=True)]
    for i, cut in enumerate(cuts):
        if cut.frames <= 0:
            placing.fault(i, f"too short for a file: the next song begins in the same {multiple} frames")
    return cuts


def _placed(
    i: int, songs: Sequence[Laid], betweens: Sequence[Laid | None], cut: Span, placing: Placing
) -> Placed:
    song, between = songs[i], betweens[i]
    sounds = [*songs, *(laid for laid in betweens if laid is not None)]
    last = max(laid.end for laid in sounds if laid.start < cut.end)
    before = song.start if placing.anew(i) else songs[i - 1].end
    return Placed(
        place=i + 1,
        side=placing.release.song[i].side,
        song=_shared(song, sounds),
        between=None if between is None else _shared(between, sounds),
        cut=cut,
        gap_frames=max(0, song.start - before),
        tail_frames=max(0, cut.end - last),
        overlap_frames=max(0, before - song.start),
    )


def _shared(laid: Laid, sounds: Sequence[Laid]) -> Laid:
    """The same, with what is heard under its fades."""

    def under(start: int, end: int) -> bool:
        return any(one is not laid and one.start < end and start < one.end for one in sounds)

    return replace(
        laid,
        head_shared=under(laid.start, laid.start + laid.fade_in),
        tail_shared=under(laid.end - laid.fade_out, laid.end),
    )


def _runs(placed: Sequence[Placed], placing: Placing) -> tuple[Run, ...]:
    """Songs belong together where nothing silent lies between them."""
    runs: list[list[Placed]] = []
    for i, song in enumerate(placed):
        if placing.anew(i) or (song.gap_frames > 0 and song.between is None):
            runs.append([song])
        else:
            runs[-1].append(song)
    return tuple(Run(tuple(run)) for run in runs)


def _sides(placed: Sequence[Placed]) -> tuple[Side, ...]:
    rows: list[list[Placed]] = []
    for song in placed:
        if rows and rows[-1][0].side == song.side:
            rows[-1].append(song)
        else:
            rows.append([song])
    return tuple(
        Side(
            row[0].side,
            tuple(song.place for song in row),
            Span(row[0].song.start, max(song.song.end for song in row)),
            Span(row[0].cut.start, row[-1].cut.end),
        )
        for row in rows
    )
