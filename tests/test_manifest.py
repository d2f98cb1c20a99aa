"""The manifest as a file: the same bytes each time, read back as it was, and nothing else read."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.deliver.manifest import MANIFEST, Document, Manifest, MixUsed, SoundFacts, SoundFile
from arsis.deliver.manifest_file import (
    in_order,
    manifest_from_json,
    manifest_to_json,
    read_manifest,
    write_manifest,
)
from arsis.errors import ArsisError, DocumentError

SOUND = SoundFile(
    path="01 Low Water.wav",
    role="song",
    sha256="b" * 64,
    bytes=2_646_044,
    facts=SoundFacts(
        container="wav",
        rate_hz=44_100,
        channels=2,
        bits=16,
        is_float=False,
        used_bits=16,
        frames=661_500,
        sound_sha256="a" * 64,
        integrated_lufs=-14.25,
        range_lu=4.5,
        max_momentary_lufs=-11.0,
        max_short_term_lufs=-12.5,
        true_peak_dbtp=-1.0,
        sample_peak_dbfs=-1.25,
        head_silence_frames=0,
        tail_silence_frames=88_200,
    ),
    place=1,
    title="Low Water",
    isrc="AA6Q72000047",
    gap_frames=88_200,
    ceiling_dbtp=-1.0,
    tags={"title": "Low Water", "date": "2026", "path": "../of no meaning here"},
    warnings=("the limiter took 2.0 dB",),
)
SMALL = Manifest(
    arsis="0.1.0",
    date="2026-11-25",
    title="Tide Tables",
    artist="The Lamps",
    gtin="4006381333931",
    profile="cd",
    release_path="../..",
    rate_hz=44_100,
    plans=("plans/01-low-water.toml",),
    mixes=(MixUsed(path="mixes/low-water.wav", sha256="c" * 64, frames=661_500, rate_hz=44_100),),
    sounds=(SOUND,),
    documents=(Document(path="plans/01-low-water.toml", sha256="d" * 64, bytes=900),),
    libraries={"soxr": "0.5.0", "numpy": "2.0.0"},
)
GOLDEN = Path(__file__).parent / "golden" / "manifest.json"


def test_the_small_manifest_is_written_as_ever() -> None:
    assert manifest_to_json(SMALL) == GOLDEN.read_text(encoding="utf-8")


def test_the_order_in_which_files_were_made_makes_no_difference() -> None:
    later = replace(SOUND, path="02 a.wav", place=2)
    version = replace(SOUND, path="01 Low Water (clean).wav", role="version", version="clean")
    record = replace(SOUND, path="00 Tide Tables.wav", role="assembly", place=None, songs=(1, 2))
    sounds = (later, version, record, SOUND)
    documents = tuple(replace(SMALL.documents[0], path=path) for path in ("b", "a"))
    made = manifest_to_json(replace(SMALL, sounds=sounds, documents=documents))
    assert made == manifest_to_json(replace(SMALL, sounds=sounds[::-1], documents=documents[::-1]))
    read = manifest_from_json(made)
    assert read.sounds == (record, SOUND, version, later)
    assert [one.path for one in read.documents] == ["a", "b"]


def test_it_is_read_from_its_folder_and_from_its_file(tmp_path: Path) -> None:
    write_manifest(tmp_path, SMALL)
    assert [one.name for one in tmp_path.iterdir()] == [MANIFEST]
    assert read_manifest(tmp_path) == read_manifest(tmp_path / MANIFEST) == SMALL


def test_what_does_not_exist_is_null() -> None:
    silent = replace(SOUND, facts=replace(SOUND.facts, integrated_lufs=float("-inf"), true_peak_dbtp=None))
    table = json.loads(manifest_to_json(replace(SMALL, sounds=(silent,))))
    facts = table["sounds"][0]["facts"]
    assert facts["integrated_lufs"] is None
    assert facts["true_peak_dbtp"] is None


TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
PATHS = st.text(
    st.characters(exclude_categories=["Cs"], exclude_characters="/\\\0:."), min_size=1, max_size=12
)
SHA256 = st.text("0123456789abcdef", min_size=64, max_size=64)
LEVELS = st.none() | st.floats(allow_nan=False, allow_infinity=False, min_value=-2e3, max_value=2e3)
COUNTS = st.integers(0, 2**40)
FACTS = st.builds(
    SoundFacts,
    container=TEXT,
    rate_hz=st.integers(8_000, 192_000),
    channels=st.integers(1, 2),
    bits=st.none() | st.integers(8, 32),
    is_float=st.booleans(),
    used_bits=st.none() | st.integers(0, 32),
    frames=COUNTS,
    sound_sha256=SHA256,
    integrated_lufs=LEVELS,
    range_lu=LEVELS,
    max_momentary_lufs=LEVELS,
    max_short_term_lufs=LEVELS,
    true_peak_dbtp=LEVELS,
    sample_peak_dbfs=LEVELS,
    head_silence_frames=COUNTS,
    tail_silence_frames=COUNTS,
)
SOUNDS = st.builds(
    SoundFile,
    path=PATHS,
    role=st.sampled_from(["song", "version", "assembly"]),
    sha256=SHA256,
    bytes=COUNTS,
    facts=FACTS,
    place=st.none() | st.integers(1, 999),
    songs=st.lists(st.integers(1, 999), max_size=3).map(tuple),
    title=TEXT,
    version=st.none() | TEXT,
    side=TEXT,
    isrc=st.none() | TEXT,
    start_frame=COUNTS,
    gap_frames=COUNTS,
    ceiling_dbtp=LEVELS,
    tags=st.dictionaries(TEXT, TEXT, max_size=3),
    warnings=st.lists(TEXT, max_size=2).map(tuple),
)
MANIFESTS = st.builds(
    Manifest,
    schema=st.just(1),
    arsis=TEXT,
    date=st.dates().map(str),
    title=TEXT,
    artist=TEXT,
    gtin=st.none() | TEXT,
    profile=TEXT,
    release_path=TEXT,
    rate_hz=st.none() | st.integers(8_000, 192_000),
    trim_db=st.floats(-20, 20),
    record_lufs=LEVELS,
    plans=st.lists(PATHS, max_size=2).map(tuple),
    mixes=st.lists(
        st.builds(MixUsed, path=PATHS, sha256=SHA256, frames=COUNTS, rate_hz=st.just(48_000)), max_size=2
    ).map(tuple),
    sounds=st.lists(SOUNDS, max_size=3, unique_by=lambda one: one.path).map(tuple),
    documents=st.just(()),
    libraries=st.dictionaries(TEXT, TEXT, max_size=3),
)


@given(MANIFESTS)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_what_is_written_is_read(manifest: Manifest) -> None:
    text = manifest_to_json(manifest)
    assert manifest_from_json(text) == in_order(manifest)
    assert manifest_to_json(manifest_from_json(text)) == text


# Where, what is put there, what the message has to hold.
MISFITS: list[tuple[str, Any, str]] = [
    (
        "sounds.0.colour",
        "red",
        "sounds[1].colour: found an unknown key; allowed: the keys here are path, role",
    ),
    ("sounds.0.titel", "x", 'did you mean "title"?'),
    ("sounds.0.facts.rate_hz", "44100", 'sounds[1].facts.rate_hz: found "44100"; allowed: a whole number'),
    ("sounds.0.facts.rate_hz", True, "sounds[1].facts.rate_hz: found true"),
    ("sounds.0.facts.rate_hz", 44_100.0, "sounds[1].facts.rate_hz: found 44100.0"),
    ("sounds.0.facts.frames", -1, "a whole number of at least 0"),
    ("sounds.0.facts.frames", None, "sounds[1].facts.frames: found null"),
    ("sounds.0.facts.integrated_lufs", "loud", "allowed: a number from -2000 to 2000, or null"),
    ("sounds.0.facts.is_float", 0, "allowed: true or false"),
    ("sounds.0.role", "remix", 'allowed: one of "song", "version", "assembly"'),
    ("sounds.0.role", ["song"], "found a list"),
    ("sounds.0.sha256", "B" * 64, "64 digits from 0 to f"),
    ("sounds.0.path", "../01 Low Water.wav", "a path that stays inside its folder"),
    ("sounds.0.path", "a/../../b.wav", "a path that stays inside its folder"),
    ("sounds.0.path", "a\\..\\..\\b.wav", "a path that stays inside its folder"),
    ("sounds.0.path", "/b.wav", "a path that stays inside its folder"),
    ("sounds.0.path", "C:b.wav", "a path that stays inside its folder"),
    ("sounds.0.path", "", "a path that stays inside its folder"),
    ("sounds.0.songs", [0], "sounds[1].songs[1]: found 0; allowed: a whole number of at least 1"),
    ("sounds.0.tags", ["title"], "allowed: a table"),
    ("sounds.0.tags.title", 3, "sounds[1].tags.title: found 3; allowed: text"),
    ("sounds.0.facts", [], "sounds[1].facts: found a list; allowed: a table"),
    ("sounds", {}, "sounds: found a table; allowed: a list"),
    ("plans", ["plans/../../x"], "plans[1]"),
    ("title", "half \ud83d", "title: found"),
    ("date", "yesterday", "a date as YYYY-MM-DD"),
    ("schema", 2, "at most 1; a newer arsis wrote it"),
    ("schema", 0, "schema: found 0"),
    ("trim_db", 10**400, "trim_db: found"),
]


@pytest.mark.parametrize(("where", "value", "said"), MISFITS)
def test_what_does_not_belong_there_is_refused(where: str, value: Any, said: str) -> None:
    table = json.loads(manifest_to_json(SMALL))
    *path, last = where.split(".")
    inner = table
    for part in path:
        inner = inner[int(part) if part.isdigit() else part]
    inner[last] = value
    with pytest.raises(DocumentError) as caught:
        manifest_from_json(json.dumps(table), "m.json")
    assert str(caught.value).startswith("m.json: ")
    assert said in str(caught.value)
    assert str(caught.value).count("\n") == 0


def test_everything_is_reported_at_once() -> None:
    table = json.loads(manifest_to_json(SMALL))
    del table["title"], table["schema"], table["sounds"][0]["facts"]["frames"]
    table["gtin"] = 4
    with pytest.raises(DocumentError) as caught:
        manifest_from_json(json.dumps(table))
    said = {fault.key: fault.found for fault in caught.value.faults}
    assert said == {"title": "nothing", "schema": "nothing", "sounds[1].facts.frames": "nothing", "gtin": "4"}


def test_a_file_entered_twice_is_refused() -> None:
    text = manifest_to_json(replace(SMALL, sounds=(SOUND, SOUND)))
    with pytest.raises(DocumentError, match=r"sounds\[2\]\.path: .* allowed: each file once"):
        manifest_from_json(text)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "expecting value"),
        ("{\n", "expecting property name"),
        ("[]", "found a list; allowed: a table"),
        ("[" * 100_000, "without end"),
        ('{"title": "a", "title": "b"}', 'the key "title" twice'),
        ('{"trim_db": NaN}', "NaN, which is no number"),
        ('{"trim_db": -Infinity}', "-Infinity, which is no number"),
        (f'{{"trim_db": {"9" * 5000}}}', "digits"),
        ('{"trim_db": 1e999}', "trim_db: found inf; allowed: a number"),
    ],
)
def test_what_is_no_json_is_refused(text: str, said: str) -> None:
    with pytest.raises(DocumentError) as caught:
        manifest_from_json(text, "m.json")
    assert str(caught.value).startswith("m.json")
    assert said in str(caught.value)


def test_a_missing_manifest_and_one_that_is_not_text_are_refused(tmp_path: Path) -> None:
    with pytest.raises(ArsisError, match=r"manifest\.json"):
        read_manifest(tmp_path / MANIFEST)
    (tmp_path / MANIFEST).write_bytes(b"\xff\xfe\x00")
    with pytest.raises(ArsisError, match=r"manifest\.json"):
        read_manifest(tmp_path)
