"""`arsis codecs`: what lossy coders do to a song or a file, and the ceiling that keeps them under a limit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path

from arsis.audio import Block
from arsis.deliver.codec_check import CodecChecked, check_codecs, untried
from arsis.deliver.codec_ear import NamedSpan
from arsis.deliver.codec_search import CeilingFound, FileSound, PlanSound, Turnable, search_ceiling
from arsis.deliver.codec_warnings import over_warnings
from arsis.deliver.coding import check_coding, parse_coding, unavailable
from arsis.deliver.known_profiles import find_profile
from arsis.errors import ArsisError
from arsis.io.read import open_sound
from arsis.plan.profile import CodecCheck
from arsis.render.progress import Progress, unseen
from arsis.report.text import number

from .places import open_for_render, open_plan

FIRST_PROFILE = "stream"  # whose list of coders is tried where none is named


@dataclass(frozen=True, slots=True)
class CodecsTried:
    """What each coder did, and where it was asked for, the ceiling found for it."""

    file: str
    checks: tuple[CodecChecked, ...]
    ceilings: tuple[CeilingFound, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Opened:
    """A sound to be taken through coders. release: the folder whose profiles count."""

    sound: Turnable
    sections: tuple[NamedSpan, ...]
    release: Path

    def blocks(self) -> Iterator[Block]:
        yield from self.sound.at(self.sound.start_db).blocks


def song_codecs(
    path: Path,
    codings: Sequence[str] = (),
    *,
    limit_dbtp: float | None = None,
    search: bool = False,
    progress: Progress = unseen,
) -> CodecsTried:
    """Takes a plan's print, at the mix's own rate, or a sound file as it stands, through coders.

    codings: as `aac:256`; those of the profile `stream` when there are none. limit_dbtp: what the decoded
    peaks may have; 0, or what the profile says, when None. search: find the ceiling, or for a file the
    gain, that keeps each of them under it.
    Raises ArsisError where the request or a file is at fault, or a coder that is named is not installed.
    """
    with ExitStack() as stack:
        opened = _open(path, stack, progress)
        sound = opened.sound
        checks = _checks(codings, limit_dbtp, opened.release)
        skipped = untried(checks)
        checks = tuple(check for check in checks if unavailable(check.codec) is None)
        for check in checks:
            check_coding(check.codec, check.kbps, sound.rate_hz, sound.channels)
        done = check_codecs(opened.blocks(), sound.rate_hz, sound.channels, checks, opened.sections)
        ceilings = tuple(search_ceiling(sound, check) for check in checks) if search else ()
    return CodecsTried(str(path), done, ceilings, (*skipped, *over_warnings(done), *_not_found(ceilings)))


def _open(path: Path, stack: ExitStack, progress: Progress) -> _Opened:
    if path.suffix != ".toml":
        reader = stack.enter_context(open_sound(path))
        return _Opened(FileSound(reader), (), path.parent)
    plan = open_plan(path)
    source = open_for_render(plan, plan.song, stack)
    info = source.mix.info
    starts = [section.start_s for section in plan.song.section]
    ends = [*starts[1:], info.duration_s]
    sections = tuple(
        NamedSpan(section.name, start, end)
        for section, start, end in zip(plan.song.section, starts, ends, strict=True)
    )
    return _Opened(PlanSound(source, info.rate_hz, progress), sections, plan.release)


def _checks(codings: Sequence[str], limit_dbtp: float | None, release: Path) -> tuple[CodecCheck, ...]:
    """What is to be tried. Raises ArsisError where a coder that is named is not installed."""
    if codings:
        return tuple(_named(text, 0.0 if limit_dbtp is None else limit_dbtp) for text in codings)
    checks = find_profile(FIRST_PROFILE, release).codec
    return checks if limit_dbtp is None else tuple(replace(c, most_dbtp=limit_dbtp) for c in checks)


def _named(text: str, limit_dbtp: float) -> CodecCheck:
    check = parse_coding(text, limit_dbtp)
    reason = unavailable(check.codec)
    if reason is not None:
        raise ArsisError(reason)
    return check


def _not_found(ceilings: Sequence[CeilingFound]) -> Iterator[str]:
    for found in ceilings:
        if found.value_db is None:
            yield (
                f"{found.codec} at {found.kbps:g} kbit/s: nothing down to "
                f"{number(found.tries[-1].value_db)} dB keeps it under {number(found.limit_dbtp)} dBTP"
            )
