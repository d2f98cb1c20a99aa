"""Cuts inside music, read from either side.

Each file of a run is read by itself too, and there its sound begins or ends all at once: between the samples
at the cut it may then reach over the ceiling, though the record never does. Where it would, the level dips
around the cut, by as much and as long as a limiter wants that hears each side with silence beyond the cut.
Both sides get the same gain, so the record runs on smoothly; where neither side comes near the ceiling
nothing is touched, bit for bit.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.render.engine import Finished, Limited
from arsis.settings import Limiter
from arsis.units import seconds_to_frames

from .fades import quarter_sine

# So far either side of a cut is listened to: what the limiter takes there is all given back by then.
REACH_S = 1.0
# It moves for one edge, not for music: as short as it can without being heard. Common practice, no source.
LOOKAHEAD_MS, RELEASE_MS = 1.5, 20.0


@dataclass(frozen=True, slots=True)
class CutGuard:
    """Guards the cuts of a stream that starts at frame `begin`. cuts: in order."""

    cuts: Sequence[int]
    begin: int
    limiter: Limiter
    rate_hz: int

    def guarded(self, stream: Iterable[Finished]) -> Iterator[Finished]:
        """The same sound, block for block or held back around a cut; what was taken is in its gain."""
        reach = seconds_to_frames(REACH_S, self.rate_hz)
        waiting, held, at = list(self.cuts), _NOTHING, self.begin
        for finished in stream:
            held = _joined(held, finished)
            come = at + held.gain.shape[0]
            while waiting and come >= waiting[0] + reach:
                held = self._guard(held, at, waiting.pop(0), reach)
            free = min(come, waiting[0] - reach) if waiting else come
            if free > at:
                yield _part(held, 0, free - at)
                held, at = _part(held, free - at, come - at), free
        for cut in waiting:
            held = self._guard(held, at, cut, reach)
        if held.gain.shape[0]:
            yield held

    def _guard(self, held: Finished, at: int, cut: int, reach: int) -> Finished:
        low = max(self.begin, cut - reach) - at
        high = min(held.gain.shape[0], cut + reach - at)
        gain = self._gain(held.sound[:, low:high], cut - at - low)
        if gain.min() >= 1.0:
            return held
        whole = np.ones(held.gain.shape[0])
        whole[low:high] = gain
        return Finished(held.sound * whole, held.gain * whole)

    def _gain(self, sound: Block, cut: int) -> NDArray[np.float64]:
        """What the sounder of the two sides wants, at each frame of both."""
        before, after = np.zeros_like(sound), np.zeros_like(sound)
        # The window's own ends are no edges of a file.
        before[:, :cut] = sound[:, :cut] * _rising(cut)
        after[:, cut:] = sound[:, cut:] * _rising(sound.shape[1] - cut)[::-1]
        return np.asarray(np.minimum(self._taken(before), self._taken(after)))

    def _taken(self, side: Block) -> NDArray[np.float64]:
        short = replace(self.limiter, lookahead_ms=LOOKAHEAD_MS, release_ms=RELEASE_MS)
        limited = Limited(short, self.rate_hz, side.shape[0])
        return np.concatenate([limited.push(side).gain, limited.flush().gain])


_NOTHING = Finished(np.zeros((0, 0)), np.zeros(0))


def _rising(frames: int) -> NDArray[np.float64]:
    """From nothing over the first half, then one."""
    gain = np.ones(frames)
    half = frames // 2
    gain[:half] = quarter_sine((np.arange(half) + 0.5) / half) ** 2 if half else 1.0
    return gain


def _joined(held: Finished, more: Finished) -> Finished:
    if not held.gain.shape[0]:
        return more
    return Finished(np.concatenate([held.sound, more.sound], axis=1), np.concatenate([held.gain, more.gain]))


def _part(finished: Finished, start: int, end: int) -> Finished:
    return Finished(finished.sound[:, start:end], finished.gain[start:end])
