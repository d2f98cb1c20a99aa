"""Names that are fit to be a file's on every system."""

from __future__ import annotations

import re
import unicodedata

# What a file's name does not hold on one system or another.
_UNFIT = re.compile(r'[/\\:*?"<>|\x00-\x1f\x7f]')
# Names that Windows keeps for its devices, whatever their end.
_DEVICES = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?", re.IGNORECASE)
_MOST_BYTES = 200  # of 255 that file systems take, with room for an end and for a part's


def fit(text: str) -> str:
    """The text with a hyphen for each character that some system does not take in a file's name."""
    return _UNFIT.sub("-", text)


def fit_stem(text: str, last: str = "") -> str:
    """A file's name without its end: composed, without spaces or dots at its ends, and not too long.

    An accented letter is one character (Unicode's form C), as most systems compare names byte for byte.
    last: what stands behind the text, and stays where the text is too long. Empty where nothing is left.
    """
    end = _cut(last, _MOST_BYTES // 2)
    name = f"{_cut(text, _MOST_BYTES - len(end.encode()) - 1)} {end}".strip()
    return f"{name}-" if _DEVICES.fullmatch(name) else name


def _cut(text: str, most_bytes: int) -> str:
    name = " ".join(fit(unicodedata.normalize("NFC", text)).split()).strip(" .")
    while len(name.encode()) > most_bytes:
        name = name[:-1].rstrip(" .")
    return name


def folded(name: str) -> str:
    """What is the same for two names that some system takes for one."""
    return unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", name).casefold())
