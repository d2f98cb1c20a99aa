"""Lossy files of other programs: what is whole is read whole, what is missing at their end is told."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import pytest
import soundfile

from arsis.errors import SoundFileError
from arsis.io.ogg import page_crc
from arsis.io.probe import probe
from arsis.io.read import read_all
from arsis.workflow.examine import examine_file

from .codec_sounds import ffmpeg_decoded
from .signals import noise
from .sound_files import ffmpeg
from .tolerances import MP3_DECODERS_DB

OGGS = {"a.ogg": ("-c:a", "libvorbis"), "a.opus": ("-c:a", "libopus")}
NO_INDEX = ("-write_xing", "0")


def coded(folder: Path, name: str, *options: str, rate_hz: int = 48_000) -> Path:
    """Loud for two seconds, then soft for eight: frames of varying size where the bit rate may vary."""
    sound = noise(10 * rate_hz, rms=0.2)
    sound[:, 2 * rate_hz :] *= 1e-3
    soundfile.write(folder / "source.wav", sound.T, rate_hz, "PCM_24")
    ffmpeg("-i", folder / "source.wav", *options, folder / name)
    return folder / name


def pages(data: bytes) -> list[int]:
    """Where each Ogg page starts; the last is the end of the file."""
    starts = [0]
    while (at := starts[-1]) < len(data):
        segments = data[at + 27 : at + 27 + data[at + 26]]
        starts.append(at + 27 + len(segments) + sum(segments))
    return starts


def unmarked(data: bytes) -> bytes:
    """The same stream without the flag of its end on its last page, its checksum made anew."""
    last = pages(data)[-2]
    page = bytearray(data[last:])
    page[5] &= ~4
    page[22:26] = bytes(4)
    struct.pack_into("<I", page, 22, page_crc(bytes(page)))
    return data[:last] + bytes(page)


def told_frames(path: Path, more: int) -> None:
    """Alters what the index of an MP3 counts."""
    data = bytearray(path.read_bytes())
    at = next(data.find(mark) for mark in (b"Info", b"Xing") if mark in data) + 8
    struct.pack_into(">I", data, at, struct.unpack_from(">I", data, at)[0] + more)
    path.write_bytes(data)


@pytest.mark.parametrize(
    ("rate_hz", "coding"),
    [(44_100, ("-b:a", "128k")), (22_050, ("-b:a", "80k")), (48_000, ("-q:a", "0"))],
)
def test_an_mp3_without_an_index_is_read_to_its_end(
    tmp_path: Path, rate_hz: int, coding: tuple[str, str]
) -> None:
    """libsndfile's guess is a little too long at a constant bit rate, far too short after large frames."""
    path = coded(tmp_path, "a.mp3", *coding, *NO_INDEX, rate_hz=rate_hz)
    path.write_bytes(path.read_bytes() + b"TAG" + bytes(125))
    ours, theirs = read_all(path), ffmpeg_decoded(path)
    assert probe(path).end_doubt == ""
    assert ours.shape == theirs.shape
    assert 10.0 * np.log10(np.mean((ours - theirs) ** 2)) < MP3_DECODERS_DB


def test_an_mp3_without_an_index_that_was_cut_is_read_and_told(tmp_path: Path) -> None:
    path = coded(tmp_path, "a.mp3", "-b:a", "128k", *NO_INDEX)
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2 + 50])
    assert probe(path).end_doubt == "its last frame breaks off"
    assert read_all(path).shape[1] == ffmpeg_decoded(path).shape[1] - 1152  # FFmpeg decodes part of a frame
    assert "may have lost its end" in next(
        f.says for f in examine_file(path).findings if f.kind == "open_end"
    )


@pytest.mark.parametrize(
    ("more", "doubt"), [(3, "counts 3 frames (0.07 s) more than it holds"), (1, ""), (-9, "")]
)
def test_an_index_that_miscounts_is_set_right(tmp_path: Path, more: int, doubt: str) -> None:
    path = coded(tmp_path, "a.mp3", "-b:a", "128k")
    whole = read_all(path)
    told_frames(path, more)
    assert np.array_equal(read_all(path), whole)
    info = probe(path)
    assert info.end_doubt.endswith(doubt)
    assert bool(info.end_doubt) == bool(doubt)


@pytest.mark.parametrize("lost", [1, 500, 100_000])
def test_an_mp3_that_lacks_bytes_its_index_promises_is_refused(tmp_path: Path, lost: int) -> None:
    path = coded(tmp_path, "a.mp3", "-b:a", "128k")
    path.write_bytes(path.read_bytes()[:-lost])
    with pytest.raises(SoundFileError, match=r"truncated: its header promises 10\.\d+ s"):
        probe(path)


def test_two_mp3s_in_one_file_are_both_read(tmp_path: Path) -> None:
    """The index of the first counts only its own frames."""
    path = coded(tmp_path, "a.mp3", "-b:a", "128k", "-id3v2_version", "0")
    path.write_bytes(2 * path.read_bytes())
    assert read_all(path).shape[1] == pytest.approx(20 * 48_000, abs=3 * 1152)


def test_an_ogg_whose_end_is_not_marked_is_read_and_told(tmp_path: Path) -> None:
    path = coded(tmp_path, "a.ogg", *OGGS["a.ogg"])
    whole = read_all(path)
    assert probe(path).end_doubt == ""
    path.write_bytes(unmarked(path.read_bytes()))
    assert probe(path).end_doubt == "no page is marked as the last of its stream"
    assert np.array_equal(read_all(path), whole)
    found = examine_file(path)
    assert "open_end" in {one.kind for one in found.findings}
    assert "beginning and end are whole" not in found.good


@pytest.mark.parametrize("name", OGGS)
def test_an_ogg_cut_between_pages_is_told_and_inside_one_refused(tmp_path: Path, name: str) -> None:
    path = coded(tmp_path, name, *OGGS[name])
    whole = path.read_bytes()
    border = pages(whole)[-2]
    path.write_bytes(whole[:border])
    assert probe(path).end_doubt
    assert read_all(path).shape[1] == pytest.approx(ffmpeg_decoded(path).shape[1], abs=1)
    for end in (border + 2, border + 20, border + 40, len(whole) - 1):
        path.write_bytes(whole[:end])
        with pytest.raises(SoundFileError, match="truncated: the stream breaks off inside a page"):
            probe(path)


def test_an_mp3_of_small_frames_is_decoded_in_one_go(tmp_path: Path) -> None:
    """Its frames take bits from many before them, which a decoder that jumps between two blocks has lost."""
    path = coded(tmp_path, "a.mp3", "-b:a", "32k", rate_hz=32_000)
    ours, theirs = read_all(path), ffmpeg_decoded(path)
    assert 10.0 * np.log10(np.mean((ours - theirs) ** 2)) < MP3_DECODERS_DB
