"""What a kernel would read or write past the end of an array is refused before it is called."""

from __future__ import annotations

import os
import platform
import subprocess
import sys

import numpy as np
import pytest

from arsis.dsp.between import between, needed
from arsis.dsp.kernels import levels, loudness, truepeak
from arsis.dsp.kernels.library import kernel, reads, writes
from arsis.dsp.truepeak import interpolator
from arsis.dsp.weighting import k_weighting
from arsis.process.limiting import LimiterRunner
from arsis.settings import Limiter

SOUND = np.zeros((2, 100))
READ_ONLY = np.zeros((1, 4))
READ_ONLY.setflags(write=False)
GOOD_ENDS, BAD_ENDS = np.array([50, 100]), np.array([50, 101])


@pytest.mark.parametrize(
    ("array", "fault"),
    [
        ([0.0], "an array, not list"),
        (np.zeros((2, 4), np.float32), "float32 of 2 dimensions"),
        (np.zeros(4), "float64 of 1 dimensions"),
        (np.zeros((4, 2)).T, "not contiguous"),
        (READ_ONLY, "a read-only array"),
    ],
)
def test_only_the_kind_of_array_that_was_declared_is_passed_on(array: np.ndarray, fault: str) -> None:
    with pytest.raises(TypeError, match=fault):
        writes(np.float64, 2).address(array)


def test_an_array_that_is_only_read_may_be_read_only() -> None:
    assert reads(np.float64, 2).address(READ_ONLY).value == READ_ONLY.ctypes.data


def test_a_place_that_the_block_does_not_cover_is_refused() -> None:
    low, high = needed(40.5, 1.0, 0, 10)
    between(SOUND[:, :high], 0, 40.5, 1.0, 0, 10)
    between(SOUND[:, low:], low, 40.5, 1.0, 0, 10)
    for block, first in ((SOUND[:, : high - 1], 0), (SOUND[:, low + 1 :], low + 1)):
        with pytest.raises(ValueError, match="does not cover"):
            between(block, first, 40.5, 1.0, 0, 10)


@pytest.mark.parametrize("channels", [1, 3])
def test_the_limiter_takes_the_channels_that_it_was_made_for(channels: int) -> None:
    with pytest.raises(ValueError, match=f"{channels} channels in a limiter of 2"):
        LimiterRunner(Limiter(), 44_100, 2).process(np.zeros((channels, 100)))


@pytest.mark.parametrize(
    ("ends", "state_size", "rows"), [(BAD_ENDS, 10, 2), (GOOD_ENDS, 9, 2), (GOOD_ENDS, 10, 1)]
)
def test_energies_past_the_sound_or_the_state_are_refused(
    ends: np.ndarray, state_size: int, rows: int
) -> None:
    with pytest.raises(ValueError, match="not fit"):
        loudness.kweighted_energy(SOUND, ends, k_weighting(48_000), np.zeros(state_size), np.zeros((rows, 2)))


@pytest.mark.parametrize(
    ("ends", "missing", "rows"), [(BAD_ENDS, 0, 2), (GOOD_ENDS, 1, 2), (GOOD_ENDS, 0, 1)]
)
def test_levels_past_the_sound_or_the_state_are_refused(ends: np.ndarray, missing: int, rows: int) -> None:
    with pytest.raises(ValueError, match="not fit"):
        levels.level_sums(SOUND, ends, np.zeros(levels.STATE_SIZE - missing), np.zeros((rows, levels.ROWS)))


@pytest.mark.parametrize(("ends", "heard", "size"), [(BAD_ENDS, 2, 2), (GOOD_ENDS, 1, 2), (GOOD_ENDS, 2, 1)])
def test_true_peaks_past_the_sound_or_the_state_are_refused(ends: np.ndarray, heard: int, size: int) -> None:
    history, running, out = (np.zeros(n, np.float32) for n in ((heard, truepeak.HISTORY), 1, size))
    with pytest.raises(ValueError, match="not fit"):
        truepeak.true_peaks(SOUND, ends, interpolator(), history, running, out)


def test_a_stop_while_an_array_is_looked_at_stays_a_stop(monkeypatch: pytest.MonkeyPatch) -> None:
    """ctypes makes a fault of an argument of whatever is raised inside its own look at one, Ctrl-C too."""

    def stopped(self: object, array: object) -> None:
        raise KeyboardInterrupt

    declared = kernel("saturate_added", *[reads()] * 9)
    monkeypatch.setattr(type(reads()), "address", stopped)
    with pytest.raises(KeyboardInterrupt):
        declared(*[READ_ONLY] * 9)


FREED = """
import resource
import numpy as np
from arsis.dsp.between import between
between(np.zeros((1, 100)), 0, 40.5, 1.0, 0, 10)
before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
for _ in range(100):
    np.ones(1 << 17)
print(resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before)
"""


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="other systems are not changed")
def test_freed_memory_is_kept_where_the_environment_says_to_give_it_back() -> None:
    """As the workers of a cluster are started: every block of a megabyte were 256 pages to be had anew."""
    asked = os.environ | {"MALLOC_TRIM_THRESHOLD_": "65536"}
    done = subprocess.run(
        [sys.executable, "-c", FREED], capture_output=True, text=True, env=asked, check=True
    )
    assert int(done.stdout) < 100 * 256 // 10
