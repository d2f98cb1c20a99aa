"""What a delivery holds, as data: written beside its files, and all that `verify` needs.

One JSON document, `manifest.json`; numbers carry their units in their keys, what does not exist is null.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

MANIFEST = "manifest.json"
MANIFEST_SCHEMA = 1

Role = Literal["song", "version", "assembly"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundFacts:
    """What a delivered sound file is and measures, by its own meters at its own rate.

    sound_sha256: of the decoded words (int32 or float32, little-endian, interleaved), so that changed tags
    and changed sound can be told apart; of the words given to the coder for a lossy file.
    bits: None for a lossy file. used_bits: the word length really used; None for floats and lossy files.
    """

    container: str
    rate_hz: int
    channels: int
    bits: int | None
    is_float: bool
    used_bits: int | None
    frames: int
    sound_sha256: str
    integrated_lufs: float | None
    range_lu: float | None
    max_momentary_lufs: float | None
    max_short_term_lufs: float | None
    true_peak_dbtp: float | None
    sample_peak_dbfs: float | None
    head_silence_frames: int
    tail_silence_frames: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundFile:
    """One delivered file with sound. path: relative to the delivery.

    place: of its song in the release, from 1; None for an assembly. songs: the places an assembly holds.
    start_frame: where it begins in the record; gap_frames: the silence at its end that belongs to the gap.
    ceiling_dbtp: what its peaks may have; None where nothing holds them. took_max_db: the most its song's own
    limiter took; None without one. tags: as written, by our own names.
    """

    path: str
    role: Role
    sha256: str
    bytes: int
    facts: SoundFacts
    place: int | None = None
    songs: tuple[int, ...] = ()
    title: str = ""
    version: str | None = None
    side: str = ""
    isrc: str | None = None
    start_frame: int = 0
    gap_frames: int = 0
    ceiling_dbtp: float | None = None
    took_max_db: float | None = None
    tags: dict[str, str] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A file without sound: a plan, the profile, a sheet. path: relative to the delivery."""

    path: str
    sha256: str
    bytes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class MixUsed:
    """A file the prints were made from. path: relative to the release folder."""

    path: str
    sha256: str
    frames: int
    rate_hz: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """A delivery. release_path: from the delivery to its release folder, where the two lie together.

    plans: the frozen copies in the delivery, in the release's order, as `plans/NN-STEM.toml`;
    `release.toml` and `profile.toml` lie beside the manifest and are documents too.
    libraries: versions of the libraries whose work is in the files.
    trim_db: level given to the whole release so that it fits, where the profile has no limiter.
    inputs: digests and versions of all that it was made from, by name, as the command compares them.
    """

    schema: int = MANIFEST_SCHEMA
    arsis: str
    date: str
    title: str
    artist: str
    gtin: str | None
    profile: str
    release_path: str
    rate_hz: int | None
    trim_db: float = 0.0
    record_lufs: float | None = None
    plans: tuple[str, ...] = ()
    mixes: tuple[MixUsed, ...] = ()
    sounds: tuple[SoundFile, ...] = ()
    documents: tuple[Document, ...] = ()
    libraries: dict[str, str] = field(default_factory=dict)
    inputs: dict[str, str] = field(default_factory=dict)
