"""What triangular dither at 16 bits does by the statistics alone, as levels; a full-scale sine is 0 dBFS."""

from __future__ import annotations

import math

FLOOR_DBFS = -93.3193  # noise of 1/4 step^2: check values, section 6
SIGMAS = 3.0  # seeds are the mix's SHA-256 and mixes here are the same every time, so this is drawn once
MISSED = 1e-4  # the chance that the highest of some fits of noise lies above its limit; likewise drawn once

# Total noise gain in dB: the published coefficients' sum of squares (check values, section 6).
CURVES_DB = {
    "lipshitz_5": 12.192,
    "modified_e_9": 7.564,
    "improved_e_9": 23.100,
    "wannamaker_3": 6.637,
    "wannamaker_9": 18.399,
}


def floor_db(errors: int) -> float:
    """How far the power of that many errors may lie from 1/4 step^2.

    Silence comes out a step off one time in four: the square has mean 1/4 and variance 1/4 - 1/16 = 3/16, so
    the mean of N squares has a sigma of sqrt(3/N) of itself. Sound that crosses steps has less, sqrt(1.6/N).
    """
    return SIGMAS * 10.0 / math.log(10.0) * math.sqrt(3.0 / errors)


def tone_db(frames: int, level_dbfs: float) -> float:
    """How far a fitted sine's level may lie from its own: its amplitude has variance 2 (1/4 step^2) / N."""
    amplitude_steps = 10.0 ** (level_dbfs / 20.0) * 2.0**15
    return SIGMAS * 20.0 / math.log(10.0) * math.sqrt(0.5 / frames) / amplitude_steps


def highest_fit_dbfs(frames: int, fits: int) -> float:
    """The highest sine that is fitted over N frames of the noise alone.

    Noise per fit: the amplitude's square is 4 (1/4 step^2) / N in the mean, N frames being averaged. It is
    distributed exponentially: the chance that one fit passes k times the mean is exp(-k).
    """
    mean_dbfs = 10.0 * math.log10(2.0**-30 / frames)
    return mean_dbfs + 10.0 * math.log10(math.log(fits / MISSED))
