"""What is kept of a song: the same for any blocks, in the right units, at the right times."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as examples
from hypothesis import strategies as st

from arsis.audio import Block
from arsis.structure import Features, FeatureStream
from arsis.structure.banks import BANDS_HZ, loudness_bank, mel_edges_hz, pitch_bank
from arsis.structure.features import CHUNK_FRAMES, FRAME_S, PITCH_S, SIDE_S
from arsis.structure.onsets import find_onsets

from .signals import noise, sine
from .tolerances import SPEC_3341_LU

SOUND = noise(CHUNK_FRAMES + 60_000)


def collect(sound: Block, rate_hz: int = 44_100, cuts: tuple[int, ...] = ()) -> Features:
    stream = FeatureStream(rate_hz, sound.shape[0])
    for block in np.split(sound, cuts, axis=1):
        stream.add(block)
    return stream.result()


@pytest.fixture(scope="module")
def whole() -> dict[int, Features]:
    return {rate_hz: collect(SOUND, rate_hz) for rate_hz in (44_100, 48_000)}


@examples(max_examples=12)
@given(st.sampled_from([44_100, 48_000]), st.lists(st.integers(0, SOUND.shape[1]), max_size=6))
def test_blocks_change_no_bit(whole: dict[int, Features], rate_hz: int, cuts: list[int]) -> None:
    parts = collect(SOUND, rate_hz, tuple(sorted(cuts)))
    for field in fields(Features):
        assert np.array_equal(getattr(parts, field.name), getattr(whole[rate_hz], field.name)), field.name


def test_a_block_may_be_used_again_by_its_owner() -> None:
    stream, block = FeatureStream(44_100, 2), np.empty((2, 10_000))
    for start in range(0, SOUND.shape[1], 10_000):
        part = SOUND[:, start : start + 10_000]
        block[:, : part.shape[1]] = part
        stream.add(block[:, : part.shape[1]])
    block[:] = 0.0
    assert np.array_equal(stream.result().mel, collect(SOUND).mel)


@pytest.mark.parametrize("rate_hz", [8_000, 44_100, 48_000, 192_000])
def test_every_stream_reaches_the_end(rate_hz: int) -> None:
    features = collect(noise(5 * rate_hz), rate_hz)
    assert features.duration_s == 5.0
    streams = ((features.mel, FRAME_S), (features.side_bands, SIDE_S), (features.pitch, PITCH_S))
    for rows, step_s in streams:
        assert 5.0 <= (len(rows) - 1) * step_s <= 5.0 + 3 * step_s


@pytest.mark.parametrize("band", range(5))
def test_a_tone_is_read_at_its_level_in_its_band(band: int) -> None:
    low, high = BANDS_HZ[band]
    features = collect(sine(float(np.sqrt(low * high)), 44_100, 2.0, peak=0.5))
    power = features.bands[50:100].mean(axis=0)
    assert int(power.argmax()) == band
    assert 10 * np.log10(power[band]) == pytest.approx(20 * np.log10(0.5) - 3.01, abs=SPEC_3341_LU)


def test_side_is_half_the_difference() -> None:
    sound = sine(1000.0, 44_100, 2.0, peak=0.5)
    sound[1] *= -1.0
    features = collect(sound)
    assert features.bands[50:100].max() < 1e-9
    assert 10 * np.log10(features.side_bands[20, 2]) == pytest.approx(-9.03, abs=SPEC_3341_LU)


def test_loudness_of_997_hz_is_that_of_the_standard() -> None:
    """ITU-R BS.1770-5 (2023), Annex 1: 997 Hz at 0 dBFS in one channel reads -3.01 LKFS."""
    gain_db = 10 * np.log10(loudness_bank(np.array([997.0]))[0, 0])
    assert gain_db - 0.691 == pytest.approx(0.0, abs=SPEC_3341_LU)


def test_mel_edges_are_evenly_spaced_in_mel() -> None:
    mel = 2595.0 * np.log10(1.0 + mel_edges_hz() / 700.0)
    assert np.diff(mel) == pytest.approx(np.diff(mel)[0])


@pytest.mark.parametrize(("freq_hz", "pitch_class"), [(440.0, 9), (261.63, 0), (880.0, 9), (311.13, 3)])
def test_pitch_classes(freq_hz: float, pitch_class: int) -> None:
    """Class 0 is C: equal temperament on A = 440 Hz, ISO 16 (1975)."""
    assert int(pitch_bank(np.array([freq_hz]))[0, :12].argmax()) == pitch_class
    features = collect(sine(freq_hz, 44_100, 2.0))
    assert int(features.pitch[20, :12].argmax()) == pitch_class


def test_strokes_are_onsets_at_their_times() -> None:
    sound = np.zeros((1, 44_100 * 6))
    times = np.arange(1.0, 5.5, 0.5)
    burst = noise(4_000, 1)[0] * np.exp(-np.arange(4_000) / 800.0)
    for time in times:
        at = round(time * 44_100)
        sound[0, at : at + 4_000] += burst
    curve = find_onsets(collect(sound)).curve
    for time in times:
        near = slice(round((time - 0.1) / FRAME_S), round((time + 0.1) / FRAME_S))
        found = (near.start + int(curve[near].argmax())) * FRAME_S
        assert abs(found - time) <= 2 * FRAME_S
