"""What plays when: a plan's sections as stretches of frames, each one pass or a fade between two.

Pure: no sound is touched here. The stretches tile the song in order. Two neighbouring sections with
the same treatment and ride become one stretch, so a join of equals is no join (law 6).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from arsis.audio import Span
from arsis.errors import PlanError
from arsis.plan.model import Join, Section, Song
from arsis.process import is_neutral
from arsis.units import db_to_gain, ms_to_frames, seconds_to_frames


@dataclass(frozen=True, slots=True)
class Voice:
    """One pass at one level: what is heard while nothing fades."""

    pass_name: str
    ride_db: float

    @property
    def gain(self) -> float:
        return db_to_gain(self.ride_db) if self.ride_db != 0.0 else 1.0


@dataclass(frozen=True, slots=True)
class Hold:
    """One voice over [start, end)."""

    span: Span
    voice: Voice


@dataclass(frozen=True, slots=True)
class Fade:
    """One voice gives way to the next over [start, end), empty for a cut, into the section called `into`."""

    span: Span
    before: Voice
    after: Voice
    into: str


@dataclass(frozen=True, slots=True)
class RidePointAt:
    """A point of the drawn ride, in frames."""

    frame: int
    gain_db: float


@dataclass(frozen=True, slots=True)
class Schedule:
    """Everything about time that a render needs.

    frames: of the song. sections: one span a section, half open, tiling the song. stretches: they tile
    [begin, end), which is the whole song, or the part of it that is rendered.
    """

    frames: int
    sections: tuple[Span, ...]
    stretches: tuple[Hold | Fade, ...]
    ride: tuple[RidePointAt, ...]

    @property
    def begin(self) -> int:
        """The first frame that is rendered."""
        return self.stretches[0].span.start

    @property
    def end(self) -> int:
        """Where what is rendered ends."""
        return self.stretches[-1].span.end

    @property
    def passes(self) -> tuple[str, ...]:
        """Names of the passes that are heard, in order of appearance."""
        names: dict[str, None] = {}
        for stretch in self.stretches:
            voices = (stretch.voice,) if isinstance(stretch, Hold) else (stretch.before, stretch.after)
            names.update((voice.pass_name, None) for voice in voices)
        return tuple(names)

    @property
    def fades(self) -> tuple[Fade, ...]:
        return tuple(stretch for stretch in self.stretches if isinstance(stretch, Fade))


def schedule(song: Song, rate_hz: int, frames: int) -> Schedule:
    """The schedule of `song` over a mix of `frames`.

    Raises PlanError for a section past the end of the mix and for fades that overlap.
    """
    spans = section_spans(song, rate_hz, frames)
    ride = tuple(RidePointAt(seconds_to_frames(p.time_s, rate_hz), p.gain_db) for p in song.ride)
    return Schedule(frames, spans, _stretches(song, spans, rate_hz, frames), ride)


def section_spans(song: Song, rate_hz: int, frames: int) -> tuple[Span, ...]:
    """Where each section lies, in frames of the mix."""
    starts = [seconds_to_frames(section.start_s, rate_hz) for section in song.section]
    for section, start, following in zip(song.section, starts, [*starts[1:], frames], strict=True):
        if start >= frames:
            raise PlanError(
                f"section {section.name!r} starts at {section.start_s:.6f} s, past the end of the mix "
                f"({frames / rate_hz:.6f} s)"
            )
        if following <= start:
            raise PlanError(f"section {section.name!r} has no length at {rate_hz} Hz")
    return tuple(Span(a, b) for a, b in zip(starts, [*starts[1:], frames], strict=True))


def _stretches(song: Song, spans: tuple[Span, ...], rate_hz: int, frames: int) -> tuple[Hold | Fade, ...]:
    stretches: list[Hold | Fade] = []
    same = _same_treatments(song)
    at, voice = 0, _voice(song.section[0], same)
    for section, span in zip(song.section[1:], spans[1:], strict=True):
        after = _voice(section, same)
        if after == voice:
            continue
        fade = _fade_span(section, span.start, rate_hz)
        if fade.start < at or fade.end > frames:
            raise PlanError(
                f"the join into {section.name!r} ({fade.start / rate_hz:.3f} to {fade.end / rate_hz:.3f} s) "
                "does not fit between its neighbours: shorten its fade or its lead"
            )
        if fade.start > at:
            stretches.append(Hold(Span(at, fade.start), voice))
        stretches.append(Fade(fade, voice, after, section.name))
        at, voice = fade.end, after
    if at < frames:
        stretches.append(Hold(Span(at, frames), voice))
    return tuple(stretches)


def _same_treatments(song: Song) -> dict[str, str]:
    """For each pass in use the first one that does the same: two names for one treatment are one voice."""
    used = {section.pass_: song.pass_[section.pass_] for section in song.section}
    first: dict[tuple[object, ...], str] = {}
    return {
        name: first.setdefault((treatment.print, *(p for p in treatment.chain if not is_neutral(p))), name)
        for name, treatment in used.items()
    }


def _voice(section: Section, same: Mapping[str, str]) -> Voice:
    return Voice(same[section.pass_], section.ride_db)


def _fade_span(section: Section, start: int, rate_hz: int) -> Span:
    join = section.join or Join()
    end = start - ms_to_frames(join.lead_ms, rate_hz)
    return Span(end - ms_to_frames(join.fade_ms, rate_hz), end)
