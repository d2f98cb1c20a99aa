"""Meters that are not ours, on real songs: libebur128, FFmpeg's, and a 16-times one of 256 taps a phase."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from dataclasses import dataclass, fields
from pathlib import Path

import numpy as np
import pyebur128
from scipy.signal import resample_poly

from arsis.audio import BLOCK_FRAMES, Block
from tests.meter16 import LONG, OVER

LUFS_LU, PEAK_DB = 0.05, 0.1
RANGE_LU = 0.3  # libebur128 looks once a second, arsis ten times: other percentiles of the same song

PLACES = 48
HOP = 1_024  # frames of a place
SIDES = 300  # heard either side of it: the kernel reaches 128


@dataclass(frozen=True, slots=True)
class Ours:
    """What `arsis measure` says of a file, as far as it is looked at here."""

    rate_hz: int
    channels: int
    duration_s: float
    integrated_lufs: float
    range_lu: float
    true_peak_dbtp: float


def measured(path: Path) -> Ours:
    """By the command itself."""
    command = [sys.executable, "-m", "arsis", "measure", str(path), "--json"]
    said = json.loads(subprocess.run(command, capture_output=True, text=True, check=True).stdout)[0]
    return Ours(**{one.name: said[one.name] for one in fields(Ours)})


@dataclass(frozen=True, slots=True)
class Theirs:
    """What libebur128 reads."""

    integrated_lufs: float
    range_lu: float
    true_peak_dbtp: float


def libebur128(block: Block, rate_hz: int) -> Theirs:
    modes = pyebur128.MeasurementMode
    state = pyebur128.R128State(block.shape[0], rate_hz, modes.MODE_I | modes.MODE_LRA | modes.MODE_TRUE_PEAK)
    packed = np.ascontiguousarray(block.T)
    for start in range(0, len(packed), BLOCK_FRAMES):
        part = packed[start : start + BLOCK_FRAMES]
        state.add_frames(part.ravel(), len(part))
    peak = max(pyebur128.get_true_peak(state, channel) for channel in range(block.shape[0]))
    return Theirs(
        pyebur128.get_loudness_global(state),
        pyebur128.get_loudness_range(state),
        20.0 * float(np.log10(peak)),
    )


def disagreements(ours: Ours, theirs: Theirs) -> list[str]:
    """Where the two part further than they may."""
    found = []
    if abs(ours.integrated_lufs - theirs.integrated_lufs) > LUFS_LU:
        found.append(f"integrated {ours.integrated_lufs:.2f}, libebur128 {theirs.integrated_lufs:.2f} LUFS")
    if abs(ours.range_lu - theirs.range_lu) > RANGE_LU:
        found.append(f"range {ours.range_lu:.2f}, libebur128 {theirs.range_lu:.2f} LU")
    if ours.true_peak_dbtp < theirs.true_peak_dbtp - PEAK_DB:
        found.append(f"true peak {ours.true_peak_dbtp:.2f}, libebur128 {theirs.true_peak_dbtp:.2f} dBTP")
    return found


def highest_true_peak_dbtp(block: Block) -> float:
    """The 16-times meter, at the places where a four-times one reads most.

    Each place is heard with sound either side of it, so that where it was cut out is not part of the reading.
    """
    coarse = np.abs(resample_poly(block, 4, 1, axis=1)).max(axis=0)
    hops = -(-coarse.size // (4 * HOP))
    coarse = np.pad(coarse, (0, hops * 4 * HOP - coarse.size)).reshape(hops, 4 * HOP).max(axis=1)
    padded = np.pad(block, ((0, 0), (SIDES, SIDES + HOP)))
    found = 0.0
    for hop in np.argsort(coarse)[-PLACES:].tolist():
        part = padded[:, hop * HOP : (hop + 1) * HOP + 2 * SIDES]
        between = resample_poly(part, OVER, 1, axis=1, window=LONG)
        found = max(found, float(np.abs(between[:, OVER * SIDES : OVER * (SIDES + HOP)]).max()))
    return 20.0 * float(np.log10(found))


def ffmpeg_true_peak_dbtp(path: Path) -> float:
    """FFmpeg's ebur128 filter, which gives a tenth of a dB."""
    command = [
        "ffmpeg",
        "-nostdin",
        "-hide_banner",
        "-i",
        str(path),
        "-af",
        "ebur128=peak=true",
        "-f",
        "null",
        "-",
    ]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stderr
    return float(re.findall(r"Peak:\s+(-?[\d.]+|-inf) dBFS", said)[-1])
