"""Packages of Python's own index at the same work, in this process."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.metadata import version

import numpy as np
import pedalboard
import pyebur128
import pyloudnorm
from numpy.typing import NDArray
from scipy import signal

from arsis.audio import Block

from .rows import Peer
from .timing import of_call

MODES = pyebur128.MeasurementMode


def scipy_sections(blocks: Sequence[Block], sections: NDArray[np.float64], goal: float) -> Peer:
    """The same sections by scipy, its state carried over the same blocks."""
    return Peer(
        f"scipy {version('scipy')} sosfilt",
        lambda: of_call(lambda: run_sections(blocks, sections)),
        goal=goal,
    )


def run_sections(blocks: Sequence[Block], sections: NDArray[np.float64]) -> Block:
    """The last block of all."""
    rows = np.insert(sections, 3, 1.0, axis=1)
    state = np.zeros((len(rows), blocks[0].shape[0], 2))
    out = blocks[0]
    for block in blocks:
        out, state = signal.sosfilt(rows, block, axis=1, zi=state)
    return out


def board(
    blocks: Sequence[Block], effects: list[pedalboard.Plugin], rate_hz: int, goal: float, does: str
) -> Peer:
    """A chain of pedalboard's effects over the same blocks, in its own float32."""
    single = [block.astype(np.float32) for block in blocks]
    name = f"pedalboard {version('pedalboard')}"
    return Peer(name, lambda: of_call(lambda: run_board(single, effects, rate_hz)), does, goal)


def run_board(
    blocks: Sequence[NDArray[np.float32]], effects: list[pedalboard.Plugin], rate_hz: int
) -> list[Block]:
    """What the effects make of a stream, from rest."""
    chain = pedalboard.Pedalboard(effects)
    chain.reset()
    return [chain.process(block, rate_hz, reset=False) for block in blocks]


def libebur128(blocks: Sequence[Block], rate_hz: int, goal: float) -> Peer:
    """Integrated loudness, range and true peak by libebur128, from frames that are ready interleaved."""
    packed = [np.ascontiguousarray(block.T).ravel() for block in blocks]
    name = f"libebur128 {pyebur128.get_libebur128_version()}"

    def run() -> None:
        meter = pyebur128.R128State(2, rate_hz, MODES.MODE_I | MODES.MODE_LRA | MODES.MODE_TRUE_PEAK)
        for block in packed:
            meter.add_frames(block, block.size // 2)
        pyebur128.get_loudness_global(meter)
        pyebur128.get_loudness_range(meter)
        pyebur128.get_true_peak(meter, 0)

    return Peer(name, lambda: of_call(run), "true peak at 4 times the rate, ours at 16 times", goal)


def libebur128_true_peak_dbtp(blocks: Sequence[Block], rate_hz: int) -> float:
    """The higher of both channels."""
    meter = pyebur128.R128State(2, rate_hz, MODES.MODE_TRUE_PEAK)
    for block in blocks:
        meter.add_frames(np.ascontiguousarray(block.T).ravel(), block.shape[1])
    return 20.0 * float(np.log10(max(pyebur128.get_true_peak(meter, channel) for channel in (0, 1))))


def loudness_only(blocks: Sequence[Block], rate_hz: int, goal: float) -> Peer:
    """Integrated loudness by pyloudnorm, on the whole array as it wants it."""
    whole = np.ascontiguousarray(np.concatenate(blocks, axis=1).T)
    meter = pyloudnorm.Meter(rate_hz)
    return Peer(
        f"pyloudnorm {version('pyloudnorm')}",
        lambda: of_call(lambda: meter.integrated_loudness(whole)),
        "integrated loudness only: no range, no true peak",
        goal,
    )
