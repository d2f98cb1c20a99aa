"""Levels from moment to moment: how the sound begins and ends, its quietest rest, and a top that is held."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.units import gain_to_db, power_to_db

HOP_S = 0.01
# Tops are looked at in stretches of 50 ms; they are held where many of them reach the same level.
TOP_HOPS, HELD_DB = 5, 0.3
# A rest is so long; noise is steady in it, music is not.
REST_HOPS, STEADY_DB = 30, 0.9


@dataclass(frozen=True, slots=True)
class LevelFacts:
    """head_silence_s, tail_silence_s: exact zeros. head_dbfs, tail_dbfs: RMS of the first and the last 10 ms
    that are not silent; -inf where all is. rest_dbfs: RMS of the quietest 0.3 s that hold sound; rest_at_s:
    where; rest_is_steady: as noise is. held_share: of all stretches of 50 ms, those whose highest sample
    comes within 0.3 dB of the highest of all. loudest_dbfs: RMS of the loudest 0.3 s."""

    head_silence_s: float
    tail_silence_s: float
    head_dbfs: float
    tail_dbfs: float
    rest_dbfs: float
    rest_at_s: float
    rest_is_steady: bool
    held_share: float
    loudest_dbfs: float


class LevelsMeter:
    """Mean power and highest sample of every 10 ms, of both channels."""

    def __init__(self, rate_hz: int, channels: int) -> None:
        self._rate_hz, self._hop = rate_hz, round(HOP_S * rate_hz)
        self._held = np.zeros((channels, 0))
        self._powers: list[NDArray[np.float64]] = []
        self._tops: list[NDArray[np.float64]] = []
        self._at = 0
        self._first: int | None = None
        self._last = -1
        self._head = np.zeros((channels, 0))
        self._tail = np.zeros((channels, 0))
        self._recent = np.zeros((channels, 0))  # the last 10 ms of all, sounding or not

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        self._mark(block)
        x = np.concatenate([self._held, block], axis=1)
        whole = x.shape[1] // self._hop * self._hop
        self._held = x[:, whole:]
        hops = x[:, :whole].reshape(x.shape[0], -1, self._hop)
        self._powers.append(np.mean(hops * hops, axis=(0, 2)))
        self._tops.append(np.abs(hops).max(axis=(0, 2), initial=0.0))

    def _mark(self, block: Block) -> None:
        """Where sound begins and ends, and the 10 ms of it there."""
        sounding = np.flatnonzero(np.any(block != 0.0, axis=0))
        if sounding.size:
            first, last = int(sounding[0]), int(sounding[-1])
            if self._first is None:
                self._first = self._at + first
            self._tail = np.concatenate([self._recent, block[:, : last + 1]], axis=1)[:, -self._hop :]
            self._last = self._at + last
        if self._first is not None and self._head.shape[1] < self._hop:
            begins = max(0, self._first - self._at)
            more = block[:, begins : begins + self._hop - self._head.shape[1]]
            self._head = np.concatenate([self._head, more], axis=1)
        self._recent = np.concatenate([self._recent, block[:, -self._hop :]], axis=1)[:, -self._hop :]
        self._at += block.shape[1]

    def facts(self) -> LevelFacts:
        """Of all that has been heard."""
        powers = np.concatenate([np.zeros(0), *self._powers])
        tops = np.concatenate([np.zeros(0), *self._tops])
        at, rest, steady = _rest(powers)
        return LevelFacts(
            head_silence_s=(self._at if self._first is None else self._first) / self._rate_hz,
            tail_silence_s=(self._at - 1 - self._last) / self._rate_hz,
            head_dbfs=_rms_dbfs(self._head),
            tail_dbfs=_rms_dbfs(self._tail),
            rest_dbfs=power_to_db(rest),
            rest_at_s=at * HOP_S,
            rest_is_steady=steady,
            held_share=_held_share(tops),
            loudest_dbfs=power_to_db(float(_means(powers).max(initial=0.0))),
        )


def _rms_dbfs(block: Block) -> float:
    return power_to_db(float(np.mean(block * block))) if block.size else -np.inf


def _means(powers: NDArray[np.float64]) -> NDArray[np.float64]:
    """Of every 0.3 s, a step of 10 ms apart."""
    if powers.size < REST_HOPS:
        return np.zeros(0)
    running = np.concatenate([[0.0], np.cumsum(powers)])
    return np.asarray((running[REST_HOPS:] - running[:-REST_HOPS]) / REST_HOPS)


def _rest(powers: NDArray[np.float64]) -> tuple[int, float, bool]:
    """First hop, mean power and steadiness of the quietest stretch without a silent hop."""
    if powers.size < REST_HOPS:
        return 0, 0.0, False
    silent = _means((powers == 0.0).astype(np.float64)) > 0.0
    means = np.where(silent, np.inf, _means(powers))
    if silent.all():
        return 0, 0.0, False
    at = int(np.argmin(means))
    spread_db = float(np.std(10.0 * np.log10(powers[at : at + REST_HOPS])))
    return at, float(means[at]), spread_db < STEADY_DB


def _held_share(tops: NDArray[np.float64]) -> float:
    whole = tops.size // TOP_HOPS * TOP_HOPS
    each = tops[:whole].reshape(-1, TOP_HOPS).max(axis=1)
    each = each[each > 0.0]
    if not each.size:
        return 0.0
    highest_db = gain_to_db(float(each.max()))
    return float(np.mean(20.0 * np.log10(each) > highest_db - HELD_DB))
