"""The demo's files: what the mixer of the invented record would hand over."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from arsis.io.write import write_sound

from .outboard import printed_elsewhere
from .songs import MAIN_SONG, SONGS, DemoSong, SongTruth, make_song


@dataclass(frozen=True, slots=True)
class DemoMix:
    """The files of one song; instrumental + a cappella is the mix, word for word."""

    path: Path
    instrumental: Path
    acappella: Path
    truth: SongTruth


def write_mixes(folder: Path) -> tuple[DemoMix, ...]:
    """Writes ``mixes/NAME.wav``, ``-instrumental.wav`` and ``-acappella.wav`` of every song, 24-bit."""
    (folder / "mixes").mkdir(parents=True, exist_ok=True)
    return tuple(_write_song(folder / "mixes", make_song(name)) for name in SONGS)


def write_outboard_print(folder: Path, song: DemoSong | None = None) -> Path:
    """Writes ``prints/NAME-outboard.wav``: the whole mix as it came back from an analogue chain."""
    (folder / "prints").mkdir(parents=True, exist_ok=True)
    song = song or make_song(MAIN_SONG)
    return _write(
        folder / "prints" / f"{song.name}-outboard.wav", printed_elsewhere(song.stems.mix, song.rate_hz), song
    )


def _write_song(mixes: Path, song: DemoSong) -> DemoMix:
    return DemoMix(
        _write(mixes / f"{song.name}.wav", song.stems.mix, song),
        _write(mixes / f"{song.name}-instrumental.wav", song.stems.instrumental, song),
        _write(mixes / f"{song.name}-acappella.wav", song.stems.acappella, song),
        song.truth,
    )


def _write(path: Path, words: NDArray[np.int32], song: DemoSong) -> Path:
    with write_sound(path, song.rate_hz, 2, encoding="pcm_s24") as sound:
        sound.write(words)
    return path
