"""`arsis print`: a plan becomes a file, and says what became of it."""

from __future__ import annotations

import time
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path

from arsis.dsp.resample import resampled_frames
from arsis.errors import ArsisError
from arsis.io.info import HIGHEST_RATE_HZ, LOWEST_RATE_HZ, SoundInfo
from arsis.io.write import container_of, write_sound
from arsis.plan.model import Version
from arsis.render.ear import PrintEar, SectionTook
from arsis.render.progress import Progress, unseen
from arsis.render.run import Rendering, Way, play, single_pass
from arsis.render.source import Source
from arsis.render.version import Guarded, VersionRendering
from arsis.render.version_mix import open_apart, open_version
from arsis.render.version_source import VersionSource
from arsis.render.words import Word, Words
from arsis.report.facts import print_warnings, version_warnings

from .places import OpenPlan, check_target, make_folder, open_for_render, open_plan


@dataclass(frozen=True, slots=True)
class PrintTook:
    """What the limiter took: over the print, and by section."""

    mean_db: float
    max_db: float
    share: float
    sections: dict[str, SectionTook]


@dataclass(frozen=True, slots=True)
class Followed:
    """How a version was printed. The rest is of its mix against the main one; None where it goes its own way.

    guard_max_db: what a limiter of its own took besides, at most, and where; there it no longer sums.
    """

    name: str
    follows: bool
    offset_frames: float | None = None
    offset_ms: float | None = None
    drift_ppm: float | None = None
    polarity: int | None = None
    gain_db: float | None = None
    correlation: float | None = None
    confidence: float | None = None
    guard_max_db: float | None = None
    guard_max_at_s: float | None = None


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
    version: Followed | None = None


def print_song(
    path: Path,
    *,
    out: Path | None = None,
    pass_name: str | None = None,
    version: str | None = None,
    rate_hz: int | None = None,
    bits: str | None = None,
    progress: Progress = unseen,
) -> Printed:
    """Renders a plan to a file; the rest as `print_plan`.

    Raises ArsisError where the request, the plan or a file is at fault; nothing is left half-written.
    """
    plan = open_plan(path)
    return print_plan(
        plan,
        out=out,
        pass_name=pass_name,
        version=version,
        rate_hz=rate_hz,
        bits=bits,
        progress=progress,
    )


def print_plan(
    plan: OpenPlan,
    *,
    out: Path | None = None,
    pass_name: str | None = None,
    version: str | None = None,
    rate_hz: int | None = None,
    bits: str | None = None,
    progress: Progress = unseen,
) -> Printed:
    """Renders a plan as it was read, whatever becomes of it on disk meanwhile.

    pass_name: one pass alone. version: another version of the song, with what the main one decided.
    bits: "16", "24", "32" or "32f"; 24, or 32f for a floating-point mix, when None.
    Raises ArsisError where the request, the plan or a file is at fault; nothing is left half-written.
    """
    started = time.perf_counter()
    asked = None if version is None else _version(plan, version, pass_name)
    target = _target(plan, out, pass_name, asked)
    if rate_hz is not None:
        _check_rate(rate_hz)
    with ExitStack() as stack:
        song = plan.song if pass_name is None else single_pass(plan.song, pass_name)
        source = open_for_render(plan, song, stack)
        info = source.mix.info
        way = Way(word_of(bits, info, target), info.rate_hz if rate_hz is None else rate_hz)
        if asked is None:
            return _written(source, way, target, started, progress)
        if not asked.follow:
            apart = open_apart(source, asked, plan.release, stack)
            made = _written(apart.source, way, target, started, progress)
            return replace(made, version=Followed(asked.name, follows=False))
        led = open_version(source, asked, plan.release, stack)
        return _written(source, way, target, started, progress, led)


def _version(plan: OpenPlan, name: str, pass_name: str | None) -> Version:
    """Raises ArsisError where there is no such version, or a pass alone is asked for of it."""
    known = {version.name: version for version in plan.song.version}
    if name not in known:
        raise ArsisError(f"{plan.path}: has no version {name!r}; it has {', '.join(known) or 'none'}")
    if pass_name is not None:
        raise ArsisError("a pass alone is printed of the main version only; give --pass or --version")
    return known[name]


def _target(plan: OpenPlan, out: Path | None, pass_name: str | None, version: Version | None) -> Path:
    """Where the print goes; only the release's own folder for prints is made where it is not there."""
    target = out or plan.default_print(pass_name, version.name if version is not None else None)
    container_of(target)
    if out is None:
        make_folder(target.parent)
    check_target(plan, target)
    return target


def _check_rate(rate_hz: int) -> None:
    if not LOWEST_RATE_HZ <= rate_hz <= HIGHEST_RATE_HZ:
        allowed = f"whole numbers from {LOWEST_RATE_HZ} to {HIGHEST_RATE_HZ}"
        raise ArsisError(f"nothing is printed at a rate of {rate_hz} Hz; allowed: {allowed}")


def word_of(bits: str | None, info: SoundInfo, out: Path | None = None) -> Word:
    """The word asked for, or the one that fits such a mix and the file it goes to.

    Raises ArsisError for a word that such a file does not hold.
    """
    flac = out is not None and container_of(out) == "flac"
    if bits is None:
        floating = info.is_float and not info.is_lossy
        bits = "24" if flac else "32f" if floating else "32" if info.bits == 32 else "24"
    if flac and bits not in ("16", "24"):
        raise ArsisError(f"{out}: FLAC holds words of 16 or 24 bits; allowed: --bits 16, --bits 24")
    return Word(32, is_float=True) if bits == "32f" else Word(int(bits))


def _written(
    source: Source,
    way: Way,
    out: Path,
    started: float,
    progress: Progress,
    led: VersionSource | None = None,
) -> Printed:
    """Prints the source's song, or the version that it leads."""
    info = source.mix.info
    container = container_of(out)
    ear = PrintEar(source, way)
    frames = resampled_frames(info.frames, info.rate_hz, way.out_rate_hz)
    heard = replace(way, taps=ear.taps)
    with (
        Rendering(source, heard) if led is None else VersionRendering(source, led, heard) as rendering,
        write_sound(
            out, way.out_rate_hz, info.channels, way.word.encoding, container, frames=frames
        ) as writer,
    ):

        def keep(words: Words) -> None:
            ear.hear(words)
            writer.write(words)

        joins = play(rendering, keep, progress)
    facts, took = ear.print.facts(), ear.took.whole()
    elapsed = time.perf_counter() - started
    sections = ear.section_took()
    followed, warnings = (
        None,
        print_warnings(
            source.song, sections, took, ear.steps_asked_db(), joins.reports, facts.true_peak_dbtp
        ),
    )
    if led is not None and isinstance(rendering, VersionRendering):
        followed = _followed(led, rendering.guarded)
        warnings = version_warnings(led.version.name, rendering.guarded, facts.true_peak_dbtp)
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
        warnings=warnings,
        render_s=elapsed,
        realtime_factor=info.duration_s / elapsed,
        version=followed,
    )


def _followed(led: VersionSource, guarded: Guarded) -> Followed:
    found, rate_hz = led.alignment, led.mix.info.rate_hz
    offset_frames = float(round(found.offset_frames)) if led.sound.in_step else found.offset_frames
    return Followed(
        name=led.version.name,
        follows=True,
        offset_frames=offset_frames,
        offset_ms=1000.0 * offset_frames / rate_hz,
        drift_ppm=0.0 if led.sound.in_step else found.drift_ppm,
        polarity=found.polarity,
        gain_db=found.gain_db,
        correlation=found.correlation,
        confidence=found.confidence,
        guard_max_db=guarded.max_db,
        guard_max_at_s=guarded.max_at_s if guarded.max_db > 0.0 else None,
    )
