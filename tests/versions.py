"""A song in three mixes that sum, for tests of versions: files of a small release, and renders of them."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.measure.alignment import Alignment
from arsis.plan.model import Finish, Join, Pass, RidePoint, Song, Version
from arsis.render.opening import open_source
from arsis.render.run import Rendering, Way
from arsis.render.version import Guarded, VersionRendering
from arsis.render.version_mix import open_version
from arsis.render.words import Word
from arsis.settings import (
    Bell,
    Compressor,
    Delay,
    DynamicBell,
    HighShelf,
    Limiter,
    Saturator,
    Width,
)

from .render_plans import song

VERSIONS = (
    Version(name="instrumental", mix="instrumental.wav"),
    Version(name="a cappella", mix="acappella.wav"),
)
STEP = 2.0**-23


def worked_plan(length_s: float, channels: int = 2) -> Song:
    """Everything that depends on level, and what does not, at work: two passes, joins, rides, limiter."""
    mid = "mid" if channels == 2 else "stereo"
    wide = (Width(side_db=0.8, fold_below_hz=110.0),) if channels == 2 else ()
    near = (
        Compressor(threshold_dbfs=-34.0, ratio=4.0, mix=0.6, channel=mid),
        DynamicBell(freq_hz=2_500.0, range_db=-5.0, threshold_dbfs=-45.0, ratio=4.0),
        Saturator(drive_db=4.0, even=0.6),
    )
    far = (
        Bell(freq_hz=3_000.0, gain_db=1.5, q=1.0, phase="linear"),
        Saturator(drive_db=6.0, even=0.0, mix=0.7),
        *wide,
        Delay(delay_frames=2.25),
    )
    third = length_s / 3.0
    return song(
        [0.0, third, 2.0 * third],
        "ABA",
        {"A": near, "B": far},
        [0.0, 0.7, -0.4],
        join=Join(fade_ms=60.0),
        ride=(RidePoint(time_s=0.1, gain_db=0.0), RidePoint(time_s=length_s / 2, gain_db=1.0)),
        finish=Finish(
            chain=(
                HighShelf(freq_hz=8_000.0, gain_db=1.0),
                Compressor(threshold_dbfs=-26.0, ratio=2.0, sidechain_high_pass_hz=90.0),
            ),
            gain_db=9.0,
            limiter=Limiter(ceiling_dbtp=-1.0),
        ),
    )


@dataclass(frozen=True, slots=True)
class Led:
    """A version's print before its word length, and what became of it."""

    sound: Block
    gain: NDArray[np.float64]
    words: NDArray[np.int32]
    alignment: Alignment
    in_step: bool
    guarded: Guarded


@dataclass(frozen=True, slots=True)
class Folder:
    """A release folder with the mixes of one song."""

    path: Path
    rate_hz: int
    song: Song

    def put(self, name: str, block: Block, subtype: str = "DOUBLE") -> None:
        soundfile.write(self.path / name, block.T, self.rate_hz, subtype)

    def main(self, out_rate_hz: int | None = None) -> tuple[Block, NDArray[np.float64]]:
        """The main print before its word length, and the limiter's gain."""
        with ExitStack() as stack:
            source = open_source(self.song, self.path, stack)
            with Rendering(source, Way(Word(24), out_rate_hz or self.rate_hz)) as rendering:
                made = list(rendering.blocks())
        sound = np.concatenate([one.sound for one in made], axis=1)
        return sound, np.concatenate([one.gain for one in made])

    def led(self, version: Version, out_rate_hz: int | None = None, block_frames: int = 16_384) -> Led:
        """A version's print."""
        with ExitStack() as stack:
            source = open_source(self.song, self.path, stack)
            own = open_version(source, version, self.path, stack)
            way = Way(Word(24), out_rate_hz or self.rate_hz, block_frames)
            with VersionRendering(source, own, way) as rendering:
                to_words = rendering.words()
                sound, gain, words = [], [], []
                for one in rendering.blocks():
                    sound.append(one.sound)
                    gain.append(one.gain)
                    words.append(to_words.push(one).copy())
                guarded = rendering.guarded
        return Led(
            np.concatenate(sound, axis=1),
            np.concatenate(gain),
            np.concatenate(words, axis=1),
            own.alignment,
            own.sound.in_step,
            guarded,
        )


def folder(path: Path, plan: Song, instrumental: Block, voice: Block, rate_hz: int) -> Folder:
    """The three mixes, whole words each: their sum is exact."""
    made = Folder(path, rate_hz, replace(plan, mix="mix.wav", version=VERSIONS))
    whole = [np.round(block / STEP) * STEP for block in (instrumental, voice)]
    made.put("mix.wav", whole[0] + whole[1])
    made.put("instrumental.wav", whole[0])
    made.put("acappella.wav", whole[1])
    return made


def printed_elsewhere(plan: Song, name: str, file: str) -> Song:
    """The plan with one pass as a file."""
    return replace(plan, pass_={**plan.pass_, name: Pass(print=file)})


def null_dbfs(main: Block, *parts: Block) -> float:
    """RMS of what the parts leave of the main print."""
    left = main - np.sum(parts, axis=0)
    return 10.0 * float(np.log10(max(float(np.mean(left**2)), 1e-40)))
