"""Short renders whose words are on record, so that no change of sound goes by unnoticed.

The material is made with whole numbers only, so it is the same on every machine. Rate conversion and linear
phase are left out: their last bits are those of libsoxr's and numpy's builds.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from arsis.plan.model import Finish, Join, RidePoint, Song
from arsis.render.words import Word
from arsis.settings import (
    Bell,
    Compressor,
    Delay,
    DynamicBell,
    Gain,
    HighPass,
    HighShelf,
    Limiter,
    LowShelf,
    Saturator,
    Tilt,
    Width,
)

from .render_plans import song
from .renders import make_print, source

RECORD = Path(__file__).parent / "golden" / "sound.json"
RATE_HZ = 44_100
FRAMES = RATE_HZ
BITS = 24


@dataclass(frozen=True, slots=True)
class Case:
    """A plan over the material, and the word it is printed in."""

    plan: Song
    bits: int = 24


def one(*chain, finish: Finish | None = None) -> Song:
    return song([0.0], "A", {"A": chain}, finish=finish or Finish())


EQ = (
    HighPass(freq_hz=30.0),
    LowShelf(freq_hz=95.0, gain_db=0.7, q=0.7),
    Bell(freq_hz=3_200.0, gain_db=-1.5, q=1.1, channel="mid"),
    HighShelf(freq_hz=9_000.0, gain_db=1.2),
    Tilt(gain_db=-0.5),
)
CASES = {
    "tone": Case(one(*EQ)),
    "compressor": Case(
        one(Compressor(threshold_dbfs=-24.0, ratio=2.0, mix=0.8, sidechain_high_pass_hz=90.0))
    ),
    "dynamic bell": Case(one(DynamicBell(freq_hz=6_000.0, q=2.0, range_db=-6.0, threshold_dbfs=-40.0))),
    "saturator": Case(one(Saturator(drive_db=6.0, even=0.3))),
    "width and delay": Case(
        one(Width(side_db=2.0, fold_below_hz=120.0), Delay(delay_frames=3.25, channel="left"))
    ),
    "joins": Case(
        song(
            [0.0, 0.3, 0.7], "ABA", {"A": (), "B": EQ}, [0.0, 0.4, -0.3], join=Join(fade_ms=12.0, lead_ms=3.0)
        )
    ),
    "ride": Case(
        song(
            [0.0],
            "A",
            {"A": ()},
            ride=(RidePoint(time_s=0.2, gain_db=-1.0), RidePoint(time_s=0.8, gain_db=0.5)),
        )
    ),
    "limiter": Case(one(finish=Finish(gain_db=9.0, limiter=Limiter()))),
    "flat dither": Case(one(Gain(gain_db=-0.3)), bits=16),
    "shaped dither": Case(one(Gain(gain_db=-0.3), finish=Finish(dither="wannamaker_9")), bits=16),
    "no dither": Case(one(Gain(gain_db=-0.3), finish=Finish(dither="none")), bits=16),
}


def material() -> NDArray[np.int64]:
    """A second of strokes over a low triangle and a breath of noise, 24-bit words, shape (2, frames)."""
    n = np.arange(FRAMES, dtype=np.int64)
    z = (np.arange(2 * FRAMES, dtype=np.uint64) + 1) * np.uint64(0x9E3779B97F4A7C15)
    z = (z ^ (z >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)  # the steps of SplitMix64
    noise = (z >> np.uint64(42)).astype(np.int64).reshape(2, FRAMES) - 2**21
    since = n % 11_025
    stroke = np.maximum(0, 1_500 - since)
    low = np.abs(n * 131 % 88_200 - 44_100) - 22_050
    return np.stack(
        [
            noise[0] * stroke // 1_000 + noise[0] // 64 + 60 * low,
            noise[1] * stroke // 1_200 + noise[0] // 80 + 57 * low,
        ]
    )


def digests() -> dict[str, str]:
    """SHA-256 of the words of each case."""
    mix = material() * 2.0 ** (1 - BITS)
    return {name: _digest(case, mix) for name, case in CASES.items()}


def _digest(case: Case, mix: NDArray[np.float64]) -> str:
    words = make_print(source(case.plan, mix, RATE_HZ, BITS), Word(case.bits)).words
    return hashlib.sha256(words.astype("<i4").tobytes()).hexdigest()


def set_id(record: dict[str, str]) -> str:
    """The short name of a set of digests, for the changelog."""
    return hashlib.sha256(json.dumps(record, sort_keys=True).encode()).hexdigest()[:12]
