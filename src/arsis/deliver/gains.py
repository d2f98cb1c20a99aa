"""Level for players: ReplayGain 2.0, and the gains that RFC 7845 gives Opus.

ReplayGain 2.0 specification (2012): reference −18 LUFS. RFC 7845 (2016), 5.2.1: R128_TRACK_GAIN and
R128_ALBUM_GAIN, Q7.8 dB re −23 LUFS (EBU R 128).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from arsis.measure import loudness
from arsis.measure.loudness import Powers

REPLAYGAIN_LUFS = -18.0
R128_LUFS = -23.0
_Q78 = 256


@dataclass(frozen=True, slots=True, kw_only=True)
class Gains:
    """What the gains are made from: loudness, and true peak, of a song and of the record it is on.

    None, or minus infinity, where there is no such value: then there is no such gain.
    """

    track_lufs: float | None = None
    track_peak_dbtp: float | None = None
    album_lufs: float | None = None
    album_peak_dbtp: float | None = None


def replaygain_db(lufs: float) -> float:
    """What brings a loudness to the reference of ReplayGain 2.0."""
    return REPLAYGAIN_LUFS - lufs


def replaygain_text(lufs: float) -> str:
    """The same as its tag has it: `-8.70 dB`."""
    return f"{round(replaygain_db(lufs), 2) + 0.0:.2f} dB"  # + 0.0: never −0.00


def peak_text(peak_db: float) -> str:
    """A peak as ReplayGain's tag has it: linear, full scale 1.0, six decimals."""
    return f"{10.0 ** (peak_db / 20.0):.6f}"


def r128_q78(lufs: float, output_gain_q78: int = 0) -> int:
    """What brings a loudness to −23 LUFS, in 256ths of a dB, on top of the stream's own output gain."""
    gain = round((R128_LUFS - lufs) * _Q78) - output_gain_q78
    return max(-0x8000, min(0x7FFF, gain))


def replaygain_tags(gains: Gains | None) -> dict[str, str]:
    """REPLAYGAIN_* by their names in every container but Opus, in a fixed order."""
    if gains is None:
        return {}
    found = {}
    for name, lufs, peak_dbtp in _both(gains):
        if lufs is not None:
            found[f"REPLAYGAIN_{name}_GAIN"] = replaygain_text(lufs)
        if peak_dbtp is not None:
            found[f"REPLAYGAIN_{name}_PEAK"] = peak_text(peak_dbtp)
    return found


def r128_tags(gains: Gains | None, output_gain_q78: int = 0) -> dict[str, str]:
    """R128_*_GAIN, for Opus, which should carry no REPLAYGAIN_* (RFC 7845, 5.2.1)."""
    if gains is None:
        return {}
    return {
        f"R128_{name}_GAIN": str(r128_q78(lufs, output_gain_q78))
        for name, lufs, _ in _both(gains)
        if lufs is not None
    }


def record_lufs(songs: Sequence[Powers]) -> float:
    """Loudness of a record: the gating blocks of all its songs, gated together; none lies across two songs.

    songs: the K-weighted powers of each (`LoudnessMeter.energies`). Minus infinity when nothing passes.
    """
    return loudness.gated_lufs(np.concatenate([loudness.gating_blocks(song) for song in songs]))


def _both(gains: Gains) -> tuple[tuple[str, float | None, float | None], ...]:
    return (
        ("TRACK", _existing(gains.track_lufs), _existing(gains.track_peak_dbtp)),
        ("ALBUM", _existing(gains.album_lufs), _existing(gains.album_peak_dbtp)),
    )


def _existing(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
