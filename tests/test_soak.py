"""Long runs, under `make soak`: an hour at 96 kHz in little memory, and many random plans."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from arsis.io.write import write_sound
from arsis.plan.codec import song_to_toml
from arsis.plan.model import Finish
from arsis.render.words import Word
from arsis.settings import Bell, Gain, Limiter

from .meter16 import true_peak_dbtp
from .render_plans import song, songs
from .renders import make_print, source
from .signals import RATES, noise
from .tolerances import CEILING_DB, MEMORY_MB

pytestmark = pytest.mark.soak

RATE = 96_000


def a_long_mix(path: Path, minutes: int) -> None:
    """A minute of noise that swells, over and over."""
    minute = noise(60 * RATE, seed=8, rms=0.08)
    minute *= 0.6 + 0.4 * np.sin(2 * np.pi * np.arange(60 * RATE) / (20 * RATE))
    words = np.round(np.clip(minute, -0.9, 0.9) * 2**23).astype(np.int32)
    with write_sound(path, RATE, 2, frames=minutes * 60 * RATE) as out:
        for _ in range(minutes):
            out.write(words)


@pytest.mark.timeout(1_800)
def test_an_hour_at_96_khz_prints_in_flat_memory(tmp_path):
    """The issue's bound is 600 MB; memory that does not grow with length stays far below it."""
    a_long_mix(tmp_path / "mix.wav", 60)
    starts = [float(s) for s in range(0, 3_600, 120)]
    plan = song(
        starts,
        "AB" * 15,
        {"A": (), "B": (Gain(gain_db=0.6), Bell(freq_hz=95.0, gain_db=0.7))},
        finish=Finish(gain_db=3.0, limiter=Limiter()),
    )
    (tmp_path / "song.toml").write_text(song_to_toml(plan))
    # The kernel's high-water mark of this very process: what a child's parent had does not count.
    measured = (
        "import sys, re; from arsis.cli.main import main\n"
        "try: main(sys.argv[1:])\n"
        "finally: print(re.search(r'VmHWM:\\s+(\\d+)', open('/proc/self/status').read())[1], file=sys.stderr)"
    )
    command = ["print", str(tmp_path / "song.toml"), "--out", str(tmp_path / "print.wav")]
    done = subprocess.run(
        [sys.executable, "-c", measured, *command],
        env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode in (0, 3), done.stderr
    peak_mb = int(done.stderr.split()[-1]) / 1024
    print(f"\n{done.stdout}peak memory {peak_mb:.0f} MB")
    assert peak_mb < MEMORY_MB
    assert (tmp_path / "print.wav").stat().st_size == (tmp_path / "mix.wav").stat().st_size


@pytest.mark.timeout(1_800)
@given(data=st.data(), rate_hz=st.sampled_from(RATES), level=st.sampled_from((0.05, 0.2, 1.0)))
@settings(max_examples=300, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
def test_many_random_plans_keep_blocks_and_ceiling(data, rate_hz, level):
    plan = data.draw(songs(1.0))
    mix = np.clip(noise(rate_hz, seed=data.draw(st.integers(0, 10**6)), rms=level), -8.0, 8.0)
    of = source(plan, mix, rate_hz, 32, is_float=True)
    whole = make_print(of, Word(24), block_frames=10**7)
    assert np.array_equal(make_print(of, Word(24), block_frames=5_000, threads=2).words, whole.words)
    limiter = plan.finish.limiter
    if limiter is not None:
        assert true_peak_dbtp(whole.sound) <= limiter.ceiling_dbtp + CEILING_DB
