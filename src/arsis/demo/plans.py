"""What an engineer would do with the main song: refrains a little heavier and louder, the rest left alone."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol, cast

from arsis.plan.model import Finish, Pass, Release, ReleaseSong, Section, SectionKind, Song, Version
from arsis.settings import Bell, Gain, Limiter, LowShelf

from .songs import ARTIST, MAIN_SONG, RELEASE_TITLE, SCORES, SONGS

# Identifiers that belong to nobody: ISO 3166-1 gives the code XA to no country, and GS1 sets numbers that
# start with 02 aside for use inside a shop (both from memory).
_ISRC = "XADEM26{:05d}"
_GTIN = "0200000000004"


class NamedSection(Protocol):
    """A section as composed or as found; `kind` is one of the plan's."""

    @property
    def name(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def start_s(self) -> float: ...


def demo_plan(sections: Iterable[NamedSection]) -> Song:
    """The main song's plan over these sections, as composed or as found: pass B for refrains, A elsewhere."""
    return Song(
        title=SCORES[MAIN_SONG].title,
        mix=f"mixes/{MAIN_SONG}.wav",
        version=tuple(
            Version(name=version, mix=f"mixes/{MAIN_SONG}-{version}.wav")
            for version in ("instrumental", "acappella")
        ),
        section=tuple(
            Section(
                name=section.name,
                kind=cast(SectionKind, section.kind),
                start_s=section.start_s,
                pass_="B" if section.kind == "chorus" else "A",
            )
            for section in sections
        ),
        pass_={
            "A": Pass(note="everything else: left alone"),
            "B": Pass(
                note="refrains: a little more weight and level",
                chain=(
                    Gain(gain_db=0.6),
                    LowShelf(freq_hz=95.0, gain_db=0.7),
                    Bell(freq_hz=3_200.0, gain_db=-0.5, q=1.1, channel="mid"),
                ),
            ),
        },
        finish=Finish(gain_db=2.5, limiter=Limiter(ceiling_dbtp=-1.0)),
    )


def demo_release() -> Release:
    """The record: every song in order, plans at ``songs/NAME.toml``."""
    return Release(
        title=RELEASE_TITLE,
        artist=ARTIST,
        gtin=_GTIN,
        rate_hz=48_000,  # the mixes came at two rates; the higher one costs none of them anything
        song=tuple(
            ReleaseSong(plan=f"songs/{name}.toml", isrc=_ISRC.format(place))
            for place, name in enumerate(SONGS, 1)
        ),
    )
