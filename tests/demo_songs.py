"""The demo songs, each made once a process: they take seconds."""

from __future__ import annotations

from functools import cache

from arsis.demo.songs import DemoSong, make_song


@cache
def demo_song(name: str) -> DemoSong:
    """As `make_song` makes it; nobody can write to its stems."""
    song = make_song(name)
    for stem in (song.stems.instrumental, song.stems.acappella):
        stem.flags.writeable = False
    return song
