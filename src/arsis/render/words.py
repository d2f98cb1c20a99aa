"""Finished sound to the words of a print."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, Span
from arsis.dsp.dither import Quantiser
from arsis.io.info import SoundInfo
from arsis.plan.model import Pass, Song
from arsis.process import is_neutral_chain

from .engine import Finished
from .schedule import Hold, Schedule

# Finished words: int32 for an integer word length, float64 for 32-bit float.
Words: TypeAlias = NDArray[np.int32] | Block
# One a frame: not zero where a frame already is a whole number of steps and passes as it is.
Exact: TypeAlias = NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Word:
    """The word a print is written in. bits: 16, 24 or 32; float is 32-bit floating point."""

    bits: int
    is_float: bool = False

    @property
    def encoding(self) -> str:
        return "float32" if self.is_float else f"pcm_s{self.bits}"


@dataclass(frozen=True, slots=True)
class Untouched:
    """Frames of a print where the mix's own words stand, as long as the limiter rests there."""

    spans: tuple[Span, ...] = ()

    def exact(self, start: int, gain: NDArray[np.float64]) -> Exact | None:
        """Of the frames from `start` on, with the limiter's gain at each; None where there are none."""
        parts = [span.clip(start, start + gain.shape[0]) for span in self.spans]
        if not any(part.frames for part in parts):
            return None
        exact = np.zeros(gain.shape[0], dtype=np.uint8)
        for part in parts:
            exact[part.start - start : part.end - start] = 1
        exact[gain != 1.0] = 0
        return exact


def untouched_words(song: Song, mix: SoundInfo, plan: Schedule, word: Word, out_rate_hz: int) -> Untouched:
    """Where a print in such words at such a rate is the mix itself."""
    if not holds(word, mix) or out_rate_hz != mix.rate_hz:
        return Untouched()
    return Untouched(untouched(song, plan))


def is_the_mix(song: Song, mix: SoundInfo, plan: Schedule, word: Word, out_rate_hz: int) -> bool:
    """Whether such a print of a whole song is the mix itself from end to end, with no limiter."""
    own = untouched_words(song, mix, plan, word, out_rate_hz).spans
    return song.finish.limiter is None and own == (Span(0, plan.frames),)


def holds(word: Word, info: SoundInfo) -> bool:
    """Whether the file's own words are a whole number of the word's steps."""
    return not info.is_float and info.bits is not None and info.bits <= word.bits


class WordMaker:
    """Sound to words: a reduced word length is dithered, but for frames that are exact.

    first: of the noise, the frame that comes first; other than 0 only for noise that is not shaped.
    """

    def __init__(self, word: Word, channels: int, seed: int, dither: str, first: int = 0) -> None:
        self._quantiser = (
            None if word.is_float else Quantiser(word.bits, channels, seed, dither, first_frame=first)
        )

    def push(self, sound: Block, exact: Exact | None) -> Words:
        if self._quantiser is None:
            return sound
        return self._quantiser.process(np.ascontiguousarray(sound), exact)


class ToWords:
    """A song's words: where the plan leaves the mix alone and the limiter rested, the mix's own words pass
    untouched; everywhere else a reduced word length is dithered.

    first: the frame of the print that comes first, as the maker has it.
    """

    def __init__(self, untouched: Untouched, maker: WordMaker, first: int = 0) -> None:
        self._untouched, self._maker, self._at = untouched, maker, first

    def push(self, finished: Finished) -> Words:
        start, self._at = self._at, self._at + finished.sound.shape[1]
        return self._maker.push(finished.sound, self._untouched.exact(start, finished.gain))


def untouched(song: Song, plan: Schedule) -> tuple[Span, ...]:
    """Where the plan itself changes nothing: neutral pass, no ride, neutral finish."""
    finish = song.finish
    ridden = any(point.gain_db != 0.0 for point in plan.ride)
    if ridden or finish.gain_db != 0.0 or not is_neutral_chain(finish.chain):
        return ()
    return tuple(
        stretch.span
        for stretch in plan.stretches
        if isinstance(stretch, Hold)
        and stretch.voice.ride_db == 0.0
        and _leaves_alone(song.pass_[stretch.voice.pass_name])
    )


def _leaves_alone(treatment: Pass) -> bool:
    return treatment.print is None and is_neutral_chain(treatment.chain)
