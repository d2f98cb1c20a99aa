"""`compare`: what was done to one of two copies is what is said of them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from arsis.process import apply
from arsis.settings import Bell
from arsis.workflow.compare import Compared, compare_files
from tests.releases import RATE_HZ, SmallRelease, music, write
from tests.signals import noise
from tests.test_cli_faults import arsis, refused
from tests.tolerances import ALGEBRA, GAIN_MATCH_DB, OFFSET_FRAMES

# The middle of each band of DESIGN §4 on a logarithmic scale, and a width that stays inside it.
MIDDLES_HZ = {"low": 50.0, "low_mid": 245.0, "mid": 1_000.0, "presence": 3_460.0, "air": 9_800.0}


def compared(folder: Path, a: np.ndarray, b: np.ndarray) -> Compared:
    return compare_files(write(folder / "a.wav", a), write(folder / "b.wav", b))


def test_a_copy_is_the_same(tmp_path: Path) -> None:
    found = compared(tmp_path, music(), music())
    assert found.identical
    assert (found.gain_db, found.polarity) == (0.0, 1)
    assert found.offset_frames == pytest.approx(0.0, abs=ALGEBRA)
    assert "the same, sample for sample" in arsis("compare", tmp_path / "a.wav", tmp_path / "b.wav").stdout


def test_another_container_is_the_same(tmp_path: Path) -> None:
    write(tmp_path / "a.wav", music())
    words, rate_hz = soundfile.read(tmp_path / "a.wav", dtype="int32")
    soundfile.write(tmp_path / "b.flac", words, rate_hz, subtype="PCM_24")
    assert compare_files(tmp_path / "a.wav", tmp_path / "b.flac").identical


def test_gain_alone_is_matched_and_said(tmp_path: Path) -> None:
    found = compared(tmp_path, music(), music() * 10 ** (1.5 / 20))
    assert not found.identical
    assert found.gain_db == pytest.approx(-1.5, abs=GAIN_MATCH_DB)
    assert found.difference_db < -100.0
    assert all(abs(band.change_db) < GAIN_MATCH_DB for band in found.bands.values())
    text = arsis("compare", tmp_path / "a.wav", tmp_path / "b.wav").stdout
    assert "turned down by 1.50 dB to match" in text
    assert "in step" in text


def test_a_shift_is_found_and_taken_out(tmp_path: Path) -> None:
    sound = music()
    late = np.concatenate([np.zeros((2, 441)), sound], axis=1)
    found = compared(tmp_path, sound, late)
    assert found.offset_frames == pytest.approx(441.0, abs=OFFSET_FRAMES)
    assert found.identical
    assert "441 frames later" in arsis("compare", tmp_path / "a.wav", tmp_path / "b.wav").stdout


def test_turned_polarity_is_found_and_taken_out(tmp_path: Path) -> None:
    found = compared(tmp_path, music(), -music())
    assert found.polarity == -1
    assert found.identical
    assert "polarity turned" in arsis("compare", tmp_path / "a.wav", tmp_path / "b.wav").stdout


@pytest.mark.parametrize("band", MIDDLES_HZ)
def test_the_band_that_was_changed_is_named(band: str, tmp_path: Path) -> None:
    sound = noise(6 * RATE_HZ, rms=0.1, seed=3)
    changed = apply(Bell(freq_hz=MIDDLES_HZ[band], gain_db=3.0, q=2.0), sound, RATE_HZ)
    found = compared(tmp_path, sound, changed)
    assert max(found.bands, key=lambda name: found.bands[name].change_db) == band
    assert max(found.bands, key=lambda name: found.bands[name].difference_db) == band
    assert found.bands[band].change_db > 0.5  # of 3 dB: the bell is narrower, and the match lowers all of it


def test_the_place_that_was_changed_is_named(tmp_path: Path) -> None:
    sound = music()
    changed = sound.copy()
    changed[:, 3 * RATE_HZ : 4 * RATE_HZ] += noise(RATE_HZ, rms=0.005, seed=4)
    found = compared(tmp_path, sound, changed)
    worst = max(found.places, key=lambda place: place.difference_db)
    assert (worst.start_s, worst.end_s) == (3.0, 4.0)


def test_other_recordings_are_refused(tmp_path: Path) -> None:
    a, other = write(tmp_path / "a.wav", music()), write(tmp_path / "b.wav", noise(7 * RATE_HZ, seed=8))
    refused(arsis("compare", a, other), "b.wav", "cannot be laid over")
    slow = write(tmp_path / "slow.wav", music(), rate_hz=48_000)
    refused(arsis("compare", a, slow), "48000 Hz")
    mono = write(tmp_path / "mono.wav", music()[:1])
    refused(arsis("compare", a, mono), "1 channel(s)")
    silent = write(tmp_path / "silent.wav", np.zeros((2, 7 * RATE_HZ)))
    refused(arsis("compare", a, silent), "silent.wav")


def test_a_print_against_its_mix(release: SmallRelease) -> None:
    assert arsis("print", release.plan).exit_code == 0
    found = compare_files(release.mix, release.default_print)
    assert found.offset_frames == pytest.approx(0.0, abs=OFFSET_FRAMES)
    assert found.gain_db < 0.0
