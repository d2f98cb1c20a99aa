"""The record as arithmetic: worked examples, faults, and the partition law over made-up releases."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.audio import Span
from arsis.deliver.record import Laid, Record, alone, lay_out
from arsis.errors import PlanError
from arsis.plan.model import Between, Release, ReleaseSong
from tests.records import releases

CD_HZ = 44_100
# A CD's frame: 588 samples, 75 a second (libFLAC's rules for cue sheets; check value 8.6).
CD_FRAME = 588


def release(*songs: dict[str, Any]) -> Release:
    entries = (ReleaseSong(**({"plan": f"songs/{i + 1}.toml"} | song)) for i, song in enumerate(songs))
    return Release(title="Tide Tables", song=tuple(entries))


def laid(*songs: dict[str, Any], seconds: tuple[float, ...], **options: Any) -> Record:
    frames = [round(s * CD_HZ) for s in seconds]
    return lay_out(release(*songs), frames, CD_HZ, **options)


def test_gaps_lie_before_their_songs_and_the_first_is_not_in_the_sound() -> None:
    record = laid({"gap_s": 5.0}, {"gap_s": 2.0}, {"gap_s": 0.5}, seconds=(10.0, 20.0, 4.0))
    assert [placed.song.start for placed in record.songs] == [0, 12 * CD_HZ, 32 * CD_HZ + CD_HZ // 2]
    assert [placed.cut for placed in record.songs] == [
        Span(0, 529_200),
        Span(529_200, 1_433_250),
        Span(1_433_250, 1_609_650),
    ]
    assert [placed.tail_frames for placed in record.songs] == [88_200, 22_050, 0]
    assert [placed.gap_frames for placed in record.songs] == [0, 88_200, 22_050]
    assert [run.places for run in record.runs] == [(1,), (2,), (3,)]
    assert record.frames == round(36.5 * CD_HZ)


def test_a_cd_song_starts_on_a_frame_of_the_disc() -> None:
    """3:21.123456 is 8 869 546.4 samples: 15 084 CD frames and 154.4; two seconds are 150 CD frames."""
    record = laid({}, {"gap_s": 2.0}, seconds=(201.123456, 100.0), cut_frames=CD_FRAME)
    first, second = record.songs
    assert first.song.end == 8_869_544
    assert second.song.start == second.cut.start == (15_084 + 1 + 150) * CD_FRAME == 8_958_180
    assert second.gap_frames == 88_200 + 436  # lengthened by less than a frame, never shortened
    assert first.tail_frames == second.gap_frames
    # 100 s are 7500 CD frames, so the last file needs no zeros.
    assert (second.cut.frames, second.tail_frames) == (7_500 * CD_FRAME, 0)


def test_two_second_gap_at_75_frames_a_second() -> None:
    record = laid({}, {}, seconds=(4.0, 4.0), cut_frames=CD_FRAME)
    assert record.songs[1].cut.start // CD_FRAME == 4 * 75 + 2 * 75


def test_music_that_runs_on_is_cut_at_the_frame_before_and_not_moved() -> None:
    record = laid({}, {"gap_s": 0.0}, {"overlap_s": 1.5}, seconds=(10.001, 7.0, 5.0), cut_frames=CD_FRAME)
    first, second, third = record.songs
    assert second.song.start == first.song.end == 441_044
    assert second.cut.start == 441_044 - 441_044 % CD_FRAME == 750 * CD_FRAME
    assert third.song.start == second.song.end - 66_150
    assert third.overlap_frames == 66_150
    assert third.cut.start == third.song.start // CD_FRAME * CD_FRAME
    assert [run.places for run in record.runs] == [(1, 2, 3)]
    assert record.frames % CD_FRAME == 0
    assert third.tail_frames == record.frames - third.song.end < CD_FRAME


def test_trims_take_the_used_part_and_fades_lie_in_it() -> None:
    song = {"from_s": 1.5, "until_s": 8.25, "fade_in_s": 0.1, "fade_out_s": 3.0}
    record = laid(song, {}, seconds=(10.0, 2.0))
    first = record.songs[0].song
    assert first.used == Span(66_150, 363_825)
    assert (first.fade_in, first.fade_out, first.trimmed) == (4_410, 132_300, True)
    assert record.songs[1].song.start == first.frames + 88_200
    assert [run.wants_limiter for run in record.runs] == [True, False]


def test_sound_between_joins_two_songs_to_a_run() -> None:
    between = Between(file="mixes/harbour.wav", lead_s=1.0, fade_in_s=1.0, fade_out_s=0.5)
    songs = ({}, {"gap_s": 4.0, "between": between}, {})
    record = laid(*songs, seconds=(10.0, 9.0, 3.0), between_frames={2: 6 * CD_HZ}, cut_frames=CD_FRAME)
    placed = record.songs[1]
    assert placed.between == Laid(9 * CD_HZ, Span(0, 6 * CD_HZ), CD_HZ, CD_HZ // 2, True, True)
    assert placed.song.start == 14 * CD_HZ
    assert placed.cut.start == 14 * CD_HZ // CD_FRAME * CD_FRAME  # 14 s are 1050 CD frames: no less
    assert record.songs[0].tail_frames == 0
    assert [run.places for run in record.runs] == [(1, 2), (3,)]


def test_sound_between_that_ends_in_the_gap_leaves_the_rest_silent() -> None:
    between = Between(file="mixes/harbour.wav")
    record = laid({}, {"gap_s": 4.0, "between": between}, seconds=(10.0, 9.0), between_frames={2: CD_HZ})
    assert record.songs[0].tail_frames == 3 * CD_HZ
    assert [run.places for run in record.runs] == [(1, 2)]


def test_fades_are_told_what_lies_under_them() -> None:
    record = laid(
        {"fade_in_s": 1.0, "fade_out_s": 2.0},
        {"overlap_s": 2.0, "fade_in_s": 2.0, "fade_out_s": 1.0},
        seconds=(10.0, 10.0),
    )
    first, second = (placed.song for placed in record.songs)
    assert (first.head_shared, first.tail_shared) == (False, True)
    assert (second.head_shared, second.tail_shared) == (True, False)


def test_sides_follow_one_another_and_may_begin_anew() -> None:
    songs = ({"side": "A"}, {"side": "A", "gap_s": 3.0}, {"side": "B", "gap_s": 5.0})
    seconds = (10.0, 20.0, 30.0)
    whole = laid(*songs, seconds=seconds)
    assert [(side.name, side.places, side.sound.frames // CD_HZ) for side in whole.sides] == [
        ("A", (1, 2), 33),
        ("B", (3,), 30),
    ]
    assert whole.frames == 68 * CD_HZ
    apart = laid(*songs, seconds=seconds, by_side=True)
    assert apart.songs[2].song.start == apart.sides[0].span.end == 33 * CD_HZ
    assert apart.songs[1].tail_frames == 0
    assert apart.frames == 63 * CD_HZ


def test_a_version_stands_alone_with_its_trims_and_fades() -> None:
    record = laid({}, {"overlap_s": 2.0, "fade_in_s": 2.0}, seconds=(10.0, 10.0), cut_frames=CD_FRAME)
    run = alone(record.songs[1])
    assert run.span == Span(8 * CD_HZ, 18 * CD_HZ)
    assert run.songs[0].song == record.songs[1].song
    assert not run.wants_limiter


@pytest.mark.parametrize(
    ("songs", "message"),
    [
        (({"until_s": 10.5}, {}), "song 1 (songs/1.toml): until_s is 10.500000; its print has 10.000000 s"),
        (({"from_s": 10.0}, {}), "song 1 (songs/1.toml): from_s is 10.000000, so that nothing sounds"),
        (({}, {"fade_in_s": 3.0, "fade_out_s": 2.5}), "song 2 (songs/2.toml): its fades of 3.000000 s and"),
        (({}, {"overlap_s": 5.0}), "song 2 (songs/2.toml): overlap_s is 5.000000; it has only 5.000000 s"),
        (({"until_s": 2.0}, {"overlap_s": 3.0}), "the song before has only 2.000000 s that sound"),
        (
            ({"overlap_s": 1.0}, {}),
            "song 1 (songs/1.toml): overlap_s is 1.000000, but no song comes before it",
        ),
        (({"between": Between(file="a.wav")}, {}), "a.wav lies before it, but no song comes before it"),
        (
            ({}, {"between": Between(file="a.wav", lead_s=11.0)}),
            "a.wav leads by 11.000000 s; the song before",
        ),
        (({}, {"between": Between(file="a.wav", fade_in_s=9.0)}), "a.wav has 8.000000 s, which is less than"),
        (
            ({}, {"between": Between(file="a.wav")}),
            "a.wav has 8.000000 s and would outlast the song after it",
        ),
    ],
)
def test_what_cannot_be_is_said_in_one_line(songs: tuple[dict[str, Any], ...], message: str) -> None:
    with pytest.raises(PlanError) as caught:
        laid(*songs, seconds=(10.0, 5.0), between_frames={1: 8 * CD_HZ, 2: 8 * CD_HZ})
    assert message in str(caught.value)
    assert len(str(caught.value).splitlines()) == 1


def test_three_songs_never_sound_together() -> None:
    with pytest.raises(PlanError, match=r"three songs sound together; allowed: up to 3\.000000 s"):
        laid({}, {"overlap_s": 2.0}, {"overlap_s": 3.5}, seconds=(10.0, 5.0, 10.0))


def test_all_that_cannot_be_is_said_together() -> None:
    with pytest.raises(PlanError) as caught:
        laid({"until_s": 11.0}, {"from_s": 7.0}, {"fade_in_s": 6.0}, seconds=(10.0, 5.0, 5.0))
    assert len(str(caught.value).splitlines()) == 3


def test_a_song_too_short_for_a_file_is_refused() -> None:
    with pytest.raises(
        PlanError, match=r"song 2 .*: too short for a file: the next song begins in the same 588"
    ):
        lay_out(release({}, {"gap_s": 0.0}, {"gap_s": 0.0}), [5_880, 100, 5_880], CD_HZ, CD_FRAME)


def test_a_release_without_songs_is_refused() -> None:
    with pytest.raises(PlanError, match="no songs"):
        lay_out(Release(title="Nothing"), [], CD_HZ)


@settings(max_examples=150, derandomize=True, deadline=None)
@given(releases(), st.sampled_from((1, 7, 588)), st.booleans())
def test_files_partition_the_record(
    made: tuple[Release, list[int], dict[int, int]], cut_frames: int, by_side: bool
) -> None:
    """No frame of the record is lost or in two files, none of a song outside the record, and silence is
    where it is said to be."""
    entries, frames, betweens = made
    record = lay_out(entries, frames, 1_000, cut_frames, betweens, by_side=by_side)
    cuts = [placed.cut for placed in record.songs]
    assert cuts[0].start == 0
    assert all(a.end == b.start for a, b in pairwise(cuts))
    assert all(cut.frames > 0 and cut.start % cut_frames == 0 == cut.end % cut_frames for cut in cuts)
    assert record.frames - max(placed.song.end for placed in record.songs) < cut_frames
    sounds = [placed.song for placed in record.songs] + [p.between for p in record.songs if p.between]
    for placed in record.songs:
        assert placed.cut.start <= placed.song.start < placed.cut.start + cut_frames
        tail = Span(placed.cut.end - placed.tail_frames, placed.cut.end)
        if tail.frames:
            assert not any(sound.start < tail.end and tail.start < sound.end for sound in sounds)
            assert any(sound.end == tail.start for sound in sounds)
    spans = [run.span for run in record.runs]
    assert (spans[0].start, spans[-1].end) == (0, record.frames)
    assert all(a.end == b.start for a, b in pairwise(spans))
    for run in record.runs:
        inside = {placed.place for placed in run.songs}
        for sound, place in [(p.song, p.place) for p in record.songs]:
            touches = sound.start < run.span.end and run.span.start < sound.end
            assert touches == (place in inside)
