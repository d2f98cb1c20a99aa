"""Notes to the artist and to the mixer, from figures alone: nothing is said that a figure does not say."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from arsis.deliver.manifest import Manifest, SoundFile
from arsis.deliver.order import song_for_delivery
from arsis.plan.model import Release, Song
from arsis.plan.profile import Profile
from arsis.report.text import clock, number, percent

from .columns import grid, paragraph
from .cue import cue_sheets
from .extra import Extra, MixHeard, SongExtra
from .figures import clock_ms
from .pages import text
from .track_sheet import forms
from .tracks import SideOfTracks

_FULL_SCALE_DBFS = -0.0005  # a sample at or past full scale: the largest 16-bit word lies 0.0003 dB under it
_LOUDER_LU = 0.5  # a difference that is worth a warning of the volume
_NOTHING_DB = 0.05  # less than this the limiter has not worked


def notes_to_artist(manifest: Manifest, profile: Profile, sides: Sequence[SideOfTracks], extra: Extra) -> str:
    """What was made, where it is, how to listen, and what to look over."""
    songs = [track for side in sides for track in side.tracks]
    count = f"{len(songs)} songs" if len(songs) != 1 else "one song"
    length = clock_ms(sum(side.frames for side in sides), sides[0].rate_hz)[:-4] if sides else "0:00"
    return text(
        "notes-artist.txt.j2",
        title=manifest.title,
        artist=manifest.artist,
        date=manifest.date,
        para=paragraph,
        opening=(
            f"Here is the master of {manifest.title}: {count}, {length} with the gaps, made for the profile"
            f" “{manifest.profile}”{f' ({profile.about})' if profile.about else ''}."
        ),
        files=[
            *(sound.path for sound in manifest.sounds),
            *(f"{path}: the track list for a disc" for path in cue_sheets(manifest, sides)),
            "paperwork/: the sheets that go with them",
        ],
        forms=f"The files are {forms(manifest)}.",
        start_low=_start_low(manifest, extra),
        lossy=profile.container in ("mp3", "aac", "opus", "vorbis"),
        levels=_levels(manifest),
        check=_check(manifest, [track.sound for track in songs]),
    )


def notes_to_mixer(
    manifest: Manifest, songs: Sequence[Song], release: Release, profile: Profile, extra: Extra
) -> str:
    """What came in, what the limiter had to do with it, and what is worth asking."""
    return text(
        "notes-mixer.txt.j2",
        title=manifest.title,
        artist=manifest.artist,
        date=manifest.date,
        para=paragraph,
        opening=(
            "Thank you for the mixes. These are the figures they came in with, and what had to be done with"
            " their peaks. They are measurements, not judgements."
        ),
        songs=[
            {
                "title": f"{place:02d} {song.title}",
                "lines": [
                    *_mix(song, extra.of(place)),
                    *_took(manifest, song_for_delivery(song, entry, profile), place, extra.of(place)),
                ],
                "questions": list(_questions(extra.of(place).mix)),
            }
            for place, (song, entry) in enumerate(zip(songs, release.song, strict=True), 1)
        ],
        closing="Every setting is on the recall sheet, every level in the delivery report.",
    )


def _start_low(manifest: Manifest, extra: Extra) -> str:
    """A caution for ears: by how much the files are louder than the mixes, where both are known."""
    louder = [
        sound.facts.integrated_lufs - mix.integrated_lufs
        for sound in manifest.sounds
        if sound.role == "song"
        and sound.facts.integrated_lufs is not None
        and (mix := extra.of(sound.place).mix) is not None
        and mix.integrated_lufs is not None
    ]
    most = max(louder, default=0.0)
    if most >= _LOUDER_LU:
        said = f"these files are up to {number(most)} LU louder than the mixes"
    else:
        said = "these files may be louder than what you played last"
    return f"Begin with the volume low, in headphones above all: {said}. Raise it to where it is comfortable."


def _levels(manifest: Manifest) -> str:
    rows = [
        (
            f"{sound.place or 0:02d} {sound.title}",
            f"{number(sound.facts.integrated_lufs)} LUFS",
            f"{number(sound.facts.true_peak_dbtp)} dBTP",
        )
        for sound in manifest.sounds
        if sound.role == "song"
    ]
    if manifest.record_lufs is not None and len(rows) > 1:
        rows.append(("the record", f"{number(manifest.record_lufs)} LUFS", ""))
    return "\n".join(f"  {line}" for line in grid(rows, (60, 11, 10), (False, True, True)).split("\n"))


def _check(manifest: Manifest, songs: Sequence[SoundFile]) -> str:
    missing = [f"{song.place or 0:02d} {song.title}" for song in songs if not song.isrc]
    *first, last = [
        "The spelling of every title and name",
        "the order",
        "the gaps between songs",
        *([f"the GTIN {manifest.gtin}"] if manifest.gtin else []),
        *(["the ISRC of each song (on the track sheet)"] if len(missing) < len(songs) else []),
    ]
    return f"{', '.join(first)} and {last}." + (f" Without an ISRC: {', '.join(missing)}." if missing else "")


def _mix(song: Song, extra: SongExtra) -> Iterator[str]:
    mix = extra.mix
    if mix is None:
        yield f"The mix: {song.mix}. Its levels were not kept with this delivery."
        return
    form = f"{mix.rate_hz / 1000:g} kHz" + ("" if mix.bits is None else f", {mix.bits} bit")
    yield f"The mix: {song.mix}, {form}{' float' if mix.is_float else ''}."
    loud = f"{number(mix.integrated_lufs)} LUFS, loudness range {number(mix.range_lu)} LU"
    peaks = (
        f"true peak {number(mix.true_peak_dbtp, 2)} dBTP, sample peak {number(mix.sample_peak_dbfs, 2)} dBFS"
    )
    yield f"It measures {loud}, {peaks}."


def _took(manifest: Manifest, song: Song, place: int, extra: SongExtra) -> Iterator[str]:
    """song: as it is delivered."""
    if song.finish.limiter is None:
        yield "It was not limited."
        return
    sound = next((one for one in manifest.sounds if one.role == "song" and one.place == place), None)
    told_db = sound.took_max_db if sound else None
    most_db = extra.whole.max_db if extra.whole is not None else told_db
    if extra.whole is not None and told_db is not None and told_db > extra.whole.max_db:
        yield f"Where it sounds with its neighbours, a limiter over them took up to {number(told_db, 2)} dB."
        return
    if most_db is None:
        return
    ceiling_dbtp = sound.ceiling_dbtp if sound is not None else None
    ceiling = "" if ceiling_dbtp is None else f" of {number(ceiling_dbtp, 2)} dBTP"
    if most_db <= 0.0:
        yield f"The limiter had nothing to do: no peak passed the ceiling{ceiling}."
        return
    if most_db < _NOTHING_DB:
        yield f"The limiter had next to nothing to do: it took under 0.05 dB to keep the ceiling{ceiling}."
        return
    said = f"The limiter took {number(most_db, 2)} dB at most to keep the ceiling{ceiling}"
    if extra.whole is not None:
        said += f", at {clock(extra.whole.max_at_s)}, and worked {percent(extra.whole.share)} of the time"
    yield f"{said}; {number(song.finish.gain_db, 2)} dB of gain went into it."


def _questions(mix: MixHeard | None) -> Iterator[str]:
    """Only what a figure gives cause to ask."""
    if mix is None:
        return
    peak, true_peak = mix.sample_peak_dbfs, mix.true_peak_dbtp
    if peak is not None and peak >= _FULL_SCALE_DBFS:
        if mix.is_float:
            yield "Its samples pass full scale, which does no harm in a float file. Is it meant to?"
        else:
            yield "Its samples reach full scale. If they were clipped there, is there one with less level?"
    elif true_peak is not None and true_peak > 0.0:
        yield "Its peaks between the samples pass full scale. Is there one with less level?"
    if mix.bits is not None and mix.used_bits is not None and 0 < mix.used_bits < mix.bits:
        yield (
            f"The file has {mix.bits} bits and uses {mix.used_bits}. Was it shortened on the way? Is there"
            " one with all of them?"
        )
