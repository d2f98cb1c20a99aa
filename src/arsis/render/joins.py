"""Where one pass gives way to the next.

The fade's law follows the correlation rho of the two signals around it, so that the level through the
fade stays on the straight line between its ends: for two signals of one power the sum's power is
(1 - w)² + w² + 2 rho w (1 - w) = 1 - 2 (1 - rho) w (1 - w), and the pair (1 - w, w) is divided by the
root of that. rho = 1 gives equal gain, rho = 0 equal power.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, Span, silence
from arsis.process.lead import Hand
from arsis.units import ms_to_frames

from .join_report import JoinReport, look_at_join
from .schedule import Fade, Hold, Schedule

# The two signals are looked at this far either side of a fade's middle: several periods at 20 Hz, and
# as much as the seam's measure needs.
REACH_MS = 150.0

# Gains of the signal that leaves and of the one that comes, shape (frames,) each.
FadeGains: TypeAlias = tuple[NDArray[np.float64], NDArray[np.float64]]


def ramp(frames: int) -> NDArray[np.float64]:
    """A smooth way from 0 to 1 over `frames` interior points: 3t² - 2t³.

    Flat at both ends, so that nothing splatters; a polynomial, so that every machine has the same bits.
    """
    t = (np.arange(frames) + 0.5) / frames
    return t * t * (3.0 - 2.0 * t)


def fade_gains(frames: int, correlation: float) -> FadeGains:
    """The two gains of a fade over `frames`."""
    w = ramp(frames)
    rho = min(max(correlation, 0.0), 1.0)
    root = np.sqrt(1.0 - 2.0 * (1.0 - rho) * w * (1.0 - w))
    return (1.0 - w) / root, w / root


def correlation(a: Block, b: Block) -> float:
    """Correlation of two blocks over all channels, in steps of 1/4096; 1 where either is silent.

    The step keeps the last bits of a sum, which may differ between machines, out of the sound.
    """
    power = float(np.sum(a * a)) * float(np.sum(b * b))
    if power <= 0.0:
        return 1.0
    return round(float(np.sum(a * b)) / math.sqrt(power) * 4096.0) / 4096.0


def fade_window(fade: Span, rate_hz: int, frames: int) -> Span:
    """Where the two signals are looked at for the law of a fade, in a song of `frames`."""
    middle = (fade.start + fade.end) // 2
    reach = max(ms_to_frames(REACH_MS, rate_hz), fade.frames)
    return Span(middle - reach, middle + reach).clip(0, frames)


@dataclass(frozen=True, slots=True)
class JoinSound:
    """The sound around a join: both passes with their rides, and what was made of them.

    span: where in the song it lies; the fade itself is [fade.start, fade.end).
    """

    span: Span
    fade: Span
    before: Block
    after: Block
    made: Block


class JoinMixer:
    """Takes one block a pass and gives the song, or the part that is scheduled: holds and fades, section
    rides applied.

    A fade waits until the sound that its law is measured on is all there, and that much is kept behind.
    """

    def __init__(
        self,
        schedule: Schedule,
        rate_hz: int,
        channels: int,
        *,
        keep_sound: bool = False,
        hand: Hand | None = None,
    ) -> None:
        self._hand = hand or Hand()
        self._rate_hz, self._channels, self._keep_sound = rate_hz, channels, keep_sound
        self._schedule = schedule
        self._needed_from = self._needs()
        self._held: dict[str, Block] = {name: silence(channels, 0) for name in schedule.passes}
        self._held_from = self._held_to = schedule.begin  # frames of the song that are held
        self._at = schedule.begin  # the next frame to give
        self._next = 0  # the stretch that frame lies in
        self._gains: FadeGains | None = None  # of the fade that is being given
        self.reports: list[JoinReport] = []
        self.sounds: list[JoinSound] = []

    def push(self, blocks: Mapping[str, Block]) -> Block:
        """The song as far as its fades can be measured: to its end once the last blocks are there."""
        self._hold(blocks)
        return self._give()

    def _needs(self) -> list[int]:
        """From each stretch on, the first frame that its fade or a later one is measured on.

        A long fade soon after a short one looks back beyond it.
        """
        needs = [self._schedule.end]
        for stretch in reversed(self._schedule.stretches):
            own = self._window(stretch.span).start if isinstance(stretch, Fade) else stretch.span.end
            needs.append(min(needs[-1], own))
        return needs[::-1]

    def _hold(self, blocks: Mapping[str, Block]) -> None:
        keep = min(self._at, self._needed_from[self._next + (self._gains is not None)])
        drop = min(max(0, keep - self._held_from), self._held_to - self._held_from)
        self._held_from += drop
        held = self._held_to - self._held_from
        self._held = {
            name: np.concatenate([sound[:, drop:], blocks[name]], axis=1) if held else blocks[name]
            for name, sound in self._held.items()
        }
        self._held_to += next(iter(blocks.values())).shape[1]

    def _give(self) -> Block:
        settled = min(self._held_to, self._schedule.end)
        out = np.empty((self._channels, settled - self._at))
        given = 0
        while self._at < settled:
            stretch = self._schedule.stretches[self._next]
            stop = min(settled, stretch.span.end)
            part = out[:, given : given + stop - self._at]
            if isinstance(stretch, Hold):
                np.multiply(
                    self._sound(stretch.voice.pass_name, self._at, stop), stretch.voice.gain, out=part
                )
            elif self._gains is not None or self._window(stretch.span).end <= self._held_to:
                self._fade_part(stretch, stop, part)
            else:
                break
            given += stop - self._at
            self._at = stop
            if stop == stretch.span.end:
                self._next, self._gains = self._next + 1, None
        return np.ascontiguousarray(out[:, :given])

    def _fade_part(self, fade: Fade, stop: int, out: Block) -> None:
        if self._gains is None:
            self._gains = self._prepare(fade)
        leaves, comes = self._gains
        part = slice(self._at - fade.span.start, stop - fade.span.start)
        a = self._sound(fade.before.pass_name, self._at, stop) * fade.before.gain
        b = self._sound(fade.after.pass_name, self._at, stop) * fade.after.gain
        np.add(a * leaves[part], b * comes[part], out=out)

    def _prepare(self, fade: Fade) -> FadeGains:
        window = self._window(fade.span)
        a = self._sound(fade.before.pass_name, window.start, window.end) * fade.before.gain
        b = self._sound(fade.after.pass_name, window.start, window.end) * fade.after.gain
        rho = self._hand.law(correlation(a, b))
        gains = fade_gains(fade.span.frames, rho)
        self.reports.append(look_at_join(fade.into, fade.span, window, a, b, rho, self._rate_hz))
        if self._keep_sound:
            self.sounds.append(JoinSound(window, fade.span, a, b, _joined(a, b, fade.span, window, gains)))
        return gains

    def _window(self, span: Span) -> Span:
        return fade_window(span, self._rate_hz, self._schedule.frames)

    def _sound(self, name: str, start: int, end: int) -> Block:
        return self._held[name][:, start - self._held_from : end - self._held_from]


def _joined(a: Block, b: Block, fade: Span, window: Span, gains: FadeGains) -> Block:
    start, end = fade.start - window.start, fade.end - window.start
    middle = a[:, start:end] * gains[0] + b[:, start:end] * gains[1]
    return np.concatenate([a[:, :start], middle, b[:, end:]], axis=1)
