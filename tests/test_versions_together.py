"""Versions that share one limiter: laws 4 and 10 at once, on a demo song that is driven hard into it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from arsis.audio import Block
from arsis.demo.mixdown import FULL_SCALE
from arsis.plan.model import Finish
from arsis.settings import Gain, Limiter

from .demo_songs import demo_song
from .meter16 import true_peak_dbtp
from .render_plans import song
from .signals import noise
from .tolerances import CEILING_DB, VERSIONS_NULL_DBFS
from .versions import VERSIONS, Folder, folder, null_dbfs, worked_plan


@pytest.fixture(scope="module")
def ebb_clock(tmp_path_factory: pytest.TempPathFactory) -> Folder:
    """Nine seconds of a demo song, far into its limiter: without the voice some peaks are higher."""
    made = demo_song("ebb-clock")
    part = slice(27 * made.rate_hz, 36 * made.rate_hz)
    band, voice = made.stems.instrumental[:, part] / FULL_SCALE, made.stems.acappella[:, part] / FULL_SCALE
    plan = worked_plan(band.shape[1] / made.rate_hz)
    plan = replace(plan, finish=replace(plan.finish, gain_db=12.0, share_limiter=True))
    return folder(tmp_path_factory.mktemp("ebb"), plan, band, voice, made.rate_hz)


def test_hot_songs_sum_and_keep_the_ceiling(ebb_clock: Folder) -> None:
    alone = replace(ebb_clock.song, finish=replace(ebb_clock.song.finish, share_limiter=False))
    by_itself = replace(ebb_clock, song=alone).led(VERSIONS[0])
    assert by_itself.guarded.max_db > 0.1  # else there is nothing to share
    main, gain = ebb_clock.main()
    assert -20.0 * np.log10(gain.min()) > 2.0  # the limiter is at work
    led = [ebb_clock.led(version) for version in VERSIONS]
    assert null_dbfs(main, *(one.sound for one in led)) < VERSIONS_NULL_DBFS
    for sound in (main, *(one.sound for one in led)):
        assert true_peak_dbtp(sound) <= -1.0 + CEILING_DB
    assert all(one.guarded.max_db == 0.0 for one in led)


def test_the_limiter_hears_a_version_that_is_louder_than_the_mix(tmp_path: Path) -> None:
    """A voice that takes away from the band's peaks: the band alone is what has to come down."""
    band = 4.0 * noise(48_000, seed=3, rms=0.08)
    voice = -0.5 * band
    finish = Finish(limiter=Limiter(ceiling_dbtp=-1.0), share_limiter=True)
    shared = folder(
        tmp_path, song([0.0], "A", {"A": (Gain(gain_db=1.0),)}, finish=finish), band, voice, 48_000
    )
    own = replace(shared, song=replace(shared.song, finish=replace(finish, share_limiter=False)))
    instrumental = VERSIONS[0]
    assert own.led(instrumental).guarded.max_db > 1.0  # the band is 6 dB over the mix
    assert own.main()[1].min() == 1.0
    assert shared.main()[1].min() < 0.9  # by 1 dB and more, which the band needs
    assert true_peak_dbtp(shared.led(instrumental).sound) <= -1.0 + CEILING_DB


def test_sharing_changes_nothing_where_the_limiter_rests(tmp_path: Path) -> None:
    def quiet(seed: int) -> Block:
        return noise(20_000, seed=seed, rms=0.01)

    finish = Finish(limiter=Limiter(ceiling_dbtp=-1.0), share_limiter=True)
    shared = folder(
        tmp_path, song([0.0], "A", {"A": (Gain(gain_db=1.0),)}, finish=finish), quiet(1), quiet(2), 48_000
    )
    alone = replace(shared, song=replace(shared.song, finish=replace(finish, share_limiter=False)))
    assert np.array_equal(shared.main()[0], alone.main()[0])
    for version in VERSIONS:
        assert np.array_equal(shared.led(version).sound, alone.led(version).sound)
