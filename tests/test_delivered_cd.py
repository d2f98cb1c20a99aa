"""A delivered disc, read by libsndfile: cuts, the continuous file, dither, and a tone near the last bit."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile
from click.testing import CliRunner
from numpy.typing import NDArray

from arsis.cli.main import main

from .dithered import FLOOR_DBFS, floor_db, highest_fit_dbfs, tone_db
from .releases import write

RATE_HZ, CD_FRAME = 44_100, 588  # samples in 1/75 s: check values, section 8.6
TONE_HZ, LENGTH_S = 997.0, 5.0
TONE_DBFS = -90.0
# Without dither the same tone, a pulse of one step, has harmonics of about -104 dBFS (test_laws.py).
HARMONIC_DBFS = -115.0

SONG = """\
schema = 1
title = "{title}"
mix = "mixes/{stem}.wav"

[[section]]
name = "all"
start_s = 0.000000
pass = "A"

[pass.A]
chain = []
"""


@pytest.fixture(scope="module")
def release(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Silence, a tone of -90 dBFS and noise, in 24 bits, with gaps that are no whole frames of a disc."""
    folder = tmp_path_factory.mktemp("near-nothing")
    for name in ("songs", "profiles"):
        (folder / name).mkdir()
    t = np.arange(round(LENGTH_S * RATE_HZ)) / RATE_HZ
    tone = 10.0 ** (TONE_DBFS / 20.0) * np.sin(2.0 * np.pi * TONE_HZ * t)
    breath = 0.01 * np.random.default_rng(9).standard_normal(t.size + 101)
    for stem, mono in (("stillness", 0.0 * t), ("a-thread", tone), ("breath", breath)):
        write(folder / "mixes" / f"{stem}.wav", np.stack([mono, mono]))
        (folder / "songs" / f"{stem}.toml").write_text(SONG.format(title=stem.title(), stem=stem))
    songs = "".join(
        f'\n[[song]]\nplan = "songs/{stem}.toml"\ngap_s = 1.2345\n'
        for stem in ("stillness", "a-thread", "breath")
    )
    (folder / "release.toml").write_text(
        f'schema = 1\ntitle = "Near Nothing"\nartist = "Nobody Yet"\n{songs}'
    )
    (folder / "profiles" / "rounded.toml").write_text(
        'schema = 1\nname = "rounded"\nrate_hz = 44100\nbits = "16"\ndither = "none"\n'
    )
    for profile in ("cd", "rounded"):
        made = CliRunner().invoke(main, ["deliver", str(folder), "--profile", profile, "--jobs", "1"])
        assert made.exit_code == 3, made.output  # stillness is told of, as it should be
    return folder / "deliveries"


def words(delivery: Path) -> list[NDArray[np.int16]]:
    """Of every song, (frames, channels), as libsndfile reads them."""
    return [soundfile.read(path, dtype="int16")[0] for path in sorted(delivery.glob("0[1-9]*.wav"))]


def fitted_dbfs(sound: NDArray[np.float64], freq_hz: float) -> float:
    """Level of a sine of this frequency in the sound, by least squares."""
    turn = np.exp(-2j * np.pi * freq_hz * np.arange(sound.size) / RATE_HZ)
    return 20.0 * float(np.log10(2.0 * abs(np.mean(sound * turn))))


def test_cuts_fall_on_frames_and_the_files_are_the_continuous_one(release: Path) -> None:
    songs = words(release / "cd")
    assert len(songs) == 3
    assert all(len(song) % CD_FRAME == 0 for song in songs)
    [whole] = (release / "cd").glob("00*.wav")
    assert np.array_equal(np.concatenate(songs), soundfile.read(whole, dtype="int16")[0])
    # The gap that was asked for, and at most a frame of the disc more, in plain zeros.
    gap = len(songs[0]) - round(LENGTH_S * RATE_HZ)
    assert 0 <= gap - round(1.2345 * RATE_HZ) < CD_FRAME
    assert not songs[0][-gap:].any()


def test_silence_has_the_floor_of_flat_dither(release: Path) -> None:
    """Two steps of triangle, where a sine of full scale is 0 dBFS; 441,000 words: within 0.034 dB."""
    still = words(release / "cd")[0][: round(LENGTH_S * RATE_HZ)] / 2.0**15
    power_dbfs = 10.0 * np.log10(2.0 * np.mean(still**2))
    assert power_dbfs == pytest.approx(FLOOR_DBFS, abs=floor_db(still.size))


def test_a_tone_near_the_last_bit_has_no_harmonics(release: Path) -> None:
    heard = {
        profile: words(release / profile)[1][: round(LENGTH_S * RATE_HZ), 0] / 2.0**15
        for profile in ("cd", "rounded")
    }
    places, frames = TONE_HZ * np.arange(2, 11), len(heard["cd"])
    assert fitted_dbfs(heard["cd"], TONE_HZ) == pytest.approx(TONE_DBFS, abs=tone_db(frames, TONE_DBFS))
    # Noise alone is fitted as -143.7 dBFS in the mean, the highest of nine as -133.2 at most; the mix's own
    # rounding to 24 bits, 1/12 step^2 in all, is -146.3.
    no_harmonic_dbfs = highest_fit_dbfs(frames, len(places))
    assert max(fitted_dbfs(heard["cd"], freq_hz) for freq_hz in places) < no_harmonic_dbfs
    assert max(fitted_dbfs(heard["rounded"], freq_hz) for freq_hz in places) > HARMONIC_DBFS
