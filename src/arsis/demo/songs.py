"""The demo's songs: composed in the score files, played and mixed here."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from arsis.audio import Block
from arsis.errors import ArsisError
from arsis.plan.model import SectionKind
from arsis.units import db_to_gain, frames_to_seconds, seconds_to_frames

from .arrange import LEAD_IN_S, Session, seeded
from .ebb_clock import EBB_CLOCK
from .low_water import LOW_WATER
from .mixdown import Stems, glue_db, room, to_words, trim_db
from .nine_lamps import NINE_LAMPS
from .score import Score, Weakness
from .tone import Curve, Wave, noise

ARTIST = "Oddskerry"
RELEASE_TITLE = "Tide Tables"
SCORES = {score.name: score for score in (LOW_WATER, NINE_LAMPS, EBB_CLOCK)}
SONGS = tuple(SCORES)
MAIN_SONG = LOW_WATER.name

_TAIL_S = 4.0  # after the last bar: the last chord and the room die away
_FADE_S = 1.6  # the end of the tail goes to nothing
_HAND_S = 0.04  # how fast the mixer moves a fader into a section
_GLUE_RATIO = 1.6
_STRAY_DB = 3.0
_HISS_DBFS = -92.0
_HISS: Curve = ((20, 0), (400, -2), (20_000, 0))


@dataclass(frozen=True, slots=True)
class Truth:
    """A section as composed: its first attack stands on frame round(start_s * rate)."""

    name: str
    kind: SectionKind
    start_s: float


@dataclass(frozen=True, slots=True)
class DemoSong:
    """A song as the mixer hands it over, and what is true of it."""

    name: str
    title: str
    rate_hz: int
    tempo_bpm: float
    sections: tuple[Truth, ...]
    downbeats_s: tuple[float, ...]
    weaknesses: tuple[Weakness, ...]
    stems: Stems


def make_song(name: str) -> DemoSong:
    """Plays and mixes one of `SONGS`; the same words each time.

    Raises ArsisError for a name that is not among them.
    """
    if name not in SCORES:
        raise ArsisError(f"no demo song {name!r}; there are: {', '.join(SONGS)}")
    score = SCORES[name]
    bars = sum(part.bars for part in score.parts)
    downbeats = tuple(_on_frame(LEAD_IN_S + bar * score.bar_s, score.rate_hz) for bar in range(bars + 1))
    starts = np.cumsum([0, *(part.bars for part in score.parts)])
    sections = tuple(
        Truth(part.name, part.kind, downbeats[start] if start else 0.0)
        for part, start in zip(score.parts, starts, strict=False)
    )
    return DemoSong(
        name,
        score.title,
        score.rate_hz,
        score.tempo_bpm,
        sections,
        downbeats[:-1],
        score.weaknesses,
        _mix(score),
    )


def _mix(score: Score) -> Stems:
    end_s = LEAD_IN_S + score.bar_s * sum(part.bars for part in score.parts)
    frames = seconds_to_frames(end_s + _TAIL_S, score.rate_hz)
    session, at_s = Session(score, frames), LEAD_IN_S
    for part in score.parts:
        session.part(part, at_s)
        at_s += part.bars * score.bar_s
    music = session.music.with_room(room(score.rate_hz, seeded(score.name, "room"), 0.9, 0.011))
    _hiss(music, score.rate_hz)
    voice = session.voice.with_room(room(score.rate_hz, seeded(score.name, "hall"), 1.5, 0.024))
    together = music + voice
    gain = _hand(score, frames)
    gain *= _ratio(glue_db(together * gain, score.rate_hz, score.glue_dbfs, _GLUE_RATIO))
    gain *= _ratio(trim_db(together * gain, _STRAY_DB))
    gain[-seconds_to_frames(_FADE_S, score.rate_hz) :] *= _close(score.rate_hz)
    music *= gain
    voice *= gain
    _click(score, music)
    return to_words(music, voice, score.peak_dbfs)


def _hand(score: Score, frames: int) -> Wave:
    """The mixer's fader over the whole song, as gain: still within a section or rising through it."""
    times, levels = [0.0], [score.parts[0].fader_db]
    at_s = LEAD_IN_S
    for part in score.parts:
        end_s = at_s + part.bars * score.bar_s
        times += [at_s, end_s - _HAND_S]
        levels += [part.fader_db, part.fader_db + part.grows_db]
        at_s = end_s
    level_db = np.interp(np.arange(frames) / score.rate_hz, times, levels)
    return _ratio(level_db)


def _close(rate_hz: int) -> Wave:
    place = np.linspace(0.0, 1.0, seconds_to_frames(_FADE_S, rate_hz))
    return np.asarray(np.cos(0.5 * np.pi * place) ** 2)


def _hiss(music: Block, rate_hz: int) -> None:
    """The noise of a desk, so that rests are quiet and not empty."""
    for side, channel in enumerate(music):
        channel += db_to_gain(_HISS_DBFS) * noise(channel.size, rate_hz, seeded("desk", str(side)), _HISS)


def _click(score: Score, music: Block) -> None:
    """A stray click, as from a bad edit, where the score asks for one."""
    if score.click_s is not None:
        frame = seconds_to_frames(score.click_s, score.rate_hz)
        music[:, frame : frame + 2] += db_to_gain(-9.0) * np.array([1.0, -0.6])


def _ratio(level_db: Wave) -> Wave:
    return np.asarray(10.0 ** (level_db / 20.0))


def _on_frame(time_s: float, rate_hz: int) -> float:
    return round(frames_to_seconds(seconds_to_frames(time_s, rate_hz), rate_hz), 6)
