"""What a mix's file gives cause to say: how it is stored, where its spectrum ends, how it begins and ends.

Thresholds without a source beside them are common practice, no source; at what strengths faults are found is
in docs/examine.md.
"""

from __future__ import annotations

from collections.abc import Iterator

from arsis.io.info import SoundInfo
from arsis.measure.defects.examiner import Defects, Stopping
from arsis.report.text import number

from .finding import Finding, between

# A spectrum stops where so much is lost within a few hundred Hz: between the slopes of filters that a mix
# goes through and the wall of a coder or a rate converter.
STOPS_DB, STOPS_FOR_SURE_DB = 20.0, 35.0
# Converters of the rate itself end their band above this part of it; those of a lower one may come so near.
OWN_END, LOWER_END = 0.445, 0.465
CODERS_END_HZ = 24_000.0  # MP3, AAC, Vorbis and Opus run at 48 kHz at most where anybody uses them
SHORT_BITS = 20
HARD_START_DBFS, HARD_END_DBFS = -45.0, -55.0
NO_ROOM_S = 0.001
SOFTER_DB = 14.0  # a beginning or an end that is so much softer at its very edge was faded
NAMES = {"mp3": "MP3", "aac": "AAC", "opus": "Opus", "vorbis": "Vorbis"}


def file_faults(info: SoundInfo, found: Defects) -> Iterator[Finding]:
    """All that the file itself gives cause to say."""
    yield from file_stops(info, found)
    yield from _word(info, found)
    yield from _head(found)
    yield from _tail(info, found)
    yield from _pitch(found)


def file_stops(info: SoundInfo, found: Stopping) -> Iterator[Finding]:
    """What of it can stop the work."""
    yield from _form(info)
    yield from _edge(info, found)


def _form(info: SoundInfo) -> Iterator[Finding]:
    if info.end_doubt:
        yield Finding(
            kind="open_end",
            says=f"may have lost its end: {info.end_doubt}",
            sure=0.5,
            means="Players play what is there and say nothing; only the ear can tell whether it is whole.",
            asks="Is this all of it? Could it be made or sent again?",
            stops=True,
        )
    if info.is_lossy:
        yield Finding(
            kind="coded_file",
            says=f"comes as {NAMES.get(info.encoding, info.encoding)}",
            sure=1.0,
            means="What the coder left out is gone, and coding the master again adds to it.",
            asks="Is there a WAV or AIFF, as it left the session?",
            stops=True,
        )
    if info.rate_hz < 44_100:
        yield Finding(
            kind="low_rate",
            says=f"{info.rate_hz / 1000:g} kHz: nothing above {info.rate_hz / 2000:g} kHz",
            sure=1.0,
            means="The top octave cannot be brought back.",
            asks="Is there one at the rate of the session?",
            stops=True,
        )


def _word(info: SoundInfo, found: Defects) -> Iterator[Finding]:
    bits, used = found.word.bits, found.word.used_bits
    if bits is None or used is None or used >= SHORT_BITS:
        return
    file = f"{bits}-bit file" if not info.is_float else f"{bits}-bit float file"
    says = file if used == bits else f"{file}, {used} bits used"
    yield Finding(
        kind="short_word",
        says=says,
        sure=1.0,
        means=f"Fades and quiet places carry the steps, or the dither, of a {used}-bit word.",
        asks="Is there one with the session's full word length, without dither?",
    )


def _edge(info: SoundInfo, found: Stopping) -> Iterator[Finding]:
    edge = found.edge
    if edge is None or edge.drop_db < STOPS_DB or info.is_lossy:
        return
    origin = _lower_rate(info.rate_hz, edge.freq_hz)
    if edge.freq_hz > (OWN_END if origin is None else LOWER_END) * info.rate_hz:
        return
    sure = between(edge.drop_db, STOPS_DB, STOPS_FOR_SURE_DB, 0.6, 0.95)
    says = f"the spectrum stops at {edge.freq_hz / 1000:.1f} kHz: {number(edge.drop_db, 0)} dB less above it"
    if origin is not None:
        yield Finding(
            kind="upsampled",
            says=says,
            sure=sure,
            means=f"So ends a mix at {origin / 1000:g} kHz, converted, which gains nothing; or a coder's.",
            asks=f"Was it made at {origin / 1000:g} kHz, or coded on its way? Is there one from before?",
        )
    elif edge.freq_hz > CODERS_END_HZ:
        yield Finding(
            kind="upsampled",
            says=says,
            sure=sure,
            means="So ends a mix of a lower rate, converted with a gentle filter; or a very steep low-pass.",
            asks="Was it made at a lower rate? Is there one from before?",
        )
    else:
        yield Finding(
            kind="coded_once",
            says=says,
            sure=sure,
            means="A coder's low-pass, or a very steep filter. If it was coded, coding it again adds to it.",
            asks="Was it MP3 or AAC on its way? Is there one that never was?",
            stops=sure >= 0.8,
        )


def _lower_rate(rate_hz: int, edge_hz: float) -> int | None:
    """The rate whose band ends so high, where it is lower than this file's."""
    for lower in (22_050, 44_100, 48_000, 88_200, 96_000):
        if lower < rate_hz and 0.445 * lower <= edge_hz <= 0.502 * lower:
            return lower
    return None


def _head(found: Defects) -> Iterator[Finding]:
    levels = found.levels
    cut = levels.head_edge_dbfs > levels.head_dbfs - SOFTER_DB
    if levels.head_silence_s < NO_ROOM_S and levels.head_dbfs > HARD_START_DBFS and cut:
        yield Finding(
            kind="cut_start",
            says=f"begins in the middle of sound, at {number(levels.head_dbfs, 0)} dBFS",
            sure=between(levels.head_dbfs, HARD_START_DBFS, -25.0, 0.5, 0.9),
            means="The first attack may have lost its beginning.",
            asks="Could it begin a little before the first sound?",
        )


def _tail(info: SoundInfo, found: Defects) -> Iterator[Finding]:
    levels = found.levels
    if levels.tail_dbfs > HARD_END_DBFS and levels.tail_edge_dbfs > levels.tail_dbfs - SOFTER_DB:
        yield Finding(
            kind="cut_end",
            says=f"ends while it still sounds, at {number(levels.tail_dbfs, 0)} dBFS",
            at_s=(info.duration_s - levels.tail_silence_s,),
            sure=between(levels.tail_dbfs, HARD_END_DBFS, -35.0, 0.5, 0.9),
            means="What rang on is missing: a fade can hide it, not bring it back.",
            asks="Could it run on until everything has died away?",
        )


# A file at 48 kHz played at 44.1 lies 146.7 cents low, and the other way round as much high: 46.7 off the
# nearest semitone (12 log2(48 / 44.1) = 1.467 semitones).
OTHER_RATE_CENTS, WITHIN_CENTS, AGREE, LEAST_PARTIALS = 46.7, 4.0, 0.6, 60


def _pitch(found: Defects) -> Iterator[Finding]:
    tuning = found.tuning
    if tuning is None or tuning.agreement < AGREE or tuning.partials < LEAST_PARTIALS:
        return
    if abs(abs(tuning.off_cents) - OTHER_RATE_CENTS) < WITHIN_CENTS:
        yield Finding(
            kind="wrong_rate",
            says=f"tuned {number(tuning.off_cents, 0, signed=True)} cents off A = 440 Hz",
            sure=0.3,
            means="So lies a mix at 44.1 or 48 kHz that is played at the other of the two; or it is meant.",
            asks="Is its pitch as you know it?",
        )
