"""The sounds of a run, opened and rendered as the run asks for them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path

from arsis.audio import Span
from arsis.errors import ArsisError
from arsis.io.digest import sha256_of
from arsis.plan.model import Song
from arsis.plan.profile import Profile
from arsis.render.engine import Taps
from arsis.render.opening import open_source
from arsis.render.run import Rendering, Way
from arsis.render.schedule import schedule
from arsis.render.source import Source
from arsis.render.took import TookMeter
from arsis.render.version import Guarded
from arsis.render.words import Word, Words
from arsis.settings import Limiter

from .between_sound import open_between
from .hearing import MixEar
from .laid import Run
from .order import Order, OrderedSong
from .record_sound import RunWay, Sounding, run_limiter, run_words, sounding


@dataclass(frozen=True, slots=True)
class OpenSong:
    """A song, or another version of one, ready to sound.

    took: what its limiter takes of what sounds. mix: the ear for what comes in; None of a version.
    guarded: what a version's own limiter took when it has sounded; None where it does not follow.
    """

    song: Song
    seed: int
    sounding: Sounding
    took: TookMeter
    mix: MixEar | None = None
    guarded: Callable[[], Guarded] | None = None


def word_of(profile: Profile) -> Word:
    """The word of a profile's files; a lossy coder is given floats, so that nothing is rounded before it."""
    if profile.container not in ("wav", "flac") or profile.bits == "32f":
        return Word(32, is_float=True)
    return Word(int(profile.bits))


def turned(song: Song, trim_db: float) -> Song:
    """The song with so much more level into its limiter; itself for none."""
    if trim_db == 0.0:
        return song
    return replace(song, finish=replace(song.finish, gain_db=song.finish.gain_db + trim_db))


def open_song(
    ordered: OrderedSong, used: Span, trim_db: float, order: Order, word: Word, stack: ExitStack
) -> OpenSong:
    """A song of an order, of whose print these frames are used.

    Raises ArsisError where its files are no longer what they were when ordered.
    """
    source = open_main(ordered, trim_db, order.folder, stack)
    mix, took = MixEar(source.mix), took_meter(source, used, order.rate_hz)
    way = Way(word, order.rate_hz, taps=Taps(mix=mix.hear, gain=took.add))
    rendering = stack.enter_context(Rendering(source, way))
    return OpenSong(source.song, source.seed, sounding(rendering), took, mix)


def open_main(ordered: OrderedSong, trim_db: float, folder: Path, stack: ExitStack) -> Source:
    """The song's main version, with so much more level into its limiter. Raises as `open_song`."""
    source = open_source(turned(ordered.song, trim_db), folder, stack)
    _check_same(ordered, source, folder)
    return source


def took_meter(source: Source, used: Span, rate_hz: int) -> TookMeter:
    """A meter for the limiter of this song, or of a version that follows it, where its print is used."""
    info = source.mix.info
    plan = schedule(source.song, info.rate_hz, info.frames)
    sections = [_at_rate(section, info.rate_hz, rate_hz) for section in plan.sections]
    return TookMeter([section.clip(used.start, used.end) for section in sections], rate_hz)


def _at_rate(span: Span, from_hz: int, to_hz: int) -> Span:
    return Span(round(span.start * to_hz / from_hz), round(span.end * to_hz / from_hz))


def _check_same(ordered: OrderedSong, source: Source, folder: Path) -> None:
    digests = {ordered.mix.path: source.mix_sha256}
    digests |= {one.path: sha256_of(folder / one.path) for one in ordered.printed}
    for one in (ordered.mix, *ordered.printed):
        if digests[one.path] != one.sha256:
            raise changed(folder / one.path)


def changed(path: Path) -> ArsisError:
    """The fault of a file that is another than when the delivery was begun."""
    return ArsisError(f"{path}: was changed while the delivery was being made; give the command again")


def open_gap(
    ordered: OrderedSong, trim_db: float, order: Order, word: Word, stack: ExitStack
) -> Sounding | None:
    """What is laid over the gap before a song, with so much more level; None where nothing is.

    Raises ArsisError where it is no longer what it was when ordered.
    """
    used, between = ordered.between, ordered.entry.between
    if used is None or between is None:
        return None
    path = order.folder / used.path
    if sha256_of(path) != used.sha256:
        raise changed(path)
    turned_between = replace(between, gain_db=between.gain_db + trim_db)
    return open_between(path, turned_between, order.rate_hz, order.channels, word, stack)


@dataclass(frozen=True, slots=True)
class OpenRun:
    """A run ready to sound. limiter: over its sum, where it wants one; took: what that takes, by file."""

    run: Run
    songs: dict[int, OpenSong]
    gaps: dict[int, Sounding]
    way: RunWay
    took: TookMeter

    @property
    def limiter(self) -> Limiter | None:
        return self.way.limiter if self.run.wants_limiter else None

    def words(self) -> Iterator[tuple[int, Words]]:
        """(place, words) in order; to be taken once."""
        songs = {place: song.sounding for place, song in self.songs.items()}
        return run_words(self.run, songs, self.way, self.gaps)


def open_run(run: Run, order: Order, trim_db: float, word: Word, stack: ExitStack) -> OpenRun:
    """A run of an order, with so much more level, into every limiter. Raises as `open_song`."""
    songs, gaps = {}, {}
    for placed in run.songs:
        place, ordered = placed.place, order.songs[placed.place - 1]
        songs[place] = open_song(ordered, placed.song.used, trim_db, order, word, stack)
        gap = open_gap(ordered, trim_db, order, word, stack) if place != run.places[0] else None
        if gap is not None:
            gaps[place] = gap
    first = songs[run.places[0]]
    limiter = run_limiter([one.song.finish.limiter for one in songs.values()])
    took = run_took(run, order.rate_hz)
    dither = first.song.finish.dither
    way = RunWay(word, order.rate_hz, order.channels, first.seed, dither, limiter, gain=took.add)
    return OpenRun(run, songs, gaps, way, took)


def run_took(run: Run, rate_hz: int) -> TookMeter:
    """A meter for the limiter over a run, with a section for each of its files."""
    start = run.span.start
    return TookMeter([Span(one.cut.start - start, one.cut.end - start) for one in run.songs], rate_hz)
