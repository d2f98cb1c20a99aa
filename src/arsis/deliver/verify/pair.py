"""A file beside the sound it should hold: where the two part, and the sums that tell how."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import BLOCK_FRAMES, Block, Span
from arsis.io.read import SoundReader

# The sum of products of a file's channels with the true one's is looked for within this many frames.
SHIFT_FRAMES = 1 << 15
WINDOW_FRAMES = 1 << 16
PIECE_FRAMES = 8 * BLOCK_FRAMES


@dataclass(frozen=True, slots=True)
class Sums:
    """Of a stretch of both: sums of products, by channel, and what holds at every frame.

    true_true, found_found: (channels,); found_true: (channels, channels), [found, true].
    same, turned, silent: by channel; crossed: each channel is the other one's.
    """

    frames: int
    true_true: NDArray[np.float64]
    found_found: NDArray[np.float64]
    found_true: NDArray[np.float64]
    same: NDArray[np.bool_]
    turned: NDArray[np.bool_]
    silent: NDArray[np.bool_]
    crossed: bool
    most: float


class Pair:
    """Two open files of the same rate and channels; found frame n belongs to true frame n - `late`."""

    def __init__(self, found: SoundReader, true: SoundReader) -> None:
        self.found, self.true = found, true
        self.frames = found.info.frames
        self.true_frames = true.info.frames
        self.shorter = min(self.frames, self.true_frames)

    def same_from_start(self) -> int:
        """Frames that are equal before the first that is not."""
        for start in range(0, self.shorter, PIECE_FRAMES):
            end = min(start + PIECE_FRAMES, self.shorter)
            unlike = np.any(frames_of(self.found, start, end) != frames_of(self.true, start, end), axis=0)
            if unlike.any():
                return start + int(np.argmax(unlike))
        return self.shorter

    def same_from_end(self) -> int:
        """Frames that are equal after the last that is not, both ends laid on one another."""
        for done in range(0, self.shorter, PIECE_FRAMES):
            far = min(done + PIECE_FRAMES, self.shorter)
            found = frames_of(self.found, self.frames - far, self.frames - done)
            true = frames_of(self.true, self.true_frames - far, self.true_frames - done)
            unlike = np.any(found != true, axis=0)[::-1]
            if unlike.any():
                return done + int(np.argmax(unlike))
        return self.shorter

    def overlap(self, late: int) -> Span:
        """Frames of the found file that have a counterpart."""
        return Span(max(0, late), max(0, late, min(self.frames, self.true_frames + late)))

    def sums(self, span: Span, late: int = 0) -> Sums:
        """Over found frames of `span`, which have their counterparts `late` frames earlier."""
        channels = self.found.info.channels
        tt, ff, ft = np.zeros(channels), np.zeros(channels), np.zeros((channels, channels))
        same, turned, silent = (np.ones(channels, dtype=bool) for _ in range(3))
        crossed, most = channels == 2, 0.0
        for start in range(span.start, span.end, PIECE_FRAMES):
            end = min(start + PIECE_FRAMES, span.end)
            found, true = (
                frames_of(self.found, start, end),
                frames_of(self.true, start - late, end - late),
            )
            tt, ff, ft = tt + np.sum(true**2, axis=1), ff + np.sum(found**2, axis=1), ft + found @ true.T
            same &= np.all(found == true, axis=1)
            turned &= _turned(found, true)
            silent &= ~np.any(found, axis=1)
            crossed = crossed and bool(np.array_equal(found, true[::-1]))
            most = max(most, float(np.max(np.abs(found - true), initial=0.0)))
        return Sums(span.frames, tt, ff, ft, same, turned, silent, crossed, most)

    def lateness(self, around: int) -> int:
        """By how many frames the found sound is late near a frame, as far as `SHIFT_FRAMES`."""
        low = max(0, min(around - WINDOW_FRAMES // 2, self.true_frames - WINDOW_FRAMES))
        true = frames_of(self.true, low, min(low + WINDOW_FRAMES, self.true_frames))
        first = max(0, low - SHIFT_FRAMES)
        found = frames_of(self.found, first, min(low + true.shape[1] + SHIFT_FRAMES, self.frames))
        if not found.shape[1]:
            return 0
        size = 1 << (true.shape[1] + found.shape[1] - 1).bit_length()
        spectra = np.fft.rfft(found, size) * np.conj(np.fft.rfft(true, size))
        lag = int(np.argmax(np.abs(np.fft.irfft(spectra.sum(axis=0), size))))
        return (lag - size if lag >= found.shape[1] else lag) + first - low


def frames_of(sound: SoundReader, start: int, end: int) -> Block:
    """Frames [start, end) of an open file."""
    sound.seek(start)
    return sound.read(max(0, end - start))


def _turned(found: Block, true: Block) -> NDArray[np.bool_]:
    """Of each channel, whether it is the other's negative; the lowest integer has none and is clipped."""
    clipped = (true == -1.0) & (found > 0.99)
    holds: NDArray[np.bool_] = np.all((found == -true) | clipped, axis=1)
    return holds
