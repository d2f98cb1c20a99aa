"""`arsis record`: the songs of a release as one record, in figures and on one page."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from os import cpu_count
from pathlib import Path
from threading import Event, Lock

import numpy as np

from arsis.audio import Span
from arsis.deliver.between_sound import between_frames
from arsis.deliver.record import Placed, Record, alone, lay_out
from arsis.deliver.record_heard import Heard, shape_of
from arsis.deliver.record_sound import RunWay, run_words, sounding
from arsis.dsp.resample import resampled_frames
from arsis.errors import ArsisError
from arsis.io.info import SoundInfo
from arsis.io.probe import probe
from arsis.io.whole import write_text_whole
from arsis.measure.spectrum import SpectrumMeter
from arsis.measure.summary import Meters
from arsis.plan.codec import read_release
from arsis.plan.model import Release
from arsis.render.progress import Progress, unseen
from arsis.render.run import Rendering, Way
from arsis.render.words import Word
from arsis.report.record_page import record_page
from arsis.report.record_shape import RecordShape
from arsis.version import VERSION

from .places import OpenPlan, make_folder, open_for_render, open_plan

# Songs are measured before any word length, as a record has no one word before it is delivered.
_WORD = Word(32, is_float=True)


@dataclass(frozen=True, slots=True)
class Recorded:
    """The record in figures, and the page about it."""

    out: Path
    shape: RecordShape = field(metadata={"beside": True})
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class OpenRelease:
    """A release with its plans and mixes. rate_hz: of the record."""

    folder: Path
    release: Release
    plans: tuple[OpenPlan, ...]
    mixes: tuple[SoundInfo, ...]
    rate_hz: int

    @property
    def channels(self) -> int:
        return max(mix.channels for mix in self.mixes)


def release_record(folder: Path, out: Path | None = None, progress: Progress = unseen) -> Recorded:
    """Renders the songs without writing them, measures them and writes the page.

    Raises ArsisError where a document or a file is at fault, PlanError where the songs cannot be laid out.
    """
    opened = open_release(folder)
    target = _target(folder, out)
    record = laid_out(opened)
    heard = _all_heard(opened, record, progress)
    titles = [plan.song.title for plan in opened.plans]
    shape = shape_of(opened.release, titles, record, heard)
    warnings = _warnings(opened, shape)
    page = record_page(shape, [one.powers for one in heard], warnings, f"arsis {VERSION}")
    write_text_whole(target, page)
    return Recorded(target, shape, warnings)


def open_release(folder: Path) -> OpenRelease:
    """Reads a release's document, its plans, and what its mixes are."""
    path = folder / "release.toml"
    if not path.is_file():
        raise ArsisError(f"{folder}: no release: it has no release.toml; `arsis start` makes one")
    release = read_release(path)
    if not release.song:
        raise ArsisError(f"{path}: the release has no songs yet; allowed: at least one [[song]]")
    plans = tuple(open_plan(folder / song.plan) for song in release.song)
    mixes = tuple(probe(plan.mix) for plan in plans)
    return OpenRelease(folder, release, plans, mixes, release.rate_hz or max(mix.rate_hz for mix in mixes))


def laid_out(opened: OpenRelease) -> Record:
    """The songs on one time, at the record's rate."""
    betweens = {
        i + 1: between_frames(probe(opened.folder / song.between.file), opened.rate_hz)
        for i, song in enumerate(opened.release.song)
        if song.between is not None
    }
    frames = [resampled_frames(mix.frames, mix.rate_hz, opened.rate_hz) for mix in opened.mixes]
    return lay_out(opened.release, frames, opened.rate_hz, between_frames=betweens)


def _target(folder: Path, out: Path | None) -> Path:
    target = out or folder / "reports" / "record.html"
    if target.suffix.lower() not in (".html", ".htm"):
        raise ArsisError(f"{target}: the record is shown on a page; allowed: a name that ends in .html")
    if out is None:
        make_folder(target.parent)
    return target


def _all_heard(opened: OpenRelease, record: Record, progress: Progress) -> list[Heard]:
    """Every song, side by side on all cores: the kernels leave the interpreter free meanwhile."""
    count = _Together(progress, sum(mix.frames for mix in opened.mixes))
    pool = ThreadPoolExecutor(cpu_count() or 1)
    try:
        jobs = [pool.submit(_heard, opened, placed, count.part(placed.place)) for placed in record.songs]
        return [job.result() for job in jobs]
    finally:
        count.stopped.set()  # of no consequence once all is done
        pool.shutdown(cancel_futures=True)


class _Together:
    """One progress for many songs; a stop reaches all of them."""

    def __init__(self, progress: Progress, total: int) -> None:
        self._progress, self._total = progress, total
        self._done: dict[int, int] = {}
        self._lock = Lock()
        self.stopped = Event()

    def part(self, place: int) -> Progress:
        def come(done: int, total: int) -> None:
            if self.stopped.is_set():
                raise ArsisError("stopped")
            with self._lock:
                self._done[place] = done
                self._progress(sum(self._done.values()), self._total)

        return come


def _heard(opened: OpenRelease, placed: Placed, progress: Progress) -> Heard:
    plan, entry = opened.plans[placed.place - 1], opened.release.song[placed.place - 1]
    finish = plan.song.finish
    song = replace(plan.song, finish=replace(finish, gain_db=finish.gain_db + entry.trim_db))
    rate_hz, channels = opened.rate_hz, opened.channels
    meters = Meters(rate_hz, channels)
    spectrum = SpectrumMeter(rate_hz, channels, (Span(0, placed.song.frames),))
    with ExitStack() as stack:
        source = open_for_render(plan, song, stack)
        rendering = stack.enter_context(Rendering(source, Way(_WORD, rate_hz)))
        run_way = RunWay(_WORD, rate_hz, channels, source.seed, finish.dither, finish.limiter)
        sounds = {placed.place: sounding(rendering, progress)}
        for _, words in run_words(alone(placed), sounds, run_way):
            sound = words.astype(np.float64, copy=False)
            meters.add(sound)
            spectrum.add(sound)
        progress(source.mix.info.frames, source.mix.info.frames)  # a trimmed song is done before its mix is
    return Heard(meters.facts(), spectrum.spectra()[0].bands(), meters.energies())


def _warnings(opened: OpenRelease, shape: RecordShape) -> tuple[str, ...]:
    found = []
    rates = {mix.rate_hz for mix in opened.mixes}
    if opened.release.rate_hz is None and len(rates) > 1:
        each = ", ".join(f"{i + 1:02d} at {mix.rate_hz / 1000:g} kHz" for i, mix in enumerate(opened.mixes))
        found.append(
            f"the songs differ in rate ({each}); shown as they are at {opened.rate_hz / 1000:g} kHz: set "
            "rate_hz in release.toml, or deliver in a profile that has a rate"
        )
    found += [
        f"{song.place:02d} {song.title}: true peak {song.true_peak_dbtp:.1f} dBTP is over full scale"
        for song in shape.songs
        if song.true_peak_dbtp > 0.0
    ]
    return tuple(found)
