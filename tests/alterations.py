"""Ways to spoil a delivery: each alters the files of a folder, as a slip or a hand would.

WAV files are taken apart and put together here, by the standards alone, not by arsis.
"""

from __future__ import annotations

import hashlib
import json
import struct
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Words = NDArray[np.int64]
Chunk = tuple[bytes, bytes]


def chunks_of(path: Path) -> list[Chunk]:
    data = path.read_bytes()
    assert data[:4] == b"RIFF"
    chunks, at = [], 12
    while at + 8 <= len(data):
        name, size = struct.unpack_from("<4sI", data, at)
        chunks.append((name, data[at + 8 : at + 8 + size]))
        at += 8 + size + size % 2
    return chunks


def put_chunks(path: Path, chunks: list[Chunk]) -> None:
    body = b"".join(
        name + struct.pack("<I", len(data)) + data + bytes(len(data) % 2) for name, data in chunks
    )
    path.write_bytes(b"RIFF" + struct.pack("<I", 4 + len(body)) + b"WAVE" + body)


def change_chunk(path: Path, name: bytes, change: Callable[[bytes], bytes]) -> None:
    found = [one for one, _ in chunks_of(path)]
    assert name in found
    put_chunks(path, [(one, change(data) if one == name else data) for one, data in chunks_of(path)])


def words_of(path: Path) -> Words:
    """(2, frames) of a 16-bit file."""
    data = dict(chunks_of(path))[b"data"]
    return np.frombuffer(data, "<i2").reshape(-1, 2).T.astype(np.int64)


def put_words(path: Path, words: Words) -> None:
    clipped = np.clip(words, -(2**15), 2**15 - 1)
    data = np.ascontiguousarray(clipped.T, dtype="<i2").tobytes()
    change_chunk(path, b"data", lambda old: data)


def change_words(path: Path, change: Callable[[Words], Words]) -> None:
    put_words(path, change(words_of(path)))


def words24_of(path: Path) -> Words:
    raw = np.frombuffer(dict(chunks_of(path))[b"data"], np.uint8).reshape(-1, 2, 3).astype(np.int64)
    words = raw[..., 0] | raw[..., 1] << 8 | raw[..., 2] << 16
    return (words - ((words >> 23) << 24)).T


def put_words24(path: Path, words: Words) -> None:
    parts = np.stack([words.T >> shift & 0xFF for shift in (0, 8, 16)], axis=-1)
    data = parts.astype(np.uint8).tobytes()
    change_chunk(path, b"data", lambda old: data)


def change_manifest(folder: Path, change: Callable[[dict[str, Any]], None]) -> None:
    path = folder / "manifest.json"
    table = json.loads(path.read_text(encoding="utf-8"))
    change(table)
    path.write_text(json.dumps(table, ensure_ascii=False, indent=2) + "\n", encoding="utf-8")


def entry(table: dict[str, Any], path: str) -> dict[str, Any]:
    found: dict[str, Any] = next(one for one in table["sounds"] + table["documents"] if one["path"] == path)
    return found


def fit_digests(folder: Path, path: str) -> None:
    """The manifest says of the file as it is now what it said before; a forger's work."""
    data = (folder / path).read_bytes()

    def change(table: dict[str, Any]) -> None:
        one = entry(table, path)
        one["sha256"], one["bytes"] = hashlib.sha256(data).hexdigest(), len(data)
        if "facts" in one:
            words = words_of(folder / path)
            inside = np.ascontiguousarray(words.T, dtype="<i4").tobytes()
            one["facts"]["sound_sha256"] = hashlib.sha256(inside).hexdigest()
            one["facts"]["frames"] = words.shape[1]

    change_manifest(folder, change)


def flip(path: Path, at: int) -> None:
    data = bytearray(path.read_bytes())
    data[at] ^= 0x01
    path.write_bytes(data)


def flip_in_chunk(path: Path, name: bytes, at: int) -> None:
    change_chunk(path, name, lambda data: data[:at] + bytes([data[at] ^ 0x01]) + data[at + 1 :])


def louder(words: Words, gain_db: float) -> Words:
    return np.round(words * 10.0 ** (gain_db / 20.0)).astype(np.int64)


def through_mp3(path: Path, folder: Path) -> None:
    """Coded and decoded again by ffmpeg; the file keeps its chunks."""
    coded, back = folder / "coded.mp3", folder / "back.wav"
    run = ["ffmpeg", "-v", "error", "-y", "-i"]
    subprocess.run([*run, str(path), "-b:a", "128k", str(coded)], check=True)
    subprocess.run([*run, str(coded), "-c:a", "pcm_s16le", str(back)], check=True)
    put_words(path, words_of(back))


def resampled(path: Path, rate_hz: int) -> None:
    """To another rate by ffmpeg, chunks and all but the sound and its format as they were."""
    back = path.with_suffix(".tmp.wav")
    command = ["ffmpeg", "-v", "error", "-y", "-i", str(path), "-ar", str(rate_hz), "-c:a", "pcm_s16le"]
    subprocess.run([*command, str(back)], check=True)
    new = dict(chunks_of(back))
    back.unlink()
    put_chunks(
        path,
        [
            (name, new.get(name, data) if name in (b"fmt ", b"data") else data)
            for name, data in chunks_of(path)
        ],
    )


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
