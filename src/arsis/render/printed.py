"""A recording in another one's time: above all a pass that was printed elsewhere, laid on the mix's.

Offset, polarity and drift are found and taken out; level and tone are the treatment and stay.
"""

from __future__ import annotations

from dataclasses import dataclass

from arsis.audio import Block, silence
from arsis.dsp.between import between, needed
from arsis.errors import NotSameRecordingError, PlanError
from arsis.io.read import SoundReader
from arsis.measure.alignment import Alignment, find_alignment

# Closer to a whole frame than this, over the whole song, is a whole frame, and the file's own words are
# used: the phase of an equaliser alone moves the estimate by some hundredths of a frame.
WHOLE_FRAME = 0.1
# A print may stop short of the mix, or start late, by this much silence and no more.
MISSING_S = 0.1


@dataclass(slots=True)
class SoundAt:
    """Random access to a reader: frames [start, start + n), zeros outside the file."""

    reader: SoundReader

    def __call__(self, start: int, frames: int) -> Block:
        info = self.reader.info
        low, high = min(max(start, 0), info.frames), min(max(start + frames, 0), info.frames)
        out = silence(info.channels, frames)
        if high > low:
            self.reader.seek(low)
            out[:, low - start : high - start] = self.reader.read(high - low)
        return out


class AlignedSound:
    """A recording in another one's time. whole_frame: this close to a whole frame is one."""

    def __init__(
        self, reader: SoundReader, alignment: Alignment, frames: int, whole_frame: float = WHOLE_FRAME
    ) -> None:
        self._read, self._polarity = SoundAt(reader), float(alignment.polarity)
        self.alignment = alignment
        drift_frames = alignment.drift_ppm * 1e-6 * frames
        whole = round(alignment.offset_frames)
        in_step = max(
            abs(alignment.offset_frames - whole), abs(alignment.offset_frames + drift_frames - whole)
        )
        self._whole = whole if in_step < whole_frame else None

    @property
    def in_step(self) -> bool:
        """Whether its own words are used, as they are but for polarity."""
        return self._whole is not None

    def __call__(self, start: int, frames: int) -> Block:
        """Frames [start, start + frames) of the reference's time."""
        if self._whole is not None or frames == 0:
            return self._read(start + (self._whole or 0), frames) * self._polarity
        offset, ratio = self.alignment.offset_frames, 1.0 + self.alignment.drift_ppm * 1e-6
        low, high = needed(offset, ratio, start, frames)
        return between(self._read(low, high - low), low, offset, ratio, start, frames) * self._polarity


def lined_up(other: SoundReader, reference: SoundReader) -> AlignedSound:
    """`other` in the time of `reference`: offset, polarity and drift taken out.

    Raises NotSameRecordingError with the reason where it is not the same recording from end to end.
    """
    check_form(other, reference)
    a, b = reference.info, other.info
    alignment = find_alignment(SoundAt(reference), SoundAt(other), a.frames, b.frames, a.rate_hz)
    covers(alignment, a.frames, b.frames, a.rate_hz)
    return AlignedSound(other, alignment, a.frames)


def check_form(other: SoundReader, reference: SoundReader) -> None:
    """Raises NotSameRecordingError where the two differ in rate or channels."""
    a, b = reference.info, other.info
    if (a.rate_hz, a.channels) != (b.rate_hz, b.channels):
        raise NotSameRecordingError(
            f"it has {b.channels} channel(s) at {b.rate_hz} Hz, needed: {a.channels} at {a.rate_hz} Hz"
        )


def align_printed(printed: SoundReader, mix: SoundReader) -> AlignedSound:
    """Lines a printed file up with the mix. Raises PlanError with the reason where it cannot be."""
    try:
        return lined_up(printed, mix)
    except NotSameRecordingError as reason:
        raise PlanError(f"{printed.info.path}: not a print of {mix.info.path.name}: {reason}") from reason


def covers(alignment: Alignment, frames: int, printed_frames: int, rate_hz: int) -> None:
    """Raises NotSameRecordingError where a recording does not last from end to end of the other."""
    most = MISSING_S * rate_hz
    last = alignment.offset_frames + (1.0 + alignment.drift_ppm * 1e-6) * frames
    if -alignment.offset_frames > most:
        raise NotSameRecordingError(f"it starts {-alignment.offset_frames / rate_hz:.3f} s late")
    if last - printed_frames > most:
        raise NotSameRecordingError(f"it ends {(last - printed_frames) / rate_hz:.3f} s early")
