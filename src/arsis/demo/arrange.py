"""A score played: every stroke and phrase placed on the music bus or the voice bus, in human time."""

from __future__ import annotations

import zlib
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from . import drums, players, voice
from .mixdown import Bus
from .score import (
    BASS,
    STEPS_A_BEAT,
    STRENGTH,
    Guest,
    Hit,
    Part,
    Score,
    Stroke,
    Sung,
    chord_classes,
    hits,
    in_scale,
    sung,
    voicing,
)
from .tone import Wave

LEAD_IN_S = 0.25  # a mix is handed over with a little silence before the first attack
_LOWEST_BASS = 31  # G1
_TIMING_S = 0.0035  # standard deviation of a good player's timing: common practice, no source
_STRENGTH_DB = 0.9

_DRUMS: dict[str, Callable[[int, np.random.Generator, float], Wave]] = {
    "kick": drums.kick,
    "snare": drums.snare,
    "hat": drums.hat,
    "open": lambda rate_hz, rng, strength: drums.hat(rate_hz, rng, strength, 0.16),
    "crash": drums.crash,
    "tom": drums.tom,
    "low_tom": lambda rate_hz, rng, strength: drums.tom(rate_hz, rng, strength, 72.0),
    "shaker": drums.shaker,
}


@dataclass(frozen=True, slots=True)
class Seat:
    """Where a player sits: one pan for each take, and how much of the room is heard."""

    pans: tuple[float, ...]
    room_db: float


_SEATS = {
    "kick": Seat((0.0,), -30.0),
    "snare": Seat((0.04,), -13.0),
    "hat": Seat((0.38,), -24.0),
    "open": Seat((0.38,), -22.0),
    "crash": Seat((-0.7, 0.7), -18.0),
    "tom": Seat((-0.35,), -14.0),
    "low_tom": Seat((0.4,), -14.0),
    "shaker": Seat((-0.5,), -20.0),
    "riser": Seat((-0.8, 0.8), -18.0),
    "bass": Seat((0.0,), -40.0),
    "guitar": Seat((-0.72, 0.72), -20.0),
    "keys": Seat((-0.25, 0.25), -12.0),
    "pad": Seat((-0.6, 0.6), -10.0),
    "pluck": Seat((-0.3,), -9.0),
    "lead": Seat((0.0,), -13.0),
    "harmony": Seat((-0.7, 0.7), -10.0),
}
_LEVELS_DB = {
    "kick": -8.7,
    "snare": -11.0,
    "hat": -28.0,
    "open": -28.0,
    "crash": -27.5,
    "tom": -12.0,
    "low_tom": -12.0,
    "shaker": -34.0,
    "riser": -26.0,
    "bass": -17.0,
    "guitar": -24.0,
    "keys": -25.5,
    "pad": -33.0,
    "pluck": -29.0,
    "lead": -26.0,
    "harmony": -37.0,
}


class Session:
    """A score being played. Strokes that sound alike are made once and used again."""

    def __init__(self, score: Score, frames: int) -> None:
        self.score = score
        self.music = Bus(frames)
        self.voice = Bus(frames)
        self._made: dict[tuple[object, ...], Wave] = {}
        self._rng = seeded(score.name, "hands")
        self._figure = 0

    def part(self, part: Part, start_s: float) -> None:
        """Plays one section."""
        chords = part.chords.split()
        for bar in range(part.bars):
            last = bar == part.bars - 1
            for lane, pattern in {**part.lanes, **(part.fill if last else {})}.items():
                for hit in hits(pattern, bar, self.score.steps):
                    exact = bar == 0 and hit.step == 0
                    at_s = start_s + (bar + hit.step / self.score.steps) * self.score.bar_s
                    self._stroke(lane, hit, chords[bar % len(chords)], part, at_s, exact)
        self._sing(part, start_s)

    def _stroke(self, lane: str, hit: Hit, chord: str, part: Part, at_s: float, exact: bool) -> None:
        guest = self.score.guests.get(lane)
        low = lane == "bass" or (guest is not None and guest.low)
        interval, strength = BASS[hit.letter] if low else (0, STRENGTH[hit.letter])
        steps = self.score.steps
        length_s = hit.steps * self.score.bar_s / steps + (part.rings_s if hit.steps == steps else 0.0)
        seat = guest or _SEATS[lane]
        for take, pan in enumerate(seat.pans):
            late_s = 0.0 if exact else float(np.clip(self._rng.normal(0.0, _TIMING_S), -0.009, 0.009))
            if guest is None:
                wave = self._wave(lane, chord, interval, strength, length_s, part, take)
            else:
                wave = self._guest(
                    lane,
                    guest,
                    Stroke(
                        rate_hz=self.score.rate_hz,
                        chord=chord,
                        low_midi=_low_midi(chord, interval),
                        strength=round(strength, 2),
                        length_s=length_s,
                        step=hit.step,
                        take=take,
                        tone=part.music_tone,
                    ),
                )
            level_db = self._level_db(lane, strength) + self._rng.normal(0.0, 0.0 if exact else _STRENGTH_DB)
            self.music.place(wave, self._frame(at_s + late_s), level_db, pan, seat.room_db)
            if lane == "bass" and self.score.wide_lows:
                self._widen(wave, self._frame(at_s + late_s), level_db)
        self._figure += lane == "pluck"

    def _guest(self, lane: str, guest: Guest, stroke: Stroke) -> Wave:
        variant = int(self._rng.integers(guest.variants))
        return self._once((lane, stroke, variant), lambda rng: guest.play(stroke, rng))

    def _widen(self, wave: Wave, frame: int, level_db: float) -> None:
        """A doubling a quarter of a 60 Hz period late on one side: wide alone, hollow in mono."""
        late = frame + self._frame(0.25 / 60.0)
        self.music.place(wave, late, level_db - 1.0, 1.0, -60.0)
        self.music.place(-wave, late, level_db - 1.0, -1.0, -60.0)

    def _wave(
        self, lane: str, chord: str, interval: int, strength: float, length_s: float, part: Part, take: int
    ) -> Wave:
        rate_hz, tone = self.score.rate_hz, part.music_tone
        if lane in _DRUMS:
            shade, variant = round(strength, 2), int(self._rng.integers(3))
            make = _DRUMS[lane]
            return self._once((lane, shade, variant, take), lambda rng: make(rate_hz, rng, shade))
        if lane == "riser":
            return self._once((lane, length_s, take), lambda rng: drums.riser(rate_hz, rng, length_s))
        if lane == "bass":
            root = _low_midi(chord, interval)
            return self._once(
                (lane, root, length_s, tone), lambda rng: players.bass(rate_hz, rng, root, length_s, tone)
            )
        if lane == "pluck":
            ladder = voicing(chord, 69, 5)
            pitch = ladder[(0, 2, 1, 3, 2, 4, 1, 3)[self._figure % 8]]
            return self._once(
                (lane, pitch, length_s, tone), lambda rng: players.pluck(rate_hz, rng, pitch, length_s, tone)
            )
        return self._chord(lane, chord, strength, length_s, part, take)

    def _chord(self, lane: str, chord: str, strength: float, length_s: float, part: Part, take: int) -> Wave:
        rate_hz, tone = self.score.rate_hz, part.music_tone
        key = (lane, chord, round(strength, 2), length_s, tone, take)
        if lane == "guitar":
            notes, drive = voicing(chord, 47 + 5 * take, 5), 1.0 + 1.6 * strength
            return self._once(key, lambda rng: players.guitar(rate_hz, rng, notes, length_s, drive, tone))
        if lane == "keys":
            notes = voicing(chord, 55, 4)
            return self._once(key, lambda rng: players.keys(rate_hz, rng, notes, length_s, tone))
        notes = voicing(chord, 59, 4)
        return self._once(key, lambda rng: players.pad(rate_hz, rng, notes, length_s, tone))

    def _sing(self, part: Part, start_s: float) -> None:
        """The lead, and in refrains two harmony takes a third below it."""
        if not part.melody:
            return
        lead = sung(part.melody)
        self._line(lead, part, start_s, "lead", 0)
        if part.harmony:
            for take in range(2):
                self._line(lead, part, start_s, "harmony", take)

    def _line(self, notes: list[Sung], part: Part, start_s: float, lane: str, take: int) -> None:
        beat_s = self.score.bar_s * STEPS_A_BEAT / self.score.steps
        rng = seeded(self.score.name, part.name, lane, str(take))
        seat = _SEATS[lane]
        for phrase in _phrases(notes):
            at_s = phrase[0].beat * beat_s
            made = [
                voice.Note(
                    note.beat * beat_s
                    - at_s
                    + float(np.clip(rng.normal(0.0, 0.006), -0.012, 0.012)) * (i > 0),
                    (note.beat + note.beats) * beat_s - at_s,
                    note.midi if lane == "lead" else in_scale(note.midi, self.score.scale, -2),
                    note.syllable,
                )
                for i, note in enumerate(phrase)
            ]
            sibilance_db = self.score.sibilance_db if lane == "lead" else -9.0
            wave = voice.phrase(self.score.rate_hz, rng, made, part.voice_tone, sibilance_db)
            frame = self._frame(start_s + at_s - voice.PRE_ROLL_S + 0.004 * rng.normal() * (lane != "lead"))
            self.voice.place(
                wave, frame, self._level_db(lane, 1.0) + rng.normal(0.0, 0.3), seat.pans[take], seat.room_db
            )

    def _once(self, key: tuple[object, ...], make: Callable[[np.random.Generator], Wave]) -> Wave:
        if key not in self._made:
            self._made[key] = make(seeded(self.score.name, repr(key)))
        return self._made[key]

    def _level_db(self, lane: str, strength: float) -> float:
        guest = self.score.guests.get(lane)
        own_db = guest.level_db if guest else _LEVELS_DB[lane]
        return self.score.levels_db.get(lane, 0.0) + own_db + 20.0 * float(np.log10(strength))

    def _frame(self, time_s: float) -> int:
        return int(np.floor(time_s * self.score.rate_hz + 0.5))


def _low_midi(chord: str, interval: int) -> int:
    return _LOWEST_BASS + (chord_classes(chord)[0] - _LOWEST_BASS) % 12 + interval


def seeded(*words: str) -> np.random.Generator:
    """A source of chance that is the same for the same words."""
    return np.random.default_rng(zlib.crc32("/".join(words).encode()))


def _phrases(notes: list[Sung]) -> list[list[Sung]]:
    """Notes between rests of half a beat or more."""
    found: list[list[Sung]] = []
    for note in notes:
        if found and note.beat - (found[-1][-1].beat + found[-1][-1].beats) < 0.5:
            found[-1].append(note)
        else:
            found.append([note])
    return found
