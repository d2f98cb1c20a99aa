"""All that a delivery follows from, by name: the same inputs make the same bytes."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib import metadata

from arsis.version import VERSION

from .order import Order

# Libraries whose work is in the files, or that decide whether a file is made at all.
_LIBRARIES = ("numpy", "soxr", "soundfile", "mutagen", "jinja2", "av", "weasyprint")


def inputs_of(order: Order) -> dict[str, str]:
    """Digests and versions: what is said to have changed when a delivery is gone on with."""
    found = tools() | {
        "release.toml": _digest(order.release_text),
        f"profile {order.profile.name}": _digest(order.profile_text),
    }
    found |= {f"{song.place:02d} {song.plan}": _digest(song.plan_text) for song in order.songs}
    found |= {one.path: one.sha256 for one in order.mixes}
    if order.artwork is not None:
        found[order.artwork.path] = order.artwork.sha256
    names = [version.file_name for song in order.songs for version in song.versions]
    found["versions"] = ", ".join(names)
    return found


@cache
def libraries() -> dict[str, str]:
    """The versions of the libraries that are there."""
    found = {}
    for name in _LIBRARIES:
        try:
            found[name] = metadata.version(name)
        except metadata.PackageNotFoundError:
            continue
    return found


def tools() -> dict[str, str]:
    """What makes the files here: the same tools make the same bytes."""
    return {"arsis": VERSION} | {f"library {name}": version for name, version in libraries().items()}


def changed(before: dict[str, str], now: dict[str, str]) -> tuple[str, ...]:
    """What is not as it was, in words."""
    names = dict.fromkeys([*before, *now])
    return tuple(_said(name, before, now) for name in names if before.get(name) != now.get(name))


def _said(name: str, before: dict[str, str], now: dict[str, str]) -> str:
    if name not in now:
        return f"{name} is no more"
    if name not in before:
        return f"{name} is new"
    if name.startswith("library ") or name in ("arsis", "versions"):
        return f"{name} was {before[name] or 'none'} and is {now[name] or 'none'}"
    return f"{name} has changed"


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
