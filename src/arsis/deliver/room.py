"""Whether a delivery can be written where it is meant to be: a folder that takes files, and room for them."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from arsis.plan.profile import Profile

from .gathering import Gathering
from .order import Order
from .record import Record

# For tags, chunks, sheets and what a file system takes for itself: common practice, no source.
_BESIDES = 1.02
_PAPERS_BYTES = 16 * 2**20
_MEGABYTE = 1_000_000


def bytes_needed(order: Order, record: Record) -> int:
    """About what a delivery takes on the disk while it is made; FLAC counts as if nothing could be packed."""
    versions = [version for song in order.songs for version in song.versions]
    frames = record.frames * (2 if order.profile.assembly else 1)
    frames += sum(version.frames for version in versions)
    seconds = frames / order.rate_hz
    sound = seconds * _per_second(order.profile, order.rate_hz, order.channels)
    sound += seconds * _words_per_second(order)
    picture = order.artwork.bytes if order.artwork is not None else 0
    return round(_BESIDES * (sound + (len(order.songs) + len(versions)) * picture)) + _PAPERS_BYTES


def _words_per_second(order: Order) -> float:
    """What is written beside the files until they are whole: words, or floats for a lossy coder."""
    word = {"16": 2, "24": 3, "32f": 4}[order.profile.bits] if order.profile.kbps is None else 4
    return float(order.rate_hz * order.channels * word)


def look_for_room(target: Path, needed: int, faults: Gathering) -> None:
    """Tries to write where the delivery will be, and asks the disk for its free bytes."""
    folder = _nearest(target)
    if not folder.is_dir():
        faults.fault(target, "folder", f"{folder}, which is a file", "a folder that can be written to")
        return
    try:
        with tempfile.TemporaryFile(dir=folder):
            pass
        free = shutil.disk_usage(folder).free  # what this user may still write
    except OSError as fault:
        reason = (fault.strerror or str(fault)).lower()
        faults.fault(target, "folder", f"{folder}: {reason}", "a folder that can be written to")
        return
    if free < needed:
        found = f"{free / _MEGABYTE:.0f} MB free on its disk"
        faults.fault(target, "room", found, f"at least {needed / _MEGABYTE:.0f} MB, which it takes")


def _per_second(profile: Profile, rate_hz: int, channels: int) -> float:
    if profile.kbps is not None:
        return 1000.0 * profile.kbps / 8.0
    word = {"16": 2, "24": 3, "32f": 4}[profile.bits]
    return float(rate_hz * channels * word)


def _nearest(target: Path) -> Path:
    """The nearest thing above the target that is there already."""
    return next(above for above in target.absolute().parents if above.exists())
