"""The delivery report: what every file is and measures, what it met on the way, and what must be seen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from arsis.deliver.codec_check import CodecChecked
from arsis.deliver.manifest import Manifest, SoundFile
from arsis.plan.model import Release, Song
from arsis.plan.profile import Profile
from arsis.report.text import NOTHING, change, clock, number, percent

from .extra import Extra
from .figures import clock_ms, file_form, megabytes
from .pages import Head, head_of, page
from .tracks import SideOfTracks

LEVEL_HEADS = ("file", "LUFS", "LRA", "max M", "max S", "dBTP", "ceiling", "sample peak", "PLR")
FILE_HEADS = ("file", "form", "bits used", "length", "silence at head", "at tail", "size")
TOOK_HEADS = ("song", "limiter", "took, mean", "most", "at", "at work", "most it should take")
CODEC_HEADS = (
    "song", "coder", "dBTP before", "after", "limit", "overs", "loudness", "highest", "air", "cut above",
)  # fmt: skip
_CODERS = {"aac": "AAC", "mp3": "MP3", "opus": "Opus", "vorbis": "Vorbis"}
_LEVEL_KEY = (
    "LUFS: integrated loudness; LRA: loudness range, LU; max M and max S: the loudest 400 ms and 3 s,"
    " LUFS; dBTP: true peak; ceiling: what the true peaks may have, dBTP, a dash where nothing holds"
    " them; sample peak, dBFS; PLR: true peak over integrated loudness, dB. Each file by its own meters"
    " at its own rate (ITU-R BS.1770, EBU Tech 3341 and 3342)."
)
_FILE_KEY = (
    "Bits used: the word length that the samples really have. Silence: exact digital zeros at both"
    " ends, seconds."
)
_TOOK_KEY = "Levels in dB. Section by section it is on the recall sheet."
_CODEC_KEY = (
    "Each song was coded at so many kbit/s and decoded as floats. Overs: stretches whose decoded true peak"
    " passes the limit, dBTP. Loudness: its change, LU. Air: change of the band from 6 to 16 kHz, dB. Cut"
    " above: where the coder's own low-pass cuts, kHz."
)


def report_page(
    manifest: Manifest,
    songs: Sequence[Song],
    release: Release,
    profile: Profile,
    sides: Sequence[SideOfTracks],
    extra: Extra,
) -> str:
    """The page as HTML."""
    titles = {one.place: one.title for one in manifest.sounds if one.role == "song"}
    checks = [(titles.get(place, ""), one) for place in sorted(extra.songs) for one in extra.of(place).codecs]
    return page(
        "report.html.j2",
        "delivery report",
        _head(manifest, release, profile, sides),
        warnings=tuple(dict.fromkeys(_warnings(manifest, extra))),
        level_heads=LEVEL_HEADS,
        levels=[_level_row(sound) for sound in manifest.sounds],
        level_key=_LEVEL_KEY,
        file_heads=FILE_HEADS,
        files=[_file_row(sound) for sound in manifest.sounds],
        file_key=_FILE_KEY,
        took_heads=TOOK_HEADS,
        took=[_took_row(sound, songs, profile, extra) for sound in manifest.sounds if sound.role == "song"],
        took_key=_TOOK_KEY,
        codec_heads=CODEC_HEADS,
        codecs=[_codec_row(title, one) for title, one in checks],
        codec_key=_CODEC_KEY,
        untried=extra.untried,
        advice=extra.loudness,
        side_advice=extra.sides,
    )


def _head(manifest: Manifest, release: Release, profile: Profile, sides: Sequence[SideOfTracks]) -> Head:
    head = head_of(manifest, release)
    facts = [*head.facts]
    facts += [("made for", profile.about)] if profile.about else []
    if sides:
        total = sum(side.frames for side in sides)
        facts.append(("length", f"{clock_ms(total, sides[0].rate_hz)} with the gaps"))
    if manifest.record_lufs is not None:
        facts.append(("the record", f"{number(manifest.record_lufs)} LUFS"))
    if manifest.trim_db:
        facts.append(("trim of all songs", f"{change(manifest.trim_db, 2)} dB, so that every peak fits"))
    return Head(head.title, head.artist, tuple(facts), head.colophon)


def _warnings(manifest: Manifest, extra: Extra) -> Iterator[str]:
    yield from extra.warnings
    for sound in manifest.sounds:
        yield from (f"{sound.path}: {warning}" for warning in sound.warnings)


def _level_row(sound: SoundFile) -> tuple[str, ...]:
    facts = sound.facts
    loud, peak = facts.integrated_lufs, facts.true_peak_dbtp
    return (
        sound.path,
        number(loud),
        number(facts.range_lu),
        number(facts.max_momentary_lufs),
        number(facts.max_short_term_lufs),
        number(peak, 2),
        number(sound.ceiling_dbtp, 2),
        number(facts.sample_peak_dbfs, 2),
        number(None if loud is None or peak is None else peak - loud),
    )


def _file_row(sound: SoundFile) -> tuple[str, ...]:
    facts = sound.facts
    return (
        sound.path,
        file_form(facts),
        NOTHING if facts.used_bits is None else str(facts.used_bits),
        clock_ms(facts.frames, facts.rate_hz),
        f"{facts.head_silence_frames / facts.rate_hz:.3f}",
        f"{facts.tail_silence_frames / facts.rate_hz:.3f}",
        megabytes(sound.bytes),
    )


def _took_row(sound: SoundFile, songs: Sequence[Song], profile: Profile, extra: Extra) -> tuple[str, ...]:
    place = sound.place or 0
    planned = songs[place - 1].finish.limiter if 0 < place <= len(songs) else None
    if planned is None or not profile.limiter:
        return sound.title, "none" if planned is None else "left out", *[NOTHING] * 5
    ceiling = NOTHING if sound.ceiling_dbtp is None else f"to {number(sound.ceiling_dbtp, 2)} dBTP"
    whole = extra.of(place).whole
    if whole is None:
        mean, at, share, most = NOTHING, NOTHING, NOTHING, number(sound.took_max_db, 2)
    elif whole.max_db <= 0.0:
        mean, at, share, most = NOTHING, NOTHING, percent(0.0), "nothing"
    else:
        mean, most = number(whole.mean_db, 2), number(whole.max_db, 2)
        at, share = clock(whole.max_at_s), percent(whole.share)
    if whole is not None and sound.took_max_db is not None and sound.took_max_db > whole.max_db:
        at, most = (
            "with others",
            number(sound.took_max_db, 2),
        )  # by the limiter over songs that sound together
    return sound.title, ceiling, mean, most, at, share, number(planned.most_db)


def _codec_row(title: str, one: CodecChecked) -> tuple[str, ...]:
    at_s = one.true_peak_at_s
    where = next((section.name for section in one.sections if section.start_s <= at_s < section.end_s), None)
    return (
        title,
        f"{_CODERS[one.codec]} {one.kbps:g}",
        number(one.source_true_peak_dbtp, 2),
        number(one.true_peak_dbtp, 2),
        number(one.most_dbtp),
        str(one.overs),
        change(one.loudness_change_lu, 2),
        f"{clock(at_s)}{f' in {where}' if where else ''}",
        change(one.bands_change_db.air),
        NOTHING if one.cut_above_hz is None else f"{one.cut_above_hz / 1000:.1f}",
    )
