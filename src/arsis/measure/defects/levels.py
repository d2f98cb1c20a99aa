"""Levels from moment to moment: how the sound begins and ends, its quietest rest, and a top that is held."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.units import power_to_db

HOP_S = 0.01
# Tops are looked at in stretches of 50 ms; they are held where many of them reach the same level, the highest
# that more than a few reach.
TOP_HOPS, HELD_DB, FEW = 5, 0.3, 0.03
# A rest is so long. Noise is steady in it, music is not; and its tops lie far over its RMS, a note's do not:
# of 882 samples of Gaussian noise the highest lies 10.4 dB over, of a sine 3.
REST_HOPS, STEADY_DB, NOISE_CREST_DB = 30, 0.9, 9.0
EDGE_S = 0.0005


@dataclass(frozen=True, slots=True)
class LevelFacts:
    """head_silence_s, tail_silence_s: exact zeros. head_dbfs, tail_dbfs: RMS of the first and the last 10 ms
    that are not silent, head_edge_dbfs, tail_edge_dbfs: of the first and the last half millisecond of them;
    -inf where all is. rest_dbfs: RMS of the quietest 0.3 s that hold sound; rest_at_s: where; rest_is_noise:
    steady, and as peaked as noise. held_share: of all stretches of 50 ms, those whose highest sample comes
    within 0.3 dB of held_dbfs, which three in a hundred pass; held_spread_db: how much their RMS differs.
    loudest_dbfs: RMS of the loudest 0.3 s."""

    head_silence_s: float
    tail_silence_s: float
    head_dbfs: float
    head_edge_dbfs: float
    tail_dbfs: float
    tail_edge_dbfs: float
    rest_dbfs: float
    rest_at_s: float
    rest_is_noise: bool
    held_share: float
    held_dbfs: float
    held_spread_db: float
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
        at, rest, is_noise = _rest(powers, tops)
        share, held_dbfs, spread_db = _held(powers, tops)
        edge = max(4, round(EDGE_S * self._rate_hz))
        return LevelFacts(
            head_silence_s=(self._at if self._first is None else self._first) / self._rate_hz,
            tail_silence_s=(self._at - 1 - self._last) / self._rate_hz,
            head_dbfs=_rms_dbfs(self._head),
            head_edge_dbfs=_rms_dbfs(self._head[:, :edge]),
            tail_dbfs=_rms_dbfs(self._tail),
            tail_edge_dbfs=_rms_dbfs(self._tail[:, -edge:]),
            rest_dbfs=power_to_db(rest),
            rest_at_s=at * HOP_S,
            rest_is_noise=is_noise,
            held_share=share,
            held_dbfs=held_dbfs,
            held_spread_db=spread_db,
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


def _rest(powers: NDArray[np.float64], tops: NDArray[np.float64]) -> tuple[int, float, bool]:
    """First hop and mean power of the quietest stretch without a silent hop, and whether it is noise."""
    if powers.size < REST_HOPS:
        return 0, 0.0, False
    silent = _means((powers == 0.0).astype(np.float64)) > 0.0
    means = np.where(silent, np.inf, _means(powers))
    if silent.all():
        return 0, 0.0, False
    at = int(np.argmin(means))
    part = slice(at, at + REST_HOPS)
    levels_db = 10.0 * np.log10(powers[part])
    crest_db = float(np.mean(20.0 * np.log10(tops[part]) - levels_db))
    is_noise = float(np.std(levels_db)) < STEADY_DB and crest_db > NOISE_CREST_DB
    return at, float(means[at]), is_noise


def _held(powers: NDArray[np.float64], tops: NDArray[np.float64]) -> tuple[float, float, float]:
    """Share of the stretches that reach the level that the top is held at, that level, and the spread of
    their RMS."""
    whole = tops.size // TOP_HOPS * TOP_HOPS
    each = tops[:whole].reshape(-1, TOP_HOPS).max(axis=1)
    means = powers[:whole].reshape(-1, TOP_HOPS).mean(axis=1)
    sounding = each > 0.0
    if not sounding.any():
        return 0.0, -np.inf, 0.0
    each_db, means_db = 20.0 * np.log10(each[sounding]), 10.0 * np.log10(means[sounding])
    level_db = float(np.quantile(each_db, 1.0 - FEW))
    held = np.abs(each_db - level_db) < HELD_DB
    return float(np.mean(held)), level_db, float(np.std(means_db[held])) if held.any() else 0.0
