"""K-weighting and gating against the figures of ITU-R BS.1770-5 and against libebur128."""

from __future__ import annotations

import numpy as np
import pyebur128
import pytest
from scipy.signal import freqz

from arsis.audio import Block
from arsis.dsp.weighting import k_weighting
from arsis.errors import ArsisError
from arsis.measure import loudness
from arsis.measure.loudness import LoudnessMeter, Powers, integrated_lufs, lufs, range_lu, section_lufs
from arsis.measure.peaks import TruePeakMeter
from arsis.units import gain_to_db
from tests.meter_signals import tone
from tests.signals import RATES, noise, sine
from tests.tolerances import (
    ALGEBRA,
    CHECK_LU,
    NOISE_LU,
    PEER_LU,
    PEER_PEAK_DB,
    PEER_RANGE_LU,
    SPEC_3341_LU,
    WEIGHTING_DB,
)


def heard(x: Block, rate_hz: int) -> Powers:
    meter = LoudnessMeter(rate_hz, x.shape[0])
    meter.add(x)
    return meter.energies()


def weighting_db(rate_hz: int, freqs_hz: np.ndarray) -> np.ndarray:
    """Response of both stages, by scipy."""
    responses = [freqz(c[:3], [1.0, *c[3:]], freqs_hz, fs=rate_hz)[1] for c in k_weighting(rate_hz)]
    return 20.0 * np.log10(np.abs(responses[0] * responses[1]))


def test_coefficients_are_those_of_the_tables() -> None:
    # BS.1770-5, Annex 1, Tables 1 and 2.
    expected = [
        [1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585],
        [1.0, -2.0, 1.0, -1.99004745483398, 0.99007225036621],
    ]
    np.testing.assert_allclose(k_weighting(48_000), expected, rtol=0, atol=ALGEBRA)


@pytest.mark.parametrize("rate_hz", RATES)
def test_weighting_is_the_same_at_every_rate(rate_hz: int) -> None:
    # BS.1770-5, Annex 1: other rates "should be chosen to provide the same frequency response".
    freqs_hz = np.geomspace(15.0, 10_000.0, 200)
    np.testing.assert_allclose(
        weighting_db(rate_hz, freqs_hz), weighting_db(48_000, freqs_hz), rtol=0, atol=WEIGHTING_DB
    )


@pytest.mark.parametrize("rate_hz", RATES)
def test_full_scale_sine_in_one_channel(rate_hz: int) -> None:
    # BS.1770-5, Annex 1: 997 Hz at 0 dB FS in left, centre or right reads -3.01 LKFS.
    x = sine(997.0, rate_hz, 2.0, peak=1.0, channels=2)
    assert integrated_lufs(heard(x[:1], rate_hz)) == pytest.approx(-3.01, abs=CHECK_LU)
    x[1] = 0.0
    assert integrated_lufs(heard(x, rate_hz)) == pytest.approx(-3.01, abs=CHECK_LU)


@pytest.mark.parametrize(
    ("freq_hz", "peak_dbfs"),
    [
        (25, -11.9162),
        (100, -21.1755),
        (500, -22.3515),
        (1000, -23.0067),
        (2000, -25.3803),
        (10_000, -26.3509),
    ],
)
def test_sines_that_read_23(freq_hz: int, peak_dbfs: float) -> None:
    # The tones of Report ITU-R BS.2217; levels derived from Tables 1 and 2 (check values 1.4).
    x = tone(48_000, [(4, peak_dbfs)], freq_hz)
    assert integrated_lufs(heard(x, 48_000)[100:]) == pytest.approx(-23.0, abs=CHECK_LU)


def test_white_noise() -> None:
    # Mean of |K|^2 over the band, two channels at -20 dB FS rms (derived; libebur128 reads -13.851).
    assert integrated_lufs(heard(noise(480_000), 48_000)) == pytest.approx(-13.852, abs=NOISE_LU)


ABSOLUTE_GATE = [(0.8, -88.8), *[(0.5, -69.47), (0.5, -88.8)] * 2, (0.5, -69.47), (0.7, -88.8)]
RELATIVE_GATE = [(0.5, -88.8), (0.9, -19.9), (1.3, -7.1), (0.8, -19.9), (0.5, -88.8)]


@pytest.mark.parametrize(("segments", "target"), [(ABSOLUTE_GATE, -69.5), (RELATIVE_GATE, -10.0)])
def test_gates(segments: list[tuple[float, float]], target: float) -> None:
    # The gate tests of Report ITU-R BS.2217, made again from their structure (check values 1.4).
    assert integrated_lufs(heard(tone(48_000, segments), 48_000)) == pytest.approx(target, abs=SPEC_3341_LU)


def music(rate_hz: int, seconds: int = 40) -> Block:
    """Hits over a swelling chord and noise: uneven in time, level, spectrum and between the channels."""
    n = seconds * rate_hz
    t = np.arange(n) / rate_hz
    chord = sum(np.sin(2 * np.pi * f * t + f) for f in (110.0, 277.2, 659.3)) * 0.08
    hiss = noise(n, 2, seed=3, rms=0.3) * np.exp(-8.0 * (t % 0.5))
    swell = 10.0 ** ((-14.0 + 10.0 * np.sin(2 * np.pi * t / 31.0)) / 20.0)
    return np.ascontiguousarray(swell * (hiss + np.stack([chord, 0.6 * np.roll(chord, 200)])))


@pytest.mark.parametrize("rate_hz", [44_100, 48_000, 96_000])
@pytest.mark.parametrize("make", [music, lambda rate_hz: noise(10 * rate_hz)], ids=["music", "noise"])
def test_as_libebur128(rate_hz: int, make: object) -> None:
    x: Block = make(rate_hz)  # type: ignore[operator]
    modes = pyebur128.MeasurementMode
    peer = pyebur128.R128State(2, rate_hz, modes.MODE_I | modes.MODE_LRA | modes.MODE_TRUE_PEAK)
    peer.add_frames(np.ascontiguousarray(x.T).ravel(), x.shape[1])
    energies = heard(x, rate_hz)
    assert integrated_lufs(energies) == pytest.approx(pyebur128.get_loudness_global(peer), abs=PEER_LU)
    assert range_lu(energies) == pytest.approx(pyebur128.get_loudness_range(peer), abs=PEER_RANGE_LU)
    meter = TruePeakMeter(2)
    meter.add(x)
    theirs = max(pyebur128.get_true_peak(peer, channel) for channel in (0, 1))
    assert gain_to_db(meter.peak()) >= gain_to_db(theirs) - PEER_PEAK_DB


@pytest.mark.parametrize(
    ("segments", "found"), [([(2.99, -20)], None), ([(4, -80)], None), ([(3, -20)], 0.0), ([(4, -20)], 0.0)]
)
def test_a_range_needs_three_seconds_above_the_gate(
    segments: list[tuple[float, float]], found: float | None
) -> None:
    """Tech 3342 (2023), 3: of short-term values, each over 3 s, from -70 LUFS on."""
    told = range_lu(heard(tone(48_000, segments), 48_000))
    assert told == (found if found is None else pytest.approx(found, abs=CHECK_LU))


def test_a_section_is_not_gated() -> None:
    energies = heard(tone(48_000, [(4, -20), (4, -40)]), 48_000)
    halves = section_lufs(energies, 0, 400), section_lufs(energies, 400, 800)
    assert halves == pytest.approx((-20.0, -40.0), abs=CHECK_LU)
    assert section_lufs(energies, 0, 800) == pytest.approx(-22.97, abs=CHECK_LU)
    assert lufs(float(energies.mean())) == section_lufs(energies, 0, 800)


def test_coarser_steps_are_the_same_steps() -> None:
    x = noise(44_100 * 2)
    fine = LoudnessMeter(44_100, 2, 500)
    fine.add(x)
    np.testing.assert_allclose(loudness.coarser(fine.energies(), 5), heard(x, 44_100), rtol=ALGEBRA)


@pytest.mark.parametrize(("rate_hz", "channels", "says"), [(4000, 2, "4000 Hz"), (48_000, 6, "6 channels")])
def test_what_cannot_be_metered_is_refused(rate_hz: int, channels: int, says: str) -> None:
    with pytest.raises(ArsisError, match=says):
        LoudnessMeter(rate_hz, channels)
