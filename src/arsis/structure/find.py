"""From features to named sections."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

from .bars import Bars, find_bars
from .boundaries import Cuts, confidence, downbeat_shift, find_cuts, join_ends, join_rises
from .evidence import own_log_odds, start_curves
from .fade import without_fade
from .features import FRAME_S, Features
from .formless import why_formless
from .joins import JoinSuggestion, join_near
from .kinds import guess_kinds, name_sections
from .labels import label_sections, letter, split_runs
from .onsets import Onsets, find_onsets
from .running import power_db, running_max
from .second_look import start_log_odds
from .similarity import Similarity, compare_units
from .units import Units, describe_units, unit_edges_s

Read = Callable[[int, int], Block]  # (start, frames) -> the sound there; fewer frames only at the end

SHORTEST_S = 12.0  # a shorter recording is one section
SILENT_DB = -75.0  # and so is one whose loudest moment is below this
LEVELLED = 0.02  # the power to which the loud frames are brought: about -17 dB
SALIENT = 2.0  # mean of the onset curve on the beats over its mean; noise measured 1.7, every song over 2.2
# Past this unsteadiness nobody counts: free songs had 0.084 to 0.108, drifting ones 0.079 at most.
FREE, STRUCK_AT = 0.081, 0.5
LAST = 0.25  # of the usual growth at a beat: the last that has so much is the last that is struck
STRUCK, STROKE = 0.25, 0.15  # at least this share of beats has an onset that grows so much, log power


@dataclass(frozen=True, slots=True)
class FoundSection:
    """[start_s, end_s) with a guessed kind. confidence: of its start, 0 to 1; the file's start is certain.

    join: how to enter it; None for the first section and where the sound was not read a second time.
    """

    name: str
    kind: str
    start_s: float
    end_s: float
    confidence: float
    join: JoinSuggestion | None = None


@dataclass(frozen=True, slots=True)
class Structure:
    """Sections tile the file. letters: one a section, the same where the music is. No tempo, no beats.

    why: of a file that is one section, the reason.
    """

    tempo_bpm: float | None
    beats_s: tuple[float, ...]
    downbeats_s: tuple[float, ...]
    sections: tuple[FoundSection, ...]
    letters: tuple[str, ...]
    why: str | None = None


def find_structure(features: Features, read: Read | None = None) -> Structure:
    """Sections, tempo, beats and downbeats of a song.

    With `read`, each start is moved to the foot of the attack there and gets a join; only about a quarter
    of a second around each start is read.
    """
    if features.duration_s < SHORTEST_S:
        return _whole(features, f"it is shorter than {SHORTEST_S:g} s")
    if power_db(features.loudness, 1e-10).max() < SILENT_DB:
        return _whole(features, "it is silent")
    features, onsets, bars, view = _heard(features)
    cuts, labels = split_runs(view.similar, view.cuts, label_sections(view.similar, view.cuts))
    view = replace(view, cuts=cuts)
    sections = _sections(features, view, labels)
    letters = tuple(letter(int(label)) for label in labels)
    sure = tuple(section.confidence for section in sections[1:])
    if why := why_formless(view.similar.harmony, onsets, bars is not None, letters, sure):
        return _whole(features, why)
    if bars is None and not sure:
        return _whole(features, "nothing in it changes")
    if read is not None:
        sections = _refined(sections, features, read)
    why = None if sure else "nothing in it changes for long"
    if bars is None:
        return Structure(None, (), (), sections, letters, why)
    first_s, last_s = _played(bars, onsets)
    beats, down = (
        tuple(float(time) for time in times[(times >= first_s) & (times < last_s)])
        for times in (bars.beats_s, bars.downbeats_s)
    )
    return Structure(_tempo_bpm(bars), beats, down, sections, letters, why)


def _whole(features: Features, why: str) -> Structure:
    """One section and the reason."""
    section = FoundSection("song", "other", 0.0, features.duration_s, 1.0)
    return Structure(None, (), (), (section,), ("A",), why)


@dataclass(frozen=True, slots=True)
class _View:
    units: Units
    similar: Similarity
    log_odds: NDArray[np.float64]  # of a start at each unit, in the light of the others
    cuts: Cuts


def _played(bars: Bars, onsets: Onsets) -> tuple[float, float]:
    """From the first beat that is struck to the end of the bar of the last: what rings has no beats."""
    growth = _growth(bars, onsets)
    struck = np.flatnonzero(growth > max(STROKE, LAST * float(np.median(growth))))
    if not len(struck):
        return 0.0, np.inf
    after = bars.down[bars.down > struck[-1]]
    last_s = float(bars.beats_s[after[0]]) if len(after) else np.inf
    return float(bars.beats_s[struck[0]]) - 1e-6, last_s - 1e-6


def _growth(bars: Bars, onsets: Onsets) -> NDArray[np.float64]:
    """How much the spectrum grows at each beat, log power."""
    at = np.clip(np.round(bars.beats_s / FRAME_S).astype(int), 0, len(onsets.curve) - 1)
    return np.asarray(running_max(onsets.raw.max(axis=1), 2)[at])


def _levelled(features: Features) -> Features:
    """At one loudness, so that every floor in dB is one below the song and not below full scale."""
    loud = max(float(np.percentile(features.loudness, 95)), 1e-4 * float(features.loudness.max()))
    gain = np.float32(LEVELLED / loud)
    return replace(
        features,
        mel=features.mel * gain,
        bands=features.bands * gain,
        loudness=features.loudness * gain,
        side_bands=features.side_bands * gain,
    )


def _tempo_bpm(bars: Bars) -> float:
    """The slope of the beats of one grid; the middle of them where the tempo moves."""
    if bars.rigid:
        return 60.0 / float(np.polyfit(np.arange(len(bars.beats_s)), bars.beats_s, 1)[0])
    return 60.0 / float(np.median(np.diff(bars.beats_s)))


def _salient(bars: Bars | None, onsets: Onsets) -> Bars | None:
    """None where the beats lie on onsets no more than chance would have it."""
    if bars is None or len(bars.down) < 2:
        return None
    at = np.clip(np.round(bars.beats_s / FRAME_S).astype(int), 0, len(onsets.curve) - 1)
    salience = onsets.curve[at].mean() / (onsets.curve.mean() + 1e-12)
    struck = float((_growth(bars, onsets) > STROKE).mean())
    steady = (
        bars.rigid or _unsteadiness(bars.beats_s, onsets.curve[at] > STRUCK_AT * onsets.curve.std()) < FREE
    )
    return bars if salience >= SALIENT and struck >= STRUCK and steady else None


def _unsteadiness(beats_s: NDArray[np.float64], struck: NDArray[np.bool_]) -> float:
    """How much the lengths of beats differ, as shares: from one to the next where struck, and over eight."""
    lengths = np.log(np.diff(beats_s))
    if len(lengths) < 8:
        return np.inf
    jumps = np.abs(np.diff(lengths))[struck[:-2] & struck[1:-1] & struck[2:]]
    spread = np.lib.stride_tricks.sliding_window_view(lengths, 8).std(axis=1)
    return float(np.percentile(jumps, 75) if len(jumps) else 0.0) + float(np.percentile(spread, 75))


def _heard(features: Features) -> tuple[Features, Onsets, Bars | None, _View]:
    """The song levelled, its fade taken back; onsets; bars, put right by where sections start; the cuts."""
    features = _levelled(features)
    onsets = find_onsets(features)
    if (steady := without_fade(features, onsets)) is not None:
        features, onsets = steady, find_onsets(steady)
    bars = _salient(find_bars(features, onsets), onsets)
    view = _look(features, onsets, bars)
    if bars is not None:
        shift = downbeat_shift(features, bars, view.units.edges_s[view.cuts[1:-1]])
        if shift:
            bars = bars.shifted(shift)
            view = _look(features, onsets, bars)
    return features, onsets, bars, view


def _look(features: Features, onsets: Onsets, bars: Bars | None) -> _View:
    units = describe_units(features, onsets, unit_edges_s(features, onsets, bars))
    similar = compare_units(units)
    curves = start_curves(units, similar)
    log_odds = start_log_odds(
        curves, own_log_odds(curves), similar.mean, float(np.median(np.diff(units.edges_s)))
    )
    if units.is_even:
        return _View(units, similar, log_odds, np.array([0, len(units)]))
    cuts = join_rises(find_cuts(similar.mean, log_odds, bars is not None), units.loudness)
    return _View(units, similar, log_odds, join_ends(cuts, units))


def _sections(features: Features, view: _View, labels: NDArray[np.int_]) -> tuple[FoundSection, ...]:
    starts = view.units.edges_s[view.cuts].copy()
    starts[0], starts[-1] = 0.0, features.duration_s
    kinds = guess_kinds(view.units, view.cuts, labels)
    sure = [1.0, *confidence(view.log_odds, view.cuts)]
    rows = zip(name_sections(kinds), kinds, starts[:-1], starts[1:], sure, strict=True)
    return tuple(FoundSection(name, kind, float(a), float(b), float(c)) for name, kind, a, b, c in rows)


def _refined(sections: tuple[FoundSection, ...], features: Features, read: Read) -> tuple[FoundSection, ...]:
    """Starts on the feet of their attacks, with joins."""
    frames, rate_hz = features.frames, features.rate_hz
    joins = [None, *(join_near(section.start_s, read, frames, rate_hz) for section in sections[1:])]
    starts = [0.0 if join is None else join.at_s for join in joins]
    ends = [*starts[1:], features.duration_s]
    rows = zip(sections, starts, ends, joins, strict=True)
    return tuple(replace(s, start_s=start, end_s=end, join=join) for s, start, end, join in rows)
