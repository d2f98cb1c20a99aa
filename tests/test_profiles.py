"""Profiles are read like plans; the house's hold published figures; a release's own are found by name."""

from __future__ import annotations

import json
import re
import tomllib
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.cli.main import main
from arsis.deliver.file_names import assembly_file, song_file
from arsis.deliver.known_profiles import HOUSE, find_profile, known_profile, names
from arsis.deliver.order import ENDS, song_for_delivery
from arsis.errors import ArsisError, DocumentError
from arsis.plan.codec import parse_profile, read_profile
from arsis.plan.declared import declared
from arsis.plan.model import Finish, ReleaseSong, Song
from arsis.plan.profile import CodecCheck, LoudnessAdvice, Profile, Sides
from arsis.settings import Limiter

from .low_tides import SmallRecord
from .test_plan_docs import row

FOLDER = files("arsis.deliver") / "profiles"
NOWHERE = Path("/nonexistent")
HEAD = 'schema = 1\nname = "mine"\n'
MP3 = 'container = "mp3"\nkbps = 320.0\nrate_hz = 44100\n'
SIDES = """[sides]
best_side_s = 1170.0
most_side_s = 1380.0
mono_below_hz = 300.0
most_side_low_db = -3.0
sibilance_from_hz = 6000.0
most_sibilance_db = -8.0
"""


@pytest.mark.parametrize("name", HOUSE)
def test_the_house_has_each_profile_that_it_names(name: str) -> None:
    profile = find_profile(name, NOWHERE)
    assert (profile.name, profile.about != "") == (name, True)
    assert sorted(HOUSE) == sorted(file.name.removesuffix(".toml") for file in FOLDER.iterdir())


@pytest.mark.parametrize("name", HOUSE)
def test_every_figure_of_the_house_says_where_it_comes_from(name: str) -> None:
    text = (FOLDER / f"{name}.toml").read_text(encoding="utf-8")
    source = re.compile(r"[Cc]ommon practice|IEC \d|ISO/IEC|EBU R|AES TD|ITU-R|RFC \d|plants")
    for paragraph in re.split(r"\n\n", text):
        figures = re.findall(r"^\w+ = -?\d.*|^bits = .*|^kbps = .*", paragraph, re.MULTILINE)
        if [figure for figure in figures if not figure.startswith("schema")]:
            assert source.search(paragraph) or "source = " in paragraph, paragraph


def test_a_disc_holds_the_figures_of_its_standard() -> None:
    # Check-values, 8.6, from IEC 60908 by way of libFLAC and its test files.
    disc = find_profile("cd", NOWHERE)
    assert (disc.rate_hz, disc.bits, disc.channels) == (44_100, "16", 2)
    assert (disc.cut_frames, 75 * disc.cut_frames) == (588, 44_100)
    assert disc.most_songs == 99
    assert round(disc.least_song_s * 44_100) == 176_400
    assert disc.most_record_s is not None
    # 80 minutes are 211 680 000 samples, the first 88 200 of them the pause before track 1.
    assert 74 * 60 < disc.most_record_s <= (211_680_000 - 88_200) / 44_100
    assert disc.dither is None  # each plan's own
    assert disc.assembly


def test_streaming_holds_the_published_advice() -> None:
    # Check-values, 2.4 (EBU R 128) and 3 (AES TD1008).
    stream = find_profile("stream", NOWHERE)
    assert (stream.bits, stream.rate_hz, stream.ceiling_dbtp) == ("24", None, -1.0)
    assert {one.of: one.target_lufs for one in stream.loudness} == {
        "song": -16.0,
        "loudest_song": -14.0,
        "record": -23.0,
    }
    assert {one.codec for one in stream.codec} == {"aac", "mp3", "opus", "vorbis"}


def test_the_other_house_profiles_are_what_the_trade_expects() -> None:
    hires, vinyl, preview = (find_profile(name, NOWHERE) for name in ("hires", "vinyl", "preview"))
    assert (hires.bits, hires.rate_hz, hires.container) == ("24", None, "wav")
    assert (vinyl.limiter, vinyl.assembly, vinyl.bits) == (False, True, "24")
    assert vinyl.sides is not None
    assert preview.kbps is not None


FAULTS = {
    "no name": ("schema = 1\n", 0, "name", "text, not empty"),
    "a name that is no folder's": ('schema = 1\nname = "a/b"\n', 2, "name", "letters, digits, - and _"),
    "an unknown key": (HEAD + "bitz = 16\n", 3, "bitz", "the keys here are schema, name"),
    "a word of no length": (HEAD + 'bits = "20"\n', 3, "bits", 'one of "16", "24", "32f"'),
    "floating FLAC": (HEAD + 'container = "flac"\nbits = "32f"\n', 4, "bits", "16 or 24"),
    "bits of a lossy file": (HEAD + MP3 + 'bits = "24"\n', 6, "bits", "mp3 has no word length"),
    "dither of a lossy file": (HEAD + MP3 + 'dither = "flat"\n', 6, "dither", "mp3 has no word length"),
    "dithered floats": (HEAD + 'bits = "32f"\ndither = "flat"\n', 4, "dither", "is not dithered"),
    "lossy without a bit rate": (HEAD + 'container = "aac"\nrate_hz = 48000\n', 0, "kbps", "aac needs one"),
    "lossy at the mixes' rate": (HEAD + 'container = "mp3"\nkbps = 320.0\n', 0, "rate_hz", "32000 or 44100"),
    "bit rate of a WAV": (HEAD + "kbps = 320.0\n", 3, "kbps", "wav is not coded by bit rate"),
    "MP3 at a rate it has not": (HEAD + MP3.replace("44100", "96000"), 5, "rate_hz", "48000 Hz for mp3"),
    "MP3 at a bit rate it has not": (HEAD + MP3.replace("320", "300"), 4, "kbps", "256, 320 kbit/s"),
    "MP3 at a bit rate its coder has not": (HEAD + MP3.replace("320", "48"), 4, "kbps", "one of 64, 80, 96"),
    "too much for AAC at its rate": (
        HEAD + MP3.replace("mp3", "aac").replace("320", "400").replace("44100", "32000"),
        4,
        "kbps",
        "32 to 384 kbit/s for aac",
    ),
    "too much for Vorbis in mono": (
        HEAD + "channels = 1\n" + MP3.replace("mp3", "vorbis"),
        5,
        "kbps",
        "48 to 239 kbit/s for vorbis",
    ),
    "more than any coder takes": (HEAD + MP3.replace("320", "600"), 4, "kbps", "from 32 to 512 kbit/s"),
    "Opus at 44.1 kHz": (HEAD + MP3.replace("mp3", "opus"), 5, "rate_hz", "48000 Hz for opus"),
    "too much for Vorbis": (
        HEAD + '[[codec]]\ncodec = "vorbis"\nkbps = 512.0\n',
        5,
        "codec[1].kbps",
        "42 to 499 kbit/s for vorbis",
    ),
    "a coder twice": (
        HEAD + 2 * '[[codec]]\ncodec = "aac"\nkbps = 256.0\n',
        6,
        "codec[2]",
        "every coder once at a bit rate",
    ),
    "no ceiling to fit under": (HEAD + "limiter = false\n", 0, "ceiling_dbtp", "turned down to fit"),
    "a ceiling over full scale": (HEAD + "ceiling_dbtp = 1.0\n", 3, "ceiling_dbtp", "from -12 to 0 dBTP"),
    "cuts at no rate": (HEAD + "cut_frames = 588\n", 0, "rate_hz", "a length only at a rate"),
    "cuts of a disc at another rate": (
        HEAD + "cut_frames = 588\nrate_hz = 48000\n",
        4,
        "rate_hz",
        "44100 Hz: cuts on 588 frames are those of a CD",
    ),
    "an unknown placeholder": (HEAD + 'file_name = "{titel}"\n', 3, "file_name", 'did you mean "title"?'),
    "a placeholder with a form": (HEAD + 'file_name = "{place:02d}"\n', 3, "file_name", "one of {place}"),
    "an open brace": (HEAD + 'file_name = "{place"\n', 3, "file_name", "every brace closed"),
    "one name for all songs": (
        HEAD + 'file_name = "{artist}"\n',
        3,
        "file_name",
        "all songs are called alike",
    ),
    "no longest side": (HEAD + SIDES.replace("1380", "1000"), 4, "sides.best_side_s", "at most most_side_s"),
    "loudness without a source": (
        HEAD + '[[loudness]]\nof = "song"\ntarget_lufs = -16.0\n',
        3,
        "loudness[1].source",
        "text, not empty",
    ),
    "a schema of the future": ("schema = 2\n", 1, "schema", "a newer arsis wrote this document"),
}


@pytest.mark.parametrize(("text", "line", "key", "allowed"), FAULTS.values(), ids=list(FAULTS))
def test_a_fault_of_a_profile_is_told_with_its_line(text: str, line: int, key: str, allowed: str) -> None:
    with pytest.raises(DocumentError) as caught:
        parse_profile(text, "mine.toml")
    [fault] = caught.value.faults
    assert (fault.file, fault.line, fault.key) == ("mine.toml", line, key)
    assert allowed in fault.allowed


def test_all_faults_of_a_profile_are_told_at_once(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(HEAD + 'container = "mp3"\nbits = 16\nlimiter = false\nfile_name = "x"\n')
    with pytest.raises(DocumentError) as caught:
        read_profile(path)
    found = sorted(fault.key for fault in caught.value.faults)
    assert found == ["bits", "bits", "ceiling_dbtp", "file_name", "kbps", "rate_hz"]


def test_a_release_has_profiles_of_its_own(tmp_path: Path) -> None:
    (tmp_path / "profiles").mkdir()
    path = tmp_path / "profiles" / "mine.toml"
    path.write_text("# kept\n" + HEAD + 'bits = "32f"\n')
    found = known_profile("mine", tmp_path)
    assert (found.profile.bits, found.is_house) == ("32f", False)
    assert found.text.startswith("# kept")
    assert names(tmp_path) == (*HOUSE, "mine")
    path.rename(tmp_path / "profiles" / "yours.toml")
    with pytest.raises(DocumentError, match=r'profiles/yours\.toml: name: found "mine"; allowed: "yours"'):
        known_profile("yours", tmp_path)


def test_a_profile_of_the_house_is_never_shadowed(tmp_path: Path) -> None:
    (tmp_path / "profiles").mkdir()
    (tmp_path / "profiles" / "cd.toml").write_text(HEAD)
    with pytest.raises(DocumentError, match="allowed: a name of its own: the house has a profile"):
        find_profile("cd", tmp_path)
    assert find_profile("hires", tmp_path).name == "hires"


@pytest.mark.parametrize("name", ["", "../songs/first", "no-such", "cd.toml"])
def test_an_unknown_profile_is_told_with_the_known_ones(name: str, tmp_path: Path) -> None:
    with pytest.raises(
        ArsisError, match=f'found "{re.escape(name)}"; allowed: hires, cd, stream, vinyl, preview'
    ):
        find_profile(name, tmp_path)


PLAN = Song(title="t", mix="m.wav", finish=Finish(gain_db=1.0, limiter=Limiter(ceiling_dbtp=-0.5)))
PLAIN = Profile(name="plain")


def test_a_profile_that_asks_for_nothing_changes_nothing() -> None:
    assert song_for_delivery(PLAN, ReleaseSong(plan="p"), PLAIN) is PLAN


def test_a_ceiling_is_lowered_and_never_raised() -> None:
    for wanted, got in ((-1.0, -1.0), (0.0, -0.5), (-0.5, -0.5)):
        profile = replace(PLAIN, ceiling_dbtp=wanted)
        limiter = song_for_delivery(PLAN, ReleaseSong(plan="p"), profile).finish.limiter
        assert limiter is not None
        assert limiter == replace(Limiter(), ceiling_dbtp=got)
    bare = replace(PLAN, finish=Finish())
    assert song_for_delivery(bare, ReleaseSong(plan="p"), replace(PLAIN, ceiling_dbtp=-1.0)) is bare


def test_trim_goes_into_the_limiter_and_dither_is_the_profile_s() -> None:
    profile = replace(PLAIN, dither="wannamaker_3", limiter=False, ceiling_dbtp=-1.0)
    finish = song_for_delivery(PLAN, ReleaseSong(plan="p", trim_db=-0.25), profile).finish
    assert finish == Finish(gain_db=0.75, limiter=None, dither="wannamaker_3")


@given(title=st.text(max_size=300), artist=st.text(max_size=20), place=st.integers(1, 999))
@settings(derandomize=True, deadline=None, max_examples=200)
def test_a_file_s_name_is_fit_for_every_system(title: str, artist: str, place: int) -> None:
    # Windows: no <>:"/\|?* nor controls, no space or dot at the end, at most 255 units; Linux: 255 bytes.
    profile = replace(PLAIN, file_name="{title} {artist} {version}", container="opus")
    for name in (song_file(profile, place, title, artist, None, "TV"), assembly_file(profile, title, "A")):
        stem = name.removesuffix(ENDS["opus"])
        assert name.endswith(ENDS["opus"])
        assert stem
        assert not re.search(r'[<>:"/\\|?*\x00-\x1f\x7f]', name)
        assert stem == stem.strip(" .")
        assert len(name.encode(errors="surrogatepass")) <= 255


def test_names_by_example() -> None:
    title = replace(PLAIN, file_name="{title}")
    assert song_file(PLAIN, 1, "Low Water", "", None) == "01 Low Water.wav"
    assert song_file(PLAIN, 1, "Low Water", "", None, "instrumental") == "01 Low Water (instrumental).wav"
    bracketed = replace(PLAIN, file_name="{place} {title} ({version})")
    assert song_file(bracketed, 1, "Low Water ()", "", None) == "01 Low Water ().wav"  # as it is called
    assert song_file(bracketed, 1, "Low Water", "", None, "TV") == "01 Low Water (TV).wav"
    assert song_file(replace(PLAIN, file_name="{title} [{version}]"), 1, "Low", "", None) == "Low.wav"
    assert song_file(title, 7, "AC/DC: what?", "", None) == "AC-DC- what-.wav"
    assert song_file(title, 7, "...", "", None) == "07.wav"
    assert song_file(title, 7, "con", "", None) == "con-.wav"  # a device's name on Windows
    assert song_file(title, 7, "Caf\u0065\u0301", "", None) == "Caf\u00e9.wav"
    assert assembly_file(PLAIN, "Tide Tables") == "00 Tide Tables.wav"
    assert assembly_file(PLAIN, "Tide Tables", "A") == "00 Tide Tables side A.wav"
    assert assembly_file(PLAIN, 300 * "Tide ", "B").endswith(
        "Tide side B.wav"
    )  # else both sides are one file


def test_a_profile_s_own_text_is_what_is_read() -> None:
    found = known_profile("cd", NOWHERE)
    assert tomllib.loads(found.text)["name"] == "cd"
    assert parse_profile(found.text) == found.profile


PAGE = (Path(__file__).parent.parent / "docs" / "profiles.md").read_text(encoding="utf-8")
TABLES = {
    "One's own": Profile,
    "`[[loudness]]`": LoudnessAdvice,
    "`[[codec]]`": CodecCheck,
    "`[sides]`": Sides,
}


@pytest.mark.parametrize(("heading", "kind"), TABLES.items(), ids=list(TABLES))
def test_the_page_has_every_key_as_it_is_declared(heading: str, kind: type) -> None:
    [section] = re.findall(rf"^#+ {re.escape(heading)}\n(.*?)(?=^#|\Z)", PAGE, re.MULTILINE | re.DOTALL)
    written = [line for line in section.splitlines() if line.startswith("| `")]
    assert written == [row(one) for one in declared(kind).values()]


def test_the_command_lists_and_shows_profiles(tides: SmallRecord) -> None:
    tides.profile("mine", 'about = "for the archive"\n')
    listed = CliRunner().invoke(main, ["profiles", str(tides.folder)])
    assert listed.exit_code == 0
    lines = listed.stdout.splitlines()
    assert [line.split()[0] for line in lines] == ["profile", *HOUSE, "mine"]
    assert lines[-1].startswith("mine     for the archive")
    assert [line.endswith("the release's") for line in lines] == [*(False for _ in lines[1:]), True]
    shown = CliRunner().invoke(main, ["profiles", "--show", "cd"])
    assert shown.stdout == (FOLDER / "cd.toml").read_text(encoding="utf-8")
    as_json = json.loads(CliRunner().invoke(main, ["profiles", "--json"]).stdout)
    assert [one["name"] for one in as_json["profiles"]] == list(HOUSE)
    for arguments, said in (
        (["--show", "nix"], 'found "nix"'),
        ([str(tides.folder / "nix")], "found no folder"),
    ):
        failed = CliRunner().invoke(main, ["profiles", *arguments])
        assert (failed.exit_code, said in failed.stderr) == (2, True)
