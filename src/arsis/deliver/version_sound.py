"""Another version of a song as a sound of its own file: led by the main version, or by itself."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import replace

from arsis.audio import Span
from arsis.dsp.resample import resampled_frames
from arsis.errors import ArsisError
from arsis.io.digest import sha256_of
from arsis.plan.model import Version
from arsis.render.engine import Taps
from arsis.render.run import Rendering, Way
from arsis.render.source import Source
from arsis.render.version import VersionRendering
from arsis.render.version_mix import Apart, open_apart, open_version
from arsis.render.words import Word
from arsis.units import seconds_to_frames

from .jobs import VersionJob
from .laid import Placed, Run
from .order import Order, OrderedSong, OrderedVersion
from .record import alone
from .record_sound import RunWay, sounding
from .soundings import OpenRun, OpenSong, changed, open_main, run_took, took_meter


def open_version_run(job: VersionJob, word: Word, stack: ExitStack) -> OpenRun:
    """A version ready to sound, with its song's trims and fades and nothing after it.

    Raises ArsisError where its files are no longer what they were, or it cannot follow.
    """
    order, place = job.order, job.placed.place
    ordered = order.songs[place - 1]
    one = ordered_version(ordered, job.version)
    main = open_main(ordered, job.trim_db, order.folder, stack)
    if sha256_of(order.folder / one.mix.path) != one.mix.sha256:
        raise changed(order.folder / one.mix.path)
    version = next(version for version in main.song.version if version.name == job.version)
    if one.follow:
        run = alone(job.placed)
        opened = _led(main, version, run.songs[0].song.used, order, word, stack)
    else:
        apart = open_apart(main, version, order.folder, stack)
        run = _by_itself(job.placed, order, apart)
        opened = _apart(apart.source, run.songs[0].song.used, order, word, stack)
    finish = opened.song.finish
    took = run_took(run, order.rate_hz)
    seed, dither, limiter = opened.seed, finish.dither, finish.limiter
    way = RunWay(word, order.rate_hz, order.channels, seed, dither, limiter, gain=took.add)
    return OpenRun(run, {place: opened}, {}, way, took)


def ordered_version(ordered: OrderedSong, name: str) -> OrderedVersion:
    """The version of this name of an ordered song."""
    return next(version for version in ordered.versions if version.name == name)


def _led(main: Source, version: Version, used: Span, order: Order, word: Word, stack: ExitStack) -> OpenSong:
    led = open_version(main, version, order.folder, stack)
    took = took_meter(main, used, order.rate_hz)
    way = Way(word, order.rate_hz, taps=Taps(gain=took.add))
    rendering = stack.enter_context(VersionRendering(main, led, way, used))
    return OpenSong(main.song, led.seed, sounding(rendering), took, guarded=lambda: rendering.guarded)


def _apart(source: Source, used: Span, order: Order, word: Word, stack: ExitStack) -> OpenSong:
    took = took_meter(source, used, order.rate_hz)
    way = Way(word, order.rate_hz, taps=Taps(gain=took.add))
    rendering = stack.enter_context(Rendering(source, way))
    return OpenSong(source.song, source.seed, sounding(rendering), took)


def _by_itself(placed: Placed, order: Order, apart: Apart) -> Run:
    """What of a version of another length sounds: its song's trims, at the same places of the music."""
    entry, info = order.songs[placed.place - 1].entry, apart.source.mix.info
    frames = resampled_frames(info.frames, info.rate_hz, order.rate_hz)

    def at(time_s: float) -> int:
        return min(max(0, seconds_to_frames(time_s + apart.offset_s, order.rate_hz)), frames)

    start = at(entry.from_s) if entry.from_s > 0.0 else 0
    used = Span(start, frames if entry.until_s is None else at(entry.until_s))
    if used.frames < max(1, placed.song.fade_in + placed.song.fade_out):
        raise ArsisError(
            f"{entry.plan}: a version that goes its own way has {frames / order.rate_hz:.3f} s, which the "
            "song's trims and fades do not fit into"
        )
    trimmed = used != Span(0, frames)
    return alone(replace(placed, song=replace(placed.song, used=used, trimmed=trimmed)))
