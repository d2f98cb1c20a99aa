"""The last limiter: a true-peak ceiling, kept with a smooth gain that looks ahead.

Three stages in a row (docs/limiter.md). The first keeps a quick estimate of the true peak under the
ceiling and does nearly all the work. Its gain moves and its estimate is not exact, so the other two
measure what is left with long interpolators, only where something comes near the ceiling, and take the
rest. The gains multiply into one.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.dsp.interpolate import Sinc, bend_bound, mirrored, phases
from arsis.dsp.kernels import limiter as kernels
from arsis.dsp.kernels.limiter import TICK, Form, Rule, Stages, Tables
from arsis.settings import Limiter
from arsis.units import db_to_gain, ms_to_frames

from .lag import Lag

COARSE_SINC = Sinc(taps=2 * kernels.COARSE_HALF, beta=7.0)

# Meters differ in how they fall off towards half the rate. Each of these stands for one kind, and a
# meter that lies between two in kind lies between them in reading. The first two have a part of their
# own: what the first has and the second has not is guarded by its envelope (peaks.c, fine_peak).
FINE_SINCS = (
    Sinc(taps=2 * kernels.FINE_HALF, beta=6.0),
    Sinc(taps=2 * kernels.FINE_HALF, beta=8.0, cutoff=0.975),
    Sinc(taps=256, beta=8.0, cutoff=0.95),
    Sinc(taps=256, beta=8.0, cutoff=0.9),
    Sinc(taps=256, beta=10.0),
    Sinc(taps=256, beta=14.0),
    Sinc(taps=48, beta=7.0),
    Sinc(taps=20, beta=5.0),
)

# Common practice, no source. A hold that outlasts half a period of a low bass note keeps the gain from
# following its waveform; a short release asks for a shorter one.
HOLD_MS, HOLD_SHARE = 12.0, 0.125
# What a release leaves of a short peak's reduction: common practice, no source.
RELEASE_LEAVES = 0.1
# Common practice, no source: the slow follower's time constants, as multiples of the fast one's. A
# single peak fills it to about a sixteenth.
SLOW_CHARGE, SLOW_RELEASE = 16.0, 12.0
# Followers aim this far below zero (0.001 dB), and so arrive at no reduction at all in finite time.
SETTLE = 2.0**-13
FINE_LOOKAHEAD_MS = 1.5
# The first stage aims a little lower than it must, so that the careful ones mostly find nothing to do;
# those aim lower by what meters read above their eight interpolators (docs/limiter.md), and by enough that
# neither finds the other's work.
COARSE_MARGIN_DB, FINE_MARGIN_DB, AGAIN_SLACK_DB = 0.01, 0.012, 0.002


class LimiterRunner:
    """A limiter in motion: blocks of any length, late by `latency` frames; a deep copy is a checkpoint."""

    def __init__(self, settings: Limiter, rate_hz: int, channels: int) -> None:
        first = coarse_form(settings, rate_hz)
        second = fine_form(settings, rate_hz, kernels.FINE, first.late + lag(first))
        third = fine_form(settings, rate_hz, kernels.FINE_AGAIN, second.late + lag(second))
        ceiling = db_to_gain(settings.ceiling_dbtp)
        above = ceiling * db_to_gain(AGAIN_SLACK_DB)
        rules = [
            coarse_rule(settings, rate_hz, first, ceiling),
            fine_rule(settings, rate_hz, second, ceiling, ceiling),
            fine_rule(settings, rate_hz, third, ceiling, above),
        ]
        latency = third.late + lag(third)
        keep = max(latency, third.late + third.ahead + kernels.SIGHT) + 2 * kernels.HOP
        self._stages = Stages([first, second, third], rules, interpolators(), latency, keep, channels)
        self.latency = self._stages.latency
        self._wait = Lag(self.latency, channels)

    def process(self, block: Block) -> Block:
        return self.process_with_gain(block)[0]

    def process_with_gain(self, block: Block) -> tuple[Block, NDArray[np.float64]]:
        """The limited block, and the gain (frames,) its every channel was multiplied by, as late."""
        return self._stages.run(np.ascontiguousarray(block))

    def apply_gain(self, block: Block, gain: NDArray[np.float64]) -> Block:
        """This block, as late, with a gain decided elsewhere."""
        return self._wait.process(block) * gain


def lag(form: Form) -> int:
    """Frames by which a stage is late: it looks ahead, then smooths over both boxes and a tick to spare."""
    return form.ahead + TICK * (form.box_1 + form.box_2 + 1)


def coarse_form(settings: Limiter, rate_hz: int) -> Form:
    """The first stage's shape; its hold is the longest of the three."""
    hold_ms = min(HOLD_MS, HOLD_SHARE * settings.release_ms)
    lookahead = ms_to_frames(settings.lookahead_ms, rate_hz)
    return _form(kernels.COARSE, 0, kernels.COARSE_HALF, lookahead, ms_to_frames(hold_ms, rate_hz) // TICK)


def fine_form(settings: Limiter, rate_hz: int, kind: int, late: int) -> Form:
    """A careful stage's shape: what it takes is small, and wants no long look-ahead."""
    lookahead = ms_to_frames(min(settings.lookahead_ms, FINE_LOOKAHEAD_MS), rate_hz)
    return _form(kind, late, kernels.SIGHT, lookahead, 0)


def _form(kind: int, late: int, ahead: int, lookahead: int, hold: int) -> Form:
    """A need is held for the length of both boxes, a tick on either side, and `hold` ticks more."""
    ticks = max(2, round(lookahead / TICK))
    box_1 = (ticks + 1) // 2
    return Form(kind, late, ahead, box_1, ticks - box_1, ticks + 3 + hold)


def coarse_rule(settings: Limiter, rate_hz: int, form: Form, ceiling: float) -> Rule:
    """The first stage's figures, with both followers."""
    ticks = _release_ticks(settings, rate_hz)
    charge = _same_everywhere(-math.expm1(-1.0 / (SLOW_CHARGE * ticks)))
    target = ceiling * db_to_gain(-COARSE_MARGIN_DB)
    return _rule(ticks, form, ceiling, target, charge, bend_bound(phases(COARSE_SINC, kernels.COARSE_PHASES)))


def fine_rule(settings: Limiter, rate_hz: int, form: Form, ceiling: float, trigger: float) -> Rule:
    """A careful stage's figures; its slow follower never fills."""
    ticks = _release_ticks(settings, rate_hz)
    return _rule(ticks, form, trigger, ceiling * db_to_gain(-FINE_MARGIN_DB), 0.0, _fine_bend())


def _release_ticks(settings: Limiter, rate_hz: int) -> float:
    """The fast follower's time constant."""
    return settings.release_ms / 1000.0 * rate_hz / TICK / -math.log(RELEASE_LEAVES)


def _rule(ticks: float, form: Form, trigger: float, target: float, charge: float, bend: float) -> Rule:
    fast = _same_everywhere(math.exp(-1.0 / ticks))
    slow = _same_everywhere(math.exp(-1.0 / (SLOW_RELEASE * ticks)))
    unit = 1.0 / (kernels.SCALE * TICK**2 * form.box_1 * form.box_2)
    return Rule(trigger, target, fast, SETTLE * (1.0 - fast), charge, slow, SETTLE * (1.0 - slow), unit, bend)


def _same_everywhere(value: float) -> float:
    """Rounded far above the last bit of a machine's exponential, and far below what is heard."""
    return round(value * 2.0**40) * 2.0**-40


@cache
def _fine_bend() -> float:
    return max(bend_bound(phases(sinc, kernels.FINE_PHASES)) for sinc in FINE_SINCS)


@cache
def interpolators() -> Tables:
    """The detector's tables. The coarse one leaves out phase 0, the samples themselves."""
    coarse = mirrored(phases(COARSE_SINC, kernels.COARSE_PHASES))[1:]
    fine = np.zeros((len(FINE_SINCS), kernels.FINE_PHASES // 2 + 1, 2, kernels.FINE_HALF), dtype=np.float32)
    starts = np.array([kernels.first_tap(sinc.taps) for sinc in FINE_SINCS], dtype=np.int64)
    for row, sinc in zip(fine, FINE_SINCS, strict=True):
        row[..., kernels.FINE_HALF - sinc.taps // 2 :] = mirrored(phases(sinc, kernels.FINE_PHASES))
    return Tables(np.ascontiguousarray(coarse), fine, starts)
