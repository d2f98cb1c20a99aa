"""Before a delivery: every file has a name of its own, or it is told."""

from __future__ import annotations

import pytest

from .low_tides import SmallRecord

R = "release.toml"


def test_two_songs_of_one_file_name_are_told(tides: SmallRecord) -> None:
    tides.profile("titles", 'file_name = "{title}"')
    tides.change("songs/second.toml", '"Second"', '"FIRST"')  # one file where capitals are small letters
    tides.change("songs/second.toml", '"instrumental"', '"clean"')
    assert tides.fault("titles") == (
        'release.toml:15: song[2]: found "FIRST.wav" for both 01 First and 02 FIRST; '
        "allowed: a name of its own for each file: by titles, by sides, or by the profile's file_name"
    )


def test_a_song_that_is_called_as_the_assembly_is_told(tides: SmallRecord) -> None:
    tides.profile("whole", 'file_name = "{title}"\nassembly = true')
    tides.change("songs/second.toml", '"Second"', '"00 Low Tides"')
    assert tides.fault("whole").startswith(
        'release.toml:15: song[2]: found "00 Low Tides.wav" for both the whole record and 02 00 Low Tides'
    )


@pytest.mark.parametrize(
    ("first", "second"), [("A", "a"), ("A", "A."), (40 * "Long " + "A", 40 * "Long " + "B")]
)
def test_sides_whose_files_would_be_called_alike_are_told(
    tides: SmallRecord, first: str, second: str
) -> None:
    tides.change(R, 'isrc = "AA6Q72000047"', f'isrc = "AA6Q72000047"\nside = "{first}"')
    tides.change(R, "trim_db = -0.5", f'side = "{second}"')
    fault = tides.fault("vinyl")
    assert fault.startswith('release.toml:20: song[2].side: found "00 Low Tides side ')
    assert f" for both side {first} and side {second}; allowed: a name of its own" in fault


def test_a_song_without_a_code_cannot_be_called_by_it(tides: SmallRecord) -> None:
    tides.profile("codes", 'file_name = "{isrc}"\nversions = false')
    tides.change(R, 'isrc = "JMK401400212"\n', "")
    assert tides.fault("codes").startswith("release.toml:15: song[2]: found no isrc (02 Second); allowed:")
