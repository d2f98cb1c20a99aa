"""Advice for a record that is cut in sides, from what its songs measure: common practice, no source."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from arsis.measure.groove import GrooveFacts, GrooveMeter
from arsis.plan.profile import Sides
from arsis.report.text import clock, number
from arsis.units import power_to_db

# Songs that differ by less in treble are alike for the order of a side.
_BRIGHTER_DB = 2.0


@dataclass(frozen=True, slots=True)
class SideSong:
    """A song of a side. start_s: where on the side it begins."""

    title: str
    start_s: float
    facts: GrooveFacts


def sides_meter(rate_hz: int, channels: int, sides: Sides) -> GrooveMeter:
    """A meter for one song: feed it the print's blocks."""
    return GrooveMeter(rate_hz, channels, sides.mono_below_hz, sides.sibilance_from_hz)


def side_advice(sides: Sides, name: str, songs: Sequence[SideSong]) -> tuple[str, ...]:
    """What the one who cuts should know of a side's sound; empty where nothing is to be said."""
    called = f"side {name}" if name else "the record"
    lines = [_wide_bass(sides, song) for song in songs]
    level = level_of_side(songs)
    if level is not None:
        lines += [_sibilance(sides, song, level, called) for song in songs]
    lines.append(_bright_end(songs, called))
    return tuple(line for line in lines if line)


def level_of_side(songs: Sequence[SideSong]) -> float | None:
    """The level of a side's songs together, dBFS; None for silence."""
    heard = [(one.facts.level_dbfs, one.facts.seconds) for one in songs]
    power = sum(10.0 ** (level / 10.0) * seconds for level, seconds in heard if level is not None)
    seconds = sum(seconds for _, seconds in heard)
    return power_to_db(power / seconds) if power > 0.0 else None


def _wide_bass(sides: Sides, song: SideSong) -> str:
    widest, at_s = song.facts.widest_low_db, song.facts.widest_low_at_s
    if widest is None or at_s is None or widest <= sides.most_side_low_db:
        return ""
    below = f"below {sides.mono_below_hz:.0f} Hz"
    most = f"up to {number(sides.most_side_low_db)} dB is usual"
    against = f"{number(abs(widest))} dB {'under' if widest < 0.0 else 'over'} the mid"
    return f"{song.title}: at {clock(at_s)} the sides {below} lie {against}; {most}"


def _sibilance(sides: Sides, song: SideSong, level_dbfs: float, called: str) -> str:
    loudest, at_s = song.facts.loudest_treble_dbfs, song.facts.loudest_treble_at_s
    if loudest is None or at_s is None or loudest - level_dbfs <= sides.most_sibilance_db:
        return ""
    over = loudest - level_dbfs
    against = f"{number(abs(over))} dB {'under' if over < 0.0 else 'over'} the level of {called}"
    most = f"up to {number(sides.most_sibilance_db)} dB is usual"
    above = f"above {sides.sibilance_from_hz / 1000.0:g} kHz"
    return f"{song.title}: at {clock(at_s)} the sound {above} comes to {against}; {most}"


def _bright_end(songs: Sequence[SideSong], called: str) -> str:
    """The groove is slower towards the middle: treble suffers most in the last song (plants' pages)."""
    heard = [(one.facts.treble_dbfs, one) for one in songs if one.facts.treble_dbfs is not None]
    if len(heard) < 2 or heard[-1][1] is not songs[-1]:
        return ""
    last_db = heard[-1][0]
    if last_db - max(treble for treble, _ in heard[:-1]) < _BRIGHTER_DB:
        return ""
    return (
        f"{songs[-1].title} is the brightest of {called} and its last: treble suffers most near the middle,"
        " plants advise bright songs first"
    )
