"""`arsis print`: a plan becomes a file, and says what became of it."""

from __future__ import annotations

import time
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path

from arsis.dsp.resample import resampled_frames
from arsis.errors import ArsisError
from arsis.io.info import HIGHEST_RATE_HZ, LOWEST_RATE_HZ
from arsis.io.write import container_of, write_sound
from arsis.render.ear import PrintEar, SectionTook
from arsis.render.progress import Progress, unseen
from arsis.render.run import Way, render, single_pass
from arsis.render.source import Source
from arsis.render.words import Word, Words
from arsis.report.facts import print_warnings

from .places import OpenPlan, check_target, make_folder, open_for_render, open_plan


@dataclass(frozen=True, slots=True)
class PrintTook:
    """What the limiter took: over the print, and by section."""

    mean_db: float
    max_db: float
    share: float
    sections: dict[str, SectionTook]


@dataclass(frozen=True, slots=True)
class Printed:
    """A finished print."""

    out: Path
    sha256: str | None
    rate_hz: int
    bits: int
    frames: int
    integrated_lufs: float
    true_peak_dbtp: float
    took: PrintTook
    warnings: tuple[str, ...]
    render_s: float
    realtime_factor: float


def print_song(
    path: Path,
    *,
    out: Path | None = None,
    pass_name: str | None = None,
    rate_hz: int | None = None,
    bits: str | None = None,
    progress: Progress = unseen,
) -> Printed:
    """Renders a plan to a file.

    bits: "16", "24", "32" or "32f"; 24, or 32f for a floating-point mix, when None.
    Raises ArsisError where the request, the plan or a file is at fault; nothing is left half-written.
    """
    started = time.perf_counter()
    plan = open_plan(path)
    target = _target(plan, out, pass_name)
    if rate_hz is not None:
        _check_rate(rate_hz)
    with ExitStack() as stack:
        song = plan.song if pass_name is None else single_pass(plan.song, pass_name)
        source = open_for_render(plan, song, stack)
        way = Way(word_of(bits, source, target), source.mix.info.rate_hz if rate_hz is None else rate_hz)
        return _written(source, way, target, started, progress)


def _target(plan: OpenPlan, out: Path | None, pass_name: str | None) -> Path:
    """Where the print goes; only the release's own folder for prints is made where it is not there."""
    target = out or plan.default_print(pass_name)
    container_of(target)
    if out is None:
        make_folder(target.parent)
    check_target(plan, target)
    return target


def _check_rate(rate_hz: int) -> None:
    if not LOWEST_RATE_HZ <= rate_hz <= HIGHEST_RATE_HZ:
        allowed = f"whole numbers from {LOWEST_RATE_HZ} to {HIGHEST_RATE_HZ}"
        raise ArsisError(f"nothing is printed at a rate of {rate_hz} Hz; allowed: {allowed}")


def word_of(bits: str | None, source: Source, out: Path | None = None) -> Word:
    """The word asked for, or the one that fits the mix and the file it goes to.

    Raises ArsisError for a word that such a file does not hold.
    """
    info, flac = source.mix.info, out is not None and container_of(out) == "flac"
    if bits is None:
        floating = info.is_float and not info.is_lossy
        bits = "24" if flac else "32f" if floating else "32" if info.bits == 32 else "24"
    if flac and bits not in ("16", "24"):
        raise ArsisError(f"{out}: FLAC holds words of 16 or 24 bits; allowed: --bits 16, --bits 24")
    return Word(32, is_float=True) if bits == "32f" else Word(int(bits))


def _written(source: Source, way: Way, out: Path, started: float, progress: Progress) -> Printed:
    info = source.mix.info
    container = container_of(out)
    ear = PrintEar(source, way)
    frames = resampled_frames(info.frames, info.rate_hz, way.out_rate_hz)
    with write_sound(
        out, way.out_rate_hz, info.channels, way.word.encoding, container, frames=frames
    ) as writer:

        def keep(words: Words) -> None:
            ear.hear(words)
            writer.write(words)

        joins = render(source, replace(way, taps=ear.taps), keep, progress)
    facts, took = ear.print.facts(), ear.took.whole()
    elapsed = time.perf_counter() - started
    sections = ear.section_took()
    return Printed(
        out=out,
        sha256=writer.sha256,
        rate_hz=way.out_rate_hz,
        bits=way.word.bits,
        frames=writer.frames,
        integrated_lufs=facts.integrated_lufs,
        true_peak_dbtp=facts.true_peak_dbtp,
        took=PrintTook(
            took.mean_db,
            took.max_db,
            took.share,
            {section.name: t for section, t in zip(source.song.section, sections, strict=True)},
        ),
        warnings=print_warnings(
            source.song, sections, took, ear.steps_asked_db(), joins.reports, facts.true_peak_dbtp
        ),
        render_s=elapsed,
        realtime_factor=info.duration_s / elapsed,
    )
