"""Documents come in whole or with every fault named, and go out so that they come in the same."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given, settings

from arsis.errors import DocumentError, Fault
from arsis.plan.codec import (
    parse_release,
    parse_song,
    read_release,
    read_song,
    release_from_table,
    release_to_toml,
    schema,
    song_from_table,
    song_to_toml,
)
from arsis.plan.declared import declared, kind_of
from arsis.plan.model import Release, Song
from arsis.plan.table import as_table
from arsis.settings import PROCESSORS, Bell
from tests.plans_made import RELEASE, songs

PLANS = Path(__file__).parent / "plans"
GOOD = (PLANS / "v1" / "low-water.toml").read_text()


def faults_of(text: str) -> tuple[Fault, ...]:
    with pytest.raises(DocumentError) as caught:
        parse_song(text, "x.toml")
    return caught.value.faults


def changed(*pairs: tuple[str, str]) -> str:
    """The good plan with words exchanged; every one of them must be there."""
    text = GOOD
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new, 1)
    return text


def line_with(text: str, part: str) -> int:
    return text[: text.index(part)].count("\n") + 1


@given(songs())
@settings(derandomize=True, deadline=None, max_examples=100)
def test_a_song_written_and_read_is_the_same_song(song: Song) -> None:
    assert parse_song(song_to_toml(song)) == song


@given(RELEASE)
@settings(derandomize=True, deadline=None, max_examples=50)
def test_a_release_written_and_read_is_the_same_release(release: Release) -> None:
    assert parse_release(release_to_toml(release)) == release


@given(songs(), RELEASE)
@settings(derandomize=True, deadline=None, max_examples=50)
def test_a_table_goes_through_json(song: Song, release: Release) -> None:
    assert song_from_table(json.loads(json.dumps(as_table(song)))) == song
    assert release_from_table(json.loads(json.dumps(as_table(release)))) == release


def test_times_are_written_to_the_microsecond_and_every_level_is_exact() -> None:
    text = song_to_toml(parse_song(changed(("38.095238", "38.0952384999"), ("-0.5", "-0.30000000000000004"))))
    assert "start_s = 38.095238\n" in text
    assert "gain_db = -0.30000000000000004" in text


def test_a_whole_number_is_a_number_and_true_and_text_are_not() -> None:
    assert parse_song(changed(("gain_db = 0.6", "gain_db = 1"))) == parse_song(
        changed(("gain_db = 0.6", "gain_db = 1.0"))
    )
    for wrong in ("true", '"0.6"', "[0.6]", "nan", "inf", "-inf", "1979-05-27", f"1{'0' * 400}"):
        [fault] = faults_of(changed(("gain_db = 0.6", f"gain_db = {wrong}")))
        assert (fault.key, fault.allowed) == ("pass.B.chain[1].gain_db", "a number from -60 to 24 dB")


# What is exchanged; where the fault must lie (the line with this text); its key; words in its message.
FAULTS = [
    (("start_s = 38.095238", "start_s = 12.0"), "start_s = 12.0", "section[3].start_s", "later than"),
    (("start_s = 0.000000", "start_s = 0.5"), "start_s = 0.5", "section[1].start_s", "starts with the song"),
    (("time_s = 100.0", "time_s = -1"), "time_s = -1", "ride[1].time_s", "of at least 0 s"),
    (('pass = "B"', 'pass = "E"'), 'pass = "E"', "section[3].pass", "there are: A, B, C"),
    (('name = "verse 1"', 'name = "intro"'), 'name = "intro"\nkind = "verse"', "section[2].name", "no other"),
    (('kind = "verse"', 'kind = "vers"'), '"vers"', "section[2].kind", 'did you mean "verse"?'),
    (("ride_db = 0.4", "ride_dB = 0.4"), "ride_dB", "section[3].ride_dB", 'did you mean "ride_db"?'),
    (("ride_db = 0.4", "ride_db = 40"), "ride_db = 40", "section[3].ride_db", "from -24 to 12 dB"),
    (('title = "Low Water"', ""), "", "title", "found nothing"),
    (('title = "Low Water"', 'title = ""'), 'title = ""', "title", "not empty"),
    (('mix = "mixes/low', 'mix = "../low'), "../low", "mix", "inside the release folder"),
    (('mix = "mixes/low', 'mix = "/low'), '"/low', "mix", "inside the release folder"),
    (('mix = "mixes/low', 'mix = "C:/low'), '"C:/low', "mix", "inside the release folder"),
    (('print = "prints/', 'print = "prints\\\\'), "\\\\", "pass.C.print", "parts divided by /"),
    (('kind = "gain"', 'kind = "gian"'), '"gian"', "pass.B.chain[1].kind", 'did you mean "gain"?'),
    (('kind = "gain", ', ""), "{ gain_db = 0.6", "pass.B.chain[1].kind", "found nothing"),
    (("freq_hz = 3200.0, ", ""), "bell", "pass.B.chain[3].freq_hz", "found nothing"),
    (("q = 1.1", "Q = 1.1"), "Q = 1.1", "pass.B.chain[3].Q", "unknown key"),
    (("[pass.C]", '[pass.C]\nchain = [{ kind = "gain" }]'), "print =", "pass.C.print", "one of them"),
    (("ceiling_dbtp = -1.0", "ceiling_dbtp = 0.1"), "ceiling", "finish.limiter.ceiling_dbtp", "to 0 dBTP"),
    (("follow = true", "follow = 1"), "follow = 1", "version[1].follow", "true or false"),
    (
        ("time_s = 104.0", "time_s = 100.0"),
        "time_s = 100.0\ngain_db = 0.5",
        "ride[2].time_s",
        "later than the point before",
    ),
    (("[finish]", "[[finish]]"), "[[finish]]", "finish", "a table"),
    (("schema = 1", ""), "", "schema", "found nothing"),
    (("schema = 1", "schema = 1.0"), "schema = 1.0", "schema", "found 1.0"),
    (("schema = 1", "schema = 9"), "schema = 9", "schema", "a newer arsis"),
    (("schema = 1", "pass_ = 1\nschema = 1"), "pass_", "pass_", "unknown key"),
    (('mix_sha256 = "', 'mix_sha256 = "g'), "mix_sha256", "mix_sha256", "SHA-256"),
]


@pytest.mark.parametrize(("exchange", "part", "key", "words"), FAULTS, ids=lambda value: str(value)[:30])
def test_a_fault_names_its_line_its_key_and_what_is_allowed(
    exchange: tuple[str, str], part: str, key: str, words: str
) -> None:
    text = changed(exchange)
    [fault] = faults_of(text)
    assert fault.key == key
    assert fault.line == (line_with(text, part) if part else 0)
    assert words in str(fault)


def test_all_faults_of_a_file_come_together_in_the_order_of_its_lines() -> None:
    singles = [FAULTS[place] for place in (3, 5, 6, 14, 17, 19)]
    faults = faults_of(changed(*(exchange for exchange, *_ in singles)))
    assert [fault.key for fault in faults] == [
        "section[2].kind",
        "section[3].pass",
        "section[3].ride_dB",
        "pass.B.chain[1].kind",
        "pass.B.chain[3].Q",
        "finish.limiter.ceiling_dbtp",
    ]
    assert sorted(fault.line for fault in faults) == [fault.line for fault in faults]


def test_the_error_reads_as_one_line_a_fault() -> None:
    with pytest.raises(
        DocumentError, match=r"^songs/a\.toml:\d+: section\[3\]\.ride_db: found 40\.5; allowed: a "
    ) as caught:
        parse_song(changed(("ride_db = 0.4", "ride_db = 40.5"), ("q = 1.1", "q = 0")), "songs/a.toml")
    assert len(str(caught.value).splitlines()) == 2


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("schema = 1\ntitle = = 2\n", 2),
        ("schema = 1\n\ntitle = 'a\n", 3),
        ("schema = 1\nschema = 1\n", 2),
        ("[a\n", 1),
        ("schema = 1\ntitle = [1,\n", 2),
        ("\ufeffschema = 1\n", 1),
        (f"schema = {'[' * 5000}", 0),
        (f"schema = 1{'0' * 5000}", 0),
    ],
)
def test_text_that_is_not_toml_is_a_fault_with_its_line(text: str, line: int) -> None:
    [fault] = faults_of(text)
    assert (fault.file, fault.line, fault.allowed) == ("x.toml", line, "a document of TOML 1.0")


def test_a_file_that_cannot_be_read_is_a_fault(tmp_path: Path) -> None:
    broken = tmp_path / "broken.toml"
    broken.write_bytes(b'schema = 1\ntitle = "\xff"\n')
    with pytest.raises(
        DocumentError, match=r"broken\.toml:2: text: found a byte 0xff; allowed: text in UTF-8"
    ):
        read_song(broken)
    with pytest.raises(DocumentError, match="No such file"):
        read_song(tmp_path / "none.toml")
    with pytest.raises(DocumentError, match="directory"):
        read_release(tmp_path)


@pytest.mark.parametrize(
    "text", ["", "schema = 1", "section = 1\npass = 2\nride = true\nfinish = []\nversion = {}"]
)
def test_hardly_a_document_has_all_its_faults_told(text: str) -> None:
    keys = {fault.key for fault in faults_of(text)}
    assert {"title", "mix", "section", "pass"} <= keys


def test_release_identifiers_are_checked() -> None:
    good = (PLANS / "v1" / "release.toml").read_text()
    assert parse_release(good).song[0].isrc == "QZ-ABC-26-00001"
    bad = (
        good.replace("4006381333931", "4006381333932")
        .replace("QZ-ABC-26-00001", "QZ-ABC-26-1")
        .replace("songs/outro.toml", "/songs/outro.toml")
    )
    with pytest.raises(DocumentError) as caught:
        parse_release(bad)
    assert [fault.key for fault in caught.value.faults] == ["gtin", "song[1].isrc", "song[2].plan"]
    twice = good.replace("QZABC2600002", "QZABC2600001")
    with pytest.raises(DocumentError, match=r"song\[2\]\.isrc.*no other recording"):
        parse_release(twice)


def test_the_json_schema_has_bounds_units_defaults_and_every_kind() -> None:
    bell = schema(Bell)
    gain = bell["properties"]["gain_db"]
    assert (gain["minimum"], gain["maximum"], gain["unit"], gain["default"]) == (-24.0, 24.0, "dB", 0.0)
    assert bell["required"] == ["kind", "freq_hz"]
    assert (bell["properties"]["bypass"]["type"], bell["properties"]["bypass"]["default"]) == (
        "boolean",
        False,
    )
    assert bell["additionalProperties"] is False
    song = schema(Song)
    assert set(song["properties"]) == set(declared(Song))
    [chain] = [entry["properties"]["chain"] for name, entry in song["$defs"].items() if name == "Pass"]
    assert set(chain["items"]["discriminator"]["mapping"]) == {kind_of(kind) for kind in PROCESSORS}
    json.dumps(song, allow_nan=False)


@pytest.mark.parametrize("path", sorted((PLANS / "v1").glob("*.toml")), ids=lambda path: path.name)
def test_documents_of_schema_1_open_for_ever(path: Path) -> None:
    if path.name.startswith("release"):
        assert read_release(path).schema == 1
    else:
        assert read_song(path).schema == 1


def test_a_mark_of_byte_order_before_the_text_is_no_part_of_it(tmp_path: Path) -> None:
    """The Unicode Standard, 23.8: U+FEFF at the start of a text is its signature, and not in it."""
    path = tmp_path / "marked.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.encode())
    assert read_song(path) == parse_song(GOOD, "x.toml")
