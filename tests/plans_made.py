"""Plans made up by hypothesis from the declarations: any value of a key, any song that is sound."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from arsis.plan.declared import Declared, declared
from arsis.plan.model import (
    Between,
    Finish,
    Join,
    Pass,
    Release,
    ReleaseSong,
    ReleaseVersion,
    RidePoint,
    Section,
    Song,
    Version,
    VersionPrint,
)
from arsis.settings import PROCESSORS, Limiter

# Text of every kind that TOML must quote: quotes, escapes, signs of TOML itself, line ends, other scripts.
TEXT = st.text(st.sampled_from(list("aZ 9\"'\\#[]{}=.,\n\r\t\x01\x7f−éΩ音")), max_size=12)
NAMES = TEXT.filter(bool)
FILES = st.sampled_from(["mixes/a.wav", "a b.wav", "prints/é/x.wav", "./c.flac"])


def values(one: Declared) -> st.SearchStrategy[Any]:
    """Any value that a key may have."""
    if one.words:
        return st.sampled_from(one.words)
    if one.type is bool:
        return st.booleans()
    if one.type is int:
        return st.integers(int(one.low or 0), int(one.high or 9))
    low, high = one.low if one.low is not None else -99.0, one.high if one.high is not None else 99.0
    return st.one_of(
        st.floats(low, high), st.integers(int(low * 10) + 1, int(high * 10)).map(lambda n: n / 10)
    )


def settings_of(kind: type) -> st.SearchStrategy[Any]:
    """Any settings of one processor, some keys at their defaults."""
    keys = declared(kind)
    needed = {one.field: values(one) for one in keys.values() if one.required}
    others = {one.field: values(one) for one in keys.values() if not one.required}
    return st.fixed_dictionaries(needed, optional=others).map(lambda chosen: kind(**chosen))


PROCESSOR = st.one_of([settings_of(kind) for kind in PROCESSORS])
CHAIN = st.lists(PROCESSOR, max_size=4).map(tuple)
RIDE_DB = st.sampled_from([0.0, 0.4, -1.25, 12.0])
LEVEL_DB = st.one_of(st.just(0.0), st.floats(-24.0, 12.0))
PASS = st.one_of(
    st.builds(Pass, note=TEXT, chain=CHAIN),
    st.builds(Pass, note=TEXT, print=FILES),
)
JOIN = st.builds(Join, fade_ms=st.floats(0.0, 100.0), lead_ms=st.floats(-100.0, 100.0))


def versions(printed: list[str]) -> st.SearchStrategy[Version]:
    """Any version of a song with these passes printed elsewhere."""
    names = st.sampled_from(printed) if printed else st.nothing()
    prints = st.lists(st.builds(VersionPrint, pass_=names, file=FILES), unique_by=lambda one: one.pass_)
    return st.builds(Version, name=NAMES, mix=FILES, follow=st.booleans(), print=prints.map(tuple))


LIMITER = settings_of(Limiter)
FINISH = st.builds(
    Finish,
    chain=CHAIN,
    gain_db=LEVEL_DB,
    limiter=st.none() | LIMITER,
    share_limiter=st.booleans(),
    dither=values(declared(Finish)["dither"]),
)
POINT = st.builds(RidePoint, time_s=st.integers(0, 10**9).map(lambda n: n / 1e6), gain_db=LEVEL_DB)


@st.composite
def songs(draw: st.DrawFn) -> Song:
    """Any sound song whose times have six decimals; sections at least a second apart, so that joins fit."""
    passes = draw(st.dictionaries(NAMES, PASS, min_size=1, max_size=4))
    printed = sorted(name for name, one in passes.items() if one.print is not None)
    names = draw(st.lists(NAMES, min_size=1, max_size=5, unique=True))
    section, start_us = [], 0
    for place, name in enumerate(names):
        section.append(
            Section(
                name=name,
                kind=draw(values(declared(Section)["kind"])),
                start_s=start_us / 1e6,
                pass_=draw(st.sampled_from(sorted(passes))),
                ride_db=draw(RIDE_DB),
                join=draw(st.none() | JOIN) if place else None,
            )
        )
        start_us += draw(st.integers(1_000_000, 90_000_000))
    ride = draw(st.lists(POINT, max_size=4, unique_by=lambda point: point.time_s))
    return Song(
        title=draw(NAMES),
        mix=draw(FILES),
        mix_sha256=draw(st.none() | st.just("0123456789abcdef" * 4)),
        version=tuple(draw(st.lists(versions(printed), max_size=3, unique_by=lambda version: version.name))),
        section=tuple(section),
        pass_=passes,
        ride=tuple(sorted(ride, key=lambda point: point.time_s)),
        finish=draw(FINISH),
    )


FADES = st.floats(0.0, 60.0)
RELEASE_SONG = st.builds(
    ReleaseSong,
    plan=FILES,
    isrc=st.none(),
    artist=TEXT,
    gap_s=st.floats(0.0, 600.0),
    trim_db=LEVEL_DB,
    from_s=st.integers(0, 10**9).map(lambda micro: micro / 1e6),
    fade_in_s=FADES,
    fade_out_s=FADES,
    between=st.none()
    | st.builds(Between, file=FILES, lead_s=FADES, gain_db=LEVEL_DB, fade_in_s=FADES, fade_out_s=FADES),
    side=TEXT,
    version=st.lists(st.builds(ReleaseVersion, name=NAMES), max_size=2, unique_by=lambda one: one.name).map(
        tuple
    ),
)
RELEASE = st.builds(
    Release,
    title=NAMES,
    artist=TEXT,
    gtin=st.none() | st.just("4006381333931"),
    catalogue_number=TEXT,
    date=st.sampled_from(("", "2026", "2026-11", "2026-11-25")),
    copyright=TEXT,
    artwork=st.none() | FILES,
    rate_hz=st.sampled_from((None, 44_100, 96_000)),
    song=st.lists(RELEASE_SONG, max_size=4, unique_by=lambda song: song.plan).map(tuple),
)
