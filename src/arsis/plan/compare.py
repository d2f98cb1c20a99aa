"""What differs between two plans of a song, in the trade's words: one short sentence each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any, TypeVar

from arsis.settings import Limiter, Processor

from .declared import declared
from .matching import kept_in_order, same_by_key, same_processors
from .model import Finish, Join, Pass, RidePoint, Section, Song, Version
from .words import change, described, kind_word, quantity, title

Named = TypeVar("Named", Section, Version)

# Keys whose value says what it is; every other is called by its name.
_SELF_EVIDENT = ("freq_hz", "gain_db")
_CALLED = {
    "q": "Q",
    "sidechain_high_pass_hz": "detector above",
    "fold_below_hz": "mono below",
    "side_db": "sides",
    "lookahead_ms": "look-ahead",
    "ceiling_dbtp": "ceiling",
}
_MOST_POINTS = 8  # of a drawn ride told one by one


def compare(before: Song, after: Song) -> list[str]:
    """Every difference; an empty list only for equal songs."""
    return [
        *_song(before, after),
        *_named(before.version, after.version, "version ", _new_version, _version),
        *_named(before.section, after.section, "", _new_section, _section),
        *_passes(before.pass_, after.pass_),
        *_ride(before.ride, after.ride),
        *_finish(before.finish, after.finish),
    ]


def _song(before: Song, after: Song) -> Iterator[str]:
    if before.schema != after.schema:
        yield f"schema {before.schema} → {after.schema}"
    if before.title != after.title:
        yield f"title {_text(before.title, after.title)}"
    if before.mix != after.mix:
        yield f"mix {_text(before.mix, after.mix)}"
    if before.mix_sha256 != after.mix_sha256:
        known = {(True, False): "recorded", (False, True): "no longer recorded"}
        word = known.get(
            (before.mix_sha256 is None, after.mix_sha256 is None), "another: the mix itself has changed"
        )
        yield f"the mix's checksum is {word}"


def _named(
    before: Sequence[Named],
    after: Sequence[Named],
    called: str,
    new: Callable[[Named], str],
    differ: Callable[[str, Named, Named], Iterator[str]],
) -> Iterator[str]:
    same = same_by_key(before, after, lambda one: one.name)
    for place, one in enumerate(before):
        if place not in same:
            yield f"{called}{one.name} removed"
    kept = kept_in_order(same)
    for place, (one, old) in enumerate(zip(after, same, strict=True)):
        if old is None:
            yield f"{called}{one.name} added{new(one)}"
            continue
        if before[old].name != one.name:
            yield f"{called}{before[old].name} → {one.name}: renamed"
        if place not in kept:
            yield f"{called}{one.name} moves from place {old + 1} to {place + 1}"
        yield from differ(f"{called}{one.name}", before[old], one)


def _new_version(version: Version) -> str:
    prints = "".join(f", print of pass {one.pass_}: {one.file}" for one in version.print)
    return f": {version.mix}, {_follow(version)}{prints}"


def _version(name: str, before: Version, after: Version) -> Iterator[str]:
    if before.mix != after.mix:
        yield f"{name}: mix {_text(before.mix, after.mix)}"
    if before.follow != after.follow:
        yield f"{name}: {_follow(before)} → {_follow(after)}"
    old, new = ({one.pass_: one.file for one in version.print} for version in (before, after))
    for pass_ in dict.fromkeys((*old, *new)):
        if pass_ not in new:
            yield f"{name}: print of pass {pass_} removed"
        elif pass_ not in old:
            yield f"{name}: print of pass {pass_} added: {new[pass_]}"
        elif old[pass_] != new[pass_]:
            yield f"{name}: print of pass {pass_} {_text(old[pass_], new[pass_])}"
    if old == new and before.print != after.print:
        yield f"{name}: prints in another order"


def _follow(version: Version) -> str:
    return "follows the main version" if version.follow else "on its own"


def _new_section(section: Section) -> str:
    ride = f", ride {quantity(section.ride_db, 'dB')}" if section.ride_db else ""
    return f" at {quantity(section.start_s, 's')}: {section.kind}, pass {section.pass_}{ride}"


def _section(name: str, before: Section, after: Section) -> Iterator[str]:
    if before.start_s != after.start_s:
        yield f"{name} starts {change(before.start_s, after.start_s, 's')}"
    if before.kind != after.kind:
        yield f"{name}: kind {before.kind} → {after.kind}"
    if before.pass_ != after.pass_:
        yield f"{name}: pass {before.pass_} → {after.pass_}"
    if before.ride_db != after.ride_db:
        yield f"{name}: ride {change(before.ride_db, after.ride_db, 'dB')}"
    if before.join != after.join:
        yield f"{name}: {_join(before.join, after.join)}"


def _join(before: Join | None, after: Join | None) -> str:
    if after is None:
        return "join as usual"
    if before is None:
        return f"join set to a fade of {quantity(after.fade_ms, 'ms')}, lead {quantity(after.lead_ms, 'ms')}"
    return f"join {_keys(before, after)}"


def _passes(before: dict[str, Pass], after: dict[str, Pass]) -> Iterator[str]:
    yield from (f"pass {name} removed" for name in before if name not in after)
    for name, one in after.items():
        if name not in before:
            yield f"pass {name} added: {_contents(one)}"
        else:
            yield from _pass(f"pass {name}", before[name], one)


def _contents(one: Pass) -> str:
    return (
        f"print {one.print}"
        if one.print is not None
        else "; ".join(map(described, one.chain)) or "left alone"
    )


def _pass(name: str, before: Pass, after: Pass) -> Iterator[str]:
    if before.note != after.note:
        yield f"{name}: note {_text(before.note, after.note)}"
    if before.print != after.print:
        yield f"{name}: {_source(before)} → {_source(after)}"
    yield from _chain(name, before.chain, after.chain)


def _source(one: Pass) -> str:
    return "chain" if one.print is None else f"print {one.print}"


def _chain(name: str, before: Sequence[Processor], after: Sequence[Processor]) -> Iterator[str]:
    same = same_processors(before, after)
    for place, one in enumerate(before):
        if place not in same:
            yield f"{name}: {described(one)} removed"
    kept = kept_in_order(same)
    for place, (one, old) in enumerate(zip(after, same, strict=True)):
        if old is None:
            yield f"{name}: {described(one)} added"
            continue
        if place not in kept:
            yield f"{name}: {title(one)} moves from place {old + 1} to {place + 1}"
        if before[old] != one:
            moved = getattr(before[old], "freq_hz", None) != getattr(one, "freq_hz", None)
            yield f"{name}: {kind_word(one) if moved else title(one)} {_keys(before[old], one)}"


def _keys(before: Any, after: Any) -> str:
    """Every key that differs between two tables of one kind."""
    told = []
    for one in declared(type(after)).values():
        old, new = getattr(before, one.field), getattr(after, one.field)
        if old == new:
            continue
        if one.key == "bypass":
            told.append("bypassed" if new else "works again")
        else:
            name = "" if one.key in _SELF_EVIDENT else _CALLED.get(one.key, one.key.rsplit("_", 1)[0]) + " "
            told.append(name + (f"{old} → {new}" if isinstance(new, str) else change(old, new, one.unit)))
    return ", ".join(told)


def _ride(before: Sequence[RidePoint], after: Sequence[RidePoint]) -> Iterator[str]:
    old, new = {one.time_s: one for one in before}, {one.time_s: one for one in after}
    touched = [time for time in sorted({*old, *new}) if old.get(time) != new.get(time)]
    if before != after and not 0 < len(touched) <= _MOST_POINTS:
        counts = f"{len(before)} → {len(after)} points"
        yield f"ride redrawn: {counts}, {len(touched)} of them added, removed or changed"
        return
    for time in touched:
        if time not in new:
            yield f"ride: point at {_at(old, new, time)} removed"
        elif time not in old:
            yield f"ride: point added at {_at(old, new, time)}, {quantity(new[time].gain_db, 'dB')}"
        else:
            yield f"ride at {quantity(time, 's')} {change(old[time].gain_db, new[time].gain_db, 'dB')}"


def _at(old: dict[float, RidePoint], new: dict[float, RidePoint], time: float) -> str:
    """A time, exact where a close one also stands in the ride."""
    others = [quantity(one, "s") for one in {**old, **new} if one != time]
    return f"{time!r} s" if quantity(time, "s") in others else quantity(time, "s")


def _finish(before: Finish, after: Finish) -> Iterator[str]:
    yield from _chain("finish", before.chain, after.chain)
    if before.gain_db != after.gain_db:
        yield f"finish: gain {change(before.gain_db, after.gain_db, 'dB')}"
    yield from _limiter(before.limiter, after.limiter)
    if before.share_limiter != after.share_limiter:
        hears = "hears the versions that follow" if after.share_limiter else "no longer hears the versions"
        yield f"finish: limiter {hears}"
    if before.dither != after.dither:
        yield f"finish: dither {before.dither} → {after.dither}"


def _limiter(before: Limiter | None, after: Limiter | None) -> Iterator[str]:
    if before == after:
        return
    if after is None:
        yield "finish: limiter removed"
    elif before is None:
        yield f"finish: {described(after)} added"
    else:
        yield f"finish: {_keys(before, after)}"


def _text(before: str, after: str) -> str:
    return f"“{before}” → “{after}”"
