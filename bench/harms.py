"""Faults put into balanced songs: one kind of section gets what a mix that goes wrong there would have."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.demo.songs import DemoSong, TrueSection
from arsis.measure import attack
from arsis.measure.loudness import LoudnessMeter
from arsis.process import apply
from arsis.settings import Bell, Compressor, Gain, LowShelf, Width
from arsis.units import db_to_gain, power_to_db

What = Literal["step", "low_end", "body", "edge", "width", "attack"]
FULL_SCALE = 1 << 23
FADE_S = 0.02
SIZES_DB = (1.5, 2.0, 3.0)
PLANTED_DB = 0.2  # so near has an attack to come to what is asked


class NotPlantedError(Exception):
    """A mix does not have the attack that is to be taken from it."""


@dataclass(frozen=True, slots=True)
class Harm:
    """size_db: how much is lost (of edge, how much is put on). freq_hz: of tone."""

    what: What
    kind: str
    size_db: float
    freq_hz: float | None = None
    shelf: bool = False

    @property
    def says(self) -> str:
        where = "" if self.freq_hz is None else f" {'below ' if self.shelf else ''}{self.freq_hz:g} Hz"
        return f"{self.kind} {self.what}{where} {self.size_db:g}"


def harms(kinds: Sequence[str], sizes_db: Sequence[float] = SIZES_DB) -> Iterator[Harm]:
    """What is planted in a song with refrains and verses of these kinds: the classes of issue 4."""
    refrain, verse = kinds
    for size_db in (0.5, 1.0, *sizes_db[:2]):
        yield Harm("step", refrain, size_db)
    for size_db in sizes_db:
        for kind in kinds:
            yield Harm("low_end", kind, size_db, 70.0)
            yield Harm("low_end", kind, size_db, 130.0, shelf=True)
            yield Harm("body", kind, size_db, 200.0)
            yield Harm("body", kind, size_db, 320.0)
            yield Harm("attack", kind, size_db)
        yield Harm("edge", verse, size_db, 2_500.0)
        yield Harm("edge", verse, size_db, 3_600.0)
        yield Harm("width", refrain, size_db)


def harmed(song: DemoSong, harm: Harm | None) -> Block:
    """The song's mix with a fault in it, at a level that leaves its peaks under full scale."""
    mix = song.mix.astype(np.float64) / FULL_SCALE
    if harm is None:
        return mix
    sound = _treated(mix, song, harm)
    inside = _inside(song, harm.kind, mix.shape[1])
    made = mix + inside * (sound - mix)
    return np.asarray(made * min(1.0, 0.99 / float(np.abs(made).max())))


def _treated(mix: Block, song: DemoSong, harm: Harm) -> Block:
    rate_hz, down_db = song.rate_hz, -harm.size_db
    if harm.what == "step":
        return apply(Gain(gain_db=down_db), mix, rate_hz)
    if harm.what == "width":
        return apply(Width(side_db=down_db), mix, rate_hz)
    if harm.what == "attack":
        return _dulled(mix, song, harm)
    assert harm.freq_hz is not None
    if harm.shelf:
        return apply(LowShelf(freq_hz=harm.freq_hz, gain_db=down_db), mix, rate_hz)
    gain_db = harm.size_db if harm.what == "edge" else down_db
    return apply(Bell(freq_hz=harm.freq_hz, gain_db=gain_db, q=1.0), mix, rate_hz)


def _dulled(mix: Block, song: DemoSong, harm: Harm) -> Block:
    """A very fast compressor whose threshold takes the asked dB from attack_db; level is given back.

    At a ratio of 4 and with a slower attack it took 0.8 to 2.7 dB from the refrains of 43 songs when asked
    for 3. This one takes about a half of what there is.
    """
    low_db, high_db = -40.0, 0.0
    before_db, level_db = _attack_and_level_db(mix, mix, song, harm.kind)
    for _ in range(8):
        threshold_db = 0.5 * (low_db + high_db)
        fast = Compressor(
            threshold_dbfs=threshold_db, ratio=20.0, knee_db=3.0, attack_ms=0.1, release_ms=40.0
        )
        sound = apply(fast, mix, song.rate_hz)
        after_db, left_db = _attack_and_level_db(sound, mix, song, harm.kind)
        low_db, high_db = (
            (threshold_db, high_db) if before_db - after_db > harm.size_db else (low_db, threshold_db)
        )
    if abs(before_db - after_db - harm.size_db) > PLANTED_DB:
        raise NotPlantedError(
            f"{song.title}: {harm.says}: at most {before_db - after_db:.1f} of {before_db:.1f} dB go"
        )
    return np.asarray(sound * db_to_gain(level_db - left_db))


def _attack_and_level_db(sound: Block, at: Block, song: DemoSong, kind: str) -> tuple[float, float]:
    here, there = _powers(sound, song.rate_hz), _powers(at, song.rate_hz)
    per_s = attack.HOPS_PER_SECOND
    attacks, levels = [], []
    for start_s, end_s in _spans_s(song, kind, sound.shape[1]):
        hops = slice(round(start_s * per_s), round(end_s * per_s))
        attacks.append(attack.attack_db(here[hops], attack.strong_onsets(there[hops])) or 0.0)
        levels.append(float(here[hops].mean()))
    return float(np.mean(attacks)), power_to_db(float(np.mean(levels)))


def _powers(sound: Block, rate_hz: int) -> NDArray[np.float64]:
    meter = LoudnessMeter(rate_hz, sound.shape[0], attack.HOPS_PER_SECOND)
    meter.add(np.ascontiguousarray(sound))
    return meter.energies()


def _spans_s(song: DemoSong, kind: str, frames: int) -> list[tuple[float, float]]:
    sections: tuple[TrueSection, ...] = song.sections
    ends = [*(section.start_s for section in sections[1:]), frames / song.rate_hz]
    return [(s.start_s, end_s) for s, end_s in zip(sections, ends, strict=True) if s.kind == kind]


def _inside(song: DemoSong, kind: str, frames: int) -> NDArray[np.float64]:
    """1 in the sections of a kind, 0 elsewhere, with short fades that end just before the down-beat."""
    inside = np.zeros(frames)
    for start_s, end_s in _spans_s(song, kind, frames):
        inside[round(start_s * song.rate_hz) : round(end_s * song.rate_hz)] = 1.0
    fade = round(FADE_S * song.rate_hz)
    running = np.cumsum(np.concatenate([np.zeros(fade), inside]))
    faded = (running[fade:] - running[:-fade]) / fade
    return np.roll(faded, -fade)
