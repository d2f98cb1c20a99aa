"""Markers, held to the 1991 layout by literal bytes, and to ffprobe, which shows them as chapters."""

from __future__ import annotations

import struct
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.io.chunks import read_chunks
from arsis.io.markers import Marker, marker_chunks, read_markers
from arsis.io.write import write_sound
from tests.sound_files import words
from tests.tagged import ffprobe


def test_the_bytes_are_those_of_1991() -> None:
    """IBM and Microsoft (1991), 3-61 to 3-65: a count, points of 24 bytes; pads of labels are not counted."""
    cue, names = marker_chunks((Marker(0, "A"), Marker(48_000, "bc", 96_000)))
    assert cue == (
        b"cue ",
        struct.pack("<I", 2)
        + struct.pack("<II4sIII", 1, 0, b"data", 0, 0, 0)
        + struct.pack("<II4sIII", 2, 48_000, b"data", 0, 0, 48_000),
    )
    assert names == (
        b"LIST",
        b"adtl"
        + b"labl" + struct.pack("<II", 6, 1) + b"A\0"
        + b"labl" + struct.pack("<II", 7, 2) + b"bc\0" + b"\0"
        + b"ltxt" + struct.pack("<III4s4H", 20, 2, 96_000, b"rgn ", 0, 0, 0, 0),
    )  # fmt: skip
    assert marker_chunks(()) == ()


def test_ffprobe_shows_them_as_chapters(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    markers = (Marker(0, "intro", 4_800), Marker(4_800, "Strophe à 2", 3_000), Marker(9_601, "潮"))
    with write_sound(path, 48_000, 2, chunks=marker_chunks(markers)) as sound:
        sound.write(words(14_400, 24))
    chapters = ffprobe(path)["chapters"]
    assert [(one["start"], one["tags"]["title"]) for one in chapters] == [(m.frame, m.name) for m in markers]
    assert read_markers(read_chunks(path)) == markers


def test_what_32_bits_cannot_hold_is_left_out() -> None:
    held = Marker(2**32 - 1, "last")
    assert read_markers(marker_chunks((held, Marker(2**32, "past"), Marker(5, "long", 2**32)))) == (
        held,
        Marker(5, "long", 0),
    )
    assert marker_chunks((Marker(2**32, "past"),)) == ()


FRAMES = st.integers(0, 2**32 - 1)
NAMES = st.text(st.characters(exclude_characters="\0", codec="utf-8"), max_size=40)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(markers=st.lists(st.builds(Marker, FRAMES, NAMES, FRAMES), max_size=8))
def test_round_trip(markers: list[Marker]) -> None:
    assert read_markers(marker_chunks(markers)) == tuple(markers)


@settings(derandomize=True, deadline=None, max_examples=100)
@given(cue=st.binary(max_size=80), names=st.binary(max_size=80), cut=st.integers(0, 90))
def test_no_bytes_break_the_reader(cue: bytes, names: bytes, cut: int) -> None:
    whole = dict(marker_chunks((Marker(1, "one", 2), Marker(3, "three"))))
    read_markers(((b"cue ", cue), (b"LIST", b"adtl" + names)))
    read = read_markers(((b"cue ", whole[b"cue "][:cut]), (b"LIST", whole[b"LIST"][:cut])))
    assert [marker.frame for marker in read] == [1, 3][: max(0, cut - 4) // 24]
