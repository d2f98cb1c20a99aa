"""Rows of work on sound in memory, warm, in this process.

Each row makes its own material and lets go of it, so that only one row's is held at a time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pedalboard

from arsis.audio import Block
from arsis.dsp.dither import Quantiser
from arsis.measure.loudness import LoudnessMeter, integrated_lufs, range_lu
from arsis.measure.peaks import TruePeakMeter
from arsis.process import ChainRunner, Runner
from arsis.process.limiting import LimiterRunner
from arsis.process.sections import SectionRunner
from arsis.settings import Bell, Compressor, Limiter

from . import peers_av, peers_programs, peers_python
from .overshoot import overshoot_notes
from .rows import Peer, Row
from .song import RATE_HZ, Material, blocks
from .timing import of_call
from .treatment import (
    BANDS,
    CEILING_DBTP,
    DRIVE_DB,
    LOOKAHEAD_MS,
    RELEASE_MS,
    cookbook,
    equalizers,
    gain,
    limited,
)

THRESHOLD_DB, RATIO, ATTACK_MS, COMPRESSOR_RELEASE_MS = -24.0, 2.0, 20.0, 200.0
SHAPER = "wannamaker_9"
PACKED = [("aformat", "dbl")]


def sound_rows(material: Material, scratch: Path) -> Iterator[Row]:
    yield meters_row(material)
    yield bands_row(material)
    yield limiter_row(material)
    yield compressor_row(material)
    yield dither_row(material, scratch, "flat", 5.0)
    yield dither_row(material, scratch, SHAPER, 8.0)


def through(runner: Callable[[], Runner], sound: list[Block]) -> None:
    """A fresh runner over everything; what it gives is let go of block by block."""
    work = runner()
    for block in sound:
        work.process(block)


def meters_row(material: Material) -> Row:
    sound = blocks(material.sound)
    frames = peers_av.frames_of(sound, RATE_HZ)
    av_meters = [("ebur128", "peak=true:framelog=verbose")]

    def meters() -> None:
        loudness, peaks = LoudnessMeter(RATE_HZ, 2), TruePeakMeter(2)
        for block in sound:
            loudness.add(block)
            peaks.add(block)
        energies = loudness.energies()
        integrated_lufs(energies)
        range_lu(energies)
        peaks.peak()

    return Row(
        "integrated loudness, range and true peak, warm",
        lambda: of_call(meters),
        (
            peers_python.libebur128(sound, RATE_HZ, 10.0),
            peers_av.peer(frames, av_meters, PACKED, 8.0, "true peak at 4 times the rate, ours at 16"),
            peers_python.loudness_only(sound, RATE_HZ, 5.0),
        ),
    )


def bands_row(material: Material) -> Row:
    sound = blocks(material.sound)
    sections = np.array(cookbook("A", RATE_HZ))
    frames = peers_av.frames_of(sound, RATE_HZ)
    effects: list[pedalboard.Plugin] = [
        pedalboard.PeakFilter(cutoff_frequency_hz=f, gain_db=g, q=q) for f, g, q in BANDS["A"]
    ]

    def agreement() -> list[str]:
        runner = SectionRunner(sections, 2)
        ours = [runner.process(block) for block in sound][-1]
        off = float(np.abs(ours - peers_python.run_sections(sound, sections)).max())
        bells = ChainRunner([Bell(freq_hz=f, gain_db=g, q=q) for f, g, q in BANDS["A"]], RATE_HZ, 2)
        ms = 1000.0 * min(of_call(lambda: through(lambda: bells, sound)).cpu_s for _ in range(3))
        return [
            f"ours and scipy's last block differ by at most {off:.1e} of full scale (goal ≤ 1e-12)",
            f"as bells that follow the analogue curve up to the top, the six bands cost us {ms:.0f} ms",
        ]

    return Row(
        f"{len(sections)} bands (second-order sections) in float64",
        lambda: of_call(lambda: through(lambda: SectionRunner(sections, 2), sound)),
        (
            peers_python.scipy_sections(sound, sections, 4.0),
            peers_av.peer(frames, equalizers("A"), [("anull", "")], 4.0, ""),
            peers_python.board(sound, effects, RATE_HZ, 10.0, "in float32"),
        ),
        notes=agreement,
    )


def limiter_row(material: Material) -> Row:
    sound = blocks(material.sound, gain(DRIVE_DB))
    settings = Limiter(ceiling_dbtp=CEILING_DBTP, lookahead_ms=LOOKAHEAD_MS, release_ms=RELEASE_MS)
    frames = peers_av.frames_of(sound, RATE_HZ)
    effects: list[pedalboard.Plugin] = [pedalboard.Limiter(threshold_db=CEILING_DBTP, release_ms=RELEASE_MS)]
    board = peers_python.board(sound, effects, RATE_HZ, 3.0, "sample peaks, in float32")
    over = peers_av.peer(frames, limited(RATE_HZ), PACKED, 12.0, "at 4 times the rate: sample peaks there")
    at_rate = peers_av.peer(
        frames,
        limited(RATE_HZ, 1),
        PACKED,
        None,
        "sample peaks at 44.1 kHz",
        f"{peers_av.NAME}, not oversampled",
    )

    def overshoot() -> list[str]:
        runner = LimiterRunner(settings, RATE_HZ, 2)
        single = [block.astype(np.float32) for block in sound]
        results = {
            "arsis": [runner.process(block) for block in sound],
            over.name: peers_av.run(frames, limited(RATE_HZ), keep=True),
            at_rate.name: peers_av.run(frames, limited(RATE_HZ, 1), keep=True),
            board.name: peers_python.run_board(single, effects, RATE_HZ),
        }
        return overshoot_notes(results, RATE_HZ, CEILING_DBTP)

    return Row(
        f"true-peak limiter, +{DRIVE_DB:g} dB into {CEILING_DBTP:g} dBTP",
        lambda: of_call(lambda: through(lambda: LimiterRunner(settings, RATE_HZ, 2), sound)),
        (over, at_rate, board),
        notes=overshoot,
    )


def compressor_row(material: Material) -> Row:
    sound = blocks(material.sound)
    settings = Compressor(
        threshold_dbfs=THRESHOLD_DB, ratio=RATIO, attack_ms=ATTACK_MS, release_ms=COMPRESSOR_RELEASE_MS
    )
    arguments = (
        f"threshold={gain(THRESHOLD_DB):.6f}:ratio={RATIO}:attack={ATTACK_MS}:release={COMPRESSOR_RELEASE_MS}"
    )
    effects: list[pedalboard.Plugin] = [
        pedalboard.Compressor(THRESHOLD_DB, RATIO, ATTACK_MS, COMPRESSOR_RELEASE_MS)
    ]
    frames = peers_av.frames_of(sound, RATE_HZ)
    return Row(
        "compressor, 2:1 from −24 dBFS",
        lambda: of_call(lambda: through(lambda: ChainRunner((settings,), RATE_HZ, 2), sound)),
        (
            peers_av.peer(frames, [("acompressor", arguments)], PACKED, 3.0),
            peers_python.board(sound, effects, RATE_HZ, 3.0, "in float32, channels not linked"),
        ),
    )


def dither_row(material: Material, scratch: Path, kind: str, goal: float) -> Row:
    sound = blocks(material.sound)

    def words() -> None:
        quantiser = Quantiser(16, 2, seed=1, kind=kind)
        for block in sound:
            quantiser.process(block)

    shaped = kind != "flat"
    peer: Peer = peers_programs.sox_dither(material.sound, scratch / "dither.wav", shaped, goal)
    return Row(f"dither to 16 bits, {'shaped' if shaped else 'plain'}", lambda: of_call(words), (peer,))
