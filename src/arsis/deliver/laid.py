"""What lies where on the record's time, as data. All in whole frames at the delivered rate."""

from __future__ import annotations

from dataclasses import dataclass

from arsis.audio import Span


@dataclass(frozen=True, slots=True)
class Laid:
    """A sound on the record's time.

    start: where in the record it begins. used: the frames of its own that sound. fade_in, fade_out: frames.
    head_shared, tail_shared: another sound is heard under that fade. trimmed: not all of its own is used.
    """

    start: int
    used: Span
    fade_in: int = 0
    fade_out: int = 0
    head_shared: bool = False
    tail_shared: bool = False
    trimmed: bool = False

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
    def wants_limiter(self) -> bool:
        """Whether peaks can come about that no song's own limiter has seen: where sounds are added up, and
        where a song is cut off."""
        return len(self.songs) > 1 or any(placed.song.trimmed for placed in self.songs)


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
