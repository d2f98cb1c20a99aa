"""What a delivered file says of itself, by our own names, whatever its container calls them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from arsis.version import VERSION

from .artwork import Artwork
from .gains import Gains, r128_tags, replaygain_tags

ENCODER = f"arsis {VERSION}"
_BREAKS = re.compile(r" *[\x00-\x1f\x7f-\x9f\u2028\u2029][\x00-\x20\x7f-\x9f\u2028\u2029]*")


@dataclass(frozen=True, slots=True, kw_only=True)
class Tags:
    """What is to be said of a file; an empty text or None is not written.

    place, total: of the song in the release. date: of the release; made: the day the delivery was begun,
    which only `bext` holds (yyyy-mm-dd). gtin: digits as the release has them.
    """

    title: str
    artist: str = ""
    album: str = ""
    album_artist: str = ""
    place: int | None = None
    total: int | None = None
    isrc: str | None = None
    gtin: str | None = None
    date: str = ""
    made: str = ""
    version: str = ""
    catalogue_number: str = ""
    copyright: str = ""
    artwork: Artwork | None = None
    gains: Gains | None = None
    encoder: str = ENCODER

    def texts(self) -> dict[str, str]:
        """The texts by our own names, in one fixed order, without those that are empty.

        The title is shown with its version, since most readers show nothing else. Control characters,
        line ends among them, are spaces: several containers end a text at one.
        """
        named = {
            "title": f"{self.title} ({self.version})" if self.version else self.title,
            "artist": self.artist,
            "album": self.album,
            "album_artist": self.album_artist,
            "place": str(self.place or ""),
            "total": str(self.total or ""),
            "isrc": self.isrc or "",
            "gtin": self.gtin or "",
            "date": self.date,
            "version": self.version,
            "catalogue_number": self.catalogue_number,
            "copyright": self.copyright,
            "encoder": self.encoder,
        }
        plain = {name: one_line(text) for name, text in named.items()}
        return {name: text for name, text in plain.items() if text}

    def named(self, container: str) -> dict[str, str]:
        """All that `read_tags` finds in a file of this container that carries these tags."""
        gains = r128_tags(self.gains) if container == "opus" else replaygain_tags(self.gains)
        found = self.texts() | {name.lower(): text for name, text in gains.items()}
        return found | ({"artwork": self.artwork.shown} if self.artwork else {})


def one_line(text: str) -> str:
    """The text without control characters: a row of them, with any spaces around it, is one space."""
    whole = text.encode("utf-8", "replace").decode()  # half of a pair of surrogates is no letter
    return _BREAKS.sub(" ", whole).strip(" ")
