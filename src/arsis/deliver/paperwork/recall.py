"""What was done to every song, as rows to be set on a page: enough to do it again by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from arsis.deliver.manifest import Manifest, MixUsed
from arsis.deliver.order import song_for_delivery
from arsis.plan.model import Finish, Join, Pass, Release, ReleaseSong, RidePoint, Section, Song
from arsis.plan.profile import Profile
from arsis.plan.words import kind_word
from arsis.render.took import Took
from arsis.report.text import NOTHING, clock, number
from arsis.settings import Processor

from .extra import Extra, KeptAs, SongExtra
from .settings_in_words import amount, setting, settings_of

Pairs = tuple[tuple[str, str], ...]

_MOST_POINTS = 40  # of a drawn ride that are told one by one; the plan has them all

SECTION_HEADS = ("section", "kind", "from", "to", "pass", "ride dB", "entered by", "took dB")


@dataclass(frozen=True, slots=True)
class RecalledProcessor:
    """A processor of a chain. place: in the chain, from 1."""

    place: int
    title: str
    settings: Pairs


@dataclass(frozen=True, slots=True)
class RecalledPass:
    """A pass. what: in words, where it is not a chain. used_by: names of sections."""

    name: str
    note: str
    used_by: str
    what: str
    chain: tuple[RecalledProcessor, ...]


@dataclass(frozen=True, slots=True)
class RecalledSong:
    """A song's sheet. facts: where it comes from; on_record: how it lies among the others."""

    place: int
    title: str
    facts: Pairs
    sections: tuple[tuple[str, ...], ...]
    passes: tuple[RecalledPass, ...]
    ride: Pairs
    finish_chain: tuple[RecalledProcessor, ...]
    finish: Pairs
    on_record: Pairs


def recalled(
    manifest: Manifest, songs: Sequence[Song], release: Release, profile: Profile, extra: Extra
) -> tuple[RecalledSong, ...]:
    """Every song in the release's order."""
    mixes = {mix.path: mix for mix in manifest.mixes}
    return tuple(
        RecalledSong(
            place=place,
            title=song.title,
            facts=_facts(manifest, place, song, mixes, extra.of(place)),
            sections=_sections(
                song, entry, mixes.get(song.mix), extra.of(place).took if profile.limiter else ()
            ),
            passes=tuple(_pass(name, one, song, mixes) for name, one in song.pass_.items()),
            ride=_ride(song.ride),
            finish_chain=_chain(song.finish.chain),
            finish=_finish(
                song.finish,
                song_for_delivery(song, entry, profile).finish,
                manifest,
                entry,
                mixes.get(song.mix),
            ),
            on_record=_on_record(entry, mixes, is_first=place == 1),
        )
        for place, (song, entry) in enumerate(zip(songs, release.song, strict=True), 1)
    )


def kept_as(revision: KeptAs) -> str:
    """The state of a plan in words: `revision 3: louder bridge`."""
    stands = (
        f"changed since revision {revision.number}" if revision.changed else f"revision {revision.number}"
    )
    return f"{stands}: {revision.note}" if revision.note else stands


def _facts(manifest: Manifest, place: int, song: Song, mixes: dict[str, MixUsed], extra: SongExtra) -> Pairs:
    plan = manifest.plans[place - 1] if place <= len(manifest.plans) else NOTHING
    rows = [("plan", plan)]
    rows += [("kept as", kept_as(extra.revision))] if extra.revision else []
    rows += [("mix", _file(song.mix, mixes))]
    for version in song.version:
        follow = "takes the main version's gain" if version.follow else "limited on its own"
        rows.append((version.name, f"{_file(version.mix, mixes)}; {follow}"))
    return tuple(rows)


def _file(path: str, mixes: dict[str, MixUsed]) -> str:
    """A file the print is made from, with all that identifies it."""
    mix = mixes.get(path)
    if mix is None:
        return path
    return f"{path}, {mix.rate_hz / 1000:g} kHz, {clock(mix.frames / mix.rate_hz)}, SHA-256 {mix.sha256}"


def _sections(
    song: Song, entry: ReleaseSong, mix: MixUsed | None, heard: Sequence[Took]
) -> tuple[tuple[str, ...], ...]:
    last = _seconds(mix.frames / mix.rate_hz) if mix else "the end"
    ends = [*(_seconds(section.start_s) for section in song.section[1:]), last]
    took = [f"{number(one.mean_db, 2)} / {number(one.max_db)}" for one in heard]
    took += [NOTHING] * (len(song.section) - len(took))
    took = ["cut off" if cut else said for cut, said in zip(_cut_off(song, entry), took, strict=True)]
    before = [None, *song.section]
    return tuple(
        (
            section.name,
            section.kind.replace("_", " "),
            _seconds(section.start_s),
            end,
            section.pass_,
            amount(section.ride_db, signed=True),
            _entered(section, earlier),
            taken,
        )
        for section, earlier, end, taken in zip(song.section, before, ends, took, strict=False)
    )


def _cut_off(song: Song, entry: ReleaseSong) -> list[bool]:
    """Of each section, whether the record's trims leave nothing of it."""
    starts = [section.start_s for section in song.section]
    until_s = float("inf") if entry.until_s is None else entry.until_s
    spans = zip(starts, [*starts[1:], float("inf")], strict=True)
    return [end_s <= entry.from_s or start_s >= until_s for start_s, end_s in spans]


def _entered(section: Section, before: Section | None) -> str:
    if before is None:
        return NOTHING
    if (section.pass_, section.ride_db) == (before.pass_, before.ride_db):
        return "nothing changes"
    join = section.join or Join()
    if join.fade_ms == 0.0:
        return f"a cut {_when(join.lead_ms)}"
    return f"fade of {amount(join.fade_ms)} ms, done {_when(join.lead_ms)}"


def _when(lead_ms: float) -> str:
    if lead_ms == 0.0:
        return "at its start"
    return f"{amount(abs(lead_ms))} ms {'before' if lead_ms > 0.0 else 'after'} its start"


def _pass(name: str, one: Pass, song: Song, mixes: dict[str, MixUsed]) -> RecalledPass:
    used = [section.name for section in song.section if section.pass_ == name]
    what = f"printed elsewhere: {_file(one.print, mixes)}" if one.print else ""
    if not one.chain and not what:
        what = "nothing: the mix as it is"
    return RecalledPass(name, one.note, ", ".join(used) or "no section", what, _chain(one.chain))


def _chain(chain: Sequence[Processor]) -> tuple[RecalledProcessor, ...]:
    return tuple(
        RecalledProcessor(place, kind_word(one), settings_of(one)) for place, one in enumerate(chain, 1)
    )


def _ride(points: Sequence[RidePoint]) -> Pairs:
    if len(points) > _MOST_POINTS:
        low, high = (pick(point.gain_db for point in points) for pick in (min, max))
        told = f"{amount(low, signed=True)} to {amount(high, signed=True)} dB"
        span = f"{_seconds(points[0].time_s)} to {_seconds(points[-1].time_s)}"
        return ((span, f"{len(points)} points, {told}: each is in the plan"),)
    return tuple((_seconds(point.time_s), f"{amount(point.gain_db, signed=True)} dB") for point in points)


def _finish(
    planned: Finish, made: Finish, manifest: Manifest, entry: ReleaseSong, mix: MixUsed | None
) -> Pairs:
    """Gain and limiter as they were for this delivery; what the plan says where that is something else."""
    gain = [("gain", f"{amount(planned.gain_db, signed=True)} dB")]
    if entry.trim_db:
        gain.append(("trim among the songs", f"{amount(entry.trim_db, signed=True)} dB"))
    if manifest.trim_db:
        gain.append(("trim of the whole release", f"{amount(manifest.trim_db, signed=True)} dB"))
    rows = [*gain, *_rate(manifest, mix), ("limiter", _limiter(planned, made))]
    if made.limiter is not None:
        rows += [(f"limiter {name}", said) for name, said in settings_of(made.limiter) if name != "ceiling"]
    return (*rows, ("dither, where words get shorter", made.dither.replace("_", " ")))


def _rate(manifest: Manifest, mix: MixUsed | None) -> Pairs:
    if manifest.rate_hz is None or mix is None:
        return ()
    if mix.rate_hz == manifest.rate_hz:
        return (("rate", f"{mix.rate_hz / 1000:g} kHz, the mix's own"),)
    said = f"{manifest.rate_hz / 1000:g} kHz, converted from {mix.rate_hz / 1000:g} kHz before the limiter"
    return (("rate", said),)


def _limiter(planned: Finish, made: Finish) -> str:
    if made.limiter is None:
        return "none" if planned.limiter is None else "none in this profile; the plan has one"
    ceiling = setting(made.limiter, "ceiling_dbtp")
    was = planned.limiter.ceiling_dbtp if planned.limiter else made.limiter.ceiling_dbtp
    told = f"; {amount(was)} dBTP in the plan" if was != made.limiter.ceiling_dbtp else ""
    shared = "; it hears the versions that follow, too" if made.share_limiter else ""
    return f"ceiling {ceiling}{told}{shared}"


def _on_record(entry: ReleaseSong, mixes: dict[str, MixUsed], *, is_first: bool) -> Pairs:
    rows = [] if is_first else [("gap before it", f"{amount(entry.gap_s)} s")]
    if entry.overlap_s:
        rows = [("sounds together with the song before", f"{amount(entry.overlap_s)} s")]
    if entry.from_s or entry.until_s is not None:
        until = NOTHING if entry.until_s is None else _seconds(entry.until_s)
        rows.append(("used from, until", f"{_seconds(entry.from_s)}, {until}"))
    if entry.fade_in_s:
        rows.append(("fade in", f"{amount(entry.fade_in_s)} s"))
    if entry.fade_out_s:
        rows.append(("fade out", f"{amount(entry.fade_out_s)} s"))
    if entry.between is not None:
        between = entry.between
        rows.append(
            (
                "over the gap before it",
                f"{_file(between.file, mixes)}, {amount(between.gain_db, signed=True)} dB, begins"
                f" {amount(between.lead_s)} s before the song before ends, fades {amount(between.fade_in_s)}"
                f" and {amount(between.fade_out_s)} s",
            )
        )
    return tuple(rows)


def _seconds(time_s: float) -> str:
    """1:23.456789: exact to the frame."""
    micro = round(time_s * 1e6)
    text = f"{micro // 60_000_000}:{micro // 1_000_000 % 60:02d}.{micro % 1_000_000:06d}"
    return text[:-3] if text.endswith("000") else text
