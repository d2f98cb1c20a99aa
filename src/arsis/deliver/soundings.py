"""The sounds of a run, opened and rendered as the run asks for them."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path

from arsis.audio import Span
from arsis.errors import ArsisError
from arsis.io.digest import sha256_of
from arsis.plan.model import Song
from arsis.plan.profile import Profile
from arsis.render.engine import Taps
from arsis.render.run import Rendering, Way
from arsis.render.source import Source, open_source
from arsis.render.took import TookMeter
from arsis.render.words import Word, untouched_words

from .between_sound import open_between
from .order import OrderedSong
from .record_sound import Sounding


@dataclass(frozen=True, slots=True)
class OpenSong:
    """A song ready to sound. took: hears what its own limiter takes."""

    song: Song
    seed: int
    sounding: Sounding
    took: TookMeter


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
    ordered: OrderedSong, trim_db: float, folder: Path, word: Word, rate_hz: int, stack: ExitStack
) -> OpenSong:
    """A song of an order. Raises ArsisError where its files are no longer what they were when ordered."""
    song = turned(ordered.song, trim_db)
    source = open_source(song, folder, stack)
    _check_same(ordered, source, folder)
    info = source.mix.info
    took = TookMeter((Span(0, ordered.frames),), rate_hz)
    rendering = stack.enter_context(Rendering(source, Way(word, rate_hz, taps=Taps(gain=took.add))))
    own = untouched_words(song, info, rendering.plan, word, rate_hz)
    return OpenSong(song, source.seed, Sounding(rendering.blocks(), own), took)


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
    ordered: OrderedSong, folder: Path, word: Word, rate_hz: int, channels: int, stack: ExitStack
) -> Sounding | None:
    """What is laid over the gap before a song; None where nothing is.

    Raises ArsisError where it is no longer what it was when ordered.
    """
    used, between = ordered.between, ordered.entry.between
    if used is None or between is None:
        return None
    path = folder / used.path
    if sha256_of(path) != used.sha256:
        raise changed(path)
    return open_between(path, between, rate_hz, channels, word, stack)
