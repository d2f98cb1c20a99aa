"""Lossy files: the same bytes each time, in step with what was fed, and decoded as they are."""

from __future__ import annotations

import hashlib
import io
import json
import math
import os
import struct
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
import soundfile

import arsis
from arsis.audio import Block
from arsis.deliver.coding import ENDS, check_coding, libraries_used
from arsis.deliver.lossy import Encoded, decode, encode, write_lossy
from arsis.dsp.resample import Resampler, resampled_frames
from arsis.errors import ArsisError, SoundFileError
from arsis.io.ogg import page_crc
from arsis.io.read import read_all
from arsis.plan.coders import CODECS, RATES_HZ, range_kbps
from arsis.plan.profile import Codec

from .codec_sounds import blocks, ffmpeg_decoded, hot, in_band, song
from .meter16 import true_peak_dbtp
from .releases import RATE_HZ
from .signals import noise
from .sound_files import ffmpeg
from .tolerances import CODED_FRAMES, CODED_S, CODER_KBPS_SHARE, DECODED_PEAK_DB, DECODERS_DB, MP3_DECODERS_DB

CODINGS: dict[Codec, float] = {"aac": 256.0, "mp3": 320.0, "opus": 160.0, "vorbis": 192.0}


@pytest.fixture(scope="module")
def sound() -> Block:
    return song()


@pytest.fixture(scope="module")
def coded(tmp_path_factory: pytest.TempPathFactory, sound: Block) -> dict[Codec, Encoded]:
    folder = tmp_path_factory.mktemp("coded")
    return {c: coded_as(folder, sound, c, kbps) for c, kbps in CODINGS.items()}


def coded_as(
    folder: Path, sound: Block, codec: Codec, kbps: float, rate_hz: int = RATE_HZ, frames: int = 16_384
) -> Encoded:
    path = folder / f"sound{ENDS[codec]}"
    return encode(path, blocks(sound, frames), codec, kbps, rate_hz, sound.shape[0])


def decoded(made: Encoded) -> Block:
    with decode(made.path) as reader:
        return reader.read(reader.info.frames)


def at_rate(sound: Block, from_hz: int, to_hz: int) -> Block:
    return Resampler(from_hz, to_hz, sound.shape[0]).process(sound, last=True)


def lag_frames(source: Block, later: Block) -> float:
    """How much later, by the peak of the circular correlation and the parabola through it."""
    size = 1 << (source.shape[1] + later.shape[1]).bit_length()
    across = np.fft.irfft(np.conj(np.fft.rfft(source[0], size)) * np.fft.rfft(later[0], size))
    top = int(np.argmax(across))
    before, peak, after = (across[(top + step) % size] for step in (-1, 0, 1))
    fine = 0.5 * (before - after) / (before - 2.0 * peak + after)
    return (top if top < size // 2 else top - size) + float(fine)


def null_db(a: Block, b: Block) -> float:
    return 10.0 * float(np.log10(np.mean((a - b) ** 2) + 1e-30))


def probed(path: Path) -> dict[str, Any]:
    shown = subprocess.run(
        ["ffprobe", "-v", "error", "-show_streams", "-of", "json", str(path)], check=True, capture_output=True
    )
    return dict(json.loads(shown.stdout)["streams"][0])


def test_the_same_sound_gives_the_same_bytes(
    tmp_path: Path, sound: Block, coded: dict[Codec, Encoded]
) -> None:
    time.sleep(1.1)  # clocks in files and the numbers of Ogg streams go by seconds
    for codec, kbps in CODINGS.items():
        again = coded_as(tmp_path, sound, codec, kbps, frames=997)
        assert again.path.read_bytes() == coded[codec].path.read_bytes(), codec
        assert again.sha256 == hashlib.sha256(again.path.read_bytes()).hexdigest()
        assert again.sound_sha256 == hashlib.sha256(sound.T.astype("<f4").tobytes()).hexdigest()


@pytest.mark.parametrize("codec", CODECS)
def test_other_sound_is_another_ogg_stream(codec: Codec, tmp_path: Path) -> None:
    made = [coded_as(tmp_path, noise(9_000, seed=seed), codec, CODINGS[codec]) for seed in (1, 2)]
    assert made[0].sha256 != made[1].sha256
    if codec in ("opus", "vorbis"):
        assert len({one.sound_sha256[:8] for one in made}) == 2
        (serial,) = struct.unpack_from("<I", made[1].path.read_bytes(), 14)
        assert serial == int(made[1].sound_sha256[:8], 16)


@pytest.mark.parametrize("codec", CODECS)
@pytest.mark.parametrize("rate_hz", [44_100, 48_000, 96_000])
def test_what_is_decoded_lines_up_to_the_sample(codec: Codec, rate_hz: int, tmp_path: Path) -> None:
    """Correlation of noise up to 15 kHz: its peak is one frame wide."""
    fed = at_rate(in_band(noise(RATE_HZ)), RATE_HZ, rate_hz)
    made = coded_as(tmp_path, fed, codec, CODINGS[codec], rate_hz)
    got = decoded(made)
    assert made.rate_hz == (48_000 if codec == "opus" else min(rate_hz, 48_000))
    assert got.shape == (2, resampled_frames(fed.shape[1], rate_hz, made.rate_hz))
    assert lag_frames(at_rate(fed, rate_hz, made.rate_hz), got) == pytest.approx(0.0, abs=CODED_FRAMES)


@pytest.mark.parametrize("codec", CODECS)
def test_an_impulse_stays_where_it_is(codec: Codec, tmp_path: Path) -> None:
    fed = np.zeros((1, 48_000))
    fed[0, 30_011] = 0.9
    got = decoded(coded_as(tmp_path, fed, codec, 128.0, 48_000))
    assert int(np.argmax(np.abs(got[0]))) == 30_011
    assert got.shape == fed.shape


@pytest.mark.parametrize("codec", CODECS)
@pytest.mark.parametrize("frames", [1, 1_000, 2_048])
def test_the_shortest_sounds_keep_their_length(codec: Codec, frames: int, tmp_path: Path) -> None:
    fed = noise(frames)
    assert decoded(coded_as(tmp_path, fed, codec, CODINGS[codec], 48_000)).shape == fed.shape


@pytest.mark.parametrize("codec", CODECS)
def test_our_decoder_and_ffmpeg_agree(codec: Codec, coded: dict[Codec, Encoded]) -> None:
    """The outside reference: the command line of FFmpeg 5.1, in float; other decoders for MP3 and Ogg."""
    ours, theirs = decoded(coded[codec]), ffmpeg_decoded(coded[codec].path)
    assert theirs.shape[1] >= ours.shape[1]  # it leaves the padding at the end of AAC
    limit_db = MP3_DECODERS_DB if codec == "mp3" else DECODERS_DB
    assert null_db(ours, theirs[:, : ours.shape[1]]) < limit_db


def test_files_are_what_ffprobe_says_they_should_be(coded: dict[Codec, Encoded]) -> None:
    for codec, made in coded.items():
        stream = probed(made.path)
        assert (stream["codec_name"], int(stream["sample_rate"])) == (codec, made.rate_hz)
        assert stream["channels"] == 2
        assert float(stream["duration"]) == pytest.approx(made.fed_frames / RATE_HZ, abs=CODED_S), codec
    assert int(probed(coded["mp3"].path)["bit_rate"]) == 320_000
    assert int(probed(coded["vorbis"].path)["bit_rate"]) == 192_000  # nominal, as libvorbis wrote it
    for codec, made in coded.items():
        kbps = made.bytes * 8 / (made.fed_frames / RATE_HZ) / 1000.0
        assert kbps == pytest.approx(CODINGS[codec], rel=CODER_KBPS_SHARE), codec


@pytest.mark.parametrize("kbps", [64.0, 128.0, 320.0])
@pytest.mark.parametrize("channels", [1, 2])
def test_mp3_has_the_bit_rate_asked_for(kbps: float, channels: int, tmp_path: Path) -> None:
    made = coded_as(tmp_path, noise(9_000, channels), "mp3", kbps)
    head = struct.unpack(">I", made.path.read_bytes()[:4])[0]
    assert decoded(made).shape == (channels, 9_000)
    # ISO/IEC 11172-3:1993, 2.4.2.3, the index of layer III
    assert head >> 12 & 15 == {64.0: 5, 128.0: 9, 320.0: 14}[kbps]


@pytest.mark.parametrize("codec", CODECS)
def test_decoding_never_clips(codec: Codec, tmp_path: Path) -> None:
    """Peaks past full scale come out as they are, and as FFmpeg reads them."""
    loud = 2.5 * hot(1.0)
    made = coded_as(tmp_path, loud, codec, CODINGS[codec])
    got = decoded(made)
    assert np.abs(got).max() > 1.3  # of 2.2 fed: far past full scale
    assert true_peak_dbtp(got) == pytest.approx(
        true_peak_dbtp(ffmpeg_decoded(made.path)[:, : got.shape[1]]), abs=DECODED_PEAK_DB
    )


def test_aac_of_another_program_is_read_in_step(tmp_path: Path, sound: Block) -> None:
    """FFmpeg's command line, another version and the usual clock of a thousand ticks a second."""
    soundfile.write(tmp_path / "a.wav", sound.T, RATE_HZ, subtype="FLOAT")
    ffmpeg("-i", tmp_path / "a.wav", "-c:a", "aac", "-b:a", "256k", tmp_path / "a.m4a")
    got = read_all(tmp_path / "a.m4a")
    assert abs(got.shape[1] - sound.shape[1]) <= RATE_HZ // 1000 + 1
    assert lag_frames(sound, got) == pytest.approx(0.0, abs=CODED_FRAMES)


def test_aac_is_read_from_any_frame(coded: dict[Codec, Encoded]) -> None:
    whole = decoded(coded["aac"])
    with decode(coded["aac"].path) as reader:
        for start in (50_000, 1_023, 0, whole.shape[1] - 1, whole.shape[1]):
            reader.seek(start)
            assert np.array_equal(reader.read(700), whole[:, start : start + 700])


def test_mpeg4_without_aac_or_cut_off_is_refused(tmp_path: Path, coded: dict[Codec, Encoded]) -> None:
    whole = coded["aac"].path.read_bytes()
    (tmp_path / "cut.m4a").write_bytes(whole[: len(whole) // 2])
    with pytest.raises(SoundFileError, match=r"cut\.m4a: damaged or truncated"):
        read_all(tmp_path / "cut.m4a")
    soundfile.write(tmp_path / "a.wav", noise(4_000).T, RATE_HZ)
    ffmpeg("-i", tmp_path / "a.wav", "-c:a", "alac", tmp_path / "alac.m4a")
    with pytest.raises(SoundFileError, match="alac in MPEG-4; allowed: AAC"):
        read_all(tmp_path / "alac.m4a")


def test_the_checksum_of_a_page_is_that_of_another_writer(tmp_path: Path) -> None:
    """RFC 3533, section 6, field 7; the page is FFmpeg's."""
    soundfile.write(tmp_path / "a.wav", noise(4_000).T, 48_000)
    ffmpeg("-i", tmp_path / "a.wav", "-c:a", "libopus", tmp_path / "a.opus")
    data = (tmp_path / "a.opus").read_bytes()
    size = 27 + data[26] + sum(data[27 : 27 + data[26]])
    (stored,) = struct.unpack_from("<I", data, 22)
    assert page_crc(data[:22] + bytes(4) + data[26:size]) == stored


def stop_in_the_middle(path: Path, codec: Codec) -> None:
    with write_lossy(path, codec, CODINGS[codec], RATE_HZ, 2) as writer:
        writer.write(noise(9_000))
        raise RuntimeError("stopped")


@pytest.mark.parametrize("codec", CODECS)
def test_a_file_is_whole_or_not_there(codec: Codec, tmp_path: Path) -> None:
    path = tmp_path / f"a{ENDS[codec]}"
    path.write_bytes(b"the old one")
    broken = noise(20_000)
    broken[1, 17_000] = np.nan
    with pytest.raises(SoundFileError, match=r"0\.385488 s is not a finite number"):
        encode(path, [broken], codec, CODINGS[codec], RATE_HZ, 2)
    with pytest.raises(SoundFileError, match="zero frames"):
        encode(path, [], codec, CODINGS[codec], RATE_HZ, 2)
    with pytest.raises(RuntimeError):
        stop_in_the_middle(path, codec)
    assert [one.name for one in tmp_path.iterdir()] == [path.name]
    assert path.read_bytes() == b"the old one"


SMALL_DISK = """
import resource, sys
import numpy as np
from arsis.deliver.lossy import encode
from arsis.errors import SoundFileError
path, codec, whole = sys.argv[1:]
sound = 0.1 * np.random.default_rng(1).standard_normal((2, 30_000))
for share in (0.005, 0.5, 0.999):
    room = int(share * int(whole))
    resource.setrlimit(resource.RLIMIT_FSIZE, (room, resource.RLIM_INFINITY))
    try:
        encode(path, [sound], codec, 128.0, 48_000, 2)
    except SoundFileError as fault:
        print(fault)
"""


@pytest.mark.parametrize("codec", CODECS)
def test_a_full_disk_is_one_clear_message(codec: Codec, tmp_path: Path) -> None:
    """The system refuses to let the file grow: at its head, in its middle, at its very end."""
    path = tmp_path / f"sound{ENDS[codec]}"
    size = coded_as(tmp_path, noise(30_000), codec, 128.0, 48_000).bytes
    path.write_bytes(b"the old one")
    done = subprocess.run(
        [sys.executable, "-c", SMALL_DISK, str(path), codec, str(size)],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(Path(arsis.__file__).parents[1])},
    )
    assert (done.returncode, [line for line in done.stderr.splitlines() if "Xing" not in line]) == (0, [])
    said = done.stdout.splitlines()
    assert len(said) == 3
    assert all(line.startswith(f"{path}: cannot be written: ") for line in said)
    assert [one.name for one in tmp_path.iterdir()] == [path.name]
    assert path.read_bytes() == b"the old one"


@pytest.mark.parametrize(
    ("codec", "kbps", "channels", "said"),
    [
        ("mp3", 300.0, 2, "mp3: found 300 kbit/s; allowed: 64, 80"),
        ("opus", 300.0, 1, "opus: found 300 kbit/s; allowed for mono: 6 to 256"),
        ("vorbis", 45.0, 2, "vorbis: found 45 kbit/s; allowed for stereo: 64 to 499"),
        ("aac", 400.0, 1, "aac: found 400 kbit/s; allowed for mono: 16 to 264"),
        ("aac", 24.0, 2, "aac: found 24 kbit/s; allowed for stereo: 32 to 528"),
    ],
)
def test_bit_rates_that_a_coder_does_not_take(codec: Codec, kbps: float, channels: int, said: str) -> None:
    with pytest.raises(ArsisError, match=said):
        check_coding(codec, kbps, RATE_HZ, channels)


@pytest.mark.parametrize("codec", CODECS)
def test_coders_work_at_both_ends_of_their_range(codec: Codec, tmp_path: Path) -> None:
    ends = {"mp3": (64.0, 320.0), "opus": (12.0, 512.0), "vorbis": (64.0, 499.0), "aac": (32.0, 528.0)}
    sizes = [coded_as(tmp_path, noise(22_050), codec, kbps).bytes for kbps in ends[codec]]
    assert sizes[1] > 3 * sizes[0]  # rates lie 5 to 43 times apart; a head and the least quality stay


def test_libraries_are_named_with_their_versions() -> None:
    assert libraries_used("aac")["av"] == av.__version__
    assert libraries_used("mp3")["mp3"].startswith("LAME3.")
    assert libraries_used("opus")["opus"].startswith("libopus ")
    assert "libVorbis" in libraries_used("vorbis")["vorbis"]
    assert libraries_used("opus")["libsndfile"] == soundfile.__libsndfile_version__


def test_nothing_of_the_machine_is_in_a_file(coded: dict[Codec, Encoded]) -> None:
    for made in coded.values():
        assert str(made.path.parent).encode() not in made.path.read_bytes()
    with av.open(io.BytesIO(coded["aac"].path.read_bytes())) as box:
        assert "encoder" not in box.metadata
        assert "creation_time" not in box.metadata


def test_a_damaged_mpeg4_file_is_read_or_refused(tmp_path: Path) -> None:
    """A message, never a traceback; libavcodec may well decode a file with a few wrong bytes."""
    whole = coded_as(tmp_path, noise(8_192), "aac", 128.0).path.read_bytes()
    refused: list[str] = []
    for seed in range(60):
        data, rng = bytearray(whole), np.random.default_rng(seed)
        for place in rng.integers(len(data) // 2, len(data), 1 + seed % 20):
            data[place] ^= int(rng.integers(1, 256))
        (tmp_path / "a.m4a").write_bytes(data)
        try:
            assert np.isfinite(read_all(tmp_path / "a.m4a")).all()
        except SoundFileError as fault:
            refused.append(str(fault))
    assert len(refused) > 20
    assert all(said.startswith(str(tmp_path / "a.m4a")) for said in refused)


@pytest.mark.parametrize("rate_hz", RATES_HZ)
@pytest.mark.parametrize("channels", [1, 2])
def test_the_bounds_of_vorbis_are_what_its_library_writes(rate_hz: int, channels: int) -> None:
    """The nominal bit rate in the first head of a file (Vorbis I, 4.2.2), at both ends of the quality."""
    nominal_kbps = []
    for level in (1.0, 0.0):
        file = io.BytesIO()
        form = {"format": "OGG", "subtype": "VORBIS", "compression_level": level}
        with soundfile.SoundFile(file, "w", rate_hz, channels, **form) as sound:
            sound.write(np.zeros((1, channels)))
        nominal_kbps.append(struct.unpack_from("<i", file.getvalue(), 28 + 20)[0] / 1000.0)
    low, high = nominal_kbps
    assert range_kbps("vorbis", rate_hz, channels) == (math.ceil(low), math.floor(high))
