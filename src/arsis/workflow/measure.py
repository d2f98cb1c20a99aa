"""`arsis measure`: the standard meters of any sound file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from arsis.audio import BLOCK_FRAMES
from arsis.io.read import open_sound
from arsis.measure.summary import Meters, SoundFacts
from arsis.render.progress import Progress, unseen


@dataclass(frozen=True, slots=True)
class Measured:
    """A file's facts and what its meters read; the meters' keys stand beside the others."""

    file: str
    rate_hz: int
    channels: int
    bits: int | None
    encoding: str
    frames: int
    duration_s: float
    meters: SoundFacts = field(metadata={"beside": True})


def measure_files(paths: Sequence[Path], progress: Progress = unseen) -> tuple[Measured, ...]:
    """Meters of each file, read once.

    Raises SoundFileError for the first file that cannot be read.
    """
    return tuple(measure_file(path, progress) for path in paths)


def measure_file(path: Path, progress: Progress = unseen) -> Measured:
    """Meters of one file."""
    with open_sound(path) as sound:
        info = sound.info
        meters = Meters(info.rate_hz, info.channels)
        done = 0
        while (block := sound.read(BLOCK_FRAMES)).shape[1]:
            meters.add(block)
            done += block.shape[1]
            progress(done, info.frames)
    return Measured(
        file=str(path),
        rate_hz=info.rate_hz,
        channels=info.channels,
        bits=info.bits,
        encoding=info.encoding,
        frames=info.frames,
        duration_s=info.duration_s,
        meters=meters.facts(),
    )
