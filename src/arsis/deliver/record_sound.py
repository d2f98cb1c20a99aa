"""A run of the record as finished words, file by file: the same words whether its files are read one after
another or the record as one.

Everything streams: a run's sounds are taken side by side as they come, faded, added up, held under one
ceiling where there are several, and rounded once. Silence is exact zeros, without dither.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from arsis.audio import BLOCK_FRAMES, Block, silence
from arsis.render.engine import Finished, GainTap, Limited
from arsis.render.progress import Progress, unseen
from arsis.render.run import Rendering
from arsis.render.version import VersionRendering
from arsis.render.words import Exact, Untouched, Word, WordMaker, Words
from arsis.settings import Limiter

from .cut_guard import CutGuard
from .fades import faded
from .laid import Laid, Placed, Run

# What may become of a frame's words: dithered, the sound's own as long as the limiter rests, silence.
_DITHERED, _OWN, _SILENT = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Sounding:
    """What a run needs of one of its sounds, at the delivered rate.

    blocks: all of it from its first frame on, as much as is asked for; taken once.
    untouched: where its own words stand while its limiter rests.
    """

    blocks: Iterable[Finished]
    untouched: Untouched = field(default_factory=Untouched)


@dataclass(frozen=True, slots=True)
class RunWay:
    """How a run becomes words.

    channels: of the files; a mono sound is given to both, each with noise of its own where it is dithered.
    limiter: over the sum and at the cuts inside it, where a run wants one. seed: the first song's own.
    dither: see `plan.model.Dither`. gain: hears what that limiter did.
    """

    word: Word
    rate_hz: int
    channels: int
    seed: int
    dither: str
    limiter: Limiter | None = None
    block_frames: int = BLOCK_FRAMES
    gain: GainTap | None = None


def sounding(rendering: Rendering | VersionRendering, progress: Progress = unseen) -> Sounding:
    """A song's print, or that of a version, as a sound of a run."""
    return Sounding(rendering.blocks(progress), rendering.untouched)


def run_limiter(limiters: Sequence[Limiter | None]) -> Limiter | None:
    """The limiter over a run's sum: that of its songs with the lowest ceiling; none where none has one."""
    given = [limiter for limiter in limiters if limiter is not None]
    return min(given, key=lambda limiter: limiter.ceiling_dbtp, default=None)


def run_words(
    run: Run,
    songs: Mapping[int, Sounding],
    way: RunWay,
    betweens: Mapping[int, Sounding] | None = None,
) -> Iterator[tuple[int, Words]]:
    """(place, words) in order: together each place's file, from its first frame to its last.

    songs: the whole print of each place. betweens: what is laid over the gap before a place.
    """
    voices = _voices(run, songs, betweens or {}, way.channels)
    first = run.songs[0].song.used.start
    maker = WordMaker(way.word, way.channels, way.seed, way.dither, _noise_from(first, way.dither))
    at = run.span.start
    for sound, exact in _finished(run, voices, way):
        words = maker.push(sound, exact)
        yield from _filed(run.songs, at, words)
        at += words.shape[1]


def _noise_from(first: int, dither: str) -> int:
    """Noise that is not shaped lies on the print's frames, so that a trimmed song has its print's words."""
    return first if dither in ("none", "flat") else 0


def _filed(songs: Sequence[Placed], at: int, words: Words) -> Iterator[tuple[int, Words]]:
    for placed in songs:
        part = placed.cut.clip(at, at + words.shape[1])
        if part.frames:
            yield placed.place, words[:, part.start - at : part.end - at].copy()


def _finished(run: Run, voices: Sequence[_Voice], way: RunWay) -> Iterator[tuple[Block, Exact]]:
    """The run's sound under its ceiling, with what of it is exact."""
    kinds = _Kinds()
    stream = _limited(kinds.noted(_summed(run, voices, way)), run, way)
    for finished in stream:
        if way.gain is not None:
            way.gain(finished.gain)
        kind = kinds.next(finished.gain.shape[0])
        exact = (kind == _SILENT) | ((kind == _OWN) & (finished.gain == 1.0))
        yield finished.sound, exact.astype(np.uint8)


def _limited(sums: Iterator[Block], run: Run, way: RunWay) -> Iterator[Finished]:
    """In place with the sum, though it comes later."""
    limiter = way.limiter if run.wants_limiter else None
    limited = Limited(limiter, way.rate_hz, way.channels)
    stream = _pushed(limited, sums)
    cuts = [placed.cut.start for placed in run.songs[1:]]
    return CutGuard(cuts, run.span.start, limiter, way.rate_hz).guarded(stream) if limiter else stream


def _pushed(limited: Limited, sums: Iterator[Block]) -> Iterator[Finished]:
    for sound in sums:
        yield limited.push(sound)
    yield limited.flush()


class _Kinds:
    """What may become of each frame, kept until the sound has come through what holds it back."""

    def __init__(self) -> None:
        self._waiting: Exact = np.zeros(0, dtype=np.uint8)

    def noted(self, stream: Iterator[tuple[Block, Exact]]) -> Iterator[Block]:
        """The sound alone."""
        for sound, kinds in stream:
            self._waiting = np.concatenate([self._waiting, kinds])
            yield sound

    def next(self, frames: int) -> Exact:
        kinds, self._waiting = self._waiting[:frames], self._waiting[frames:]
        return kinds


def _summed(run: Run, voices: Sequence[_Voice], way: RunWay) -> Iterator[tuple[Block, Exact]]:
    """Stretches in which the same sounds are heard, never longer than a block."""
    end = run.span.end
    edges = sorted({edge for voice in voices for edge in (voice.laid.start, voice.laid.end)} | {end})
    at = run.span.start
    while at < end:
        stop = min(at + way.block_frames, next(edge for edge in edges if edge > at))
        heard = [voice for voice in voices if voice.laid.start <= at < voice.laid.end]
        parts = [voice.take(stop - at) for voice in heard]
        if not parts:
            yield silence(way.channels, stop - at), np.full(stop - at, _SILENT, dtype=np.uint8)
        elif len(parts) == 1:
            yield parts[0]
        else:
            total = parts[0][0] + parts[1][0]
            for sound, _ in parts[2:]:
                total += sound
            yield total, np.full(stop - at, _DITHERED, dtype=np.uint8)
        at = stop


def _voices(
    run: Run, songs: Mapping[int, Sounding], betweens: Mapping[int, Sounding], channels: int
) -> list[_Voice]:
    voices = [_Voice(placed.song, songs[placed.place], channels) for placed in run.songs]
    laid = [(placed.between, placed.place) for placed in run.songs]
    return voices + [
        _Voice(between, betweens[place], channels) for between, place in laid if between is not None
    ]


class _Voice:
    """One sound of a run: its used frames with its fades, in pieces of any length."""

    def __init__(self, laid: Laid, sounding: Sounding, channels: int) -> None:
        self.laid = laid
        self._blocks, self._untouched, self._channels = iter(sounding.blocks), sounding.untouched, channels
        self._held: list[tuple[Block, Exact]] = []
        self._came = 0  # frames of its own that have come
        self._given = laid.used.start

    def take(self, frames: int) -> tuple[Block, Exact]:
        """The next frames. Raises ValueError where the sound is shorter than it was laid out for."""
        begin, end = self._given, self._given + frames
        while self._came < end:
            self._hold(next(self._blocks, None))
        sound = np.concatenate([sound for sound, _ in self._held], axis=1)
        kinds = np.concatenate([kinds for _, kinds in self._held])
        from_held = begin - (self._came - sound.shape[1])
        self._held = [(sound[:, from_held + frames :], kinds[from_held + frames :])]
        self._given = end
        piece, own = sound[:, from_held : from_held + frames], kinds[from_held : from_held + frames]
        return faded(self.laid, begin - self.laid.used.start, piece, own)

    def _hold(self, finished: Finished | None) -> None:
        if finished is None:
            raise ValueError(f"a sound ended after {self._came} frames; laid out: {self.laid.used.end}")
        kinds = self._untouched.exact(self._came, finished.gain)
        own = np.zeros(finished.gain.shape[0], dtype=np.uint8) if kinds is None else kinds
        self._came += own.shape[0]
        skipped = min(own.shape[0], max(0, own.shape[0] - (self._came - self._given)))
        sound = np.broadcast_to(finished.sound, (self._channels, own.shape[0]))
        self._held.append((sound[:, skipped:], own[skipped:]))
