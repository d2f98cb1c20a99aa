"""What a mix's sound gives cause to say: peaks, breaks, channels, noise.

Thresholds without a source beside them are common practice, no source; at what strengths faults are found is
in docs/examine.md.
"""

from __future__ import annotations

from collections.abc import Iterator

from arsis.io.info import SoundInfo
from arsis.measure.defects.examiner import Defects, Stopping
from arsis.report.text import number, percent

from .finding import Finding, between

LEAST_TOPS, TOPS_FOR_SURE = 4, 20
# Where so much of all sound stands still, the wave is one: a pulse, a fuzz. Then it is asked, no more.
MEANT_SHARE = 0.15
HELD_SHARE, HELD_OVER_DB, LEAST_SPREAD_DB = 0.12, 10.0, 0.7
OPPOSED, OPPOSED_SHARE = -0.3, 0.2
FOLD_DB, LOW_FOLD_DB = -6.0, -1.5
BALANCE_DB = 1.5
SILENT_DB = 60.0  # one channel under the other: its dither, at most
NOISE_DBFS, NOISE_UNDER_DB = -66.0, 25.0
SUBSONIC_DBFS, SUBSONIC_DB = -48.0, -24.0
DC_OFFSET = 1e-3
# More breaks than this are of the sound itself: a gate, a bass whose notes are cut off.
MANY, ALIKE_S = 8, 0.001


def sound_faults(info: SoundInfo, found: Defects) -> Iterator[Finding]:
    """All that the sound gives cause to say."""
    yield from sound_stops(found)
    yield from _overs(info, found)
    yield from _limited(found)
    yield from _clicks(found)
    yield from _fold(found)
    yield from _noise(found)
    yield from _bottom(found)


def sound_stops(found: Stopping) -> Iterator[Finding]:
    """What of it can stop the work."""
    yield from _clipping(found)
    yield from _holes(found)
    yield from _channels(found)


def _clipping(found: Stopping) -> Iterator[Finding]:
    tops = found.flat_tops
    if tops.tops < LEAST_TOPS:
        return
    meant, longest = tops.share > MEANT_SHARE, tops.longest_frames
    yield Finding(
        kind="clipping",
        says=f"{tops.tops} tops cut off at {number(tops.level_dbfs)} dBFS, the longest for {longest} samples",
        at_s=tops.at_s,
        count=tops.tops,
        sure=0.3 if meant else between(tops.tops, LEAST_TOPS, TOPS_FOR_SURE, 0.7, 0.97),
        means="So much of it stands still that it looks meant: a pulse, or a fuzz."
        if meant
        else "What lay above is gone; nothing after it brings it back.",
        asks="Is it meant? If not: could I have it from before that, or with a few dB less into it?",
        stops=tops.tops >= TOPS_FOR_SURE and not meant,
    )


def _overs(info: SoundInfo, found: Defects) -> Iterator[Finding]:
    peak_dbtp, overs = found.meters.true_peak_dbtp, found.overs_s
    if not overs or info.is_float or found.flat_tops.tops >= LEAST_TOPS:
        return
    yield Finding(
        kind="overs",
        says=f"true peak {number(peak_dbtp, 1, signed=True)} dBTP, over full scale between its samples",
        at_s=overs[:MANY],
        count=len(overs),
        sure=1.0,
        means="Turned down before anything else, it is whole.",
    )


def _limited(found: Defects) -> Iterator[Finding]:
    levels, share = found.levels, found.levels.held_share
    often = percent(share)
    over_db = levels.held_dbfs - found.meters.integrated_lufs
    steady = levels.held_spread_db < LEAST_SPREAD_DB  # a held note, not a held top
    if share < HELD_SHARE or over_db > HELD_OVER_DB or steady:
        return
    yield Finding(
        kind="limited",
        says=f"limited already: a top {number(over_db)} dB over its loudness is reached in {often} of all "
        "stretches of 50 ms",
        sure=between(share, HELD_SHARE, 0.35, 0.6, 0.95),
        means="Little is left for a limiter here: more level costs attack at once.",
        asks="Is there one without the limiter on the mix? If it is part of the sound, keep it.",
    )


def _holes(found: Stopping) -> Iterator[Finding]:
    holes = found.breaks.holes_s
    if holes:
        lengths_s = found.breaks.hole_lengths_s
        longest_ms = 1000.0 * max(lengths_s)
        alike = len(holes) > 2 and max(lengths_s) - min(lengths_s) < ALIKE_S
        many = len(holes) > MANY or alike
        says = f"a hole of {number(longest_ms)} ms"
        yield Finding(
            kind="holes",
            says=says if len(holes) == 1 else f"{len(holes)} holes of up to {number(longest_ms)} ms",
            at_s=holes[:MANY],
            count=len(holes),
            sure=0.4 if many else 0.9,
            means="So many, or so alike, are a gate that is meant, or a bounce that faltered all along."
            if many
            else "Sound is missing, as where a recording or a bounce faltered.",
            asks="Is it meant? If not: could it be bounced again?",
            stops=not many,
        )


def _clicks(found: Defects) -> Iterator[Finding]:
    clicks = found.breaks.clicks_s
    if clicks:
        yield Finding(
            kind="clicks",
            says="1 click" if len(clicks) == 1 else f"{len(clicks)} clicks",
            at_s=clicks[:MANY],
            count=len(clicks),
            sure=0.7 if len(clicks) <= MANY else 0.5,
            means="A bad edit, lost samples, or a note that is cut off: best mended at its source.",
            asks="Which track are they on?" if len(clicks) > 1 else "Which track is it on?",
        )


def _channels(found: Stopping) -> Iterator[Finding]:
    channels, dc = found.channels, max(found.meters.dc_offset, key=abs, default=0.0)
    balance_db, correlation = channels.balance_db, channels.correlation
    if balance_db is not None and abs(balance_db) > SILENT_DB:
        yield Finding(
            kind="silent_channel",
            says=f"the {'right' if balance_db > 0.0 else 'left'} channel is silent",
            sure=1.0,
            means="Half of the mix is not there, or it is meant to be mono.",
            asks="Is one channel missing from the bounce?",
            stops=True,
        )
    elif balance_db is not None and abs(balance_db) > BALANCE_DB:
        yield Finding(
            kind="balance",
            says=f"the {'left' if balance_db > 0.0 else 'right'} is {number(abs(balance_db))} dB the louder",
            sure=between(abs(balance_db), BALANCE_DB, 4.0, 0.5, 0.9),
            means="The middle leans; it can be set right here if it is not meant.",
            asks="Is the lean to one side meant?",
        )
    if correlation is not None and (correlation < OPPOSED or channels.opposed_share > OPPOSED_SHARE):
        whole = correlation < OPPOSED
        says = (
            f"correlation {number(correlation, 2)}"
            if whole
            else f"{percent(channels.opposed_share)} of the time"
        )
        yield Finding(
            kind="polarity",
            says=f"the channels pull against each other: {says}",
            sure=between(-correlation, -OPPOSED, 0.8, 0.7, 0.97) if whole else 0.7,
            means="In mono most of it vanishes: one channel is turned over, or the widening is too much.",
            asks="Is the polarity of one channel turned?",
            stops=whole,
        )
    if abs(dc) >= DC_OFFSET:
        yield Finding(
            kind="dc",
            says=f"DC offset of {number(100.0 * dc, 2)} % of full scale",
            sure=1.0,
            means="It takes headroom and clicks at edits; a high-pass takes it away.",
        )


def _fold(found: Defects) -> Iterator[Finding]:
    channels = found.channels
    if channels.fold_db is None or (channels.correlation or 0.0) < OPPOSED:
        return
    lost = {
        band.replace("_", " "): level_db
        for band, level_db in channels.fold_db.items()
        if level_db is not None and level_db < (LOW_FOLD_DB if band == "low" else FOLD_DB)
    }
    if lost and abs(channels.balance_db or 0.0) < SILENT_DB:
        named = " and ".join(f"{number(-level_db)} dB of its {band}" for band, level_db in lost.items())
        low = "low" in lost
        yield Finding(
            kind="fold_down",
            says=f"folded to mono it loses {named}",
            sure=0.9,
            means="A wide bottom is weaker in mono and hard to cut on vinyl; it can be narrowed here."
            if low
            else "Much of it is gone in mono.",
            asks="Is the bass wide on purpose?" if low else "Is it meant to be that wide?",
        )


def _noise(found: Defects) -> Iterator[Finding]:
    levels, hum = found.levels, found.low.hum
    quiet = levels.loudest_dbfs - levels.rest_dbfs > NOISE_UNDER_DB
    if levels.rest_is_noise and quiet and levels.rest_dbfs > NOISE_DBFS:
        yield Finding(
            kind="noise",
            says=f"noise of {number(levels.rest_dbfs, 0)} dBFS in a rest",
            at_s=(levels.rest_at_s,),
            sure=between(levels.rest_dbfs, NOISE_DBFS, -50.0, 0.5, 0.9),
            means="Whatever lifts quiet places lifts it as well.",
            asks="Could tracks be muted where they rest?",
        )
    if hum is not None:
        yield Finding(
            kind="hum",
            says=f"hum at {hum.freq_hz:g} Hz with {hum.harmonics} lines, the strongest at "
            f"{number(hum.level_dbfs, 0)} dBFS",
            sure=between(hum.harmonics, 3, 6, 0.7, 0.95),
            means="It is under all of the song; notches take some music along.",
            asks=f"Is there hum at {hum.freq_hz:g} Hz on a track? Mended there, it costs nothing.",
        )


def _bottom(found: Defects) -> Iterator[Finding]:
    low = found.low
    if low.subsonic_dbfs > SUBSONIC_DBFS and low.subsonic_db > SUBSONIC_DB:
        yield Finding(
            kind="subsonic",
            says=f"{number(low.subsonic_dbfs, 0)} dBFS below 18 Hz",
            sure=between(low.subsonic_db, SUBSONIC_DB, -12.0, 0.6, 0.9),
            means="Nobody hears it; it takes headroom and works compressors. A high-pass takes it away.",
            asks="Is something rumbling on a track?",
        )
