"""What is laid over the gap between two songs, read from its file at the record's rate."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import numpy as np

from arsis.audio import BLOCK_FRAMES, Span
from arsis.dsp.resample import Resampler, resampled_frames
from arsis.errors import PlanError
from arsis.io.info import SoundInfo
from arsis.io.read import SoundReader, open_sound
from arsis.plan.model import Between
from arsis.render.engine import Finished
from arsis.render.words import Untouched, Word, holds
from arsis.units import db_to_gain

from .record_sound import Sounding


def between_frames(info: SoundInfo, rate_hz: int) -> int:
    """How long the file is at the record's rate."""
    return resampled_frames(info.frames, info.rate_hz, rate_hz)


def open_between(
    path: Path, between: Between, rate_hz: int, channels: int, word: Word, stack: ExitStack
) -> Sounding:
    """The sound, converted to the record's rate where it has another, at its own level in the gap.

    Raises PlanError for a stereo sound in a mono record; a mono sound becomes two channels alike.
    """
    reader = stack.enter_context(open_sound(path))
    info = reader.info
    if info.channels > channels:
        raise PlanError(
            f"{path}: lies between songs of {channels} channel and has {info.channels}; allowed: 1"
        )
    own = between.gain_db == 0.0 and info.rate_hz == rate_hz and holds(word, info)
    return Sounding(_blocks(reader, rate_hz, between), Untouched((Span(0, info.frames),) if own else ()))


def _blocks(reader: SoundReader, rate_hz: int, between: Between) -> Iterator[Finished]:
    resampler = Resampler(reader.info.rate_hz, rate_hz, reader.info.channels)
    gain = db_to_gain(between.gain_db)
    last = False
    while not last:
        block = reader.read(BLOCK_FRAMES)
        last = not block.shape[1]
        sound = resampler.process(block, last)
        yield Finished(sound if gain == 1.0 else sound * gain, np.ones(sound.shape[1]))
