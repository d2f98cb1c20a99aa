"""What the declarations of a profile cannot say: how its parts fit together, and what a container holds.

Works on plain tables like `check`, and steps over whatever has the wrong type.
"""

from __future__ import annotations

import re
import string
from collections.abc import Iterator

from .coders import CODECS, MP3_KBPS, coder_rate_hz, coder_rates_hz, range_kbps
from .profile import LEAST_KBPS, MOST_KBPS, Codec
from .table import Table, number_at, tables_at
from .trouble import Path, Trouble, meant, quoted, shown

PLACEHOLDERS = ("place", "title", "artist", "isrc", "version")
CD_FRAMES = 588  # of sound in one frame of a CD, 75 a second (IEC 60908)

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]*")


def check_profile(profile: Table) -> list[Trouble]:
    """Everything wrong in how a profile's parts fit together."""
    return [
        *_name(profile),
        *_word(profile),
        *_coded(profile),
        *_ceiling(profile),
        *_cuts(profile),
        *_file_name(profile),
        *_sides(profile),
        *_codecs(profile),
    ]


def _name(profile: Table) -> Iterator[Trouble]:
    name = profile.get("name")
    if isinstance(name, str) and name and not _NAME.fullmatch(name):
        allowed = "letters, digits, - and _: the delivery's folder is called after it"
        yield Trouble(("name",), quoted(name), allowed)


def _word(profile: Table) -> Iterator[Trouble]:
    container, bits = profile.get("container", "wav"), profile.get("bits")
    if container == "flac" and bits == "32f":
        yield Trouble(("bits",), quoted("32f"), "16 or 24: FLAC holds no floating point")
    if _codec(container) is not None:
        for key in ("bits", "dither"):
            if key in profile:
                allowed = f"nothing: {container} has no word length, its coder takes floating point"
                yield Trouble((key,), shown(profile[key]), allowed)
    elif bits == "32f" and profile.get("dither") not in (None, "none"):
        yield Trouble(("dither",), shown(profile["dither"]), "nothing: floating point is not dithered")


def _coded(profile: Table) -> Iterator[Trouble]:
    container = profile.get("container", "wav")
    codec = _codec(container)
    if codec is None:
        if container in ("wav", "flac") and "kbps" in profile:
            allowed = f"nothing: {container} is not coded by bit rate"
            yield Trouble(("kbps",), shown(profile["kbps"]), allowed)
        return
    if "kbps" not in profile:
        yield Trouble(("kbps",), "nothing", f"a bit rate in kbit/s: {codec} needs one")
    else:
        yield from _bit_rate(codec, profile, profile, ("kbps",))
    rate_hz, rates = number_at(profile, "rate_hz"), " or ".join(map(str, coder_rates_hz(codec)))
    if "rate_hz" not in profile:
        yield Trouble(("rate_hz",), "nothing", f"{rates} Hz: {codec} does not take every mix's own")
    elif rate_hz is not None and rate_hz not in coder_rates_hz(codec):
        yield Trouble(("rate_hz",), shown(profile["rate_hz"]), f"{rates} Hz for {codec}")


def _codec(found: object) -> Codec | None:
    known: dict[object, Codec] = {codec: codec for codec in CODECS}
    return known.get(found) if isinstance(found, str) else None


def _bit_rate(codec: Codec, table: Table, profile: Table, path: Path) -> Iterator[Trouble]:
    """What the profile leaves to the mixes, rate or channels, is seen to when a delivery is begun."""
    kbps, rate_hz = number_at(table, "kbps"), number_at(profile, "rate_hz")
    if kbps is None or not LEAST_KBPS <= kbps <= MOST_KBPS:
        return  # said by its declaration
    if codec == "mp3":
        if kbps not in MP3_KBPS:
            words = ", ".join(map(str, MP3_KBPS))
            yield Trouble(path, shown(table["kbps"]), f"one of {words} kbit/s for {codec}")
        return
    rates = coder_rates_hz(codec) if rate_hz is None else (coder_rate_hz(codec, int(rate_hz)),)
    channels = number_at(profile, "channels")
    counts = (int(channels),) if channels in (1, 2) else (1, 2)
    ranges = [range_kbps(codec, rate, count) for rate in rates for count in counts]
    low = max(LEAST_KBPS, min(low for low, _ in ranges))
    high = min(MOST_KBPS, max(high for _, high in ranges))
    if not low <= kbps <= high:
        yield Trouble(path, shown(table["kbps"]), f"{low:g} to {high:g} kbit/s for {codec}")


def _ceiling(profile: Table) -> Iterator[Trouble]:
    if profile.get("limiter") is False and "ceiling_dbtp" not in profile:
        allowed = "a ceiling in dBTP: without limiters the release is turned down to fit under it"
        yield Trouble(("ceiling_dbtp",), "nothing", allowed)


def _cuts(profile: Table) -> Iterator[Trouble]:
    cut_frames, rate_hz = number_at(profile, "cut_frames"), number_at(profile, "rate_hz")
    if cut_frames is None or cut_frames <= 1.0:
        return
    if "rate_hz" not in profile:
        allowed = "a rate in Hz: so many frames are a length only at a rate"
        yield Trouble(("rate_hz",), "nothing", allowed)
    elif cut_frames == CD_FRAMES and rate_hz is not None and rate_hz != 44_100.0:
        allowed = f"44100 Hz: cuts on {CD_FRAMES} frames are those of a CD"
        yield Trouble(("rate_hz",), shown(profile["rate_hz"]), allowed)


def _file_name(profile: Table) -> Iterator[Trouble]:
    given, path = profile.get("file_name"), ("file_name",)
    if not isinstance(given, str) or not given:
        return
    known = ", ".join(f"{{{word}}}" for word in PLACEHOLDERS)
    try:
        parts = [(field, spec, turn) for _, field, spec, turn in string.Formatter().parse(given)]
    except ValueError as fault:
        yield Trouble(path, quoted(given), f"text with {known}, every brace closed ({fault})")
        return
    fields = [field for field, _, _ in parts if field is not None]
    for field, spec, turn in parts:
        if field is not None and (field not in PLACEHOLDERS or spec or turn):
            yield Trouble(path, f"{{{field}}}", f"{meant(field, PLACEHOLDERS)}one of {known}")
    if all(field in PLACEHOLDERS for field in fields) and not {"place", "title", "isrc"} & set(fields):
        yield Trouble(
            path, quoted(given), "one of {place}, {title}, {isrc} in it, or all songs are called alike"
        )


def _sides(profile: Table) -> Iterator[Trouble]:
    sides = profile.get("sides")
    if isinstance(sides, dict):
        best_s, most_s = number_at(sides, "best_side_s"), number_at(sides, "most_side_s")
        if best_s is not None and most_s is not None and best_s > most_s:
            allowed = f"at most most_side_s, which is {most_s:g} s"
            yield Trouble(("sides", "best_side_s"), shown(sides["best_side_s"]), allowed)


def _codecs(profile: Table) -> Iterator[Trouble]:
    seen: set[tuple[str, float]] = set()
    for place, check in tables_at(profile, "codec"):
        codec, kbps = _codec(check.get("codec")), number_at(check, "kbps")
        if codec is None or kbps is None:
            continue
        yield from _bit_rate(codec, check, profile, ("codec", place, "kbps"))
        if (codec, kbps) in seen:
            found = f"{codec} at {kbps:g} kbit/s a second time"
            yield Trouble(("codec", place), found, "every coder once at a bit rate")
        seen.add((codec, kbps))
