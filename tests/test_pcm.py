"""The kernels that turn bytes into sound and back are their naive twins, word for word."""

from __future__ import annotations

import numpy as np
import pytest

from arsis.dsp.kernels.pcm import Word, pack, unpack
from tests import naive_pcm
from tests.signals import noise
from tests.sound_files import words

INTEGER_WORDS = [
    Word(1, is_unsigned=True),
    Word(1),
    Word(2),
    Word(2, is_big_endian=True),
    Word(3),
    Word(3, is_big_endian=True),
    Word(4),
    Word(4, is_big_endian=True),
]
FLOAT_WORDS = [Word(width, big, is_float=True) for width in (4, 8) for big in (False, True)]


@pytest.mark.kernels
@pytest.mark.parametrize("word", INTEGER_WORDS)
@pytest.mark.parametrize("channels", [1, 2, 3])
def test_unpacking_is_its_naive_twin(word: Word, channels: int) -> None:
    for frames in (0, 1, 2, 7, 333):
        raw = np.random.default_rng(frames).integers(0, 256, frames * channels * word.width, dtype=np.uint8)
        out = np.full((channels, frames + 5), np.nan)
        unpack(raw, word, out, 3, frames)
        twin = naive_pcm.unpack(
            raw.tobytes(), channels, word.width, word.is_big_endian, False, word.is_unsigned
        )
        assert np.array_equal(out[:, 3 : 3 + frames], twin)
        assert np.isnan(out[:, :3]).all()
        assert np.isnan(out[:, 3 + frames :]).all()


@pytest.mark.kernels
@pytest.mark.parametrize("word", FLOAT_WORDS)
def test_floats_unpack_as_they_are(word: Word) -> None:
    order = ">" if word.is_big_endian else "<"
    sound = noise(100, seed=2).astype(f"{order}f{word.width}")
    sound[0, :4] = [1e30, -1e-40, 0.0, -0.0]
    out = np.empty((2, 100))
    assert unpack(np.frombuffer(sound.T.tobytes(), np.uint8), word, out, 0, 100)
    assert np.array_equal(out, sound)
    assert np.array_equal(np.signbit(out), np.signbit(sound))
    assert np.array_equal(
        out, naive_pcm.unpack(sound.T.tobytes(), 2, word.width, word.is_big_endian, True, False)
    )


@pytest.mark.kernels
@pytest.mark.parametrize("word", [w for w in INTEGER_WORDS if w.width > 1] + FLOAT_WORDS[:2])
@pytest.mark.parametrize("channels", [1, 2])
def test_packing_is_its_naive_twin(word: Word, channels: int) -> None:
    for frames in (0, 1, 2, 300):
        block = noise(frames, channels) if word.is_float else words(frames, 8 * word.width, channels)
        out = np.full(frames * channels * word.width + 3, 77, np.uint8)
        assert pack(block, word, out)
        twin = naive_pcm.pack(block, word.width, word.is_big_endian, word.is_float)
        assert out[:-3].tobytes() == twin
        assert (out[-3:] == 77).all()
