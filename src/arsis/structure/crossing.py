"""What sounds on across the start of a section: a held note, a pick-up, a tail of reverberation.

An edit there changes the treatment of a sound that is still on. Partials are followed through the start by
their level and phase: a note that is struck anew starts with a phase of its own and with a rise, one that
goes on has neither. Tails are seen in octaves: a steady fall before the start that is still the only thing
there after it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.units import ms_to_frames

from .running import Array

CrossingKind: TypeAlias = Literal["held", "pick_up", "tail"]

BEFORE_S, AFTER_S = 1.3, 0.35  # of sound looked at
WINDOW_S, HOP_S = 0.046, 0.005
GAP_S, FIT_S = 0.025, 0.05  # a window reaches so far over the start; levels and phases are read so long
LOW_HZ, HIGH_HZ = 70.0, 5_000.0
PARTIALS = 10
SOFT_DB = -35.0  # under the loudest partial
PHASE_RAD, LEVEL_DB = 0.7, 3.0  # by how much a partial that goes on may be off
HEARD_DB, LOUD_DB = (
    -18.0,
    -6.0,
)  # partials that go on, against all that sounds after the start: two, or a loud one
BEGAN_DB = -15.0  # a partial begins where, going back, it is so much softer
PICK_UP_S = 0.08, 1.0  # before the start: nearer is the attack itself, earlier is a held note
# A steady fall steeper than this is a tail, as of 4 s of reverberation; a plucked string falls by 10. A
# drum's own decay is steeper than the second, which is 0.6 s.
FALLING_DB_S, DRUM_DB_S = -15.0, -100.0
OCTAVES_HZ = (250.0, 500.0, 1_000.0, 2_000.0, 4_000.0)
TAIL_S, TAIL_GAP_S, EDGE_S = 0.2, 0.012, 0.1  # the last: of sound beyond, in which the octaves' filters ring
STEADY_DB = 2.0  # a tail's scatter round its line, and how far it is off the line after the start
QUIET_DB = -75.0  # below full scale: no tail


@dataclass(frozen=True, slots=True)
class Crossing:
    """since_s: how long before the start it began; None where that is further back than was looked.

    freq_hz: of its loudest partial, or of the octave that falls.
    """

    kind: CrossingKind
    since_s: float | None
    freq_hz: float


def crossings(block: Block, rate_hz: int, start: int) -> tuple[Crossing, ...]:
    """What crosses frame `start` of a block that reaches BEFORE_S before it and AFTER_S beyond; at most one
    of each kind, the loudest."""
    mono = block.mean(axis=0)
    window = ms_to_frames(1_000.0 * WINDOW_S, rate_hz)
    if start < 6 * window or block.shape[1] - start < 3 * window or not mono.any():
        return ()
    found: dict[CrossingKind, Crossing] = {}
    notes = _notes(mono, rate_hz, start)
    kinds = [one.kind for one, _ in notes]
    # One soft partial may go on by chance: a note struck anew may meet the phase of the one before.
    sure = [one for one, loud_db in notes if kinds.count(one.kind) > 1 or loud_db > LOUD_DB]
    for one in (*sure, *_tails(mono, rate_hz, start)):
        found.setdefault(one.kind, one)
    return tuple(found.values())


def _notes(mono: Array, rate_hz: int, start: int) -> list[tuple[Crossing, float]]:
    """Partials that go on, the loudest first, with their level against all that sounds after the start."""
    freqs_hz = _partials(mono, rate_hz, start)
    if not freqs_hz.size:
        return []
    at_s, course = _courses(mono, rate_hz, start, freqs_hz)
    level_db = 20.0 * np.log10(np.abs(course) + 1e-9)
    after = (at_s >= GAP_S) & (at_s < GAP_S + FIT_S)
    before = (at_s <= -GAP_S) & (at_s > -GAP_S - FIT_S)
    heard = mono[start : start + ms_to_frames(1_000.0 * (GAP_S + FIT_S), rate_hz)]
    whole_db = 10.0 * np.log10(2.0 * float(np.mean(heard**2)) + 1e-12)
    soft_db, loud_db = level_db[before].mean(axis=0), level_db[after].mean(axis=0)
    fall_db_s = np.polyfit(at_s[before], level_db[before], 1)[0]
    expected_db = np.minimum(fall_db_s, 0.0) * (2.0 * GAP_S + FIT_S)
    dipped = level_db[np.abs(at_s) < GAP_S].min(axis=0) < np.minimum(soft_db, loud_db) - LEVEL_DB
    kept_phase = np.abs(_jumps_rad(at_s, np.angle(course), before, after)) < PHASE_RAD
    kept_level = (np.abs(loud_db - soft_db - expected_db) < LEVEL_DB) & ~dipped
    goes_on = np.flatnonzero(kept_phase & kept_level & (loud_db - whole_db > HEARD_DB))
    return [
        (_note(at_s, level_db[:, place], float(freqs_hz[place])), float(loud_db[place]) - whole_db)
        for place in goes_on
    ]


def _jumps_rad(at_s: Array, phase: Array, before: NDArray[np.bool_], after: NDArray[np.bool_]) -> Array:
    """By how much phases jump at 0, against one smooth course: a cubic, which a vibrato bends along."""
    t = at_s[before | after] / FIT_S
    turned = np.concatenate([np.unwrap(phase[before], axis=0), np.unwrap(phase[after], axis=0)])
    terms = np.stack([t**0, t, t**2, t**3, t > 0.0], axis=1)
    return np.asarray(np.angle(np.exp(1j * np.linalg.lstsq(terms, turned, rcond=None)[0][-1])))


def _note(at_s: Array, level_db: Array, freq_hz: float) -> Crossing:
    """Where a partial that goes on began, and what that makes it."""
    last = int(np.searchsorted(at_s, -GAP_S))
    soft = np.flatnonzero(level_db[:last] < level_db[last] + BEGAN_DB)
    # A window hears a note before it begins, by about half its length.
    since_s = -float(at_s[soft[-1]]) - WINDOW_S / 4.0 if soft.size else None
    recent = (at_s > -0.25) & (at_s < 0.1)
    if float(np.polyfit(at_s[recent], level_db[recent], 1)[0]) < FALLING_DB_S:
        return Crossing("tail", since_s, freq_hz)
    is_late = since_s is not None and PICK_UP_S[0] <= since_s <= PICK_UP_S[1]
    return Crossing("pick_up" if is_late else "held", since_s, freq_hz)


def _partials(mono: Array, rate_hz: int, start: int) -> Array:
    """Frequencies of the peaks just before the start, the loudest first."""
    frames = ms_to_frames(185.0, rate_hz)
    size = 1 << (4 * frames - 1).bit_length()
    spectrum = np.abs(np.fft.rfft(mono[start - frames : start] * np.hanning(frames), size))
    freq_hz = np.fft.rfftfreq(size, 1.0 / rate_hz)
    inner = spectrum[1:-1]
    peak = np.flatnonzero((inner > spectrum[:-2]) & (inner >= spectrum[2:])) + 1
    peak = peak[(freq_hz[peak] > LOW_HZ) & (freq_hz[peak] < HIGH_HZ)]
    if not peak.size:
        return np.empty(0)
    peak = peak[spectrum[peak] > spectrum[peak].max() * 10.0 ** (SOFT_DB / 20.0)]
    # Nearer than the main lobe of the following window, two peaks are one.
    kept: list[int] = []
    for place in peak[np.argsort(-spectrum[peak])]:
        if len(kept) < PARTIALS and all(
            abs(freq_hz[place] - freq_hz[other]) > 1.5 / WINDOW_S for other in kept
        ):
            kept.append(int(place))
    return np.asarray(freq_hz[kept])


def _courses(mono: Array, rate_hz: int, start: int, freqs_hz: Array) -> tuple[Array, NDArray[np.complex128]]:
    """Amplitude and phase of each partial along the way, (times, partials); times from the start, s."""
    frames, hop = ms_to_frames(1_000.0 * WINDOW_S, rate_hz), ms_to_frames(1_000.0 * HOP_S, rate_hz)
    views = np.ascontiguousarray(np.lib.stride_tricks.sliding_window_view(mono, frames)[::hop])
    middle = np.arange(len(views)) * hop + frames / 2.0 - start
    inside = (np.arange(frames) - frames / 2.0) / rate_hz
    taper = np.hanning(frames)
    wave = np.exp(-2j * np.pi * inside[:, None] * freqs_hz) * (2.0 * taper / taper.sum())[:, None]
    at_s = middle / rate_hz
    course = views @ wave.real + 1j * (views @ wave.imag)
    return at_s, course * np.exp(-2j * np.pi * at_s[:, None] * freqs_hz)


def _tails(mono: Array, rate_hz: int, start: int) -> list[Crossing]:
    """Octaves that fall steadily up to the start and on after it."""
    first = max(start - ms_to_frames(1_000.0 * (TAIL_S + EDGE_S), rate_hz), 0)
    mono, start = (
        mono[first : start + ms_to_frames(1_000.0 * (TAIL_S / 2.0 + EDGE_S), rate_hz)],
        start - first,
    )
    size = 1 << (mono.size - 1).bit_length()
    spectrum, freq_hz = np.fft.rfft(mono, size), np.fft.rfftfreq(size, 1.0 / rate_hz)
    frames = ms_to_frames(10.0, rate_hz)
    found = []
    for centre_hz in OCTAVES_HZ:
        octave = (freq_hz >= centre_hz / 2**0.5) & (freq_hz < centre_hz * 2**0.5)
        power = np.fft.irfft(spectrum * octave, size)[: mono.size] ** 2
        whole = power[start % frames :]
        level_db = 10.0 * np.log10(
            whole[: whole.size // frames * frames].reshape(-1, frames).mean(axis=1) + 1e-12
        )
        at_s = (np.arange(level_db.size) * frames + start % frames + frames / 2.0 - start) / rate_hz
        before = (at_s < -TAIL_GAP_S) & (at_s > -TAIL_S)
        after = (at_s > -TAIL_GAP_S) & (at_s < TAIL_S / 2.0)
        line = np.polyfit(at_s[before], level_db[before], 1)
        scatter_db = float(np.std(level_db[before] - np.polyval(line, at_s[before])))
        off_db = (level_db - np.polyval(line, at_s))[after]
        is_steady = (
            scatter_db < STEADY_DB and abs(off_db.mean()) < STEADY_DB and off_db.max() < 2.0 * STEADY_DB
        )
        if DRUM_DB_S < line[0] < FALLING_DB_S and is_steady and level_db[before].min() > QUIET_DB:
            found.append((float(level_db[before].mean()), Crossing("tail", None, centre_hz)))
    return [one for _, one in sorted(found, key=lambda pair: -pair[0])]
