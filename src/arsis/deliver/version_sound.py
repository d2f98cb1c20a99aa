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
from arsis.render.version_mix import open_apart, open_version
from arsis.render.words import Word
from arsis.units import seconds_to_frames

from .hearing import MixEar
from .jobs import VersionJob
from .laid import Placed, Run
from .order import Order, OrderedSong, OrderedVersion
from .record import alone
from .record_sound import RunWay, Sounding
from .soundings import Ears, OpenRun, OpenSong, changed, ears_of, open_main


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
        opened, run = _led(main, version, order, word, stack), alone(job.placed)
    else:
        opened, frames = _apart(main, version, order, word, stack)
        run = _by_itself(job.placed, order, frames)
    finish = opened.song.finish
    way = RunWay(word, order.rate_hz, order.channels, opened.seed, finish.dither, finish.limiter)
    return OpenRun(run, {place: opened}, {}, way)


def ordered_version(ordered: OrderedSong, name: str) -> OrderedVersion:
    """The version of this name of an ordered song."""
    return next(version for version in ordered.versions if version.name == name)


def _led(main: Source, version: Version, order: Order, word: Word, stack: ExitStack) -> OpenSong:
    led = open_version(main, version, order.folder, stack)
    ears = Ears(MixEar(led.mix.info), ears_of(main, order.rate_hz).took)
    way = Way(word, order.rate_hz, taps=Taps(mix=ears.mix.hear, gain=ears.took.add))
    rendering = stack.enter_context(VersionRendering(main, led, way))
    sounding = Sounding(rendering.blocks(), rendering.untouched)
    return OpenSong(main.song, led.seed, sounding, ears, lambda: rendering.guarded)


def _apart(
    main: Source, version: Version, order: Order, word: Word, stack: ExitStack
) -> tuple[OpenSong, int]:
    """The version as a song of its own, and how long its print is."""
    source = open_apart(main, version, order.folder, stack)
    ears = ears_of(source, order.rate_hz)
    way = Way(word, order.rate_hz, taps=Taps(mix=ears.mix.hear, gain=ears.took.add))
    rendering = stack.enter_context(Rendering(source, way))
    sounding = Sounding(rendering.blocks(), rendering.untouched)
    frames = resampled_frames(source.mix.info.frames, source.mix.info.rate_hz, order.rate_hz)
    return OpenSong(source.song, source.seed, sounding, ears), frames


def _by_itself(placed: Placed, order: Order, frames: int) -> Run:
    """What of a version of another length sounds: as its song is trimmed, as far as it goes."""
    entry = order.songs[placed.place - 1].entry
    end = frames
    if entry.until_s is not None:
        end = min(frames, seconds_to_frames(entry.until_s, order.rate_hz))
    used = Span(placed.song.used.start, end)
    if used.frames < max(1, placed.song.fade_in + placed.song.fade_out):
        raise ArsisError(
            f"{entry.plan}: a version that goes its own way has {frames / order.rate_hz:.3f} s, which the "
            "song's trims and fades do not fit into"
        )
    return alone(replace(placed, song=replace(placed.song, used=used)))
