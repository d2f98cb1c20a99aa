"""What the files of a delivery need: a name for each, and a coder where they are lossy."""

from __future__ import annotations

from arsis.errors import ArsisError
from arsis.io.names import folded
from arsis.plan.profile import Codec

from .coding import CODECS, check_coding, unavailable
from .file_names import assembly_file
from .gathering import Gathering, ReadDocument
from .order import Order


def check_names(order: Order, document: ReadDocument, faults: Gathering) -> None:
    """Every file has a name of its own, on systems that take capitals for small letters too."""
    profile, owners = order.profile, _assemblies(order)
    for song in order.songs:
        path, called = ("song", song.place - 1), f"{song.place:02d} {song.title}"
        if "{isrc}" in profile.file_name and song.isrc is None:
            allowed = f"an ISRC, since the profile {profile.name} names files by it"
            faults.at(document, path, f"no isrc ({called})", allowed)
        files = [(song.file_name, called)]
        files += [(version.file_name, f"{called} ({version.name})") for version in song.versions]
        for name, owner in files:
            other = owners.setdefault(folded(name), owner)
            if other != owner:
                allowed = "a name of its own for each file: by titles, or by the profile's file_name"
                faults.at(document, path, f'"{name}" for both {other} and {owner}', allowed)


def _assemblies(order: Order) -> dict[str, str]:
    """Whose names are taken already: the record, or each side, as one file."""
    if not order.profile.assembly:
        return {}
    sides = {song.entry.side for song in order.songs} if order.profile.sides is not None else {""}
    files = {side: assembly_file(order.profile, order.release.title, side) for side in sides}
    return {folded(name): f"side {side}" if side else "the whole record" for side, name in files.items()}


def check_coders(order: Order, faults: Gathering) -> None:
    """A coder that the files need has to be there; one that they are only tried on may be missing."""
    profile = order.profile
    for codec in CODECS:
        if profile.container == codec and profile.kbps is not None:
            _check(order, codec, profile.kbps, faults)
    for check in profile.codec:
        if unavailable(check.codec) is None:
            _check(order, check.codec, check.kbps, faults)


def _check(order: Order, codec: Codec, kbps: float, faults: Gathering) -> None:
    try:
        check_coding(codec, kbps, order.rate_hz, order.channels)
    except ArsisError as fault:
        faults.faults.append(f"profile {order.profile.name}: {fault}")
