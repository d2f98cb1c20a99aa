"""What the files of a delivery need: a name for each, and a coder where they are lossy."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from arsis.errors import ArsisError
from arsis.io.names import folded
from arsis.plan.coders import CODECS
from arsis.plan.profile import Codec
from arsis.plan.trouble import Path as KeyPath

from .coding import check_coding, unavailable
from .file_names import assembly_file
from .gathering import Gathering, ReadDocument
from .order import Order, OrderedSong


@dataclass(frozen=True, slots=True)
class _Named:
    """A file by the key of the release that it comes of, and the words for whose it is."""

    path: KeyPath
    name: str
    owner: str


def check_names(order: Order, document: ReadDocument, faults: Gathering) -> None:
    """Every file has a name of its own, on systems that take capitals for small letters too."""
    owners: dict[str, str] = {}
    for song in order.songs:
        if "{isrc}" in order.profile.file_name and song.isrc is None:
            allowed = f"an ISRC, since the profile {order.profile.name} names files by it"
            faults.at(document, ("song", song.place - 1), f"no isrc ({_called(song)})", allowed)
    for one in (*_assemblies(order), *_songs(order)):
        other = owners.setdefault(folded(one.name), one.owner)
        if other != one.owner:
            allowed = "a name of its own for each file: by titles, by sides, or by the profile's file_name"
            faults.at(document, one.path, f'"{one.name}" for both {other} and {one.owner}', allowed)


def _assemblies(order: Order) -> Iterator[_Named]:
    """The record, or each side, as one file."""
    profile, title = order.profile, order.release.title
    if profile.assembly and profile.sides is None:
        yield _Named(("title",), assembly_file(profile, title), "the whole record")
    elif profile.assembly:
        for song in order.songs:
            side = song.entry.side
            path = ("song", song.place - 1, "side")
            yield _Named(
                path, assembly_file(profile, title, side), f"side {side}" if side else "songs of no side"
            )


def _songs(order: Order) -> Iterator[_Named]:
    for song in order.songs:
        path = ("song", song.place - 1)
        yield _Named(path, song.file_name, _called(song))
        for version in song.versions:
            yield _Named(path, version.file_name, f"{_called(song)} ({version.name})")


def _called(song: OrderedSong) -> str:
    return f"{song.place:02d} {song.title}"


def check_coders(order: Order, faults: Gathering) -> None:
    """A coder that the files need has to be there; one that they are only tried on may be missing."""
    profile = order.profile
    if not (order.rate_hz and order.channels):
        return  # no mix is there to say what the coder is given: that is the fault
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
