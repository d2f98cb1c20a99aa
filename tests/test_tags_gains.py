"""Gains for players against the published examples, and against libebur128."""

from __future__ import annotations

import math
import re

import numpy as np
import pyebur128
import pytest

from arsis.deliver.gains import (
    Gains,
    peak_text,
    r128_q78,
    r128_tags,
    record_lufs,
    replaygain_db,
    replaygain_tags,
    replaygain_text,
)
from arsis.measure.loudness import LoudnessMeter
from tests.signals import noise
from tests.tolerances import ALGEBRA, HUNDREDTHS

RATE_HZ = 48_000


def test_published_examples_of_opus() -> None:
    """RFC 7845, 5.2.1: `R128_TRACK_GAIN=-573` is −2.238281 dB, `R128_ALBUM_GAIN=111` is +0.433594 dB."""
    assert r128_q78(-23.0 + 2.238281) == -573
    assert r128_q78(-23.0 - 0.433594) == 111


def test_the_two_references_are_5_db_apart() -> None:
    """ReplayGain 2.0 has −18 LUFS, RFC 7845 −23: at −9.3 LUFS −8.70 dB, and −3507 which is −13.70 dB."""
    assert replaygain_text(-9.3) == "-8.70 dB"
    assert r128_q78(-9.3) == -3507
    assert replaygain_db(-9.3) - (-23.0 + 9.3) == pytest.approx(5.0, abs=ALGEBRA)


def test_the_forms_of_replaygain() -> None:
    """ReplayGain 2.0 specification: gain `[-]a.bb dB`, peak `c.dddddd`, linear, full scale 1.0."""
    for lufs in (-18.0, -18.004, -17.996, -9.3, -30.55, -70.0):
        assert re.fullmatch(r"-?\d+\.\d\d dB", replaygain_text(lufs))
        assert "-0.00" not in replaygain_text(lufs)
    assert replaygain_text(-18.0) == "0.00 dB"
    assert (peak_text(0.0), peak_text(-1.0), peak_text(0.5)) == ("1.000000", "0.891251", "1.059254")


def test_a_gain_of_opus_stays_in_16_bits_and_counts_the_streams_own() -> None:
    """RFC 7845, 5.2.1: −32768 to 32767, and in addition to the output gain of the head."""
    assert r128_q78(200.0) == -32768
    assert r128_q78(-200.0) == 32767
    assert r128_q78(-9.3, output_gain_q78=256) == -3507 - 256


def test_what_does_not_exist_has_no_tag() -> None:
    silent = Gains(track_lufs=-math.inf, track_peak_dbtp=-math.inf, album_lufs=-10.0, album_peak_dbtp=None)
    assert replaygain_tags(silent) == {"REPLAYGAIN_ALBUM_GAIN": "-8.00 dB"}
    assert r128_tags(silent) == {"R128_ALBUM_GAIN": str(-13 * 256)}
    assert replaygain_tags(None) == r128_tags(None) == {}


def test_a_records_loudness_is_gated_over_all_its_songs() -> None:
    """Held to libebur128's loudness of several sounds: neither the mean of the songs nor of one long file."""
    songs = [noise(RATE_HZ * 4, 2, seed=place, rms=rms) for place, rms in enumerate((0.2, 0.05, 0.004))]
    meters, states = [], []
    for song in songs:
        meter = LoudnessMeter(RATE_HZ, 2)
        meter.add(song)
        meters.append(meter.energies())
        state = pyebur128.R128State(2, RATE_HZ, pyebur128.MeasurementMode.MODE_I)
        state.add_frames(np.ascontiguousarray(song.T).ravel(), song.shape[1])
        states.append(state)
    expected = pyebur128.get_loudness_global_multiple(states)
    assert record_lufs(meters) == pytest.approx(expected, abs=HUNDREDTHS)
    assert record_lufs([np.zeros(100)]) == record_lufs([np.zeros(3)]) == -math.inf
