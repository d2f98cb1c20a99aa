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
from dataclasses import dataclass, replace

from arsis.audio import Span
from arsis.errors import PlanError
from arsis.plan.model import Between, Release, ReleaseSong
from arsis.units import seconds_to_frames


@dataclass(frozen=True, slots=True)
class Laid:
    """A sound on the record's time.

    start: where in the record it begins. used: the frames of its own that sound. fade_in, fade_out: frames.
    head_shared, tail_shared: another sound is heard under that fade.
    """

    start: int
    used: Span
    fade_in: int = 0
    fade_out: int = 0
    head_shared: bool = False
    tail_shared: bool = False

    @property
    def frames(self) -> int:
        return self.used.frames

    @property
    def end(self) -> int:
        return self.start + self.used.frames


@dataclass(frozen=True, slots=True)
class Placed:
    """A song of the record and its file. place: from 1.

    song, between: the song, and what is laid over the gap before it. cut: the file's frames of the record.
    gap_frames: the silence before this song, as it came out. tail_frames: the silence at its file's end.
    overlap_frames: how long it sounds together with the song before.
    """

    place: int
    side: str
    song: Laid
    between: Laid | None
    cut: Span
    gap_frames: int
    tail_frames: int
    overlap_frames: int


@dataclass(frozen=True, slots=True)
class Run:
    """Songs that sound into each other, with silence round them: rendered together, each its own file."""

    songs: tuple[Placed, ...]

    @property
    def places(self) -> tuple[int, ...]:
        return tuple(placed.place for placed in self.songs)

    @property
    def span(self) -> Span:
        """The record's frames that its files hold."""
        return Span(self.songs[0].cut.start, self.songs[-1].cut.end)

    @property
    def is_single(self) -> bool:
        """One sound and no other: nothing to add up."""
        return len(self.songs) == 1


@dataclass(frozen=True, slots=True)
class Side:
    """The songs of a side, or of the whole record where it has none. sound: from the first song's start to
    the last one's end; span: the frames that its files hold."""

    name: str
    places: tuple[int, ...]
    sound: Span
    span: Span


@dataclass(frozen=True, slots=True)
class Record:
    """All songs on one time."""

    rate_hz: int
    songs: tuple[Placed, ...]
    runs: tuple[Run, ...]
    sides: tuple[Side, ...]

    @property
    def frames(self) -> int:
        return self.songs[-1].cut.end


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
    faults: list[str] = []
    used = [_used(i, song, print_frames[i], rate_hz, faults) for i, song in enumerate(release.song)]
    _refuse(faults)
    anew = [_begins_anew(release.song, i, by_side) for i in range(len(release.song))]
    songs = _starts(release.song, used, rate_hz, cut_frames, anew, faults)
    betweens = _betweens(release.song, songs, between_frames or {}, rate_hz, anew, faults)
    _refuse(faults)
    joined = [
        not anew[i] and (songs[i].start <= songs[i - 1].end or betweens[i] is not None)
        for i in range(len(songs))
    ]
    cuts = _cuts(songs, cut_frames, faults)
    _refuse(faults)
    placed = tuple(_placed(i, release.song[i], songs, betweens, cuts[i], anew[i]) for i in range(len(songs)))
    return Record(rate_hz, placed, _runs(placed, joined), _sides(placed))


def alone(placed: Placed) -> Run:
    """The song by itself in a file of its own, with its trims and fades and nothing after it: a version.

    Its fades stay those of the record, so that versions that sum to the main mix still do.
    """
    cut = Span(placed.song.start, placed.song.end)
    return Run((replace(placed, between=None, cut=cut, gap_frames=0, tail_frames=0, overlap_frames=0),))


def _refuse(faults: Sequence[str]) -> None:
    if faults:
        raise PlanError("\n".join(faults))


def _named(i: int, song: ReleaseSong) -> str:
    return f"song {i + 1} ({song.plan})"


def _used(i: int, song: ReleaseSong, frames: int, rate_hz: int, faults: list[str]) -> Laid:
    """A song's used frames and its fades; not placed yet."""
    begin = seconds_to_frames(song.from_s, rate_hz)
    end = frames if song.until_s is None else seconds_to_frames(song.until_s, rate_hz)
    has = f"its print has {frames / rate_hz:.6f} s"
    if end > frames:
        faults.append(f"{_named(i, song)}: until_s is {song.until_s:.6f}; {has}")
    elif begin >= end:
        faults.append(f"{_named(i, song)}: from_s is {song.from_s:.6f}, so that nothing sounds; {has}")
    fade_in, fade_out = (seconds_to_frames(s, rate_hz) for s in (song.fade_in_s, song.fade_out_s))
    if not faults and fade_in + fade_out > end - begin:
        faults.append(
            f"{_named(i, song)}: its fades of {song.fade_in_s:.6f} s and {song.fade_out_s:.6f} s are longer "
            f"than the {(end - begin) / rate_hz:.6f} s of it that sound"
        )
    return Laid(0, Span(begin, end), fade_in, fade_out)


def _begins_anew(songs: Sequence[ReleaseSong], i: int, by_side: bool) -> bool:
    return i == 0 or (by_side and songs[i].side != songs[i - 1].side)


def _starts(
    entries: Sequence[ReleaseSong],
    used: Sequence[Laid],
    rate_hz: int,
    cut_frames: int,
    anew: Sequence[bool],
    faults: list[str],
) -> list[Laid]:
    songs: list[Laid] = []
    for i, (entry, laid) in enumerate(zip(entries, used, strict=True)):
        overlap = seconds_to_frames(entry.overlap_s, rate_hz)
        gap = 0 if overlap else seconds_to_frames(entry.gap_s, rate_hz)
        if anew[i]:
            if overlap:
                faults.append(
                    f"{_named(i, entry)}: overlap_s is {entry.overlap_s:.6f}; no song comes before it"
                )
            start = _up(songs[-1].end, cut_frames) if songs else 0
        else:
            before = songs[-1]
            _check_overlap(i, entry, overlap, laid, songs, rate_hz, faults)
            start = before.end - overlap + gap
            if gap and entry.between is None:
                start = _up(start, cut_frames)
        songs.append(replace(laid, start=start))
    return songs


def _check_overlap(
    i: int,
    entry: ReleaseSong,
    overlap: int,
    laid: Laid,
    songs: Sequence[Laid],
    rate_hz: int,
    faults: list[str],
) -> None:
    for which, frames in (("it", laid.frames), ("the song before", songs[-1].frames)):
        if overlap >= frames > 0:
            faults.append(
                f"{_named(i, entry)}: overlap_s is {entry.overlap_s:.6f}, which leaves nothing of {which}: "
                f"{frames / rate_hz:.6f} s sound"
            )
            return
    if len(songs) > 1 and songs[-1].end - overlap < songs[-2].end:
        most_s = (songs[-1].end - songs[-2].end) / rate_hz
        faults.append(
            f"{_named(i, entry)}: overlap_s is {entry.overlap_s:.6f}, so that three songs sound together; "
            f"allowed: up to {most_s:.6f}"
        )


def _betweens(
    entries: Sequence[ReleaseSong],
    songs: list[Laid],
    frames: Mapping[int, int],
    rate_hz: int,
    anew: Sequence[bool],
    faults: list[str],
) -> list[Laid | None]:
    """What is laid over the gaps. It begins in the song before and ends in the song it belongs to."""
    laid: list[Laid | None] = []
    for i, entry in enumerate(entries):
        if entry.between is None:
            laid.append(None)
            continue
        if anew[i]:
            faults.append(f"{_named(i, entry)}: has sound between; no song comes before it")
            laid.append(None)
            continue
        between = _between(entry.between, songs[i - 1], frames[i + 1], rate_hz)
        fault = _between_fault(entry.between, between, songs[i - 1], songs[i], rate_hz)
        if fault:
            faults.append(f"{_named(i, entry)}: {entry.between.file} between: {fault}")
        laid.append(between)
    return laid


def _between(between: Between, before: Laid, frames: int, rate_hz: int) -> Laid:
    start = before.end - seconds_to_frames(between.lead_s, rate_hz)
    fade_in, fade_out = (seconds_to_frames(s, rate_hz) for s in (between.fade_in_s, between.fade_out_s))
    return Laid(start, Span(0, frames), fade_in, fade_out)


def _between_fault(between: Between, laid: Laid, before: Laid, song: Laid, rate_hz: int) -> str:
    length = f"it has {laid.frames / rate_hz:.6f} s"
    if laid.start < before.start:
        return f"lead_s is {between.lead_s:.6f}, more than the song before has"
    if laid.fade_in + laid.fade_out > laid.frames:
        return f"its fades are longer than it is; {length}"
    if laid.end > song.end:
        return f"{length} and would outlast the song that follows"
    return ""


def _cuts(songs: Sequence[Laid], cut_frames: int, faults: list[str]) -> list[Span]:
    starts = [song.start - song.start % cut_frames for song in songs]
    ends = [*starts[1:], _up(songs[-1].end, cut_frames)]
    for i, (start, end) in enumerate(zip(starts, ends, strict=True)):
        if end <= start:
            faults.append(
                f"song {i + 1}: too short for a file of its own: the next begins in the same {cut_frames} frames"
            )
    return [Span(start, end) for start, end in zip(starts, ends, strict=True)]


def _up(frame: int, multiple: int) -> int:
    return -(-frame // multiple) * multiple


def _placed(
    i: int,
    entry: ReleaseSong,
    songs: Sequence[Laid],
    betweens: Sequence[Laid | None],
    cut: Span,
    anew: bool,
) -> Placed:
    others = [laid for k, laid in enumerate(songs) if k != i] + [b for b in betweens if b is not None]
    song, between = _shared(songs[i], others), betweens[i]
    if between is not None:
        between = _shared(between, songs)
    sounding = [laid.end for laid in (*songs, *betweens) if laid is not None and laid.start < cut.end]
    before = songs[i - 1].end if not anew else songs[i].start
    return Placed(
        place=i + 1,
        side=entry.side,
        song=song,
        between=between,
        cut=cut,
        gap_frames=max(0, songs[i].start - before),
        tail_frames=max(0, cut.end - max(sounding)),
        overlap_frames=max(0, before - songs[i].start),
    )


def _shared(laid: Laid, others: Sequence[Laid]) -> Laid:
    def under(start: int, end: int) -> bool:
        return any(other.start < end and start < other.end for other in others)

    return replace(
        laid,
        head_shared=under(laid.start, laid.start + laid.fade_in),
        tail_shared=under(laid.end - laid.fade_out, laid.end),
    )


def _runs(placed: Sequence[Placed], joined: Sequence[bool]) -> tuple[Run, ...]:
    runs: list[list[Placed]] = []
    for song, goes_on in zip(placed, joined, strict=True):
        if goes_on:
            runs[-1].append(song)
        else:
            runs.append([song])
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
