"""Another version's mix, open, and itself in the main mix's time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from arsis.audio import Block
from arsis.dsp.long_shift import LongShift
from arsis.io.read import SoundReader
from arsis.measure.alignment import Alignment
from arsis.plan.model import Version

from .printed import AlignedSound, SoundAt
from .seed import seed_of

# What is shared with the mix says when to a millionth of a frame; a voice by itself, to a few thousandths.
# So nearer to a whole frame than twice the standard error is a whole frame, within these bounds.
LEAST_WHOLE_FRAME, MOST_WHOLE_FRAME, STANDARD_ERRORS = 1e-4, 0.01, 2.0


class VersionSound:
    """A version's mix in the main mix's time: its own words where it lies a whole number of frames away.

    Of parts of a frame nothing may be lost, or the prints would not sum at the top of the band; a clock that
    drifts leaves that to `dsp/between.py`.
    """

    def __init__(self, mix: SoundReader, alignment: Alignment, frames: int) -> None:
        self.alignment = alignment
        self._lined_up = near_whole(mix, alignment, frames)
        self._shifted = None
        if not self._lined_up.in_step and alignment.drift_ppm == 0.0:
            self._shifted = LongShift(SoundAt(mix), alignment.offset_frames, mix.info.channels)

    @property
    def in_step(self) -> bool:
        """Whether its own words are used, as they are but for polarity."""
        return self._lined_up.in_step

    def __call__(self, start: int, frames: int) -> Block:
        """Frames [start, start + frames) of the main mix's time."""
        if self._shifted is None:
            return self._lined_up(start, frames)
        return self._shifted(start, frames) * float(self.alignment.polarity)


def near_whole(mix: SoundReader, alignment: Alignment, frames: int) -> AlignedSound:
    """A file in another one's time; so near to a whole frame as it cannot be told from one, it is one."""
    sure = STANDARD_ERRORS * (alignment.error_frames or 0.0)
    return AlignedSound(mix, alignment, frames, min(max(sure, LEAST_WHOLE_FRAME), MOST_WHOLE_FRAME))


@dataclass(frozen=True, slots=True)
class VersionSource:
    """A version's mix, open.

    sound: it in the main mix's time. printed: its own prints of passes that were printed elsewhere.
    """

    version: Version
    mix: SoundReader
    mix_sha256: str
    sound: VersionSound
    printed: Mapping[str, AlignedSound] = field(default_factory=dict)

    @property
    def alignment(self) -> Alignment:
        return self.sound.alignment

    @property
    def seed(self) -> int:
        """Of the dither noise: the version's own mix's."""
        return seed_of(self.mix_sha256)
