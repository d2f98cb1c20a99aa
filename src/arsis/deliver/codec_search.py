"""The ceiling under which what is decoded stays under a limit: found by trying, each try really coded.

What a coder adds does not follow from the ceiling, so what is found holds because it was tried; that
nothing between two tries would do as well is not said.
"""

from __future__ import annotations

import math
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal, Protocol

import numpy as np

from arsis.audio import Block
from arsis.io.read import SoundReader
from arsis.measure.loudness import LoudnessMeter, integrated_lufs
from arsis.measure.peaks import TruePeakMeter
from arsis.plan.model import Song
from arsis.plan.profile import Codec, CodecCheck
from arsis.render.engine import Taps
from arsis.render.progress import Progress, unseen
from arsis.render.run import Rendering, Way
from arsis.render.schedule import schedule
from arsis.render.source import Source
from arsis.render.took import TookMeter
from arsis.render.words import Word
from arsis.units import db_to_gain, gain_to_db

from .codec_check import blocks_of
from .coding import ENDS, check_coding
from .lossy import decode, write_lossy

STEP_DB = 0.1
MOST_DOWN_DB = 12.0  # a ceiling so much lower is another master

By = Literal["limiter", "gain"]


@dataclass(frozen=True, slots=True)
class Take:
    """Finished sound at one setting. took: what the limiter took; None where there is none."""

    blocks: Iterable[Block]
    took: TookMeter | None


class Turnable(Protocol):
    """A sound that can be had with its peaks lower. start_db: the ceiling or gain that it has now."""

    rate_hz: int
    channels: int
    by: By
    start_db: float

    def at(self, value_db: float) -> Take: ...


@dataclass(frozen=True, slots=True)
class Try:
    """One setting, really coded. integrated_lufs: of what was fed; true_peak_dbtp: of what was decoded."""

    value_db: float
    true_peak_dbtp: float
    integrated_lufs: float
    took_max_db: float | None
    took_mean_db: float | None


@dataclass(frozen=True, slots=True)
class CeilingFound:
    """by limiter: value_db is the limiter's ceiling, in dBTP; by gain: what the whole sound is turned by.

    value_db: None where nothing down to 12 dB lower holds. loudness_change_lu: what it costs, against the
    setting there was. tries: in the order they were made.
    """

    codec: Codec
    kbps: float
    limit_dbtp: float
    by: By
    start_db: float
    value_db: float | None
    loudness_change_lu: float | None
    took_max_db: float | None
    took_max_before_db: float | None
    tries: tuple[Try, ...]


def search_ceiling(sound: Turnable, check: CodecCheck) -> CeilingFound:
    """The highest setting tried, to 0.1 dB, whose decoded true peaks are at most `check.most_dbtp`.

    Raises ArsisError where the coder is not there or a file is at fault.
    """
    check_coding(check.codec, check.kbps, sound.rate_hz, sound.channels)
    tries: list[Try] = []

    def value_at(steps_down: int) -> float:
        return round(sound.start_db - steps_down * STEP_DB, 6)  # as it will stand in a plan

    def excess_steps(steps_down: int) -> int:
        """Whole steps that are missing at a setting; 0 where it holds."""
        tries.append(_tried(sound, check, value_at(steps_down)))
        excess_db = tries[-1].true_peak_dbtp - check.most_dbtp
        return max(1, math.ceil(excess_db / STEP_DB)) if excess_db > 0.0 else 0

    found = least_steps(excess_steps, round(MOST_DOWN_DB / STEP_DB))
    start = tries[0]
    value_db = None if found is None else value_at(found)
    end = next((one for one in tries if one.value_db == value_db), None)
    return CeilingFound(
        codec=check.codec,
        kbps=check.kbps,
        limit_dbtp=check.most_dbtp,
        by=sound.by,
        start_db=sound.start_db,
        value_db=value_db,
        loudness_change_lu=None if end is None else end.integrated_lufs - start.integrated_lufs,
        took_max_db=None if end is None else end.took_max_db,
        took_max_before_db=start.took_max_db,
        tries=tuple(tries),
    )


class _Excess(Protocol):
    def __call__(self, steps_down: int, /) -> int: ...


def least_steps(excess: _Excess, most: int) -> int | None:
    """The fewest steps down, up to `most`, that hold, by bisection between one that fails and one that
    holds; None where none was found.

    excess: about how many steps are missing after so many, 0 where it holds.
    """
    missing = excess(0)
    if not missing:
        return 0
    failed, holds, stride = 0, min(missing, most), 1
    while missing := excess(holds):
        if holds == most:
            return None
        failed, holds, stride = holds, min(holds + max(missing, stride), most), 2 * stride
    while holds - failed > 1:
        middle = (failed + holds) // 2
        failed, holds = (middle, holds) if excess(middle) else (failed, middle)
    return holds


def _tried(sound: Turnable, check: CodecCheck, value_db: float) -> Try:
    take = sound.at(value_db)
    loudness = LoudnessMeter(sound.rate_hz, sound.channels)
    with _folder() as folder:
        path = folder / f"try{ENDS[check.codec]}"
        with write_lossy(path, check.codec, check.kbps, sound.rate_hz, sound.channels) as writer:
            for block in map(np.ascontiguousarray, take.blocks):
                loudness.add(block)
                writer.write(block)
        with decode(path) as decoded:
            peaks = TruePeakMeter(decoded.info.channels)
            for block in blocks_of(decoded):
                peaks.add(block)
    took = None if take.took is None else take.took.whole()
    return Try(
        value_db=value_db,
        true_peak_dbtp=gain_to_db(peaks.peak()),
        integrated_lufs=integrated_lufs(loudness.energies()),
        took_max_db=None if took is None else took.max_db,
        took_mean_db=None if took is None else took.mean_db,
    )


@contextmanager
def _folder() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="arsis-codecs-") as folder:
        yield Path(folder)


class FileSound:
    """A sound file as it stands: it can only be turned down."""

    by: By = "gain"
    start_db = 0.0

    def __init__(self, sound: SoundReader) -> None:
        self.rate_hz, self.channels = sound.info.rate_hz, sound.info.channels
        self._sound = sound

    def at(self, value_db: float) -> Take:
        gain = db_to_gain(value_db)
        return Take((block * gain for block in blocks_of(self._sound)), None)


class PlanSound:
    """A plan: rendered again with its limiter at another ceiling, or turned down where it has none."""

    def __init__(self, source: Source, rate_hz: int, progress: Progress = unseen) -> None:
        self.rate_hz, self.channels = rate_hz, source.mix.info.channels
        limiter = source.song.finish.limiter
        self.by: By = "gain" if limiter is None else "limiter"
        self.start_db = 0.0 if limiter is None else limiter.ceiling_dbtp
        self._source, self._progress = source, progress

    def at(self, value_db: float) -> Take:
        info = self._source.mix.info
        source = replace(self._source, song=_turned(self._source.song, value_db))
        plan = schedule(source.song, info.rate_hz, info.frames)
        took = TookMeter(plan.sections, info.rate_hz) if self.by == "limiter" else None
        taps = Taps(gain=None if took is None else took.add)
        return Take(self._blocks(source, Way(Word(32, is_float=True), self.rate_hz, taps=taps)), took)

    def _blocks(self, source: Source, way: Way) -> Iterator[Block]:
        with Rendering(source, way) as rendering:
            for finished in rendering.blocks(self._progress):
                yield finished.sound


def _turned(song: Song, value_db: float) -> Song:
    finish = song.finish
    if finish.limiter is None:
        return replace(song, finish=replace(finish, gain_db=finish.gain_db + value_db))
    return replace(song, finish=replace(finish, limiter=replace(finish.limiter, ceiling_dbtp=value_db)))
