"""Times of a release to frames of the record, each rounded once, and what of them cannot be.

What is at fault is collected in words, and placed as well as it can be, so that all faults are found at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from arsis.audio import Span
from arsis.plan.model import Between, Release, ReleaseSong
from arsis.units import frames_to_seconds, seconds_to_frames

from .laid import Laid


@dataclass(slots=True)
class Placing:
    """Songs and what lies between them, one after another. anew: where a song or a side begins the sound."""

    release: Release
    rate_hz: int
    cut_frames: int
    by_side: bool
    faults: list[str] = field(default_factory=list)

    def used(self, print_frames: Sequence[int]) -> list[Laid]:
        """What of each print is used, and its fades; not placed yet."""
        return [
            self._used(i, song, frames)
            for i, (song, frames) in enumerate(zip(self.release.song, print_frames, strict=True))
        ]

    def placed(self, used: Sequence[Laid]) -> list[Laid]:
        """Each song behind the one before: at a cut after silence, else where the sound has it be."""
        songs: list[Laid] = []
        for i, laid in enumerate(used):
            songs.append(replace(laid, start=self._start(i, laid, songs)))
        return songs

    def betweens(self, songs: Sequence[Laid], frames: Mapping[int, int]) -> list[Laid | None]:
        """What is laid over the gap before each song. It begins in the song before or with its end, and
        ends no later than the song it belongs to."""
        return [self._between(i, songs, frames) for i in range(len(songs))]

    def anew(self, i: int) -> bool:
        """Whether nothing sounds before the song: the first of the record, or of a side that stands alone."""
        entries = self.release.song
        return i == 0 or (self.by_side and entries[i].side != entries[i - 1].side)

    def fault(self, i: int, what: str) -> None:
        self.faults.append(f"song {i + 1} ({self.release.song[i].plan}): {what}")

    def frames(self, time_s: float) -> int:
        return seconds_to_frames(time_s, self.rate_hz)

    def told(self, frames: int) -> str:
        return f"{frames_to_seconds(frames, self.rate_hz):.6f} s"

    def _used(self, i: int, song: ReleaseSong, frames: int) -> Laid:
        begin = self.frames(song.from_s)
        end = frames if song.until_s is None else self.frames(song.until_s)
        fade_in, fade_out = self.frames(song.fade_in_s), self.frames(song.fade_out_s)
        if end > frames:
            self.fault(i, f"until_s is {song.until_s:.6f}; its print has {self.told(frames)}")
        elif begin >= end:
            self.fault(i, f"from_s is {song.from_s:.6f}, so that nothing sounds; it ends at {self.told(end)}")
        elif fade_in + fade_out > end - begin:
            fades = f"{self.told(fade_in)} and {self.told(fade_out)}"
            self.fault(i, f"its fades of {fades} are longer than the {self.told(end - begin)} that sound")
        return Laid(0, Span(begin, end), fade_in, fade_out, trimmed=begin > 0 or end < frames)

    def _start(self, i: int, laid: Laid, songs: Sequence[Laid]) -> int:
        entry = self.release.song[i]
        overlap = self.frames(entry.overlap_s)
        if self.anew(i):
            if overlap:
                self.fault(i, f"overlap_s is {entry.overlap_s:.6f}, but no song comes before it")
            return up(songs[-1].end, self.cut_frames) if songs else 0
        end = songs[-1].end
        if overlap:
            self._check_overlap(i, overlap, laid, songs)
            return end - overlap
        start = end + self.frames(entry.gap_s)
        silent = start > end and entry.between is None
        return up(start, self.cut_frames) if silent else start

    def _check_overlap(self, i: int, overlap: int, laid: Laid, songs: Sequence[Laid]) -> None:
        has = f"overlap_s is {self.release.song[i].overlap_s:.6f}"
        shortest = min(laid.frames, songs[-1].frames)
        if overlap >= shortest > 0:
            which = "it has" if laid.frames == shortest else "the song before has"
            self.fault(i, f"{has}; {which} only {self.told(shortest)} that sound")
        elif len(songs) > 1 and songs[-1].end - overlap < songs[-2].end:
            most = self.told(max(0, songs[-1].end - songs[-2].end))
            self.fault(i, f"{has}, so that three songs sound together; allowed: up to {most}")

    def _between(self, i: int, songs: Sequence[Laid], frames: Mapping[int, int]) -> Laid | None:
        between = self.release.song[i].between
        if between is None:
            return None
        if self.anew(i):
            self.fault(i, f"{between.file} lies before it, but no song comes before it")
            return None
        start = songs[i - 1].end - self.frames(between.lead_s)
        fades = self.frames(between.fade_in_s), self.frames(between.fade_out_s)
        laid = Laid(start, Span(0, frames[i + 1]), fades[0], fades[1])
        self._check_between(i, between, laid, songs)
        return laid

    def _check_between(self, i: int, between: Between, laid: Laid, songs: Sequence[Laid]) -> None:
        if laid.start < songs[i - 1].start:
            had = self.told(songs[i - 1].frames)
            self.fault(i, f"{between.file} leads by {between.lead_s:.6f} s; the song before has only {had}")
        elif laid.fade_in + laid.fade_out > laid.frames:
            self.fault(i, f"{between.file} has {self.told(laid.frames)}, which is less than its two fades")
        elif laid.end > songs[i].end:
            self.fault(i, f"{between.file} has {self.told(laid.frames)} and would outlast the song after it")


def up(frame: int, multiple: int) -> int:
    """The first multiple at or after a frame."""
    return -(-frame // multiple) * multiple
