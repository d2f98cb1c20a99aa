"""What is done to a delivery, by name, and the words in which `arsis verify` has to tell it."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from . import alterations as by

ONE, TWO, THREE, WHOLE = "01 Small Hours.wav", "02 First Tram.wav", "03 Milk Round.wav", "00 Nocturnes.wav"
RATE_HZ = 44_100

Alter = Callable[[Path], object]


def swap(folder: Path, one: str, other: str) -> None:
    (folder / one).rename(folder / "x")
    (folder / other).rename(folder / one)
    (folder / "x").rename(folder / other)


def put_sound(folder: Path, to: str, words: np.ndarray) -> None:
    by.put_words(folder / to, words)


def forged(folder: Path, path: str, alter: Alter) -> None:
    alter(folder / path)
    by.fit_digests(folder, path)


def half_second(words: np.ndarray) -> np.ndarray:
    """From 2.0 to 2.5 s."""
    return np.arange(words.shape[1]) // (RATE_HZ // 2) == 4


def over_the_ceiling(words: np.ndarray) -> np.ndarray:
    loud = words.copy()
    loud[:, 100_000] = 32_700
    return loud


def no_dither(folder: Path) -> None:
    """As if words had been cut off where they were dithered: half a step of noise instead."""
    steps = np.random.default_rng(7).integers(-1, 2, size=(2, 200_000))
    by.change_words(
        folder / ONE, lambda words: np.concatenate([words[:, :200_000] + steps, words[:, 200_000:]], 1)
    )


def reorder(folder: Path) -> None:
    words = [by.words_of(folder / name) for name in (TWO, ONE, THREE)]
    put_sound(folder, WHOLE, np.concatenate(words, axis=1))


def longer_gap(folder: Path) -> None:
    by.change_words(folder / ONE, lambda words: words[:, : -588 * 20])
    by.fit_digests(folder, ONE)


def in_manifest(change: Callable[[dict[str, Any]], None]) -> Alter:
    return lambda folder: by.change_manifest(folder, change)


def set_tag(table: dict[str, Any]) -> None:
    by.entry(table, ONE)["tags"]["title"] = "Other Hours"


def set_start(table: dict[str, Any]) -> None:
    by.entry(table, TWO)["start_frame"] += 588


def set_loudness(table: dict[str, Any]) -> None:
    by.entry(table, ONE)["facts"]["integrated_lufs"] += 0.5


def set_ceiling(table: dict[str, Any]) -> None:
    by.entry(table, ONE)["ceiling_dbtp"] = -3.0


def isrc_in_id3(folder: Path) -> None:
    by.change_chunk(folder / ONE, b"id3 ", lambda data: data.replace(b"AA6Q72000047", b"AA6Q72000099"))


def artwork(folder: Path) -> None:
    by.change_chunk(folder / ONE, b"id3 ", lambda data: data.replace(b"IEND", b"IENE"))


def bext_loudness(folder: Path) -> None:
    by.change_chunk(folder / ONE, b"bext", lambda data: data[:412] + b"\x18\xfc" + data[414:])


def cue_marker(folder: Path) -> None:
    by.change_chunk(folder / ONE, b"cue ", lambda data: data[:28] + b"\x01\x02" + data[30:])


CASES: dict[str, tuple[Alter, str, str]] = {
    "a bit of the sound": (
        lambda f: by.flip_in_chunk(f / ONE, b"data", 400_000),
        ONE,
        r"one frame altered at 2\.268 s \(frame 100000\)",
    ),
    "a stretch of the sound": (
        lambda f: by.change_words(
            f / ONE, lambda w: np.where(np.arange(w.shape[1]) // 22_050 == 4, w // 2, w)
        ),
        ONE,
        r"from 2\.000 s to 2\.500 s",
    ),
    "a stretch silenced": (
        lambda f: by.change_words(f / ONE, lambda w: np.where(half_second(w), 0, w)),
        ONE,
        r"silenced from 2\.000 s to 2\.500 s",
    ),
    "a byte of the header": (
        lambda f: by.flip_in_chunk(f / ONE, b"bext", 500),
        ONE,
        r"sound intact, other bytes in its bext chunk",
    ),
    "end of the file gone": (
        lambda f: (f / ONE).write_bytes((f / ONE).read_bytes()[:1_000_000]),
        ONE,
        r"truncated: its header promises 8\.000 s of sound, it holds 5\.6",
    ),
    "end of the sound gone": (
        lambda f: by.change_words(f / TWO, lambda w: w[:, :-44_100]),
        TWO,
        r"truncated: 1\.0 s missing",
    ),
    "bytes put behind": (
        lambda f: (f / ONE).write_bytes((f / ONE).read_bytes() + bytes(100)),
        ONE,
        r"changed: 100 bytes longer",
    ),
    "a file gone": (lambda f: (f / TWO).unlink(), TWO, r"missing"),
    "a file too many": (
        lambda f: shutil.copy(f / TWO, f / "04 Again.wav"),
        "04 Again.wav",
        r"extra: the manifest does not list it",
    ),
    "a file renamed": (
        lambda f: (f / TWO).rename(f / "02 Tram.wav"),
        TWO,
        r"renamed \(expected 02 First Tram\.wav, found 02 Tram\.wav\)",
    ),
    "two files swapped": (
        lambda f: swap(f, ONE, TWO),
        ONE,
        r"01 Small Hours\.wav and 02 First Tram\.wav are swapped",
    ),
    "the sound of another file": (
        lambda f: put_sound(f, ONE, by.words_of(f / TWO)),
        ONE,
        r"holds the sound of 02 First Tram\.wav",
    ),
    "another ISRC": (
        isrc_in_id3,
        ONE,
        r"re-tagged, sound intact: ISRC changed from AA6Q72000047 to AA6Q72000099",
    ),
    "another ISRC in axml": (
        lambda f: by.change_chunk(f / ONE, b"axml", lambda d: d.replace(b"AA6Q72000047", b"AA6Q72000099")),
        ONE,
        r"ISRC in axml changed from AA6Q72000047 to AA6Q72000099",
    ),
    "another picture": (artwork, ONE, r"re-tagged, sound intact: artwork changed from image/png"),
    "loudness in bext": (bext_loudness, ONE, r"integrated_lufs in bext is not what the file measures"),
    "a marker moved": (cue_marker, ONE, r"markers changed from"),
    "through a lossy coder": (
        lambda f: by.through_mp3(f / ONE, f.parent),
        ONE,
        r"re-encoded or filtered: nothing is left above 1\d\.\d kHz",
    ),
    "resampled": (lambda f: by.resampled(f / ONE, 48_000), ONE, r"resampled: 48000 Hz in place of 44100"),
    "another rate in the header": (
        lambda f: by.change_chunk(f / ONE, b"fmt ", lambda d: d[:4] + b"\x80\xbb\0\0" + d[8:]),
        ONE,
        r"marked as 48000 Hz in place of 44100",
    ),
    "turned down": (
        lambda f: by.change_words(f / ONE, lambda w: by.louder(w, -0.1)),
        ONE,
        r"level changed by −0\.10 dB",
    ),
    "turned down, digests forged": (
        lambda f: forged(f, ONE, lambda p: by.change_words(p, lambda w: by.louder(w, -0.1))),
        ONE,
        r"not what mix and plan make: level changed by −0\.10 dB",
    ),
    "one channel turned down": (
        lambda f: by.change_words(f / TWO, lambda w: np.stack([by.louder(w[0], -0.5), w[1]])),
        TWO,
        r"level changed by −0\.50 dB on the left, 0\.00 dB on the right",
    ),
    "polarity": (lambda f: by.change_words(f / ONE, lambda w: -w), ONE, r"polarity turned"),
    "polarity of one channel": (
        lambda f: by.change_words(f / ONE, lambda w: np.stack([w[0], -w[1]])),
        ONE,
        r"polarity of the right channel turned",
    ),
    "channels": (lambda f: by.change_words(f / ONE, lambda w: w[::-1]), ONE, r"channels swapped"),
    "a frame late": (
        lambda f: by.change_words(f / THREE, lambda w: np.roll(w, 1, axis=1)),
        THREE,
        r"shifted by 1 frame later",
    ),
    "silence at the head": (
        lambda f: by.change_words(f / ONE, lambda w: np.pad(w, ((0, 0), (5_880, 0)))),
        ONE,
        r"0\.133 s of silence added before the start",
    ),
    "a piece cut out": (
        lambda f: by.change_words(f / ONE, lambda w: np.delete(w, slice(88_200, 110_250), axis=1)),
        ONE,
        r"0\.500 s cut out at 2\.000 s",
    ),
    "the gap shortened": (
        longer_gap,
        ONE,
        r"is of another length than release\.toml makes it|the gap after it is not silent all through",
    ),
    "cut off the grid": (
        lambda f: by.change_words(f / ONE, lambda w: w[:, :-1]),
        ONE,
        r"ends off the grid of 588 frames",
    ),
    "a sample over the ceiling": (
        lambda f: by.change_words(f / ONE, over_the_ceiling),
        ONE,
        r"true peak \d\.\d+ dB over the ceiling",
    ),
    "other dither": (
        no_dither,
        ONE,
        r"rounded or dithered otherwise: at most 1 step of its 16-bit word apart",
    ),
    "the assembly in another order": (
        reorder,
        WHOLE,
        r"holds its songs in another order: 02 First Tram\.wav, 01 Small Hours\.wav, 03 Milk Round\.wav",
    ),
    "the assembly altered": (
        lambda f: by.flip_in_chunk(f / WHOLE, b"data", 4 * 400_000),
        WHOLE,
        r"is not the sum of its songs: differs where 02 First Tram\.wav should be",
    ),
    "a plan edited": (
        lambda f: by.edit(f / "plans/01-small-hours.toml", "ride_db = 0.4", "ride_db = 0.5"),
        "plans/01-small-hours.toml",
        r"changed: not the bytes that were delivered",
    ),
    "a plan edited, its digest forged": (
        lambda f: (
            by.edit(f / "plans/01-small-hours.toml", "ride_db = 0.4", "ride_db = 0.5"),
            by.fit_digests(f, "plans/01-small-hours.toml"),
        ),
        ONE,
        r"not what mix and plan make",
    ),
    "the profile edited": (
        lambda f: by.edit(f / "profile.toml", 'bits = "16"', 'bits = "24"'),
        ONE,
        r"bits is not what the profile asks for \(expected 24, found 16\)",
    ),
    "the release edited": (
        lambda f: by.edit(f / "release.toml", "AA6Q72000049", "AA6Q72000059"),
        "manifest.json",
        r"its ISRC is not that of release\.toml",
    ),
    "a figure of the manifest": (in_manifest(set_loudness), ONE, r"integrated loudness \(expected"),
    "a start of the manifest": (
        in_manifest(set_start),
        TWO,
        r"does not begin where 01 Small Hours\.wav ends \(expected frame 352800, found frame 353388\)",
    ),
    "a tag of the manifest": (in_manifest(set_tag), ONE, r"title is not what plan and release say"),
    "a ceiling of the manifest": (in_manifest(set_ceiling), ONE, r"over the ceiling"),
}
