"""The bext chunk, held to EBU Tech 3285 v2 by literal offsets, and to MediaInfo and ffprobe."""

from __future__ import annotations

import math
import struct
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.io.bext import Bext, ascii_text, coding_history
from arsis.io.write import write_sound
from tests.sound_files import words
from tests.tagged import ffprobe, mediainfo

# Five values of loudness that were once taken through such a chunk and two other parsers.
PROVEN = Bext(
    description="Low Water - The Tides",
    originator="arsis",
    originator_reference="AA6Q72000047",
    date="2026-11-25",
    time="00:00:00",
    time_reference_frames=123_456_789_012,
    integrated_lufs=-9.34,
    range_lu=6.50,
    true_peak_dbtp=-1.00,
    max_momentary_lufs=-6.12,
    max_short_term_lufs=-7.77,
    coding_history=coding_history(48_000, 24, 2, "arsis 0.1.0"),
)


def test_every_field_lies_where_the_standard_has_it() -> None:
    """EBU Tech 3285 v2, 2.3: offsets and types as the document prints them."""
    body = PROVEN.to_bytes()
    texts = {0: (256, "Low Water - The Tides"), 256: (32, "arsis"), 288: (32, "AA6Q72000047")}
    texts |= {320: (10, "2026-11-25"), 330: (8, "00:00:00")}
    for start, (size, text) in texts.items():
        assert body[start : start + size] == text.encode().ljust(size, b"\0")
    assert struct.unpack_from("<Q", body, 338)[0] == 123_456_789_012
    assert struct.unpack_from("<H", body, 346)[0] == 2
    assert body[348:412] == bytes(64)
    assert struct.unpack_from("<5h", body, 412) == (-934, 650, -100, -612, -777)
    assert body[422:602] == bytes(180)
    assert body[602:] == b"A=PCM,F=48000,W=24,M=stereo,T=arsis 0.1.0\r\n\0"


def test_coding_history_has_the_form_of_r_98() -> None:
    """The published line is `A=PCM,F=48000,W=16,M=stereo`; T= is free text without a comma."""
    assert coding_history(48_000, 16, 2, "a, b") == "A=PCM,F=48000,W=16,M=stereo,T=a; b\r\n"
    assert coding_history(44_100, 24, 1, "x").startswith("A=PCM,F=44100,W=24,M=mono,")


def test_mediainfo_and_ffprobe_read_it(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    bext = Bext.from_bytes(PROVEN.to_bytes()[:338] + struct.pack("<Q", 96_000) + PROVEN.to_bytes()[346:])
    with write_sound(path, 48_000, 2, ahead=((b"bext", bext.to_bytes()),)) as sound:
        sound.write(words(4_800, 24))
    said = mediainfo(path)
    assert said["bext_Version"] == "2"
    loudness = ("LoudnessValue", "LoudnessRange", "MaxTruePeakLevel", "MaxMomentaryLoudness")
    assert [said[name] for name in loudness] == ["-9.34", "6.50", "-1.00", "-6.12"]
    assert said["MaxShortTermLoudness"] == "-7.77"
    assert (said["Description"], said["Producer"]) == ("Low Water - The Tides", "arsis")
    assert (said["Producer_Reference"], said["Encoded_Date"]) == ("AA6Q72000047", "2026-11-25 00:00:00")
    assert said["Encoded_Library_Settings"] == "A=PCM,F=48000,W=24,M=stereo,T=arsis 0.1.0"
    assert (said["Delay"], said["Delay_Source"]) == ("2.000", "Container (bext)")
    tags = ffprobe(path)["format"]["tags"]
    assert (tags["comment"], tags["encoded_by"]) == ("Low Water - The Tides", "arsis")
    assert (tags["time_reference"], tags["creation_time"]) == ("96000", "00:00:00")
    assert tags["coding_history"] == PROVEN.coding_history


def test_what_does_not_exist_is_marked_unused(tmp_path: Path) -> None:
    """Silence has no loudness: MediaInfo then shows no such field, rather than 327.67."""
    silent = Bext(integrated_lufs=-math.inf, true_peak_dbtp=-math.inf, range_lu=None)
    assert struct.unpack_from("<5h", silent.to_bytes(), 412) == (0x7FFF,) * 5
    path = tmp_path / "a.wav"
    with write_sound(path, 48_000, 2, ahead=((b"bext", silent.to_bytes()),)) as sound:
        sound.write(words(480, 24))
    assert not {"LoudnessValue", "LoudnessRange", "MaxTruePeakLevel"} & set(mediainfo(path))


def test_loudness_before_version_2_means_nothing() -> None:
    body = bytearray(PROVEN.to_bytes())
    for version in (0, 1):
        struct.pack_into("<H", body, 346, version)
        read = Bext.from_bytes(bytes(body))
        assert (read.version, read.integrated_lufs, read.max_short_term_lufs) == (version, None, None)


def test_a_chunk_that_is_cut_off_is_refused() -> None:
    with pytest.raises(ValueError, match="601 bytes; it has at least 602"):
        Bext.from_bytes(PROVEN.to_bytes()[:601])


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("Déjà vu – “Straße” Łódź", 'Deja vu - "Strasse" Lodz'),
        ("Ægir Øst", "AEgir Ost"),
        ("潮汐 ☂ 🌊", "?? ? ?"),
        ("a\0b\r\nc\x85d", "a b  c d"),
        ("ﬁne ½", "fine 1?2"),
    ],
)
def test_texts_are_ascii(text: str, plain: str) -> None:
    """Tech 3285 allows no other letters."""
    assert ascii_text(text) == plain


LEVELS = st.none() | st.floats(-99.99, 99.99)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(text=st.text(max_size=400), levels=st.tuples(*[LEVELS] * 5), frames=st.integers(0, 2**64 - 1))
def test_round_trip(text: str, levels: tuple[float | None, ...], frames: int) -> None:
    loudness = dict(zip(("integrated_lufs", "range_lu", "true_peak_dbtp"), levels[:3], strict=True))
    bext = Bext(description=text, originator=text, time_reference_frames=frames, **loudness)
    body = bext.to_bytes()
    assert len(body) == 602
    assert body[:338].isascii()
    read = Bext.from_bytes(body)
    assert read.description == ascii_text(text)[:256]
    assert read.originator == ascii_text(text)[:32]
    assert read.time_reference_frames == frames
    for name, level in loudness.items():
        found = getattr(read, name)
        assert found is None if level is None else abs(found - level) <= 0.005 + 1e-9
