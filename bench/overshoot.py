"""How far the results of a limiter lie above its ceiling, by two meters that are not ours."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from arsis.audio import Block
from tests.meter16 import true_peak_dbtp

from .peers_python import libebur128_true_peak_dbtp

PLACES = 24  # of the loudest samples, where the long meter looks
REACH = 2_048  # frames either side


def overshoot_notes(results: Mapping[str, Sequence[Block]], rate_hz: int, ceiling_dbtp: float) -> list[str]:
    """A sentence for each."""
    notes = []
    for name, blocks in results.items():
        whole = np.concatenate([np.asarray(block, np.float64) for block in blocks], axis=1)
        standard = libebur128_true_peak_dbtp(blocks_of(whole), rate_hz) - ceiling_dbtp
        long = _loudest_dbtp(whole) - ceiling_dbtp
        notes.append(
            f"{name}: over the ceiling by {standard:+.2f} dB (libebur128), {long:+.2f} dB "
            f"(16 times, 256 taps a phase, at the {PLACES} loudest places)"
        )
    return notes


def blocks_of(whole: Block, frames: int = 65_536) -> list[Block]:
    return [whole[:, start : start + frames] for start in range(0, whole.shape[1], frames)]


def _loudest_dbtp(whole: Block) -> float:
    """The highest true peak around the loudest samples, none of the places twice."""
    hops = whole.shape[1] // REACH
    if not hops:
        return true_peak_dbtp(whole)
    loudest = np.abs(whole[:, : hops * REACH]).reshape(2, hops, REACH).max(axis=(0, 2))
    return max(
        true_peak_dbtp(_eased(whole[:, max(0, hop - 1) * REACH : (hop + 2) * REACH]))
        for hop in np.argsort(loudest)[-PLACES:].tolist()
    )


def _eased(part: Block) -> Block:
    """A part cut out of the middle of sound: its edges come and go softly, so that the cut makes no peak."""
    ramp = np.minimum(1.0, (np.arange(part.shape[1]) + 0.5) / (REACH / 2))
    window = np.minimum(ramp, ramp[::-1])
    return part * (window * window * (3.0 - 2.0 * window))
