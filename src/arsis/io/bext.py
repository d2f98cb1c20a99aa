"""The `bext` chunk of a broadcast WAV file, version 2, with measured loudness.

Layout: EBU Tech 3285 v2, "Specification of the Broadcast Wave Format" (2011), 2.3; the line of coding
history: EBU R 98, "Format for the <CodingHistory> field" (1999).
"""

from __future__ import annotations

import math
import struct
import unicodedata
from dataclasses import dataclass
from typing import Protocol

VERSION = 2
UNUSED = 0x7FFF  # in a field of loudness; from memory, like the range of the values
MOST_HUNDREDTHS = 9999
_FIXED = struct.Struct("<256s32s32s10s8sQH64s5h180s")
_LOUDNESS_VERSION = 2  # before it these bytes are zeros that mean nothing

# Letters that do not come apart into a plain one and its accent, and the marks of good typography.
_PLAIN = str.maketrans(
    {
        "ß": "ss", "ẞ": "SS", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ø": "o", "Ø": "O",
        "ł": "l", "Ł": "L", "đ": "d", "Đ": "D", "ð": "d", "Ð": "D", "þ": "th", "Þ": "Th", "ı": "i",
        "‘": "'", "’": "'", "‚": "'", "“": '"', "”": '"', "„": '"', "«": '"', "»": '"',
        "‐": "-", "‑": "-", "–": "-", "—": "-", "−": "-", "×": "x",
    }
)  # fmt: skip


class Loudness(Protocol):
    """What bext says of a sound; None, or a level of minus infinity, where there is no such value."""

    @property
    def integrated_lufs(self) -> float | None: ...
    @property
    def range_lu(self) -> float | None: ...
    @property
    def true_peak_dbtp(self) -> float | None: ...
    @property
    def max_momentary_lufs(self) -> float | None: ...
    @property
    def max_short_term_lufs(self) -> float | None: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Bext:
    """What the chunk says. Texts are ASCII; time_reference_frames counts from midnight."""

    description: str = ""
    originator: str = ""
    originator_reference: str = ""
    date: str = ""
    time: str = ""
    time_reference_frames: int = 0
    version: int = VERSION
    integrated_lufs: float | None = None
    range_lu: float | None = None
    true_peak_dbtp: float | None = None
    max_momentary_lufs: float | None = None
    max_short_term_lufs: float | None = None
    coding_history: str = ""

    def to_bytes(self) -> bytes:
        """The body of the chunk: as long with loudness as without. What a field cannot hold is cut off.

        The count is even: libsndfile does not step over the padding of an odd one in RF64.
        """
        history = ascii_text(self.coding_history, keep="\r\n").encode()
        history += bytes(len(history) % 2)
        return _FIXED.pack(
            _field(self.description, 256),
            _field(self.originator, 32),
            _field(self.originator_reference, 32),
            _field(self.date, 10),
            _field(self.time, 8),
            self.time_reference_frames,
            self.version,
            bytes(64),  # no UMID: SMPTE ST 330 needs an identifier of the maker
            _hundredths(self.integrated_lufs),
            _hundredths(self.range_lu),
            _hundredths(self.true_peak_dbtp),
            _hundredths(self.max_momentary_lufs),
            _hundredths(self.max_short_term_lufs),
            bytes(180),
        ) + history  # fmt: skip

    @classmethod
    def from_bytes(cls, body: bytes) -> Bext:
        """What a chunk says; loudness is None before version 2. Raises ValueError where it is too short."""
        if len(body) < _FIXED.size:
            raise ValueError(f"a bext chunk of {len(body)} bytes; it has at least {_FIXED.size}")
        fields = _FIXED.unpack_from(body)
        version = fields[6]
        loudness = fields[8:13] if version >= _LOUDNESS_VERSION else (UNUSED,) * 5
        return cls(
            description=_text(fields[0]),
            originator=_text(fields[1]),
            originator_reference=_text(fields[2]),
            date=_text(fields[3]),
            time=_text(fields[4]),
            time_reference_frames=fields[5],
            version=version,
            integrated_lufs=_value(loudness[0]),
            range_lu=_value(loudness[1]),
            true_peak_dbtp=_value(loudness[2]),
            max_momentary_lufs=_value(loudness[3]),
            max_short_term_lufs=_value(loudness[4]),
            coding_history=_text(body[_FIXED.size :]),
        )


def coding_history(rate_hz: int, bits: int, channels: int, text: str) -> str:
    """The line of R 98 for sound in PCM. text: free, and holds no comma."""
    mode = "mono" if channels == 1 else "stereo"
    return f"A=PCM,F={rate_hz},W={bits},M={mode},T={text.replace(',', ';')}\r\n"


def ascii_text(text: str, keep: str = "") -> str:
    """The text in the letters that bext allows: accents fall off, what has no plain form is a `?`.

    Control characters but those in `keep` are spaces.
    """
    apart = unicodedata.normalize("NFKD", text.translate(_PLAIN))
    letters = (letter for letter in apart if not unicodedata.combining(letter))
    return "".join(_letter(letter, keep) for letter in letters)


def _letter(letter: str, keep: str) -> str:
    if letter in keep or 0x20 <= ord(letter) < 0x7F:
        return letter
    return " " if ord(letter) < 0x20 or letter.isspace() else "?"


def _field(text: str, size: int) -> bytes:
    return ascii_text(text).encode()[:size]


def _text(field: bytes) -> str:
    return field.split(b"\0", 1)[0].decode("utf-8", "replace")


def _hundredths(value: float | None) -> int:
    """A value of loudness as the chunk holds it: round(100 × value)."""
    if value is None or not math.isfinite(value):
        return UNUSED
    return max(-MOST_HUNDREDTHS, min(MOST_HUNDREDTHS, round(100.0 * value)))


def _value(hundredths: int) -> float | None:
    return None if hundredths == UNUSED else hundredths / 100.0
