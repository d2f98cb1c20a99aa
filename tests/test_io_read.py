"""What is in a file is what is read: to the bit, in any blocks, from any writer."""

from __future__ import annotations

import io
import os
import struct
import subprocess
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from arsis.io.aiff import extended_to_float, float_to_extended
from arsis.io.chunks import read_chunks
from arsis.io.probe import probe
from arsis.io.read import open_sound, read_all
from tests import naive_pcm
from tests.signals import noise
from tests.sound_files import (
    EXTENDED_44100,
    aiff,
    comm_chunk,
    ffmpeg,
    fmt_chunk,
    iff_chunk,
    riff,
    riff_chunk,
    words,
)

# soundfile's name of an encoding, ours, and the bits that are exact in it
WRITTEN = [
    ("WAV", "PCM_U8", "pcm_u8", 8),
    ("WAV", "PCM_16", "pcm_s16", 16),
    ("WAV", "PCM_24", "pcm_s24", 24),
    ("WAV", "PCM_32", "pcm_s32", 32),
    ("WAVEX", "PCM_24", "pcm_s24", 24),
    ("RF64", "PCM_16", "pcm_s16", 16),
    ("AIFF", "PCM_S8", "pcm_s8", 8),
    ("AIFF", "PCM_16", "pcm_s16", 16),
    ("AIFF", "PCM_24", "pcm_s24", 24),
    ("AIFF", "PCM_32", "pcm_s32", 32),
    ("FLAC", "PCM_S8", "pcm_s8", 8),
    ("FLAC", "PCM_16", "pcm_s16", 16),
    ("FLAC", "PCM_24", "pcm_s24", 24),
]


@pytest.mark.parametrize(("form", "subtype", "encoding", "bits"), WRITTEN)
@pytest.mark.parametrize("channels", [1, 2])
def test_every_integer_of_another_writer_arrives(
    tmp_path: Path, form: str, subtype: str, encoding: str, bits: int, channels: int
) -> None:
    # an even count: libsndfile counts the padding byte of an odd 8-bit AIFF file as a frame
    made, path = words(3_002, bits, channels), tmp_path / "sound"
    soundfile.write(path, (made << (32 - bits)).T, 48_000, subtype, format=form)
    info = probe(path)
    assert (info.encoding, info.bits, info.rate_hz, info.channels) == (encoding, bits, 48_000, channels)
    assert (info.frames, info.is_float, info.is_lossy, info.path) == (3_002, False, False, path)
    assert np.array_equal(read_all(path), made / 2.0 ** (bits - 1))


@pytest.mark.parametrize(
    ("form", "subtype"), [("WAV", "FLOAT"), ("WAV", "DOUBLE"), ("AIFF", "FLOAT"), ("AIFF", "DOUBLE")]
)
def test_floats_keep_what_is_past_full_scale(tmp_path: Path, form: str, subtype: str) -> None:
    sound, path = noise(2_000, rms=1.0), tmp_path / "sound"
    soundfile.write(path, sound.T, 96_000, subtype, format=form)
    found = read_all(path)
    assert np.array_equal(found, sound if subtype == "DOUBLE" else sound.astype(np.float32))
    assert np.abs(found).max() > 1.0
    assert probe(path).is_float


@pytest.mark.parametrize(
    ("name", "options"),
    [
        ("a.wav", ["-c:a", "pcm_s24le"]),
        ("b.wav", ["-c:a", "pcm_s32le", "-rf64", "always"]),
        ("c.aiff", ["-c:a", "pcm_s24be"]),
        ("d.aiff", ["-c:a", "pcm_s16le"]),
        ("e.aiff", ["-c:a", "pcm_f32be"]),
        ("f.flac", ["-c:a", "flac"]),
        ("g.wav", ["-c:a", "pcm_s24le", "-write_bext", "1", "-metadata", "description=a take"]),
    ],
)
def test_what_ffmpeg_writes_is_read(tmp_path: Path, name: str, options: list[str]) -> None:
    source, path = tmp_path / "source.wav", tmp_path / name
    made = words(5_000, 16)
    soundfile.write(source, (made << 16).T, 44_100, "PCM_16")
    ffmpeg("-i", source, *options, path)
    assert np.array_equal(read_all(path), made / 32_768.0)


def test_broad_wave_64_is_read(tmp_path: Path) -> None:
    """ITU-R BS.2088: BW64 with sizes in ds64; here for the data and for a chunk of the table, before it."""
    made = words(101, 24, 1)
    data = naive_pcm.pack(made, 3, False, False)
    ds64 = struct.pack("<QQQI", 0, len(data), 0, 1) + struct.pack("<4sQ", b"axml", 5)
    path = tmp_path / "long.wav"
    path.write_bytes(
        riff(
            riff_chunk(b"ds64", ds64),
            riff_chunk(b"axml", b"<a/> ", 0xFFFFFFFF),
            fmt_chunk(channels=1, bits=24),
            riff_chunk(b"data", data, 0xFFFFFFFF),
            riff_chunk(b"cue ", bytes(4)),
            form=b"BW64",
            size=0xFFFFFFFF,
        )
    )
    assert probe(path).container == "bw64"
    assert np.array_equal(read_all(path), made / 2.0**23)
    assert [name for name, _ in read_chunks(path)] == [b"ds64", b"axml", b"fmt ", b"cue "]


def test_odd_chunks_before_and_after_the_sound(tmp_path: Path) -> None:
    made = words(55, 24, 1)  # 165 bytes: padded too
    data = naive_pcm.pack(made, 3, False, False)
    path = tmp_path / "odd.wav"
    path.write_bytes(
        riff(
            riff_chunk(b"bext", b"odd"),
            fmt_chunk(channels=1, bits=24),
            riff_chunk(b"junk", b"12345"),
            riff_chunk(b"data", data),
            riff_chunk(b"LIST", b"INFOx"),
        )
    )
    assert np.array_equal(read_all(path), made / 2.0**23)
    kept = dict(read_chunks(path))
    assert kept[b"bext"] == b"odd"
    assert kept[b"LIST"] == b"INFOx"


@pytest.mark.parametrize(
    ("data_size", "riff_size"), [(0xFFFFFFFF, 0xFFFFFFFF), (0x7FFFF000, 0x7FFFF024), (0, 0), (0, 0xFFFFFFFF)]
)
def test_a_size_that_was_never_set_means_all_that_follows(
    tmp_path: Path, data_size: int, riff_size: int
) -> None:
    made, path = words(50, 16), tmp_path / "piped.wav"
    data = naive_pcm.pack(made, 2, False, False)
    path.write_bytes(riff(fmt_chunk(), riff_chunk(b"data", data, data_size), size=riff_size))
    assert np.array_equal(read_all(path), made / 32_768.0)


def test_zeros_behind_the_last_chunk_are_no_chunks(tmp_path: Path) -> None:
    path = tmp_path / "cut off.wav"
    path.write_bytes(riff(fmt_chunk(), riff_chunk(b"LIST", b"INFO"), bytes(1_000)))
    assert [name for name, _ in read_chunks(path)] == [b"fmt ", b"LIST"]


@pytest.mark.parametrize(("data_size", "riff_size"), [(0xFFFFFFFF, 0xFFFFFFFF), (0x7FFFF000, 0x7FFFF024)])
def test_a_size_that_was_never_set_does_not_cut_a_longer_file(
    tmp_path: Path, data_size: int, riff_size: int
) -> None:
    path, more = tmp_path / "piped.wav", 4_000
    path.write_bytes(riff(fmt_chunk(), riff_chunk(b"data", b"", data_size), size=riff_size))
    start = path.stat().st_size
    os.truncate(path, start + data_size // 4 * 4 + more)  # its zeros take no room on the disk
    assert probe(path).frames == data_size // 4 + more // 4


def test_what_was_piped_out_of_ffmpeg_is_read(tmp_path: Path) -> None:
    made, path = words(5_000, 16), tmp_path / "piped.wav"
    source = io.BytesIO()
    soundfile.write(source, (made << 16).T, 44_100, "PCM_16", format="WAV")
    pipe = subprocess.run(
        ["ffmpeg", "-v", "error", "-i", "-", "-f", "wav", "-"],
        input=source.getvalue(), capture_output=True, check=True,
    )  # fmt: skip
    path.write_bytes(pipe.stdout)
    assert np.array_equal(read_all(path), made / 32_768.0)


def test_fewer_bits_than_bytes_lie_at_the_top(tmp_path: Path) -> None:
    """Microsoft 2007: valid bits are left-aligned in their container."""
    made, path = words(50, 20), tmp_path / "twenty.wav"
    data = naive_pcm.pack(made << 4, 3, False, False)
    path.write_bytes(riff(fmt_chunk(bits=20, frame_bytes=6), riff_chunk(b"data", data)))
    assert np.array_equal(read_all(path), made / 2.0**19)
    assert probe(path).bits == 24


@pytest.mark.parametrize(
    ("kind", "bits", "big_endian"),
    [
        (b"NONE", 16, True),
        (b"twos", 16, True),
        (b"sowt", 16, False),
        (b"sowt", 24, False),
        (b"in24", 24, True),
        (b"in32", 32, True),
    ],
)
def test_every_integer_kind_of_aiff_c(tmp_path: Path, kind: bytes, bits: int, big_endian: bool) -> None:
    made, path = words(41, bits), tmp_path / "sound.aifc"
    data = naive_pcm.pack(made, bits // 8, big_endian, False)
    sound = iff_chunk(b"SSND", struct.pack(">II", 4, 0) + b"\xaa" * 4 + data)  # with an offset of 4
    common = comm_chunk(2, 41, bits, kind + b"\x00\x00")
    for order in ((common, sound), (sound, common)):  # in any order, says the standard
        path.write_bytes(aiff(iff_chunk(b"NAME", b"abc"), *order, form=b"AIFC"))
        assert np.array_equal(read_all(path), made / 2.0 ** (bits - 1))
        assert probe(path).rate_hz == 44_100


def ogg_moved(data: bytes, frames: int) -> bytes:
    """An Ogg stream whose clock runs `frames` late (RFC 3533, 2003, section 6: granule position, CRC)."""
    out, at = bytearray(data), 0
    while at < len(out):
        end = at + 27 + out[at + 26] + sum(out[at + 27 : at + 27 + out[at + 26]])
        granule = struct.unpack_from("<q", out, at + 6)[0]
        struct.pack_into("<q", out, at + 6, granule - frames if granule > 0 else granule)
        struct.pack_into("<I", out, at + 22, 0)
        crc = 0
        for byte in out[at:end]:
            crc ^= byte << 24
            for _ in range(8):
                crc = (crc << 1 ^ (0x04C11DB7 if crc & 0x80000000 else 0)) & 0xFFFFFFFF
        struct.pack_into("<I", out, at + 22, crc)
        at = end
    return bytes(out)


@pytest.mark.parametrize("early", [104, 20_000])  # less than the first page of sound, and more than it
def test_a_vorbis_stream_whose_clock_starts_below_zero_is_read_to_its_end(tmp_path, early):
    """Some published songs are such; sox, through libvorbisfile, says how long they are."""
    path = tmp_path / "early.ogg"
    soundfile.write(path, 0.1 * noise(40_000).T, 44_100, format="OGG", subtype="VORBIS")
    path.write_bytes(ogg_moved(path.read_bytes(), early))
    raw = subprocess.run(["sox", path, "-t", "f32", "-"], check=True, capture_output=True).stdout
    theirs = np.frombuffer(raw, np.float32).reshape(-1, 2).T
    sound = read_all(path)
    assert sound.shape == theirs.shape == (2, 40_000 - early)
    assert np.max(np.abs(sound - theirs)) < 2e-5  # sox gives lossy files in words of 16 bits


@pytest.mark.parametrize("name", ["hot.mp3", "hot.ogg", "hot.opus"])
def test_lossy_files_keep_what_is_past_full_scale(tmp_path: Path, name: str) -> None:
    source, path = tmp_path / "source.wav", tmp_path / name
    time_s = np.arange(48_000) / 48_000
    soundfile.write(source, np.tile(1.5 * np.sin(2 * np.pi * 997 * time_s), (2, 1)).T, 48_000, "FLOAT")
    codec = {
        "hot.mp3": ["-b:a", "320k"],
        "hot.ogg": ["-c:a", "libvorbis", "-q", "8"],
        "hot.opus": ["-b:a", "192k"],
    }[name]
    ffmpeg("-i", source, *codec, path)
    found, info = read_all(path), probe(path)
    assert 1.4 < np.abs(found[:, 12_000:36_000]).max() < 1.6
    assert (info.encoding, info.bits, info.is_lossy) == (
        {"g": "vorbis", "s": "opus", "3": "mp3"}[name[-1]],
        None,
        True,
    )
    assert info.frames == found.shape[1] == 48_000


@pytest.fixture(scope="module")
def readable(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("readable")
    sound = noise(40_000, seed=9)
    files = {"wav": "PCM_24", "aiff": "PCM_16", "flac": "PCM_24"}
    paths = {kind: folder / f"sound.{kind}" for kind in (*files, "mp3", "ogg", "opus")}
    for kind, subtype in files.items():
        soundfile.write(paths[kind], sound.T, 48_000, subtype)
    ffmpeg("-i", paths["wav"], paths["mp3"])
    ffmpeg("-i", paths["wav"], "-c:a", "libvorbis", paths["ogg"])
    ffmpeg("-i", paths["wav"], paths["opus"])
    return paths


@settings(derandomize=True, deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(
    kind=st.sampled_from(["wav", "aiff", "flac", "mp3", "ogg", "opus"]),
    sizes=st.lists(st.integers(0, 20_000), min_size=1, max_size=6),
    jump=st.integers(0, 39_000),
)
def test_blocks_and_jumps_do_not_matter(
    readable: dict[str, Path], kind: str, sizes: list[int], jump: int
) -> None:
    whole = read_all(readable[kind])
    with open_sound(readable[kind]) as sound:
        parts = [sound.read(size) for size in sizes]
        parts.append(sound.read(sound.info.frames))
        assert np.array_equal(np.concatenate(parts, axis=1), whole)
        assert sound.read(10).shape == (2, 0)
        for at in (jump, 0, jump // 2, sound.info.frames):
            sound.seek(at)
            assert np.array_equal(sound.read(100), whole[:, at : at + 100])


def test_a_jump_past_the_end_is_refused(readable: dict[str, Path]) -> None:
    for kind in ("wav", "flac"):
        with open_sound(readable[kind]) as sound, pytest.raises(ValueError, match="outside"):
            sound.seek(40_001)


def test_a_mix_is_opened_for_reading_only(readable: dict[str, Path], monkeypatch: pytest.MonkeyPatch) -> None:
    flags: list[int] = []
    genuine = os.open

    def watched(path: str, how: int) -> int:
        flags.append(how)
        return genuine(path, how)

    monkeypatch.setattr(os, "open", watched)
    for path in readable.values():
        before = path.stat()
        read_all(path)
        after = path.stat()
        assert (before.st_mtime_ns, before.st_size) == (after.st_mtime_ns, after.st_size)
    assert len(flags) == len(readable)
    assert all(how & os.O_ACCMODE == os.O_RDONLY for how in flags)


def test_the_80_bit_rate_of_aiff() -> None:
    """44,100 as every AIFF file of that rate has it."""
    assert float_to_extended(44_100) == EXTENDED_44100
    for rate_hz in (8_000, 22_050, 44_100, 48_000, 88_200, 384_000):
        assert extended_to_float(float_to_extended(rate_hz)) == rate_hz
    assert extended_to_float(b"\x7f\xff" + b"\xff" * 8) == np.inf
    assert extended_to_float(b"\x7f\xfe" + b"\xff" * 8) == np.inf
    assert extended_to_float(bytes(10)) == 0.0
