"""How the parts of a plan fit together, as far as the declarations cannot say it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings

from arsis.errors import DocumentError
from arsis.plan.check import check_song, past_the_end
from arsis.plan.codec import check_against, song_to_toml
from arsis.plan.identifiers import is_gtin, is_isrc
from arsis.plan.model import Join, Pass, Section, Song, Version, VersionPrint
from arsis.plan.table import as_table
from arsis.plan.trouble import key_path
from tests.plans_made import songs


def song_of(*sections: Section) -> Song:
    return Song(title="t", mix="m.wav", section=sections, pass_={"A": Pass(), "B": Pass()})


def section(name: str, start_s: float, pass_: str = "A", join: Join | None = None) -> Section:
    return Section(name=name, start_s=start_s, pass_=pass_, join=join)


def troubled(song: Song) -> list[str]:
    return [key_path(trouble.path) for trouble in check_song(as_table(song))]


@given(songs())
@settings(derandomize=True, deadline=None, max_examples=50)
def test_sound_songs_have_no_trouble(song: Song) -> None:
    assert check_song(as_table(song)) == []


def test_a_fade_must_fit_behind_the_one_before() -> None:
    # Entered at 10 s with a lead of 2 ms, so that the next fade may begin at 9.998 s.
    before = (section("a", 0.0), section("b", 10.0, "B"))
    fits = Join(fade_ms=1000.0, lead_ms=2.0)
    assert troubled(song_of(*before, section("c", 11.0, join=fits))) == []
    assert troubled(song_of(*before, section("c", 11.0, join=replace(fits, fade_ms=1000.1)))) == [
        "section[3].join"
    ]
    assert troubled(song_of(*before, section("c", 11.0, join=replace(fits, lead_ms=2.1)))) == [
        "section[3].join"
    ]


def test_a_section_too_short_for_the_usual_join_is_named_by_its_start() -> None:
    needed_s = (Join().fade_ms + Join().lead_ms) / 1000.0
    assert troubled(song_of(section("a", 0.0), section("b", needed_s, "B"))) == []
    assert troubled(song_of(section("a", 0.0), section("b", needed_s - 1e-6, "B"))) == ["section[2].start_s"]


def test_a_join_of_equals_needs_no_room() -> None:
    assert troubled(song_of(section("a", 0.0), section("b", 0.001))) == []


def test_the_first_section_has_no_join() -> None:
    assert troubled(song_of(section("a", 0.0, join=Join()))) == ["section[1].join"]


def test_every_use_of_an_unknown_pass_is_named() -> None:
    song = song_of(section("a", 0.0, "X"), section("b", 5.0), section("c", 9.0, "X"))
    assert troubled(song) == ["section[1].pass", "section[3].pass"]


def test_what_lies_past_the_end_of_the_mix_is_named_all_together() -> None:
    song = song_of(section("a", 0.0), section("b", 10.0), section("c", 12.0))
    assert past_the_end(song, 12.1) == []
    assert [key_path(one.path) for one in past_the_end(song, 10.0)] == [
        "section[2].start_s",
        "section[3].start_s",
    ]


def test_what_lies_past_the_end_is_named_with_its_line(tmp_path) -> None:
    song = song_of(section("a", 0.0), section("b", 10.0))
    path = tmp_path / "song.toml"
    path.write_text(song_to_toml(song))
    check_against(song, 10.1, str(path), path.read_text())
    with pytest.raises(DocumentError) as raised:
        check_against(song, 9.0, str(path), path.read_text())
    (fault,) = raised.value.faults
    assert path.read_text().splitlines()[fault.line - 1] == "start_s = 10.000000"
    assert str(fault).startswith(f"{path}:{fault.line}: section[2].start_s: found 10.000000 s (b)")


def test_a_fade_that_outlasts_the_mix_is_named() -> None:
    song = song_of(section("a", 0.0), section("b", 10.0, "B", Join(fade_ms=10.0, lead_ms=-400.0)))
    assert past_the_end(song, 10.4) == []
    (trouble,) = past_the_end(song, 10.3)
    assert (key_path(trouble.path), trouble.found) == ("section[2].join", "a fade that ends at 10.400000 s")


def test_paths_stay_inside_the_release() -> None:
    for path in ("a.wav", "mixes/a b.wav", "a..wav", "./a.wav", "mixes/.hidden"):
        assert troubled(replace(song_of(section("a", 0.0)), mix=path)) == []
    for path in (
        "/a.wav",
        "../a.wav",
        "a/../../b.wav",
        "mixes\\a.wav",
        "C:a.wav",
        "a\0.wav",
        ".",
        "//a.wav",
        " /..",
    ):
        assert troubled(replace(song_of(section("a", 0.0)), mix=path)) == ["mix"]


def test_trade_item_numbers() -> None:
    # GS1 General Specifications, figure of the check digit calculation: 629104150021 has check digit 3;
    # 4006381333931 and 73513537 are the examples of the EAN-13 and EAN-8 articles of encyclopaedias.
    for good in ("6291041500213", "4006381333931", "73513537", "036000291452", "00012345600012"):
        assert is_gtin(good)
    for bad in ("6291041500214", "629104150021", "", "400638133393a", "٤006381333931", "4006381333931 "):
        assert not is_gtin(bad)


def test_recording_codes() -> None:
    for good in ("USRC17607839", "US-RC1-76-07839", "QZ9992600001"):  # the first two: ISO 3901, its example
        assert is_isrc(good)
    for bad in ("", "USRC1760783", "U1RC17607839", "USRC1760783X", "ßRC17607839", "USRC1760783٣"):
        assert not is_isrc(bad)


def test_a_versions_prints_stand_in_for_passes_printed_elsewhere() -> None:
    """Each once, inside the release, and none for a pass that is a chain."""

    def with_prints(*prints: tuple[str, str]) -> Song:
        made = tuple(VersionPrint(pass_=name, file=file) for name, file in prints)
        song = song_of(section("a", 0.0))
        passes = {**song.pass_, "C": Pass(print="c.wav")}
        return replace(song, pass_=passes, version=(Version(name="tv", mix="tv.wav", print=made),))

    assert troubled(with_prints(("C", "tv-c.wav"))) == []
    for pass_ in ("A", "X"):
        assert troubled(with_prints((pass_, "tv-c.wav"))) == ["version[1].print[1].pass"]
    assert troubled(with_prints(("C", "1.wav"), ("C", "2.wav"))) == ["version[1].print[2].pass"]
    assert troubled(with_prints(("C", "../1.wav"))) == ["version[1].print[1].file"]
