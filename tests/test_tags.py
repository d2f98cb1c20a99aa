"""Tags in every container: as written, so read, by us, by ffprobe and by MediaInfo; the sound untouched."""

from __future__ import annotations

import hashlib
import struct
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from mutagen.ogg import OggPage

from arsis.deliver.artwork import artwork_of
from arsis.deliver.lossy import encode
from arsis.deliver.tagging import Gains, Tags, read_tags, write_tags
from arsis.errors import ArsisError, SoundFileError
from arsis.plan.profile import Codec
from tests.signals import noise
from tests.tagged import ENDS, FULL, RATE_HZ, decoded, ffprobe, jpeg, mediainfo, png, probed_tags, untagged

CONTAINERS = tuple(ENDS)
BARE = Tags(title="A")

# What ffprobe calls our names, in small letters; what it does not show is left out.
PROBED = {
    "title": "title",
    "artist": "artist",
    "album": "album",
    "album_artist": "album_artist",
    "date": "date",
    "copyright": "copyright",
    "encoder": "encoder",
    "gtin": "barcode",
    "catalogue_number": "catalognumber",
}
# What MediaInfo calls them.
SHOWN = {
    "title": "Track",
    "artist": "Performer",
    "album": "Album",
    "album_artist": "Album_Performer",
    "place": "Track_Position",
    "total": "Track_Position_Total",
    "isrc": "ISRC",
    "date": "Recorded_Date",
    "copyright": "Copyright",
    "gtin": "BARCODE",
    "catalogue_number": "CATALOGNUMBER",
}


def tagged(folder: Path, container: str, tags: Tags) -> Path:
    path = folder / f"a.{ENDS[container]}"
    path.write_bytes(untagged(container))
    write_tags(path, container, tags)
    return path


@pytest.mark.parametrize("container", CONTAINERS)
def test_we_read_what_we_wrote(tmp_path: Path, container: str) -> None:
    for tags in (FULL, BARE, replace(FULL, total=None, gains=None, artwork=artwork_of(jpeg(), "a"))):
        assert read_tags(tagged(tmp_path, container, tags), container) == tags.named(container)


@pytest.mark.parametrize("container", CONTAINERS)
def test_ffprobe_reads_it(tmp_path: Path, container: str) -> None:
    said, texts = ffprobe(tagged(tmp_path, container, FULL)), FULL.texts()
    tags = probed_tags(said)
    assert {name: tags[shown] for name, shown in PROBED.items()} == {name: texts[name] for name in PROBED}
    assert tags["tsrc" if container == "mp3" else "isrc"] == "AA6Q72000047"
    assert tags["track"] == ("3/12" if container in ("mp3", "aac") else "3")
    picture = next(stream for stream in said["streams"] if stream["codec_type"] == "video")
    assert (picture["codec_name"], picture["width"], picture["height"]) == ("png", 3, 2)
    if container == "opus":  # RFC 7845, 5.2.1: REPLAYGAIN_* should not appear
        assert (tags["r128_track_gain"], tags["r128_album_gain"]) == ("-3507", "-3379")
        assert not any(name.startswith("replaygain") for name in tags)
    else:
        assert (tags["replaygain_track_gain"], tags["replaygain_track_peak"]) == ("-8.70 dB", "0.891251")
        assert (tags["replaygain_album_gain"], tags["replaygain_album_peak"]) == ("-8.20 dB", "0.901571")
        gain = said["streams"][0]["side_data_list"][0]
        assert gain["side_data_type"] == "Replay Gain"


@pytest.mark.parametrize("container", CONTAINERS)
def test_mediainfo_reads_it(tmp_path: Path, container: str) -> None:
    said, texts = mediainfo(tagged(tmp_path, container, FULL)), FULL.texts()
    assert {name: said[shown] for name, shown in SHOWN.items()} == {name: texts[name] for name in SHOWN}
    assert said["Cover"] == "Yes"


@pytest.mark.parametrize("container", CONTAINERS)
def test_the_sound_is_untouched(tmp_path: Path, container: str) -> None:
    plain = tmp_path / f"plain.{ENDS[container]}"
    plain.write_bytes(untagged(container))
    assert decoded(tagged(tmp_path, container, FULL)) == decoded(plain)


@pytest.mark.parametrize("container", CONTAINERS)
def test_the_same_tags_are_the_same_bytes(tmp_path: Path, container: str) -> None:
    first = tagged(tmp_path, container, FULL).read_bytes()
    assert tagged(tmp_path, container, FULL).read_bytes() == first


@pytest.mark.parametrize("container", CONTAINERS)
def test_nothing_is_left_of_the_tags_before(tmp_path: Path, container: str) -> None:
    path = tagged(tmp_path, container, replace(FULL, title="B" * 5_000))
    write_tags(path, container, BARE)
    assert read_tags(path, container) == BARE.named(container)
    assert b"BBBBB" not in path.read_bytes()
    assert b"AA6Q7" not in path.read_bytes()


@pytest.mark.parametrize("codec", ["vorbis", "opus"])
def test_the_number_that_a_stream_has_from_its_sound_is_kept(tmp_path: Path, codec: Codec) -> None:
    """Bytes 14 to 17 of a page (RFC 3533, 6); libsndfile draws them from the clock, `encode` settles them."""
    path = tmp_path / "a.ogg"
    made = encode(path, [noise(12_000)], codec, 128.0, RATE_HZ, 2)
    write_tags(path, codec, FULL)
    numbers = {page[10:14] for page in path.read_bytes().split(b"OggS")[1:]}
    assert numbers == {struct.pack("<I", int(made.sound_sha256[:8], 16))}
    assert decoded(path)


def test_the_gain_of_an_opus_stream_counts(tmp_path: Path) -> None:
    """RFC 7845, 5.2.1: a track's gain is in addition to the output gain in the head of the stream."""
    path = tmp_path / "a.opus"
    path.write_bytes(untagged("opus"))
    with path.open("r+b") as file:
        page = OggPage(file)
        head = bytearray(page.packets[0])
        struct.pack_into("<h", head, 16, -512)  # −2 dB
        page.packets[0] = bytes(head)
        file.seek(0)
        file.write(page.write())
    write_tags(path, "opus", FULL)
    found = read_tags(path, "opus")
    assert (found["r128_track_gain"], found["r128_album_gain"]) == (str(-3507 + 512), str(-3379 + 512))


ODD = st.one_of(
    st.text(max_size=60),
    st.text("aé☂🌊/;=\0\r\n\t\u2028\x85\ufeff ", max_size=20),
    st.just("long " * 400),
    st.just(""),
)


@pytest.mark.parametrize("container", CONTAINERS)
@settings(
    derandomize=True,
    deadline=None,
    max_examples=25,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(texts=st.tuples(ODD, ODD, ODD, ODD, ODD), place=st.none() | st.integers(1, 999))
@example(texts=("\ud800", "a\nb", "a/b", "\0", " a "), place=None)
@example(texts=("=", "", "\ufeffx", "🌊" * 300, "\r\n"), place=1)
def test_odd_texts(tmp_path: Path, container: str, texts: tuple[str, ...], place: int | None) -> None:
    title, artist, album, version, line = texts
    tags = Tags(title=title, artist=artist, album=album, version=version, copyright=line, place=place)
    path = tagged(tmp_path, container, tags)
    assert read_tags(path, container) == tags.named(container)
    assert len(decoded(path)) > 0


@pytest.mark.parametrize(
    ("text", "kept"),
    [("a\nb", "a b"), (" a \r\n b\t", "a b"), ("a  b", "a  b"), ("a\0\x01b", "a b"), ("\n", None)],
)
def test_control_characters_are_spaces(text: str, kept: str | None) -> None:
    assert Tags(title=text).texts().get("title") == kept


def test_pictures_say_what_they_are(tmp_path: Path) -> None:
    art = artwork_of(png(7, 5), "a.png")
    assert (art.mime, art.width, art.height, art.depth) == ("image/png", 7, 5, 24)
    art = artwork_of(jpeg(), "a.jpg")
    assert (art.mime, art.width, art.height, art.depth) == ("image/jpeg", 16, 8, 24)
    assert art.shown == f"image/jpeg {hashlib.sha256(jpeg()).hexdigest()}"
    for data in (
        b"",
        b"GIF89a",
        png()[:20],
        jpeg()[:4],
        b"\xff\xd8\xff" + bytes(100),
        b"\xff\xd8\xff\xff\xff",
    ):
        with pytest.raises(
            ArsisError, match=r"cover\.gif: is not a picture that tags hold; allowed: JPEG, PNG"
        ):
            artwork_of(data, "cover.gif")


def test_wrong_files_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.flac"
    path.write_bytes(b"no sound at all")
    for container in ("flac", "opus", "vorbis", "aac"):
        with pytest.raises(SoundFileError, match=r"a\.flac: cannot be tagged"):
            write_tags(path, container, BARE)
        with pytest.raises(SoundFileError, match=r"a\.flac: its tags cannot be read"):
            read_tags(path, container)
    with pytest.raises(SoundFileError, match="cannot be tagged"):
        write_tags(tmp_path / "missing.mp3", "mp3", BARE)
    with pytest.raises(ValueError, match="'wav' is not tagged after"):
        write_tags(path, "wav", BARE)


def test_silence_has_no_gain(tmp_path: Path) -> None:
    silent = replace(FULL, gains=Gains(track_lufs=float("-inf"), track_peak_dbtp=float("-inf")))
    assert not any("gain" in name for name in read_tags(tagged(tmp_path, "flac", silent), "flac"))
