"""What the files of a delivery need: a name for each, and a coder where they are lossy."""

from __future__ import annotations

from arsis.errors import ArsisError
from arsis.io.names import folded
from arsis.plan.profile import Codec

from .coding import CODECS, check_coding, unavailable
from .gathering import Gathering, ReadDocument
from .order import Order


def check_names(order: Order, document: ReadDocument, faults: Gathering) -> None:
    """Every file has a name of its own, on systems that take capitals for small letters too."""
    profile = order.profile
    owners: dict[str, str] = {}
    for song in order.songs:
        path = ("song", song.place - 1)
        if "{isrc}" in profile.file_name and song.isrc is None:
            found = f"no isrc ({song.place:02d} {song.title})"
            faults.at(document, path, found, f"one, since {profile.name} names files by it")
        files = [(song.file_name, f"{song.place:02d} {song.title}")]
        files += [(one.file_name, f"{song.place:02d} {song.title} ({one.name})") for one in song.versions]
        for name, owner in files:
            other = owners.setdefault(folded(name), owner)
            if other != owner:
                found = f'"{name}" for both {other} and {owner}'
                faults.at(
                    document, path, found, "a file's name of its own for each: mind file_name and titles"
                )


def check_coders(order: Order, faults: Gathering) -> None:
    """A coder that the files need has to be there; one that they are only tried on may be missing."""
    profile = order.profile
    for codec in CODECS:
        if profile.container == codec and profile.kbps is not None:
            _check(order, codec, profile.kbps, faults)
    for check in profile.codec:
        reason = unavailable(check.codec)
        if reason is None:
            _check(order, check.codec, check.kbps, faults)
        else:
            faults.warnings.append(f"{reason}; its codec check is left out")


def _check(order: Order, codec: Codec, kbps: float, faults: Gathering) -> None:
    try:
        check_coding(codec, kbps, order.rate_hz, order.channels)
    except ArsisError as fault:
        faults.faults.append(f"profile {order.profile.name}: {fault}")
