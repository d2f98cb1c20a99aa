"""What a chain does at each frequency, by the designs that run: for drawing while it is being set."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from arsis.io.probe import probe
from arsis.plan.codec import song_from_table
from arsis.plan.model import Song
from arsis.plan.table import Table, as_table
from arsis.plan.words import described
from arsis.process import is_neutral, routed
from arsis.process.response import Factors, factors, moved_all_the_way, works_on
from arsis.settings import Processor

Numbers = NDArray[np.float64]

LOWEST_HZ, HIGHEST_OF_NYQUIST, POINTS = 10.0, 0.98, 300

# What each channel is of left and right: what a link adds goes back to both through it.
_SHARE = {
    "stereo": ((1.0, 0.0), (0.0, 1.0)),
    "mid": ((0.5, 0.5), (0.5, 0.5)),
    "side": ((0.5, -0.5), (-0.5, 0.5)),
    "left": ((1.0, 0.0), (0.0, 0.0)),
    "right": ((0.0, 0.0), (0.0, 1.0)),
}


@dataclass(frozen=True, slots=True)
class LinkCurve:
    """One link: what it is in words, the channel it works on, and its level there.

    db: None where it does nothing, or depends on the level. most_db: moved all the way, where it moves.
    """

    says: str
    channel: str
    works: bool
    db: Numbers | None
    most_db: Numbers | None


@dataclass(frozen=True, slots=True)
class WholeCurve:
    """The whole chain for one sort of sound: `everything`, or `middle` and `sides`, or `left` and `right`.

    Where left and right go into each other it is the level of what comes out on both. most_db: with every
    link that moves moved all the way; None where none does.
    """

    of: str
    db: Numbers
    most_db: Numbers | None


@dataclass(frozen=True, slots=True)
class ChainResponse:
    """The curves of a chain over one grid of frequencies; -inf where nothing passes."""

    freq_hz: Numbers
    wholes: tuple[WholeCurve, ...]
    links: tuple[LinkCurve, ...]


def song_chain_response(release: Path, song: Song, tables: Sequence[Table]) -> ChainResponse:
    """The response that a chain of plain tables would have on the song's mix.

    Raises DocumentError with every fault of the tables, PlanError where a link cannot run on such a mix.
    """
    form = probe(release / song.mix)
    return chain_response(chain_in(song, tables), form.rate_hz, form.channels)


def chain_in(song: Song, tables: Sequence[Table]) -> tuple[Processor, ...]:
    """The processors of plain tables, checked as those of the song's own document are."""
    table = as_table(song)
    table["finish"] = {**table["finish"], "chain": list(tables)}
    return song_from_table(table, song.title).finish.chain


def chain_response(chain: Sequence[Processor], rate_hz: int, channels: int) -> ChainResponse:
    """The response of a chain over a mix of this form.

    What depends on the level counts as at rest, where it changes nothing. Raises PlanError where a link
    cannot run on such a mix.
    """
    freq_hz = np.geomspace(LOWEST_HZ, HIGHEST_OF_NYQUIST * rate_hz / 2.0, POINTS)
    for link in chain:
        routed(link, rate_hz, channels)  # refuses what a print would refuse
    rest = [None if is_neutral(link) else factors(link, freq_hz, rate_hz) for link in chain]
    moved = [_moved(link, freq_hz, rate_hz) for link in chain]
    where = [works_on(link) if channels == 2 else "stereo" for link in chain]
    working = {channel for channel, link in zip(where, chain, strict=True) if not is_neutral(link)}
    links = tuple(
        LinkCurve(described(link), channel, not is_neutral(link), _level_db(one), _level_db(most))
        for link, channel, one, most in zip(chain, where, rest, moved, strict=True)
    )
    most = [one if one is not None else resting for one, resting in zip(moved, rest, strict=True)]
    moves = any(one is not None for one in moved)
    wholes = tuple(
        WholeCurve(
            of, _through(sound, rest, where, POINTS), _through(sound, most, where, POINTS) if moves else None
        )
        for of, sound in _sounds(working)
    )
    return ChainResponse(freq_hz, wholes, links)


def _moved(link: Processor, freq_hz: Numbers, rate_hz: int) -> Factors | None:
    whole = None if is_neutral(link) else moved_all_the_way(link)
    return None if whole is None else factors(whole, freq_hz, rate_hz)


def _sounds(working: set[str]) -> Iterator[tuple[str, tuple[float, float]]]:
    """The sorts of sound that a chain tells apart: left and right of each."""
    if working <= {"stereo"}:
        yield "everything", (1.0, 0.0)
    elif working <= {"stereo", "mid", "side"}:
        yield "middle", (1.0, 1.0)
        yield "sides", (1.0, -1.0)
    else:
        yield "left", (1.0, 0.0)
        yield "right", (0.0, 1.0)


def _through(
    sound: tuple[float, float], each: Sequence[Factors | None], where: Sequence[str], points: int
) -> Numbers:
    """Level of what comes out for such a sound, against what goes in."""
    both = np.repeat(np.array(sound, dtype=np.complex128)[:, None], points, axis=1)
    for one, channel in zip(each, where, strict=True):
        if one is not None:
            both = both + (one - 1.0) * (np.array(_SHARE[channel]) @ both)
    power = np.sum(np.abs(both) ** 2, axis=0) / np.sum(np.square(sound))
    with np.errstate(divide="ignore"):
        return np.asarray(10.0 * np.log10(power))


def _level_db(one: Factors | None) -> Numbers | None:
    if one is None:
        return None
    with np.errstate(divide="ignore"):
        return np.asarray(20.0 * np.log10(np.abs(one)))
