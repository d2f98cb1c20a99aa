"""Plans as an engineer might make them over sections that were found, and a chain outside the computer."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from arsis.audio import Block
from arsis.io.read import open_sound
from arsis.io.write import write_sound
from arsis.plan.model import Pass, Song
from arsis.render.contour import SectionShape
from arsis.settings import Bell, Compressor, Gain, HighShelf, Limiter, LowShelf, Processor

CEILING_DBTP = -1.0
WORK_DB = 1.2  # how far the highest peak comes over the ceiling: the limiter works a little
LOUDEST_SHARE = 0.35  # of the song, where no chorus was found

_MORE: tuple[Processor, ...] = (
    Gain(gain_db=0.6),
    LowShelf(freq_hz=95.0, gain_db=0.7),
    Bell(freq_hz=3_200.0, gain_db=-0.5, q=1.1, channel="mid"),
)

OUTBOARD_LATE = 1_234  # frames
_THIRD = 0.04  # of the chain's curve: rounds peaks


def two_passes(song: Song, shapes: tuple[SectionShape, ...]) -> Song:
    """Choruses, or the loudest sections, through a pass of their own; the rest is left alone."""
    louder = loud_sections(shapes)
    level_dbfs = float(np.mean([shape.mix.loudness_lufs for shape in shapes if shape.name in louder]))
    gentle = Compressor(
        threshold_dbfs=float(round(level_dbfs)), ratio=1.3, attack_ms=40.0, release_ms=250.0, knee_db=8.0
    )
    note = "choruses and the like: a little more weight and level"
    return through(song, louder, Pass(note=note, chain=(*_MORE, gentle)))


def linear_phase(song: Song, shapes: tuple[SectionShape, ...]) -> Song:
    """The same sections through one linear-phase band and a shelf of minimum phase."""
    chain = (
        Bell(freq_hz=300.0, gain_db=-1.0, q=0.8, phase="linear"),
        HighShelf(freq_hz=9_000.0, gain_db=0.6),
    )
    return through(song, loud_sections(shapes), Pass(note="linear phase", chain=chain))


def printed_elsewhere(song: Song, shapes: tuple[SectionShape, ...], folder: Path) -> Song:
    """The same sections from a print of the mix through a chain outside."""
    name = f"prints/{Path(song.mix).stem}-outboard.wav"
    play_outside(folder / song.mix, folder / name)
    return through(song, loud_sections(shapes), Pass(note="through the outboard chain", print=name))


def loud_sections(shapes: tuple[SectionShape, ...]) -> set[str]:
    """Names of the choruses; where there are none, of the loudest sections; never all of them."""
    choruses = {shape.name for shape in shapes if shape.kind == "chorus"}
    if 0 < len(choruses) < len(shapes):
        return choruses
    total = sum(shape.end_s - shape.start_s for shape in shapes)
    chosen: set[str] = set()
    taken = 0.0
    for shape in sorted(shapes, key=lambda shape: -shape.mix.loudness_lufs)[: max(1, len(shapes) - 1)]:
        chosen.add(shape.name)
        taken += shape.end_s - shape.start_s
        if taken >= LOUDEST_SHARE * total:
            break
    return chosen


def through(song: Song, names: set[str], treatment: Pass) -> Song:
    """`names` through a pass B, and no limiter yet."""
    sections = tuple(replace(s, pass_="B" if s.name in names else "A") for s in song.section)
    finish = replace(song.finish, gain_db=0.0, limiter=None)
    return replace(
        song, section=sections, pass_={"A": Pass(note="left alone"), "B": treatment}, finish=finish
    )


def limited(song: Song, true_peak_dbtp: float) -> Song:
    """The plan with as much gain as makes the limiter work a little."""
    gain_db = round(CEILING_DBTP + WORK_DB - true_peak_dbtp, 2)
    return replace(
        song, finish=replace(song.finish, gain_db=gain_db, limiter=Limiter(ceiling_dbtp=CEILING_DBTP))
    )


def play_outside(mix: Path, out: Path) -> None:
    """A chain of analogue machines, simulated: turned over, late, bent, coloured, with its own noise."""
    with open_sound(mix) as sound:
        rate_hz, block = sound.info.rate_hz, sound.read(sound.info.frames)
    late = np.pad(block, ((0, 0), (OUTBOARD_LATE, 0)))
    hiss = 1e-5 * np.random.default_rng(7).standard_normal(late.shape)
    back = -0.9 * _coloured(late - _THIRD * late**3, rate_hz) + hiss
    out.parent.mkdir(parents=True, exist_ok=True)
    with write_sound(out, rate_hz, block.shape[0], encoding="pcm_s24") as printed:
        printed.write(np.rint(np.clip(back, -1.0, 1.0 - 2.0**-23) * 2.0**23).astype(np.int32))


def _coloured(block: Block, rate_hz: int) -> Block:
    """First-order coupling at 8 Hz and a small rise of 1 dB towards the top: by scipy, not by arsis."""
    from scipy.signal import bilinear, lfilter

    corner = 2.0 * np.pi * 8.0
    high_pass = bilinear([1.0, 0.0], [1.0, corner], rate_hz)
    zero, pole = 2.0 * np.pi * 8_000.0, 2.0 * np.pi * 9_000.0
    air = bilinear([1.0 / zero, 1.0], [1.0 / pole, 1.0], rate_hz)
    return np.asarray(lfilter(*air, lfilter(*high_pass, block, axis=1), axis=1))
