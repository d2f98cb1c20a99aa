"""The cue sheet: the rules of a disc, one by one, and libFLAC's own reader where `flac` is installed."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.deliver.manifest import Manifest, SoundFile
from arsis.deliver.paperwork.cue import cue_sheets, is_fit_for_disc
from arsis.deliver.paperwork.tracks import sides_of
from arsis.plan.identifiers import is_gtin, is_isrc
from arsis.plan.model import Release, ReleaseSong

from .deliveries import Delivered
from .paper_delivery import CD_FRAME, paper_delivery, song_file, sound_facts

FLAC = shutil.which("flac")
METAFLAC = shutil.which("metaflac")


@dataclass(frozen=True, slots=True)
class ReadTrack:
    """A track as it was read. indices: CD frames by their number."""

    number: int
    words: dict[str, str]
    indices: dict[int, int]


@dataclass(frozen=True, slots=True)
class ReadCue:
    """A sheet as it was read."""

    words: dict[str, str]
    file: str
    kind: str
    tracks: tuple[ReadTrack, ...]


def read_cue(text: str) -> ReadCue:
    """A reader of its own, written from libFLAC's rules and its sheets `good.*.cue` and `bad.*.cue`: it stops
    at anything that it does not know, that is there twice or in the wrong place."""
    head: dict[str, str] = {}
    file: list[str] = []
    tracks: list[ReadTrack] = []
    for line in text.splitlines():
        word, _, rest = line.strip().partition(" ")
        if word == "FILE":
            assert not file
            file = list(_match(r'"([^"]+)" (WAVE|FLAC)', rest))
        elif word == "TRACK":
            assert file
            [number] = _match(r"([0-9]{2}) AUDIO", rest)
            tracks.append(ReadTrack(int(number), {}, {}))
        elif word == "INDEX":
            number, minutes, seconds, frames = _match(r"([0-9]{2}) ([0-9]{2}):([0-9]{2}):([0-9]{2})", rest)
            assert int(seconds) < 60
            assert int(frames) < 75
            assert int(number) not in tracks[-1].indices
            tracks[-1].indices[int(number)] = (60 * int(minutes) + int(seconds)) * 75 + int(frames)
        else:
            held = tracks[-1].words if tracks else head
            assert word in (("TITLE", "PERFORMER", "ISRC") if tracks else ("TITLE", "PERFORMER", "CATALOG"))
            assert word not in held
            assert not tracks or not tracks[-1].indices, "before the track's first INDEX"
            held[word] = rest if word in ("ISRC", "CATALOG") else next(iter(_match(r'"([^"]*)"', rest)))
    return ReadCue(head, file[0], file[1], tuple(tracks))


def _match(pattern: str, text: str) -> tuple[str, ...]:
    found = re.fullmatch(pattern, text)
    assert found is not None, text
    return found.groups()


def check_disc(cue: ReadCue, frames: int) -> None:
    """The rules for a disc: libFLAC, `FLAC__format_cuesheet_is_legal` with its CD-DA checks."""
    assert [track.number for track in cue.tracks] == list(range(1, len(cue.tracks) + 1))
    assert 1 <= len(cue.tracks) <= 99
    at = [place for track in cue.tracks for _, place in sorted(track.indices.items())]
    assert at[0] == 0
    assert at == sorted(set(at))
    assert at[-1] * CD_FRAME < frames
    for track in cue.tracks:
        assert min(track.indices) in (0, 1)
        assert 1 in track.indices
        assert is_isrc(track.words.get("ISRC", "AA6Q72000047"))
    catalogue = cue.words.get("CATALOG", "4006381333931")
    assert len(catalogue) == 13
    assert is_gtin(catalogue)
    for words in (cue.words, *(track.words for track in cue.tracks)):
        assert all(len(words.get(word, "")) <= 80 for word in ("TITLE", "PERFORMER"))


def made_of(lengths: list[int], gaps: list[int], titles: list[str], gtin: str | None = None) -> Manifest:
    """A manifest of songs with these lengths, gaps included, and of the record as one file."""
    starts = [sum(lengths[:i]) for i in range(len(lengths))]
    songs = [
        song_file(i + 1, titles[i], starts[i], lengths[i], gaps[i], -14.0, path=f"{i + 1:02d} a.wav")
        for i in range(len(lengths))
    ]
    record = SoundFile(
        path="00 Record.wav",
        role="assembly",
        sha256="0" * 64,
        bytes=44 + 4 * sum(lengths),
        facts=sound_facts(sum(lengths), -14.0),
        songs=tuple(range(1, len(lengths) + 1)),
        title="Record",
    )
    return replace(paper_delivery().manifest, gtin=gtin, sounds=(record, *songs))


def cue_of(manifest: Manifest) -> str:
    """The only sheet of a manifest."""
    release = Release(title="Record", song=tuple(ReleaseSong(plan="a.toml") for _ in manifest.sounds[1:]))
    [text] = cue_sheets(manifest, sides_of(manifest, release)).values()
    return text


def test_the_sheet_of_a_disc() -> None:
    made = paper_delivery()
    [(name, text)] = cue_sheets(made.manifest, sides_of(made.manifest, made.release)).items()
    assert name == "tracks.cue"
    cue = read_cue(text)
    check_disc(cue, 37_653 * CD_FRAME)
    assert (cue.file, cue.kind, cue.words["CATALOG"]) == ("00 Tide Tables.wav", "WAVE", "4006381333931")
    # Song 1 ends 88 300 frames before song 2, which is 150.17 CD frames: 150 of them are silent as a whole.
    assert [track.indices for track in cue.tracks] == [{1: 0}, {0: 12_450, 1: 12_600}, {1: 27_750}]
    assert [track.words["ISRC"] for track in cue.tracks] == [f"AA6Q720000{n}" for n in (47, 48, 49)]
    assert [track.words["PERFORMER"] for track in cue.tracks][1:] == [
        "Oddskerry",
        "Oddskerry with Marin Vole",
    ]


def test_a_flac_file_is_called_one() -> None:
    manifest = made_of([3_000 * CD_FRAME], [0], ["a"])
    record, song = manifest.sounds
    flac = replace(record, path="00 Record.flac", facts=replace(record.facts, container="flac"))
    cue = read_cue(cue_of(replace(manifest, sounds=(flac, song))))
    assert (cue.file, cue.kind) == ("00 Record.flac", "FLAC")


def test_words_that_a_sheet_cannot_hold() -> None:
    titles = ['The "Big" One\n', "x" * 81, "長い" * 40]
    cue = read_cue(cue_of(made_of([3_000 * CD_FRAME] * 3, [0] * 3, titles)))
    assert [track.words["TITLE"] for track in cue.tracks] == ["The 'Big' One", "x" * 77 + "...", "長い" * 40]


@pytest.mark.parametrize(
    ("gtin", "catalogue"),
    [  # check digits after GS1's published examples
        ("4006381333931", "4006381333931"),
        ("036000241457", "0036000241457"),
        ("00036000241457", "0036000241457"),
        ("10036000241454", None),
        ("73513537", None),  # an EAN-8
        (None, None),
    ],
)
def test_a_gtin_in_thirteen_digits(gtin: str | None, catalogue: str | None) -> None:
    cue = read_cue(cue_of(made_of([3_000 * CD_FRAME], [0], ["a"], gtin)))
    assert cue.words.get("CATALOG") == catalogue


def test_a_gap_of_less_than_a_cd_frame_is_none() -> None:
    cue = read_cue(cue_of(made_of([3_000 * CD_FRAME] * 2, [CD_FRAME - 1, 0], ["a", "b"])))
    assert cue.tracks[1].indices == {1: 3_000}
    cue = read_cue(cue_of(made_of([3_000 * CD_FRAME] * 2, [CD_FRAME, 0], ["a", "b"])))
    assert cue.tracks[1].indices == {0: 2_999, 1: 3_000}


@pytest.mark.parametrize(
    ("changed", "lengths"),
    [
        ({}, [3_000 * CD_FRAME + 1, 3_000 * CD_FRAME - 1]),  # a cut off its frame
        ({}, [3_000 * CD_FRAME, 3_000 * CD_FRAME + 1]),  # an end off its frame
        ({}, [299 * CD_FRAME, 3_000 * CD_FRAME]),  # a song of less than 4 s
        ({}, [3_000 * CD_FRAME, 447_001 * CD_FRAME]),  # past 99:59:74
        ({}, [300 * CD_FRAME] * 100),
        ({"rate_hz": 48_000}, [3_000 * CD_FRAME] * 2),
        ({"container": "mp3"}, [3_000 * CD_FRAME] * 2),
    ],
)
def test_what_is_not_fit_for_a_disc_has_no_sheet(changed: dict[str, object], lengths: list[int]) -> None:
    manifest = made_of(lengths, [0] * len(lengths), ["a"] * len(lengths))
    sounds = tuple(
        replace(one, facts=replace(one.facts, **changed))  # type: ignore[arg-type]
        for one in manifest.sounds
    )
    manifest = replace(manifest, sounds=sounds)
    release = Release(title="Record", song=tuple(ReleaseSong(plan="a.toml") for _ in lengths))
    assert cue_sheets(manifest, sides_of(manifest, release)) == {}


def test_without_an_assembly_there_is_no_sheet() -> None:
    manifest = made_of([3_000 * CD_FRAME], [0], ["a"])
    manifest = replace(manifest, sounds=manifest.sounds[1:])
    [side] = sides_of(manifest, Release(title="Record", song=(ReleaseSong(plan="a.toml"),)))
    assert not is_fit_for_disc(side)


def test_every_side_has_its_own_sheet_from_its_own_start() -> None:
    whole = made_of([3_000 * CD_FRAME] * 4, [0, CD_FRAME, 0, CD_FRAME], list("abcd"))
    songs = [replace(one, side="A" if (one.place or 0) < 3 else "B") for one in whole.sounds[1:]]
    facts = sound_facts(6_000 * CD_FRAME, -14.0)
    halves = [
        replace(whole.sounds[0], path=f"00 Record side {side}.wav", songs=songs_of, side=side, facts=facts)
        for side, songs_of in (("A", (1, 2)), ("B", (3, 4)))
    ]
    manifest = replace(whole, sounds=(*halves, *songs))
    release = Release(title="Record", song=tuple(ReleaseSong(plan="a.toml") for _ in songs))
    made = cue_sheets(manifest, sides_of(manifest, release))
    assert list(made) == ["tracks side A.cue", "tracks side B.cue"]
    second = read_cue(made["tracks side B.cue"])
    check_disc(second, 6_000 * CD_FRAME)
    assert second.file == "00 Record side B.wav"
    assert [track.words["TITLE"] for track in second.tracks] == ["c", "d"]
    assert second.tracks[0].indices == {1: 0}


def test_a_side_of_any_name_has_a_sheet_of_a_name_that_every_system_takes() -> None:
    whole = made_of([3_000 * CD_FRAME], [0], ["a"])
    sounds = tuple(replace(one, side="A/1") for one in whole.sounds)
    release = Release(title="Record", song=(ReleaseSong(plan="a.toml"),))
    manifest = replace(whole, sounds=sounds)
    assert list(cue_sheets(manifest, sides_of(manifest, release))) == ["tracks side A-1.cue"]


TITLES = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=100)


@given(
    st.lists(
        st.tuples(st.integers(300, 5_000), st.integers(0, 299 * CD_FRAME), TITLES), min_size=1, max_size=9
    )
)
@settings(max_examples=50, deadline=None, derandomize=True)
def test_any_disc_keeps_the_rules(songs: list[tuple[int, int, str]]) -> None:
    lengths, gaps, titles = (
        [one[0] * CD_FRAME for one in songs],
        [one[1] for one in songs],
        [one[2] for one in songs],
    )
    cue = read_cue(cue_of(made_of(lengths, gaps, titles)))
    check_disc(cue, sum(lengths))
    for i, track in enumerate(cue.tracks[1:], 1):
        start = track.indices[1] * CD_FRAME
        assert start == sum(lengths[:i])
        silent = start - track.indices.get(0, track.indices[1]) * CD_FRAME
        assert 0 <= gaps[i - 1] - silent < CD_FRAME


@pytest.mark.skipif(FLAC is None or METAFLAC is None, reason="needs flac and metaflac (Debian: flac)")
def test_libflac_reads_it_as_a_disc(tmp_path: Path) -> None:
    """`flac --cuesheet` refuses what breaks the rules of CD-DA; `metaflac` tells what it understood."""
    lengths, gaps = [400 * CD_FRAME, 310 * CD_FRAME, 500 * CD_FRAME], [50 * CD_FRAME + 3, 0, 0]
    manifest = made_of(lengths, gaps, ['One "1"', "Tvö & þrjú", "z" * 90], "4006381333931")
    (tmp_path / "tracks.cue").write_text(cue_of(manifest), encoding="utf-8")
    with soundfile.SoundFile(tmp_path / "00 Record.wav", "w", 44_100, 2, "PCM_16") as file:
        file.write([[0.0, 0.0]] * sum(lengths))
    run(tmp_path, str(FLAC), "--silent", "--cuesheet=tracks.cue", "00 Record.wav", "-o", "a.flac")
    said = run(tmp_path, str(METAFLAC), "--list", "--block-type=CUESHEET", "a.flac")
    assert "is CD: true" in said
    assert "media catalog number: 4006381333931" in said
    assert re.findall(r"ISRC: (\S+)", said) == ["AA6Q72000047", "AA6Q72000048", "AA6Q72000049"]
    starts = [int(offset) for offset in re.findall(r"track\[\d\]\n +offset: (\d+)", said)]
    # libFLAC puts a track at its first index, and the lead-out at the end.
    assert starts == [0, 350 * CD_FRAME, 710 * CD_FRAME, 1_210 * CD_FRAME]


def test_a_delivered_sheet_names_a_file_that_lies_beside_it(
    pristine_delivered: dict[str, Delivered],
) -> None:
    [sheet] = pristine_delivered["cd"].folder.rglob("*.cue")
    cue = read_cue(sheet.read_text(encoding="utf-8"))
    assert "/" not in cue.file
    with soundfile.SoundFile(sheet.parent / cue.file) as whole:
        check_disc(cue, whole.frames)


def run(folder: Path, *command: str) -> str:
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout
