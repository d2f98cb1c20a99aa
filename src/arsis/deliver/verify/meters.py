"""Do the meters read today what the manifest says, and does the ceiling hold?"""

from __future__ import annotations

from collections.abc import Iterator

from arsis.deliver.manifest import SoundFacts, SoundFile
from arsis.report.text import number

from .delivery import Delivery
from .finding import Finding

# The meters are the same to the last bit everywhere; this is room for a figure that was written rounded.
ROUNDED_DB = 0.006
# Law 4: how far a true-peak meter may read above the ceiling.
OVER_DB = 0.01
# A plain gain moves every meter alike; rounding leaves so much.
ALIKE_DB = 0.02

METERS = (
    ("integrated_lufs", "integrated loudness", "LUFS"),
    ("range_lu", "loudness range", "LU"),
    ("max_momentary_lufs", "highest momentary loudness", "LUFS"),
    ("max_short_term_lufs", "highest short-term loudness", "LUFS"),
    ("true_peak_dbtp", "true peak", "dBTP"),
    ("sample_peak_dbfs", "sample peak", "dBFS"),
)
_LEVELS = tuple(name for name, _, unit in METERS if unit != "LU")


def check_meters(delivery: Delivery) -> Iterator[Finding]:
    """Each file's meters against the manifest, and its true peak against its ceiling."""
    for sound in delivery.manifest.sounds:
        heard = delivery.heard(sound)
        if heard is not None:
            yield from _readings(sound, heard.facts)
            yield from _ceiling(sound, heard.facts)


def _readings(sound: SoundFile, found: SoundFacts) -> Iterator[Finding]:
    level_db = plain_gain_db(sound.facts, found)
    if level_db is not None:
        yield Finding(
            file=sound.path,
            check="meters",
            what=f"level changed by {number(level_db, 2, signed=True)} dB, by all its meters",
            expected=f"{number(sound.facts.integrated_lufs, 2)} LUFS",
            found=f"{number(found.integrated_lufs, 2)} LUFS",
        )
        return
    for name, words, unit in METERS:
        expected, is_found = getattr(sound.facts, name), getattr(found, name)
        if not is_close(expected, is_found):
            yield Finding(
                file=sound.path,
                check="meters",
                what=words,
                expected=f"{number(expected, 2)} {unit}",
                found=f"{number(is_found, 2)} {unit}",
            )


def plain_gain_db(said: SoundFacts, found: SoundFacts) -> float | None:
    """The change of level that explains every meter; None where none does, or none is needed."""
    pairs = [(getattr(said, name), getattr(found, name)) for name in _LEVELS]
    moves = [now - then for then, now in pairs if then is not None and now is not None]
    if len(moves) < len(_LEVELS) or max(moves) - min(moves) > ALIKE_DB:
        return None
    mean_db = sum(moves) / len(moves)
    return mean_db if abs(mean_db) > ROUNDED_DB else None


def _ceiling(sound: SoundFile, found: SoundFacts) -> Iterator[Finding]:
    ceiling_dbtp, peak_dbtp = sound.ceiling_dbtp, found.true_peak_dbtp
    if ceiling_dbtp is not None and peak_dbtp is not None and peak_dbtp > ceiling_dbtp + OVER_DB:
        yield Finding(
            file=sound.path,
            check="meters",
            what=f"true peak {number(peak_dbtp - ceiling_dbtp, 2)} dB over the ceiling",
            expected=f"at most {number(ceiling_dbtp)} dBTP",
            found=f"{number(peak_dbtp, 2)} dBTP",
        )


def is_close(expected: float | None, found: float | None) -> bool:
    """Whether both say the same."""
    if expected is None or found is None:
        return expected is found
    return abs(expected - found) <= ROUNDED_DB
