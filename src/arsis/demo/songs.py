"""The demo's songs: composed in the score files, played and mixed here."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.errors import ArsisError
from arsis.plan.model import SectionKind
from arsis.process import apply
from arsis.settings import HighPass
from arsis.units import db_to_gain, frames_to_seconds, seconds_to_frames

from .arrange import LEAD_IN_S, Session, seeded
from .ebb_clock import EBB_CLOCK
from .low_water import LOW_WATER
from .mixdown import Stems, at_frames, glue_gain, room, to_words, trim_gain
from .nine_lamps import NINE_LAMPS
from .score import Score, Weakness
from .tone import Curve, Wave, noise

ARTIST = "Oddskerry"
RELEASE_TITLE = "Tide Tables"
SCORES = {score.name: score for score in (LOW_WATER, NINE_LAMPS, EBB_CLOCK)}
SONGS = tuple(SCORES)
MAIN_SONG = LOW_WATER.name

_COUPLING = HighPass(freq_hz=15.0, order=1)
_TAIL_S = 4.0  # after the last bar: the last chord and the room die away
_FADE_S = 1.6  # the end of the tail goes to nothing
_HAND_S = 0.04  # how fast the mixer moves a fader into a section
_GLUE_RATIO = 1.6
_STRAY_DB = 3.0
_HISS_DBFS = -92.0
_HISS_FRAMES = 1 << 17
_HISS: Curve = ((20, 0), (400, -2), (20_000, 0))


@dataclass(frozen=True, slots=True)
class TrueSection:
    """A section as composed: its first attack stands on frame round(start_s * rate)."""

    name: str
    kind: SectionKind
    start_s: float


@dataclass(frozen=True, slots=True)
class SongTruth:
    """What is true of a song, known without hearing it. The first section starts with the file."""

    name: str
    title: str
    rate_hz: int
    tempo_bpm: float
    sections: tuple[TrueSection, ...]
    downbeats_s: tuple[float, ...]
    weaknesses: tuple[Weakness, ...]


@dataclass(frozen=True, slots=True)
class DemoSong(SongTruth):
    """A song as the mixer hands it over, and what is true of it."""

    stems: Stems

    @property
    def mix(self) -> NDArray[np.int32]:
        """Both stems, 24-bit words (2, frames)."""
        return self.stems.mix

    @property
    def truth(self) -> SongTruth:
        """The same without the sound."""
        return SongTruth(*(getattr(self, known.name) for known in fields(SongTruth)))


def song_truth(name: str) -> SongTruth:
    """What is true of one of `SONGS`. Raises ArsisError for a name that is not among them."""
    return _truth(_score(name))


def make_song(name: str) -> DemoSong:
    """Plays and mixes one of `SONGS`; the same words each time.

    Raises ArsisError for a name that is not among them.
    """
    return perform(_score(name))


def perform(score: Score) -> DemoSong:
    """Plays and mixes any score; the same words each time."""
    known = _truth(score)
    return DemoSong(
        known.name,
        known.title,
        known.rate_hz,
        known.tempo_bpm,
        known.sections,
        known.downbeats_s,
        known.weaknesses,
        _mix(score),
    )


def _score(name: str) -> Score:
    if name not in SCORES:
        raise ArsisError(f"no demo song {name!r}; there are: {', '.join(SONGS)}")
    return SCORES[name]


def _truth(score: Score) -> SongTruth:
    starts = np.cumsum([0, *(part.bars for part in score.parts)])
    downbeats = tuple(_on_frame(LEAD_IN_S + bar * score.bar_s, score.rate_hz) for bar in range(starts[-1]))
    sections = tuple(
        TrueSection(part.name, part.kind, downbeats[start] if start else 0.0)
        for part, start in zip(score.parts, starts[:-1], strict=True)
    )
    return SongTruth(
        score.name, score.title, score.rate_hz, score.tempo_bpm, sections, downbeats, score.weaknesses
    )


def _mix(score: Score) -> Stems:
    music, voice = _played(score)
    hand = _hand(score, music.shape[1])
    for stem in (music, voice):
        stem *= hand
    gain = _bus_gain(music + voice, score)
    for stem in (music, voice):
        stem *= gain
    _click(score, music)
    return to_words(music, voice, score.peak_dbfs)


def _played(score: Score) -> tuple[Block, Block]:
    """Music and voice, each in its room."""
    length_s = LEAD_IN_S + score.bar_s * sum(part.bars for part in score.parts) + _TAIL_S
    session, at_s = Session(score, seconds_to_frames(length_s, score.rate_hz)), LEAD_IN_S
    for part in score.parts:
        session.part(part, at_s)
        at_s += part.bars * score.bar_s
    session.music.add_room(room(score.rate_hz, seeded(score.name, "room"), 0.9, 0.011))
    session.voice.add_room(room(score.rate_hz, seeded(score.name, "hall"), 1.5, 0.024))
    _hiss(session.music.sound, score.rate_hz)
    # Plucked and struck sounds are lopsided; a desk's coupling keeps that from adding up to an offset.
    return apply(_COUPLING, session.music.sound, score.rate_hz), session.voice.sound


def _bus_gain(together: Block, score: Score) -> Wave:
    """The gain over both stems: glue, a touch on stray peaks, and the close. Uses `together` up."""
    frames = together.shape[1]
    gain = at_frames(glue_gain(together, score.rate_hz, score.glue_dbfs, _GLUE_RATIO), frames)
    together *= gain
    gain *= at_frames(trim_gain(together, _STRAY_DB), frames)
    gain[-seconds_to_frames(_FADE_S, score.rate_hz) :] *= _close(score.rate_hz)
    return gain


def _hand(score: Score, frames: int) -> Wave:
    """The mixer's fader over the whole song, as gain: still within a section or rising through it."""
    times, levels = [0.0], [score.parts[0].fader_db]
    at_s = LEAD_IN_S
    for part in score.parts:
        end_s = at_s + part.bars * score.bar_s
        times += [at_s, end_s - _HAND_S]
        levels += [part.fader_db, part.fader_db + part.grows_db]
        at_s = end_s
    gains = 10.0 ** (np.array(levels) / 20.0)
    return np.asarray(np.interp(np.arange(float(frames)), np.array(times) * score.rate_hz, gains))


def _close(rate_hz: int) -> Wave:
    place = np.linspace(0.0, 1.0, seconds_to_frames(_FADE_S, rate_hz))
    return np.asarray(np.cos(0.5 * np.pi * place) ** 2)


def _hiss(music: Block, rate_hz: int) -> None:
    """The noise of a desk, so that rests are quiet and not empty."""
    for side, channel in enumerate(music):
        hiss = db_to_gain(_HISS_DBFS) * noise(_HISS_FRAMES, rate_hz, seeded("desk", str(side)), _HISS)
        for start in range(0, channel.size, hiss.size):
            channel[start : start + hiss.size] += hiss[: channel.size - start]


def _click(score: Score, music: Block) -> None:
    """A stray click, as from a bad edit, where the score asks for one."""
    if score.click_s is not None:
        frame = seconds_to_frames(score.click_s, score.rate_hz)
        music[:, frame : frame + 2] += db_to_gain(-9.0) * np.array([1.0, -0.6])


def _on_frame(time_s: float, rate_hz: int) -> float:
    return round(frames_to_seconds(seconds_to_frames(time_s, rate_hz), rate_hz), 6)
