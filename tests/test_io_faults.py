"""Every bad input has its own clear message, and none of them hangs or shows a traceback."""

from __future__ import annotations

import os
import socket
import struct
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile

import arsis
from arsis.errors import SoundFileError
from arsis.io.probe import probe
from arsis.io.read import open_sound, read_all
from tests.signals import noise
from tests.sound_files import aiff, comm_chunk, ffmpeg, fmt_chunk, iff_chunk, riff, riff_chunk

SOUND = riff_chunk(b"data", bytes(4 * 100))
IEEE_GUID = bytes.fromhex("0300000000001000800000aa00389b71")
AMBISONIC_GUID = bytes.fromhex("010000002107d3118644c8c1ca000000")


def extensible(guid: bytes) -> bytes:
    body = struct.pack("<HHIIHHHHI", 0xFFFE, 2, 44_100, 176_400, 4, 16, 22, 16, 3) + guid
    return riff_chunk(b"fmt ", body)


BAD_WAV: dict[str, tuple[bytes, str]] = {
    "no sound at all": (
        b"The quick brown fox jumps over the lazy dog",
        "is not a sound file that arsis knows",
    ),
    "UTF-16 text": ("no sound".encode("utf-16"), "is not a sound file that arsis knows"),
    "one byte": (b"R", "is not a sound file"),
    "empty": (b"", "is empty"),
    "header cut": (b"RIFF\x00\x00", "truncated inside its header"),
    "no chunk": (riff(), "without a fmt or data chunk"),
    "no data": (riff(fmt_chunk()), "without a data chunk"),
    "data before fmt": (riff(SOUND, fmt_chunk()), "no fmt chunk before the data chunk"),
    "fmt cut": (riff()[:12] + struct.pack("<4sI", b"fmt ", 16) + b"\x01\x00", "truncated inside its fmt"),
    "data cut": (
        riff(fmt_chunk(), riff_chunk(b"data", bytes(40), 400)),
        "truncated: its header promises 0.002 s",
    ),
    "zero frames": (riff(fmt_chunk(), riff_chunk(b"data", b"")), "zero frames"),
    "three channels": (riff(fmt_chunk(channels=3), SOUND), "has 3 channels; allowed: 1 or 2"),
    "no channel": (riff(fmt_chunk(channels=0, frame_bytes=4), SOUND), "has 0 channels"),
    "slow": (riff(fmt_chunk(rate_hz=7_999), SOUND), "rate of 7999 Hz; allowed: whole numbers from 8000"),
    "fast": (riff(fmt_chunk(rate_hz=384_001), SOUND), "rate of 384001 Hz"),
    "adpcm": (riff(fmt_chunk(tag=0x11, bits=4), SOUND), "unsupported encoding: IMA ADPCM of 4 bits"),
    "mu-law": (riff(fmt_chunk(tag=7, bits=8), SOUND), "unsupported encoding: mu-law of 8 bits"),
    "unknown tag": (riff(fmt_chunk(tag=0x4242), SOUND), "format tag 0x4242"),
    "half float": (riff(fmt_chunk(tag=3, bits=16), SOUND), "unsupported encoding: float of 16 bits"),
    "64-bit integer": (riff(fmt_chunk(bits=64), SOUND), "unsupported encoding: integer PCM of 64 bits"),
    "contradiction": (riff(fmt_chunk(frame_bytes=5), SOUND), "contradicts itself"),
    "frame too small": (
        riff(fmt_chunk(bits=8, frame_bytes=1), SOUND),
        "contradicts itself: 2 channels of 1 bytes in a frame of 1",
    ),
    "ambisonic": (riff(extensible(AMBISONIC_GUID), SOUND), "unsupported encoding: SubFormat"),
    "short extensible": (riff(fmt_chunk(tag=0xFFFE), SOUND), "extensible fmt chunk is too short"),
    "extensible half float": (riff(extensible(IEEE_GUID), SOUND), "unsupported encoding: float of 16 bits"),
    "mp4": (b"\x00\x00\x00\x20ftypM4A " + bytes(64), "MPEG-4"),
    "caf": (b"caff\x00\x01\x00\x00" + bytes(64), "Core Audio"),
    "flac cut": (b"fLaC\x00\x00\x00\x22" + bytes(5), "its header cannot be read"),
    "ogg of nothing": (b"OggS" + bytes(100), "its header cannot be read"),
}
EIGHT = struct.pack(">II", 0, 0)
FAST = bytes.fromhex("4012bb80000000000000")  # twice 384,000
BAD_AIFF: dict[str, tuple[bytes, str]] = {
    "no COMM": (aiff(iff_chunk(b"SSND", EIGHT + bytes(40))), "without a COMM chunk"),
    "no SSND": (aiff(comm_chunk(2, 10, 16)), "without an SSND chunk"),
    "zero frames": (aiff(comm_chunk(2, 0, 16)), "zero frames"),
    "COMM cut": (aiff(iff_chunk(b"COMM", bytes(10))), "truncated inside its COMM"),
    "sound cut": (
        aiff(comm_chunk(2, 99, 16), iff_chunk(b"SSND", EIGHT + bytes(40))),
        "truncated: its header",
    ),
    "six channels": (aiff(comm_chunk(6, 1, 16), iff_chunk(b"SSND", EIGHT + bytes(12))), "has 6 channels"),
    "ima4": (
        aiff(comm_chunk(2, 1, 16, b"ima4\x00\x00"), iff_chunk(b"SSND", EIGHT + bytes(68)), form=b"AIFC"),
        "IMA ADPCM",
    ),
    "strange": (
        aiff(comm_chunk(2, 1, 16, b"QDMC\x00\x00"), iff_chunk(b"SSND", EIGHT + bytes(68)), form=b"AIFC"),
        "'QDMC'",
    ),
    "fast": (
        aiff(comm_chunk(2, 1, 16, rate=FAST), iff_chunk(b"SSND", EIGHT + bytes(4))),
        "rate of 768000 Hz",
    ),
    "broken rate": (
        aiff(
            comm_chunk(2, 1, 16, rate=bytes.fromhex("400dac44800000000000")),
            iff_chunk(b"SSND", EIGHT + bytes(4)),
        ),
        "rate of 22050.25 Hz; allowed: whole",
    ),
    "no rate": (
        aiff(comm_chunk(2, 1, 16, rate=bytes(10)), iff_chunk(b"SSND", EIGHT + bytes(4))),
        "rate of 0 Hz",
    ),
}


@pytest.mark.parametrize("case", BAD_WAV)
def test_a_bad_file_says_what_is_wrong(tmp_path: Path, case: str) -> None:
    content, message = BAD_WAV[case]
    path = tmp_path / "bad.wav"
    path.write_bytes(content)
    with pytest.raises(SoundFileError, match=message) as caught:
        probe(path)
    assert str(caught.value).startswith(f"{path}: ")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("case", BAD_AIFF)
def test_a_bad_aiff_says_what_is_wrong(tmp_path: Path, case: str) -> None:
    content, message = BAD_AIFF[case]
    path = tmp_path / "bad.aiff"
    path.write_bytes(content)
    with pytest.raises(SoundFileError, match=message):
        probe(path)


@pytest.mark.parametrize("keep", [0.02, 0.5, 0.98])
@pytest.mark.parametrize("name", ["a.wav", "a.aiff", "a.flac", "a.mp3", "a.ogg", "a.opus"])
def test_a_file_that_breaks_off_is_refused(tmp_path: Path, name: str, keep: float) -> None:
    source, path = tmp_path / "source.wav", tmp_path / name
    soundfile.write(source, noise(96_000).T, 48_000, "PCM_24")
    ffmpeg("-i", source, *(["-c:a", "libvorbis"] if name == "a.ogg" else []), path)
    whole = path.read_bytes()
    path.write_bytes(whole[: int(len(whole) * keep)])
    # the frames of FLAC, and the last few of MP3, are missed only by decoding
    look = read_all if name == "a.flac" or keep > 0.9 else probe
    with pytest.raises(SoundFileError, match=r"truncated|not a sound"):
        look(path)


def test_a_file_that_shrinks_while_it_is_read_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "shrinks.wav"
    soundfile.write(path, noise(96_000).T, 48_000, "PCM_24")
    with open_sound(path) as sound:
        sound.read(48_000)
        os.truncate(path, 48_000 * 6 + 1_000)
        with pytest.raises(SoundFileError, match="truncated while it was read"):
            sound.read(48_000)


def test_a_flac_file_of_unknown_length_is_refused(tmp_path: Path) -> None:
    """An encoder that writes into a pipe leaves the total of STREAMINFO at 0 (RFC 9639, section 8.2)."""
    path = tmp_path / "piped.flac"
    soundfile.write(path, noise(9_600).T, 48_000, "PCM_16")
    content = bytearray(path.read_bytes())
    content[21] &= 0xF0
    content[22:26] = bytes(4)
    path.write_bytes(content)
    with pytest.raises(SoundFileError, match="does not state its length"):
        probe(path)


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf])
@pytest.mark.parametrize(("kind", "subtype"), [("wav", "FLOAT"), ("wav", "DOUBLE"), ("aiff", "FLOAT")])
def test_what_is_not_finite_is_refused_with_its_time(
    tmp_path: Path, value: float, kind: str, subtype: str
) -> None:
    sound, path = noise(48_000), tmp_path / f"bad.{kind}"
    sound[1, 36_000] = value
    soundfile.write(path, sound.T, 48_000, subtype)
    name = "NaN" if np.isnan(value) else "infinite"
    with open_sound(path) as reader:
        assert reader.read(36_000).shape == (2, 36_000)
        with pytest.raises(SoundFileError, match=rf"0\.750000 s \(frame 36000, channel 2\) is {name}"):
            reader.read(36_000)


def test_what_is_no_plain_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SoundFileError, match="is a folder"):
        open_sound(tmp_path)
    with pytest.raises(SoundFileError, match="no such file"):
        open_sound(tmp_path / "missing.wav")
    with pytest.raises(SoundFileError, match="is a device"):
        open_sound("/dev/null")
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(SoundFileError, match="is a named pipe"):  # and at once: nobody writes into it
        open_sound(tmp_path / "pipe")
    with socket.socket(socket.AF_UNIX) as listener:
        listener.bind(str(tmp_path / "s"))
        with pytest.raises(SoundFileError, match="is a socket"):
            open_sound(tmp_path / "s")
    with pytest.raises(SoundFileError, match="cannot be read"):
        open_sound("a\0b.wav")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    with pytest.raises(SoundFileError, match="cannot be read"):
        open_sound(tmp_path / "loop")


def test_a_pipe_swapped_in_after_the_look_does_not_hang(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "sound.wav"
    soundfile.write(path, noise(100).T, 48_000, "PCM_16")
    looked = os.stat(path)
    path.unlink()
    os.mkfifo(path)
    genuine: Callable[..., os.stat_result] = os.stat
    monkeypatch.setattr(os, "stat", lambda at, **rest: looked if at == path else genuine(at, **rest))
    with pytest.raises(SoundFileError, match="is a named pipe"):
        open_sound(path)


def test_a_file_that_may_not_be_read_is_refused(tmp_path: Path) -> None:
    """As another user where the tests run as root, who may read everything."""
    path = tmp_path / "closed.wav"
    soundfile.write(path, noise(100).T, 48_000, "PCM_16")
    path.chmod(0)
    drop = "os.setuid(65534)" if os.geteuid() == 0 else "pass"
    tried = (
        "import os, sys; from arsis.io.read import open_sound; from arsis.errors import SoundFileError\n"
        f"fd = os.open({str(tmp_path)!r}, os.O_RDONLY); os.fchdir(fd); {drop}\n"
        "try: open_sound('closed.wav')\n"
        "except SoundFileError as fault: print(fault)"
    )
    tmp_path.chmod(0o755)
    source = str(Path(arsis.__file__).parents[1])
    done = subprocess.run(
        [sys.executable, "-c", tried],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": source},
    )
    assert "closed.wav: may not be read: permission denied" in done.stdout, done.stderr
