"""What a sound file is, before any of it is decoded, and what arsis takes."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from arsis.errors import SoundFileError

LOWEST_RATE_HZ = 8_000
HIGHEST_RATE_HZ = 384_000


@dataclass(frozen=True, slots=True)
class SoundInfo:
    """A sound file's facts.

    container: wav, rf64, bw64, aiff, aifc, flac, ogg, mp3.
    encoding: pcm_u8, pcm_s8, pcm_s16, pcm_s24, pcm_s32, float32, float64, vorbis, opus, mp3.
    bits: of the word in the file; None where there is no such thing.
    end_doubt: why sound may be missing at its end although the file can be read; empty where nothing says so.
    """

    path: Path
    container: str
    encoding: str
    bits: int | None
    rate_hz: int
    channels: int
    frames: int
    is_float: bool
    is_lossy: bool
    end_doubt: str = ""

    @property
    def duration_s(self) -> float:
        return self.frames / self.rate_hz


def check_fit(info: SoundInfo) -> SoundInfo:
    """The same, or SoundFileError where arsis does not take such a file."""
    if info.channels not in (1, 2):
        raise SoundFileError(f"{info.path}: has {info.channels} channels; allowed: 1 or 2")
    check_rate(info.path, info.rate_hz)
    if info.frames <= 0:
        raise SoundFileError(f"{info.path}: holds no sound: zero frames")
    return info


def check_rate(path: str | Path, rate_hz: float) -> None:
    """Raises SoundFileError where the rate is out of range or not a whole number."""
    if not LOWEST_RATE_HZ <= rate_hz <= HIGHEST_RATE_HZ or rate_hz % 1:
        allowed = f"whole numbers from {LOWEST_RATE_HZ} to {HIGHEST_RATE_HZ}"
        raise SoundFileError(f"{path}: has a rate of {rate_hz:.15g} Hz; allowed: {allowed}")


def truncated(path: str | Path, promised_s: float, present_s: float) -> SoundFileError:
    """The fault of a file that ends before its header says so."""
    return SoundFileError(
        f"{path}: truncated: its header promises {promised_s:.3f} s of sound, it holds {present_s:.3f} s"
    )
