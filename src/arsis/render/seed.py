"""The seed of a print's dither noise."""

from __future__ import annotations


def seed_of(mix_sha256: str) -> int:
    """A seed that is the same whenever the mix is."""
    return int(mix_sha256[:16], 16)
