"""The last limiter: a true-peak ceiling, kept with a smooth gain that looks ahead.

Three stages in a row (docs/limiter.md). The first keeps a quick estimate of the true peak under the
ceiling and does nearly all the work. Since its gain moves, and quick estimates are not exact, the next
two measure what it left with long interpolators, only where something comes near the ceiling, and take
the rest. The gains multiply into one.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.dsp.interpolate import Sinc, bend_bound, mirrored, phases
from arsis.dsp.kernels.limiter import (
    COARSE_HALF,
    COARSE_PHASES,
    FINE_HALF,
    FINE_PHASES,
    TICK,
    Form,
    Rule,
    Stages,
    Tables,
)
from arsis.settings import Limiter
from arsis.units import db_to_gain, ms_to_frames

COARSE = Sinc(taps=2 * COARSE_HALF, beta=7.0)

# Meters differ in how they fall towards half the rate. Each fine interpolator stands for one kind, and
# whatever lies between them in kind lies between them in reading.
FINE = (
    Sinc(taps=512, beta=6.0),
    Sinc(taps=256, beta=8.0, cutoff=0.955),
    Sinc(taps=256, beta=8.0, cutoff=0.9),
    Sinc(taps=256, beta=10.0),
    Sinc(taps=256, beta=14.0),
    Sinc(taps=48, beta=7.0),
    Sinc(taps=24, beta=5.0),
)
NF = 3
HOLD_MS = 12.0
HOLD_SHARE = 0.125
SLOW_CHARGE = 8.0
SLOW_RELEASE = 6.0
SETTLE = 2.0**-13
FINE_LOOKAHEAD_MS = 1.5
COARSE_MARGIN_DB = 0.01
FINE_MARGIN_DB = 0.004


class LimiterRunner:
    """A limiter in motion: blocks of any length, late by `latency` frames; a deep copy is a checkpoint."""

    def __init__(self, settings: Limiter, rate_hz: int, channels: int) -> None:
        coarse, fine = coarse_form(settings, rate_hz), fine_form(settings, rate_hz)
        lags = [_lag(coarse)] + [_lag(fine)] * NF
        coarse = Form(coarse.fine, coarse.ahead, coarse.box_1, coarse.box_2, coarse.window, sum(lags))
        self._stages = Stages(
            [coarse] + [fine] * NF,
            [
                coarse_rule(settings, rate_hz, coarse),
                *[fine_rule(settings, rate_hz, fine, k) for k in range(NF)],
            ],
            tables(),
            sum(lags),
            channels,
        )
        self.latency = self._stages.latency

    def process(self, block: Block) -> Block:
        return self.process_with_gain(block)[0]

    def process_with_gain(self, block: Block) -> tuple[Block, NDArray[np.float64]]:
        """The limited block and the gain (frames,) it was multiplied by, in the same late alignment."""
        return self._stages.run(np.ascontiguousarray(block))


def _lag(form: Form) -> int:
    return form.ahead + TICK * (form.box_1 + form.box_2 + 1)


def _form(fine: int, ahead: int, behind: int, lookahead: int, hold: int) -> Form:
    ticks = max(2, round(lookahead / TICK))
    box_1 = (ticks + 1) // 2
    form = Form(fine, ahead, box_1, ticks - box_1, ticks + 3 + hold, 0)
    return Form(fine, ahead, box_1, ticks - box_1, ticks + 3 + hold, max(_lag(form), ahead + behind))


def coarse_form(settings: Limiter, rate_hz: int) -> Form:
    hold = ms_to_frames(min(HOLD_MS, HOLD_SHARE * settings.release_ms), rate_hz) // TICK
    return _form(0, 16, 16, ms_to_frames(settings.lookahead_ms, rate_hz), hold)


def fine_form(settings: Limiter, rate_hz: int) -> Form:
    return _form(1, 280, 264, ms_to_frames(min(settings.lookahead_ms, FINE_LOOKAHEAD_MS), rate_hz), 0)


def _steady(value: float) -> float:
    return round(value * 2.0**40) * 2.0**-40


def _rule(
    settings: Limiter, rate_hz: int, form: Form, trigger: float, target: float, charge: float, bend: float
) -> Rule:
    ticks = settings.release_ms / 1000.0 * rate_hz / TICK
    fast, slow = _steady(math.exp(-1.0 / ticks)), _steady(math.exp(-1.0 / (SLOW_RELEASE * ticks)))
    return Rule(
        trigger,
        target,
        fast,
        SETTLE * (1.0 - fast),
        charge,
        slow,
        SETTLE * (1.0 - slow),
        1.0 / (2.0**30 * TICK**2 * form.box_1 * form.box_2),
        bend,
    )


def coarse_rule(settings: Limiter, rate_hz: int, form: Form) -> Rule:
    ceiling = db_to_gain(settings.ceiling_dbtp)
    ticks = settings.release_ms / 1000.0 * rate_hz / TICK
    charge = _steady(-math.expm1(-1.0 / (SLOW_CHARGE * ticks)))
    return _rule(
        settings,
        rate_hz,
        form,
        ceiling,
        ceiling * db_to_gain(-COARSE_MARGIN_DB),
        charge,
        bend_bound(phases(COARSE, COARSE_PHASES)),
    )


def fine_rule(settings: Limiter, rate_hz: int, form: Form, turn: int) -> Rule:
    ceiling = db_to_gain(settings.ceiling_dbtp)
    bend = max(bend_bound(phases(sinc, FINE_PHASES)) for sinc in FINE)
    return _rule(
        settings,
        rate_hz,
        form,
        ceiling * db_to_gain(0.002 * turn),
        ceiling * db_to_gain(-FINE_MARGIN_DB),
        0.0,
        bend,
    )


@cache
def tables() -> Tables:
    coarse = mirrored(phases(COARSE, COARSE_PHASES))[1:]
    fine = np.zeros((len(FINE), FINE_PHASES // 2 + 1, 2, FINE_HALF), dtype=np.float32)
    starts = np.array([FINE_HALF - sinc.taps // 2 for sinc in FINE], dtype=np.int64)
    for row, sinc, start in zip(fine, FINE, starts, strict=True):
        row[..., start:] = mirrored(phases(sinc, FINE_PHASES))
    return Tables(np.ascontiguousarray(coarse), fine, starts)
