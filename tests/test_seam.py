"""The seam's short cuts change nothing: windows left out, and sound thinned for the long ones."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.signal as ss

from arsis.audio import Block
from arsis.measure import seam as module
from arsis.measure.seam import seam
from tests.signals import noise
from tests.tolerances import EXACT, THINNED_SEAM_DB


def plainly(edit: Block, before: Block, after: Block, rate_hz: int) -> tuple[float, float]:
    """Every window of the sound as it is, at every instant."""
    bump = dip = 0.0
    for window_s, low_bark, high_bark in ((0.046, 0.0, 8.0), (0.0116, 8.0, 24.0)):
        bands = module._bands(rate_hz, window_s, low_bark, high_bark)
        made, a, b = module._excitation_db(np.stack([edit, before, after]), bands)
        bump = max(bump, float((made - np.maximum(a, b)).max()))
        dip = max(dip, float((np.minimum(a, b) - made).max()))
    return bump, dip


@pytest.mark.parametrize("rate_hz", [8_000, 44_100, 96_000])
@pytest.mark.parametrize("fade_ms", [0.0, 20.0])
@pytest.mark.parametrize("fault", ["none", "late", "equal power"])
def test_a_seam_is_that_of_all_windows(rate_hz: int, fade_ms: float, fault: str) -> None:
    frames, fade = round(0.32 * rate_hz), round(fade_ms * rate_hz / 1000.0)
    before = ss.lfilter([0.1], [1.0, -0.9], noise(frames, seed=3), axis=1)  # falls as music does
    after = 1.1 * before + 0.1 * np.cumsum(before, axis=1) / 20.0
    after = np.roll(after, 2, axis=1) if fault == "late" else after
    way = np.clip((np.arange(frames) - (frames - fade) // 2 + 0.5) / max(fade, 1), 0.0, 1.0)
    leaves, comes = ((1.0 - way) ** 0.5, way**0.5) if fault == "equal power" else (1.0 - way, way)
    edit = before * leaves + after * comes
    found = seam(edit, before, after, rate_hz)
    assert (found.bump_db, found.dip_db) == pytest.approx(
        plainly(edit, before, after, rate_hz), abs=THINNED_SEAM_DB, rel=THINNED_SEAM_DB
    )


def test_an_edit_that_is_one_of_its_parents_has_no_seam() -> None:
    before, after = noise(14_000, seed=1), noise(14_000, seed=2)
    for edit in (before, after):
        found = seam(edit, before, after, 44_100)
        assert max(found.bump_db, found.dip_db) == EXACT
