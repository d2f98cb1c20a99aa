"""How a sound differs from the one that should be there, in the words of a finding."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from arsis.audio import Block
from arsis.deliver.verify.difference import difference
from arsis.io.read import open_sound

from .releases import RATE_HZ, music, write


def said(tmp_path: Path, found: Block, true: Block) -> str | None:
    paths = write(tmp_path / "found.wav", found), write(tmp_path / "true.wav", true)
    with open_sound(paths[0]) as one, open_sound(paths[1]) as other:
        return difference(one, other)


@pytest.fixture(scope="module")
def true() -> Block:
    sound = music(4.0, seed=31)
    sound.setflags(write=False)
    return sound


def test_the_same_sound_does_not_differ(tmp_path: Path, true: Block) -> None:
    assert said(tmp_path, true, true) is None


def words(sound: Block) -> Block:
    """Whole 24-bit words, as a file holds them."""
    return np.round(sound * 2.0**23) / 2.0**23


EXACT = {
    "polarity turned": lambda x: -x,
    "polarity of the left channel turned": lambda x: np.stack([-x[0], x[1]]),
    "channels swapped": lambda x: x[::-1],
    "left channel silenced": lambda x: np.stack([0.0 * x[0], x[1]]),
    "shifted by 1 frame later": lambda x: np.roll(x, 1, axis=1),
    "shifted by 1 frame earlier": lambda x: np.roll(x, -1, axis=1),
    "shifted by 5000 frames later": lambda x: np.pad(x, ((0, 0), (5000, 0)))[:, : x.shape[1]],
    "truncated: 0.454 s missing at the end": lambda x: x[:, :-20_000],
    "0.454 s cut off the start": lambda x: x[:, 20_000:],
    "0.227 s cut out at 1.134 s": lambda x: np.delete(x, slice(50_000, 60_000), axis=1),
    "0.454 s of silence added before the start": lambda x: np.pad(x, ((0, 0), (20_000, 0))),
    "3 frames of silence added at the end": lambda x: np.pad(x, ((0, 0), (0, 3))),
    "0.227 s of sound added at 1.134 s": lambda x: np.insert(x, 50_000, x[:, :10_000].T, axis=1),
}


@pytest.mark.parametrize("what", EXACT)
def test_what_is_exact_is_said_as_fact(tmp_path: Path, true: Block, what: str) -> None:
    assert said(tmp_path, EXACT[what](true), true) == what


JUDGED = {
    r"level changed by −0\.02 dB": lambda x: words(x * 10.0 ** (-0.02 / 20.0)),
    r"level changed by \+6\.00 dB": lambda x: words(x * 10.0 ** (6.0 / 20.0)),
    r"at most 1 step of its 24-bit word": lambda x: x + 2.0**-23 * np.sign(np.sin(np.arange(x.shape[1]))),
    r"at most 128 steps of its 24-bit word": lambda x: np.round(x * 2.0**15) / 2.0**15,
    r"treated again: the difference, level matched, lies 2\d\.\d dB under the sound": lambda x: words(
        0.9 * x + 0.09 * np.roll(x, 3, axis=1)
    ),
    r"another sound, which does not follow": lambda x: music(4.0, seed=32),
}


@pytest.mark.parametrize("pattern", JUDGED)
def test_what_is_judged_says_its_figure(tmp_path: Path, true: Block, pattern: str) -> None:
    what = said(tmp_path, JUDGED[pattern](true), true)
    assert what is not None
    assert re.search(pattern, what), what


def test_the_top_that_is_gone_is_told_where(tmp_path: Path, true: Block) -> None:
    spectrum = np.fft.rfft(true)
    freq_hz = np.fft.rfftfreq(true.shape[1], 1.0 / RATE_HZ)
    spectrum[:, freq_hz > 16_000.0] = 0.0
    what = said(tmp_path, words(np.fft.irfft(spectrum, true.shape[1])), true)
    assert what is not None
    assert "nothing is left above 16.0 kHz" in what
