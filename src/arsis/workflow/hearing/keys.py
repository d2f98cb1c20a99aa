"""Names for sounds that say all that makes their samples: of equal keys the sounds are equal."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path
from typing import TypeAlias

from arsis.plan.model import Pass, Song
from arsis.process import is_neutral
from arsis.render.schedule import Fade, Schedule
from arsis.settings import Processor
from arsis.version import VERSION


def key_of(*what: object) -> str:
    """A short name for anything whose `repr` says all of it."""
    return hashlib.sha256(repr((VERSION, *what)).encode()).hexdigest()[:24]


Stamp: TypeAlias = tuple[str, int, int]


def stamp(path: Path) -> Stamp | None:
    """What changes when a file does; None where there is none."""
    try:
        status = path.stat()
    except OSError:
        return None
    return (str(path), status.st_size, status.st_mtime_ns)


def print_key(song: Song, plan: Schedule, mix_sha256: str, release: Path) -> str:
    """Of the print of a plan. Names, notes and kinds make no sound, nor do links that do nothing."""
    heard = []
    for stretch in plan.stretches:
        voices = (stretch.before, stretch.after) if isinstance(stretch, Fade) else (stretch.voice,)
        treated = [(_treatment(song.pass_[one.pass_name], release), one.ride_db) for one in voices]
        heard.append((stretch.span, treated))
    finish, limiter = song.finish, song.finish.limiter
    shared = [(one, stamp(release / one.mix)) for one in song.version] if finish.share_limiter else []
    return key_of(
        mix_sha256,
        heard,
        plan.ride,
        _working(finish.chain),
        finish.gain_db,
        replace(limiter, most_db=0.0) if limiter is not None else None,
        finish.dither,
        shared,
    )


def shape_key(song: Song, print_key: str) -> str:
    """Of what is measured of a plan, section by section."""
    passes = {name: replace(one, note="") for name, one in song.pass_.items()}
    return key_of(print_key, replace(song, title="", version=(), pass_=passes))


def _treatment(one: Pass, release: Path) -> object:
    return (stamp(release / one.print) if one.print is not None else None, _working(one.chain))


def _working(chain: tuple[Processor, ...]) -> tuple[Processor, ...]:
    return tuple(link for link in chain if not is_neutral(link))
