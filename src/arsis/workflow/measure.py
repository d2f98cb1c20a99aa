"""`arsis measure`: the standard meters of any sound file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from arsis.audio import BLOCK_FRAMES
from arsis.io.read import open_sound
from arsis.measure.summary import Meters
from arsis.render.progress import Progress, unseen


@dataclass(frozen=True, slots=True)
class Measured:
    """A file's facts and meters; what does not exist (loudness of silence) is minus infinity or None."""

    file: str
    rate_hz: int
    channels: int
    bits: int | None
    frames: int
    duration_s: float
    integrated_lufs: float
    range_lu: float
    max_momentary_lufs: float
    max_short_term_lufs: float
    true_peak_dbtp: float
    sample_peak_dbfs: float
    plr_db: float | None
    psr_min_db: float | None
    correlation: float | None
    dc_offset: tuple[float, ...]


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
    facts = meters.facts()
    return Measured(
        file=str(path),
        rate_hz=info.rate_hz,
        channels=info.channels,
        bits=info.bits,
        frames=info.frames,
        duration_s=info.duration_s,
        integrated_lufs=facts.integrated_lufs,
        range_lu=facts.range_lu,
        max_momentary_lufs=facts.max_momentary_lufs,
        max_short_term_lufs=facts.max_short_term_lufs,
        true_peak_dbtp=facts.true_peak_dbtp,
        sample_peak_dbfs=facts.sample_peak_dbfs,
        plr_db=facts.plr_db,
        psr_min_db=facts.psr_min_db,
        correlation=facts.correlation,
        dc_offset=facts.dc_offset,
    )
