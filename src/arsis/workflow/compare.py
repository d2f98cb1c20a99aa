"""`arsis compare`: the difference of two files, aligned and level-matched."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from arsis.errors import ArsisError, NotSameRecordingError
from arsis.io.read import open_sound
from arsis.render.difference import BandDifference, Place, difference
from arsis.render.progress import Progress, unseen


@dataclass(frozen=True, slots=True)
class Compared:
    """b against a. identical: sample for sample, after alignment and without any gain. confidence: of the
    alignment, see `measure.alignment`."""

    a: str
    b: str
    identical: bool
    offset_frames: float
    drift_ppm: float
    polarity: int
    confidence: float
    gain_db: float
    difference_db: float
    bands: dict[str, BandDifference]
    places: tuple[Place, ...]


def compare_files(a: Path, b: Path, progress: Progress = unseen) -> Compared:
    """Raises ArsisError where one cannot be read or they are not the same recording."""
    with open_sound(a) as first, open_sound(b) as second:
        try:
            found = difference(first, second, progress)
        except NotSameRecordingError as reason:
            raise ArsisError(f"{b}: cannot be laid over {a}: {reason}") from reason
    alignment = found.alignment
    return Compared(
        a=str(a),
        b=str(b),
        identical=found.difference_db == float("-inf"),
        offset_frames=alignment.offset_frames,
        drift_ppm=alignment.drift_ppm,
        polarity=alignment.polarity,
        confidence=alignment.confidence,
        gain_db=found.gain_db,
        difference_db=found.difference_db,
        bands=found.bands,
        places=found.places,
    )
