"""What is written is what other programs read: to the bit, whole, and with the right header."""

from __future__ import annotations

import hashlib
import json
import struct
import subprocess
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from arsis.dsp.kernels.pcm import Word
from arsis.errors import SoundFileError
from arsis.io import aiff_form, wav_form
from arsis.io.chunks import read_chunks
from arsis.io.probe import probe
from arsis.io.read import read_all
from arsis.io.write import ENCODINGS, container_of, write_sound
from tests.signals import noise
from tests.sound_files import ffmpeg, words

KINDS = [(container, encoding) for container, encodings in ENCODINGS.items() for encoding in encodings]
LONG_RATE_HZ = 48_000


def made(encoding: str, frames: int, channels: int = 2) -> np.ndarray:
    if encoding == "float32":
        return noise(frames, channels, rms=1.0)
    return words(frames, int(encoding[5:]), channels)


def as_sound(block: np.ndarray, encoding: str) -> np.ndarray:
    return block.astype(np.float32) if encoding == "float32" else block / 2.0 ** (int(encoding[5:]) - 1)


def write(path: Path, block: np.ndarray, encoding: str, container: str, **more: object) -> str:
    with write_sound(path, LONG_RATE_HZ, block.shape[0], encoding, container, **more) as writer:  # type: ignore[arg-type]
        writer.write(block)
    assert writer.sha256 is not None
    return writer.sha256


@pytest.mark.parametrize(("container", "encoding"), KINDS)
@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize("frames", [1, 20_001])
def test_other_readers_see_the_same(
    tmp_path: Path, container: str, encoding: str, channels: int, frames: int
) -> None:
    block, path = made(encoding, frames, channels), tmp_path / f"sound.{container}"
    write(path, block, encoding, container)
    expected = as_sound(block, encoding)
    info = soundfile.info(path)
    assert (info.samplerate, info.channels, info.frames) == (LONG_RATE_HZ, channels, frames)
    by_soundfile = soundfile.read(path, dtype="float64", always_2d=True)[0].T
    assert np.array_equal(by_soundfile, expected)
    by_ffmpeg = np.frombuffer(ffmpeg("-i", path, "-f", "f64le", "-"), "<f8").reshape(-1, channels).T
    assert np.array_equal(by_ffmpeg, expected)
    assert np.array_equal(read_all(path), expected)
    assert probe(path).encoding == encoding


@pytest.mark.parametrize(("container", "encoding"), KINDS)
def test_the_header_tells_other_programs_the_truth(tmp_path: Path, container: str, encoding: str) -> None:
    path = tmp_path / f"sound.{container}"
    write(path, made(encoding, 24_000), encoding, container)
    asked = ["mediainfo", "--Output=JSON", str(path)]
    tracks = json.loads(subprocess.run(asked, check=True, capture_output=True).stdout)["media"]["track"]
    audio = next(track for track in tracks if track["@type"] == "Audio")
    assert int(audio["SamplingRate"]) == LONG_RATE_HZ
    assert int(audio["SamplingCount"]) == 24_000
    assert int(audio["Channels"]) == 2
    assert int(audio["BitDepth"]) == (32 if encoding == "float32" else int(encoding[5:]))
    sox = subprocess.run(["sox", "--i", "-s", str(path)], check=True, capture_output=True, text=True)
    assert (sox.stdout.strip(), sox.stderr) == ("24000", "")


@settings(
    derandomize=True,
    deadline=None,
    max_examples=30,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    kind=st.sampled_from(KINDS),
    channels=st.sampled_from((1, 2)),
    sizes=st.lists(st.integers(0, 20_000), max_size=4),
    is_promised=st.booleans(),
)
def test_blocks_do_not_matter(
    tmp_path: Path, kind: tuple[str, str], channels: int, sizes: list[int], is_promised: bool
) -> None:
    container, encoding = kind
    frames = sum(sizes) + 1
    block = made(encoding, frames, channels)
    whole, parts = tmp_path / "whole", tmp_path / "parts"
    checksum = write(whole, block, encoding, container)
    promise = frames if is_promised else None
    with write_sound(parts, LONG_RATE_HZ, channels, encoding, container, frames=promise) as writer:
        start = 0
        for size in (*sizes, 1):
            writer.write(block[:, start : start + size])
            start += size
    assert writer.frames == frames
    assert parts.read_bytes() == whole.read_bytes()
    assert writer.sha256 == checksum == hashlib.sha256(whole.read_bytes()).hexdigest()


@pytest.mark.parametrize("container", ["wav", "aiff"])
def test_a_broken_promise_is_mended(tmp_path: Path, container: str) -> None:
    block = words(100, 24)
    assert write(tmp_path / "a", block, "pcm_s24", container, frames=7) == write(
        tmp_path / "b", block, "pcm_s24", container
    )


@pytest.mark.parametrize("container", ["wav", "aiff"])
def test_chunks_follow_the_sound(tmp_path: Path, container: str) -> None:
    path, block = tmp_path / "sound", words(101, 24, 1)
    chunks = ((b"note", b"odd"), (b"more", b"even"))
    write(path, block, "pcm_s24", container, chunks=chunks)
    assert tuple(pair for pair in read_chunks(path) if pair in chunks) == chunks
    content = path.read_bytes()
    order = "<I" if container == "wav" else ">I"
    assert struct.unpack(order, content[4:8])[0] == len(content) - 8
    assert np.array_equal(soundfile.read(path)[0], block[0] / 2.0**23)


@pytest.mark.parametrize("container", ["wav", "aiff"])
@pytest.mark.parametrize("promise", [None, 101, 7])
def test_chunks_may_be_known_only_at_the_end(tmp_path: Path, container: str, promise: int | None) -> None:
    early, late, block = tmp_path / "early", tmp_path / "late", words(101, 24, 1)
    chunks, asked = ((b"note", b"odd"), (b"more", b"even")), []

    def known() -> tuple[tuple[bytes, bytes], ...]:
        asked.append(late.exists())
        return chunks

    write(early, block, "pcm_s24", container, chunks=chunks)
    checksum = write(late, block, "pcm_s24", container, chunks=known, frames=promise)
    assert late.read_bytes() == early.read_bytes()
    assert checksum == hashlib.sha256(late.read_bytes()).hexdigest()
    assert asked == [False]


@pytest.mark.parametrize("most_bytes", [0xFFFFFFFF, 50_000])
def test_what_is_known_at_the_end_may_stand_ahead_of_the_sound(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, most_bytes: int
) -> None:
    """EBU Tech 3285 has bext before the sound, and its loudness is measured as the sound goes by."""
    monkeypatch.setattr(wav_form, "MOST_RIFF_BYTES", most_bytes)
    path, block = tmp_path / "a.wav", words(10_001, 24)
    ahead, chunks = ((b"bext", bytes(8)), (b"keep", b"as is!")), ((b"bext", b"the last"), (b"note", b"odd"))
    checksum = write(path, block, "pcm_s24", "wav", ahead=ahead, chunks=lambda: chunks)
    content = path.read_bytes()
    assert checksum == hashlib.sha256(content).hexdigest()
    names = [name for name, _ in read_chunks(path)]
    assert names == [b"JUNK" if most_bytes > 100_000 else b"ds64", b"bext", b"keep", b"fmt ", b"note"]
    assert dict(read_chunks(path))[b"bext"] == b"the last"
    assert content.index(b"bext") < content.index(b"data") < content.index(b"note")
    assert content.count(b"bext") == 1
    assert np.array_equal(soundfile.read(path)[0].T, block / 2.0**23)
    by_ffmpeg = np.frombuffer(ffmpeg("-i", path, "-f", "f64le", "-"), "<f8").reshape(-1, 2).T
    assert np.array_equal(by_ffmpeg, block / 2.0**23)
    write(tmp_path / "b.wav", block, "pcm_s24", "wav", ahead=(chunks[0], ahead[1]), chunks=chunks[1:])
    assert (tmp_path / "b.wav").read_bytes() == content


def test_a_chunk_ahead_of_the_sound_cannot_grow(tmp_path: Path) -> None:
    for chunks in (((b"bext", b"longer"),), lambda: ((b"bext", b""),)):
        with pytest.raises(ValueError, match="has changed its length"):
            write(tmp_path / "a", words(5, 24), "pcm_s24", "wav", ahead=((b"bext", b"long"),), chunks=chunks)
    for container in ("flac", "aiff"):
        with pytest.raises(ValueError, match="only a WAV file holds chunks ahead"):
            write(tmp_path / "a", words(5, 24), "pcm_s24", container, ahead=((b"bext", b"long"),))
    with pytest.raises(ValueError, match="four bytes"):
        write(tmp_path / "a", words(5, 24), "pcm_s24", "wav", chunks=lambda: ((b"data", b""),))
    assert list(tmp_path.iterdir()) == []


def test_past_4_gib_a_wav_file_becomes_rf64(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """EBU Tech 3306: ds64 in the place kept for it, the 32-bit sizes at 2^32 - 1. Here at a lower limit."""
    monkeypatch.setattr(wav_form, "MOST_RIFF_BYTES", 100_000)
    short, long = words(10_000, 24), words(20_001, 24)
    for name, block in (("short.wav", short), ("long.wav", long)):
        write(tmp_path / name, block, "pcm_s24", "wav", chunks=((b"note", b"odd"),))
        assert np.array_equal(read_all(tmp_path / name), block / 2.0**23)
        assert np.array_equal(soundfile.read(tmp_path / name)[0].T, block / 2.0**23)
    assert probe(tmp_path / "short.wav").container == "wav"
    assert probe(tmp_path / "long.wav").container == "rf64"
    assert soundfile.info(tmp_path / "long.wav").format == "RF64"
    content = (tmp_path / "long.wav").read_bytes()
    assert content[:16] == b"RF64\xff\xff\xff\xffWAVEds64"
    riff_size, data_size, frames, table = struct.unpack("<QQQI", content[20:48])
    assert (riff_size, data_size, frames, table) == (len(content) - 8, 20_001 * 6, 20_001, 0)
    assert content[72:80] == b"data\xff\xff\xff\xff"
    by_ffmpeg = np.frombuffer(ffmpeg("-i", tmp_path / "long.wav", "-f", "f64le", "-"), "<f8")
    assert np.array_equal(by_ffmpeg.reshape(-1, 2).T, long / 2.0**23)


def test_past_4_gib_an_aiff_file_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(aiff_form, "MOST_FORM_BYTES", 100_000)
    with pytest.raises(SoundFileError, match="at most 4 GiB"):
        write(tmp_path / "a.aiff", words(20_000, 24), "pcm_s24", "aiff")
    assert list(tmp_path.iterdir()) == []


def test_real_sizes_switch_where_the_standard_does() -> None:
    form = wav_form.WavForm(48_000, 2, Word(3), ())
    most = (0xFFFFFFFF - 72) // 6
    assert form.head(most)[:4] == b"RIFF"
    assert form.head(most + 1)[:4] == b"RF64"
    assert len(form.head(most)) == len(form.head(most + 1)) == 80


@pytest.mark.parametrize("value", [np.nan, np.inf, 1e39])
def test_what_float32_cannot_hold_is_refused(tmp_path: Path, value: float) -> None:
    block = noise(48_000)
    block[0, 36_000] = value
    with pytest.raises(SoundFileError, match=r"the sample at 0\.750000 s is not a finite number"):
        write(tmp_path / "a.wav", block, "float32", "wav")
    assert list(tmp_path.iterdir()) == []


def test_wrong_requests_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "a"
    cases: list[tuple[dict[str, object], str]] = [
        ({"channels": 3}, "cannot write 3 channels; allowed: 1 or 2"),
        ({"rate_hz": 1_000}, "rate of 1000 Hz; allowed"),
        ({"container": "ogg"}, "cannot write 'ogg'; allowed: wav, aiff, flac"),
        (
            {"container": "flac", "encoding": "float32"},
            "flac is not written as 'float32'; allowed: pcm_s16, pcm_s24",
        ),
    ]
    for change, message in cases:
        request: dict[str, object] = {"path": path, "rate_hz": 48_000, "channels": 2, **change}
        with pytest.raises(SoundFileError, match=message), write_sound(**request):  # type: ignore[arg-type]
            pass
    for container in ("wav", "aiff", "flac"):
        with pytest.raises(ValueError, match="does not fit the word"):
            write(path, np.full((2, 5), 1 << 23, np.int32), "pcm_s24", container)
    for block in (noise(5), words(5, 16, 1)):
        with (
            pytest.raises(ValueError, match="where the file takes int32 of 2 channels"),
            write_sound(path, 48_000, 2) as writer,
        ):
            writer.write(block)
    with pytest.raises(ValueError, match="holds no chunks"):
        write(path, words(5, 16), "pcm_s16", "flac", chunks=((b"note", b""),))
    with pytest.raises(ValueError, match="four bytes"):
        write(path, words(5, 16), "pcm_s16", "wav", chunks=((b"data", b""),))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("container", ENCODINGS)
def test_no_sound_is_no_file(tmp_path: Path, container: str) -> None:
    with pytest.raises(SoundFileError, match="no sound to write"):
        write(tmp_path / "a", words(0, 16), "pcm_s16", container)
    assert list(tmp_path.iterdir()) == []


def test_a_name_asks_for_its_container() -> None:
    assert [container_of(f"a{end}") for end in (".wav", ".AIF", ".aiff", ".flac")] == [
        "wav",
        "aiff",
        "aiff",
        "flac",
    ]
    with pytest.raises(SoundFileError, match=r"cannot write \.mp3; allowed: \.wav, \.aiff, \.flac"):
        container_of("a.mp3")
