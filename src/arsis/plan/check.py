"""What the declarations cannot say: how the parts of a document fit together.

Works on plain tables and steps over whatever has the wrong type (the declarations report that), so
that a document with several kinds of fault has them all reported at once.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from typing import Any

from .identifiers import check_digit, has_gtin_form, is_date, is_gtin, is_isrc, plain_isrc
from .model import Join, Section, Song
from .table import Table, number_at, tables_at
from .trouble import Path, Trouble, meant, quoted, shown

_SHA256 = re.compile(r"[0-9a-f]{64}")
_DRIVE = re.compile(r"[A-Za-z]:")
_SLACK_S = 1e-9  # sums of times in milliseconds do not come out even; far below a frame
_INSIDE = "a path inside the release folder, relative to it, parts divided by /"


def check_song(song: Table) -> list[Trouble]:
    """Everything wrong in how a song's parts fit together, the song's length aside."""
    sections, passes = tables_at(song, "section"), song.get("pass", {})
    return [
        *_present(song),
        *_ordered(sections),
        *_joins(sections),
        *_passes(sections, passes if isinstance(passes, dict) else {}),
        *_unique([(("section", place), section) for place, section in sections], "name"),
        *_unique([(("version", place), version) for place, version in tables_at(song, "version")], "name"),
        *_version_prints(song, passes if isinstance(passes, dict) else {}),
        *_ride_in_order(tables_at(song, "ride")),
        *_song_paths(song),
        *_digest(song),
    ]


def check_release(release: Table) -> list[Trouble]:
    """Everything wrong in a release's paths and identifiers."""
    songs = [(("song", place), song) for place, song in tables_at(release, "song")]
    troubles = [trouble for path, song in songs for trouble in _path(song, (*path, "plan"))]
    gtin = release.get("gtin")
    if isinstance(gtin, str) and not is_gtin(gtin):
        wrong = f", which is {check_digit(gtin[:-1])} here" if has_gtin_form(gtin) else ""
        allowed = f"8, 12, 13 or 14 digits, the last of them the check digit{wrong}"
        troubles.append(Trouble(("gtin",), quoted(gtin), allowed))
    troubles.extend(_path(release, ("artwork",)))
    troubles.extend(_date(release))
    owners: dict[str, Any] = {}
    for path, song in songs:
        troubles.extend(_place_in_release(path, song))
        troubles.extend(_isrc(path, song, song.get("plan"), owners))
        versions = tables_at(song, "version")
        troubles.extend(_unique([((*path, "version", place), one) for place, one in versions], "name"))
        for place, one in versions:
            owner = (song.get("plan"), one.get("name"))
            troubles.extend(_isrc((*path, "version", place), one, owner, owners))
    return troubles


def past_the_end(song: Song, duration_s: float) -> list[Trouble]:
    """Everything of the song that lies past the end of its mix."""
    troubles = []
    for place, section in enumerate(song.section):
        if section.start_s >= duration_s:
            found = f"{section.start_s:.6f} s ({section.name})"
            troubles.append(
                Trouble(("section", place, "start_s"), found, f"before the mix ends at {duration_s:.6f} s")
            )
    if len(song.section) > 1:
        last, end_s = song.section[-1], fade_end_s(song.section[-1])
        if last.start_s < duration_s < end_s - _SLACK_S:
            path: Path = ("section", len(song.section) - 1, "join")
            found, allowed = (
                f"a fade that ends at {end_s:.6f} s",
                f"done when the mix ends, at {duration_s:.6f} s",
            )
            troubles.append(Trouble(path, found, allowed))
    return troubles


def fade_end_s(section: Section) -> float:
    """When the fade into a section is done."""
    return section.start_s - (section.join or Join()).lead_ms / 1000.0


def _present(song: Table) -> Iterator[Trouble]:
    if song.get("section", []) == []:
        yield Trouble(("section",), "nothing", "at least one [[section]]")
    if song.get("pass", {}) == {}:
        yield Trouble(("pass",), "nothing", "at least one pass, such as [pass.A]")


def _ordered(sections: list[tuple[int, Table]]) -> Iterator[Trouble]:
    before_s = -math.inf
    for place, section in sections:
        start_s = number_at(section, "start_s")
        path = ("section", place, "start_s")
        if start_s is None:
            continue
        name = section.get("name")
        found = f"{shown(start_s)} ({name})" if isinstance(name, str) else shown(start_s)
        if place == 0 and start_s != 0.0:
            yield Trouble(path, found, "0.0: the first section starts with the song")
        elif start_s <= before_s:
            yield Trouble(path, found, f"later than the section before it, which starts at {before_s:.6f} s")
        before_s = max(before_s, start_s)


def _joins(sections: list[tuple[int, Table]]) -> Iterator[Trouble]:
    """Every fade must lie between the end of the one before it and the start of the next."""
    before_s, free_from_s, voice = -math.inf, 0.0, None
    for place, section in sections:
        start_s, join = number_at(section, "start_s"), section.get("join")
        if place == 0 and join is not None:
            yield Trouble(("section", 0, "join"), "a join", "none: nothing comes before the first section")
        if start_s is None or start_s <= before_s:
            continue  # reported as that
        now = (section.get("pass"), section.get("ride_db", 0.0))
        if place > 0 and now != voice:  # a join of equals is no join
            fade_s, lead_s = _fade(join)
            if start_s - lead_s - fade_s < free_from_s - _SLACK_S:
                yield _tight(place, section, fade_s, lead_s, start_s - free_from_s)
            free_from_s = start_s - lead_s
        before_s, voice = start_s, now


def _tight(place: int, section: Table, fade_s: float, lead_s: float, room_s: float) -> Trouble:
    path: Path = ("section", place, "join" if section.get("join") is not None else "start_s")
    found = f"a fade of {1000 * fade_s:g} ms that ends {1000 * lead_s:g} ms early"
    return Trouble(
        path, found, f"together at most {max(0.0, 1000 * room_s):g} ms, to fit after the join before it"
    )


def _fade(join: Any) -> tuple[float, float]:
    """Fade and lead in seconds."""
    given = join if isinstance(join, dict) else {}
    fade_ms, lead_ms = number_at(given, "fade_ms"), number_at(given, "lead_ms")
    usual = Join()
    return (
        (usual.fade_ms if fade_ms is None else fade_ms) / 1000.0,
        (usual.lead_ms if lead_ms is None else lead_ms) / 1000.0,
    )


def _passes(sections: list[tuple[int, Table]], passes: Table) -> Iterator[Trouble]:
    for place, section in sections:
        name = section.get("pass")
        if isinstance(name, str) and name and name not in passes:
            known = ", ".join(passes) or "none"
            allowed = f"{meant(name, tuple(passes))}a pass of this song (there are: {known})"
            yield Trouble(("section", place, "pass"), quoted(name), allowed)
    for name, treatment in passes.items():
        if name == "":
            yield Trouble(("pass", name), "a pass without a name", "a name, such as A")
        if isinstance(treatment, dict) and treatment.get("chain") and treatment.get("print") is not None:
            yield Trouble(
                ("pass", name, "print"),
                "both a chain and a print",
                "one of them: a chain, or a file printed elsewhere",
            )


def _version_prints(song: Table, passes: Table) -> Iterator[Trouble]:
    """A version's prints stand in for the song's: one for a pass printed elsewhere."""
    known = [name for name, one in passes.items() if isinstance(one, dict) and one.get("print") is not None]
    for place, version in tables_at(song, "version"):
        prints: list[tuple[Path, Table]] = [
            (("version", place, "print", number), one) for number, one in tables_at(version, "print")
        ]
        yield from _unique(prints, "pass", "a pass once only")
        for path, one in prints:
            name = one.get("pass")
            if isinstance(name, str) and name and name not in known:
                there = ", ".join(known) or "none"
                allowed = f"{meant(name, tuple(known))}a pass printed elsewhere (there are: {there})"
                yield Trouble((*path, "pass"), quoted(name), allowed)


def _unique(
    entries: list[tuple[Path, Table]], key: str, allowed: str = "a name that no other has"
) -> Iterator[Trouble]:
    seen: set[str] = set()
    for path, entry in entries:
        name = entry.get(key)
        if isinstance(name, str) and name in seen:
            yield Trouble((*path, key), quoted(name), allowed)
        elif isinstance(name, str):
            seen.add(name)


def _ride_in_order(points: list[tuple[int, Table]]) -> Iterator[Trouble]:
    before_s = -math.inf
    for place, point in points:
        time_s = number_at(point, "time_s")
        if time_s is not None and time_s <= before_s:
            yield Trouble(
                ("ride", place, "time_s"),
                shown(time_s),
                f"later than the point before it, at {before_s:.6f} s",
            )
        before_s = max(before_s, before_s if time_s is None else time_s)


def _song_paths(song: Table) -> Iterator[Trouble]:
    yield from _path(song, ("mix",))
    for place, version in tables_at(song, "version"):
        yield from _path(version, ("version", place, "mix"))
        for number, one in tables_at(version, "print"):
            yield from _path(one, ("version", place, "print", number, "file"))
    passes = song.get("pass")
    for name, treatment in passes.items() if isinstance(passes, dict) else ():
        if isinstance(treatment, dict):
            yield from _path(treatment, ("pass", name, "print"))


def _path(table: Table, path: Path) -> Iterator[Trouble]:
    given = table.get(str(path[-1]))
    if isinstance(given, str) and not _is_inside(given):
        yield Trouble(path, quoted(given), _INSIDE)


def _is_inside(given: str) -> bool:
    if given.startswith("/") or _DRIVE.match(given) or "\\" in given or any(ord(c) < 32 for c in given):
        return False
    parts = given.split("/")
    return ".." not in parts and any(part not in ("", ".") for part in parts)


def _digest(song: Table) -> Iterator[Trouble]:
    digest = song.get("mix_sha256")
    if isinstance(digest, str) and not _SHA256.fullmatch(digest):
        yield Trouble(("mix_sha256",), shown(digest), "64 digits from 0 to 9 and a to f: the mix's SHA-256")


def _place_in_release(path: Path, song: Table) -> Iterator[Trouble]:
    """What the times of one song of a release cannot be together."""
    from_s, until_s = number_at(song, "from_s") or 0.0, number_at(song, "until_s")
    if until_s is not None and 0.0 <= until_s <= from_s:
        yield Trouble((*path, "until_s"), shown(until_s), f"later than it begins, at {from_s:.6f} s")
    if (number_at(song, "overlap_s") or 0.0) > 0.0:
        if (number_at(song, "gap_s") or 0.0) > 0.0:
            yield Trouble((*path, "gap_s"), shown(song["gap_s"]), "0.0 where the songs overlap")
        if path[-1] == 0:
            found, allowed = shown(song["overlap_s"]), "0.0: no song comes before the first"
            yield Trouble((*path, "overlap_s"), found, allowed)
    between = song.get("between")
    if isinstance(between, dict):
        yield from _path(between, (*path, "between", "file"))


def _date(release: Table) -> Iterator[Trouble]:
    date = release.get("date")
    if isinstance(date, str) and date and not is_date(date):
        yield Trouble(("date",), quoted(date), "a date such as 2026, 2026-11 or 2026-11-25")


def _isrc(path: Path, table: Table, owner: Any, owners: dict[str, Any]) -> Iterator[Trouble]:
    isrc = table.get("isrc")
    if not isinstance(isrc, str):
        return
    if not is_isrc(isrc):
        allowed = "an ISRC: two letters, three letters or digits, seven digits"
        yield Trouble((*path, "isrc"), quoted(isrc), allowed)
    elif owners.setdefault(plain_isrc(isrc), owner) != owner:
        allowed = "an ISRC that no other recording of the release has"
        yield Trouble((*path, "isrc"), quoted(isrc), allowed)
