"""What becomes of delivered files where they are heard: advice from measured figures, never a move."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from arsis.plan.profile import LoudnessAdvice, Profile
from arsis.report.text import number

from .manifest import SoundFile

_EVEN_LU = 0.05  # a difference that rounds to nothing is none


@dataclass(frozen=True, slots=True)
class Advice:
    """One line for a colleague, and where its figure comes from.

    place: of the song it is about; None for the record. change_db: what a player does to the level, negative
    where it turns down; None where nothing is turned.
    """

    text: str
    source: str
    place: int | None = None
    change_db: float | None = None


def loudness_advice(
    profile: Profile, sounds: Sequence[SoundFile], record_lufs: float | None
) -> tuple[Advice, ...]:
    """What players and broadcasters do with these levels, by the profile's figures; other versions are left
    out, since they follow their songs. record_lufs: the loudness of the whole record, where it is known."""
    songs = [sound for sound in sounds if sound.role == "song"]
    advice: list[Advice] = []
    for one in profile.loudness:
        if one.of == "song":
            advice += [line for song in songs if (line := _song(one, song)) is not None]
        elif one.of == "loudest_song":
            advice += _loudest(one, songs)
        elif record_lufs is not None:
            advice.append(_record(one, record_lufs))
    return (*advice, *_peaks(profile, songs))


def fit_trim_db(true_peaks_dbtp: Sequence[float | None], ceiling_dbtp: float) -> float:
    """The one change of level that brings every peak of a release under a ceiling: never up, and rounded to a
    hundredth of a dB downwards. None is the peak of silence."""
    peaks = [peak for peak in true_peaks_dbtp if peak is not None and math.isfinite(peak)]
    over_db = max(peaks, default=ceiling_dbtp) - ceiling_dbtp
    # A peak that lies on the ceiling in dB must not be turned down for the last bit of a logarithm.
    return -math.ceil(100.0 * over_db - 1e-6) / 100.0 if over_db > 0.0 else 0.0


def _song(one: LoudnessAdvice, song: SoundFile) -> Advice | None:
    lufs, peak_dbtp = song.facts.integrated_lufs, song.facts.true_peak_dbtp
    if lufs is None:
        return None
    change_db = one.target_lufs - lufs
    said = f"{song.title}: {number(lufs)} LUFS"
    to = f"players that bring every song to {number(one.target_lufs)} LUFS"
    if abs(change_db) < _EVEN_LU:
        return Advice(f"{said}; {to} leave it as it is", one.source, song.place, 0.0)
    if change_db < 0.0:
        text = f"{said}; {to} turn it down by {number(-change_db)} dB"
        return Advice(text, one.source, song.place, change_db)
    text = f"{said}; {to} turn it up by {number(change_db)} dB"
    if peak_dbtp is not None and peak_dbtp + change_db > 0.0:
        text += f", those that mind its true peak of {number(peak_dbtp)} dBTP by less"
    return Advice(text, one.source, song.place, change_db)


def _loudest(one: LoudnessAdvice, songs: Sequence[SoundFile]) -> list[Advice]:
    heard = [(song.facts.integrated_lufs, song) for song in songs if song.facts.integrated_lufs is not None]
    if len(heard) < 2:  # of one song, the song's own line says it
        return []
    lufs, song = max(heard, key=lambda pair: pair[0])
    change_db = one.target_lufs - lufs
    if abs(change_db) < _EVEN_LU:
        turned = "leave the record as it is"
    else:
        turned = f"turn the whole record {'down' if change_db < 0.0 else 'up'} by {number(abs(change_db))} dB"
    text = (
        f"the loudest song is {song.title}, {number(lufs)} LUFS; players that bring an album's loudest song"
        f" to {number(one.target_lufs)} LUFS {turned} and keep the songs' levels among themselves"
    )
    return [Advice(text, one.source, None, change_db)]


def _record(one: LoudnessAdvice, record_lufs: float) -> Advice:
    apart = record_lufs - one.target_lufs
    if abs(apart) < _EVEN_LU:
        where = f"at {number(one.target_lufs)} LUFS"
    else:
        where = (
            f"{number(abs(apart))} LU {'above' if apart > 0.0 else 'below'} {number(one.target_lufs)} LUFS"
        )
    text = f"the whole record: {number(record_lufs)} LUFS, {where}"
    return Advice(text, one.source, None, -apart)


def _peaks(profile: Profile, songs: Sequence[SoundFile]) -> list[Advice]:
    """Songs over the profile's ceiling: those whose plans have no limiter, for a limiter holds it. A lossy
    file's ceiling is that of the sound its coder was given, and it measures what is decoded."""
    ceiling_dbtp = profile.ceiling_dbtp
    if ceiling_dbtp is None:
        return []
    over = [(song, peak) for song in songs if (peak := song.facts.true_peak_dbtp) is not None]
    return [
        Advice(
            f"{song.title}: true peak {number(peak, 2)} dBTP, {number(peak - ceiling_dbtp, 2)} dB over the"
            f" ceiling of {number(ceiling_dbtp)} dBTP",
            f"profile {profile.name}",
            song.place,
        )
        for song, peak in over
        if song.facts.bits is not None
        and peak > ceiling_dbtp + 0.01  # what a meter may read above a ceiling that holds (law 4)
    ]
