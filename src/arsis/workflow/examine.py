"""`arsis examine`: the intake: is a file fit to master, and what the mixer could do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from arsis.advice.finding import Finding
from arsis.advice.intake import Intake, judge, stopping
from arsis.advice.mixer_note import mixer_note
from arsis.audio import BLOCK_FRAMES
from arsis.io.info import SoundInfo
from arsis.io.read import SoundReader, open_sound
from arsis.measure.defects.examiner import Defects, Examiner, StoppingExaminer
from arsis.measure.summary import SoundFacts
from arsis.render.progress import Progress, unseen

from .places import titled


@dataclass(frozen=True, slots=True)
class Examined:
    """A file as it came in. fit: whether work can begin with it. good: what was looked at and is as it should
    be. notes: to the mixer, to send."""

    file: str
    rate_hz: int
    channels: int
    bits: int | None
    encoding: str
    duration_s: float
    fit: bool
    findings: tuple[Finding, ...]
    good: tuple[str, ...]
    notes: str


def examine_files(paths: Sequence[Path], progress: Progress = unseen) -> tuple[Examined, ...]:
    """Each file, read once. Raises SoundFileError for the first that cannot be read."""
    return tuple(examine_file(path, progress) for path in paths)


@dataclass(frozen=True, slots=True)
class Listened:
    """A file's facts, its figures, and what is to be said of them."""

    info: SoundInfo
    defects: Defects
    intake: Intake


def listen(path: Path, progress: Progress = unseen) -> Listened:
    """Reads a file once. Raises SoundFileError where it cannot be read."""
    with open_sound(path) as sound:
        info, examiner = sound.info, Examiner(sound.info)
        _hear(sound, examiner, progress)
    found = examiner.finish()
    return Listened(info, found, judge(info, found))


def stops(path: Path, meters: SoundFacts) -> tuple[Finding, ...]:
    """Of what `listen` finds only what stops the work, in half of the time. meters: of the same sound.

    Raises SoundFileError where it cannot be read.
    """
    with open_sound(path) as sound:
        info, examiner = sound.info, StoppingExaminer(sound.info)
        _hear(sound, examiner, unseen)
    return stopping(info, examiner.finish(meters))


def _hear(sound: SoundReader, examiner: Examiner | StoppingExaminer, progress: Progress) -> None:
    done = 0
    while (block := sound.read(BLOCK_FRAMES)).shape[1]:
        examiner.add(block)
        done += block.shape[1]
        progress(done, sound.info.frames)


def examine_file(path: Path, progress: Progress = unseen) -> Examined:
    """One file."""
    listened = listen(path, progress)
    info, intake = listened.info, listened.intake
    return Examined(
        file=str(path),
        rate_hz=info.rate_hz,
        channels=info.channels,
        bits=info.bits,
        encoding=info.encoding,
        duration_s=info.duration_s,
        fit=intake.fit,
        findings=intake.findings,
        good=intake.good,
        notes=mixer_note(titled(path.stem), intake.findings),
    )
