"""The curves that are fitted to what was heard are those that the processors make."""

from __future__ import annotations

import numpy as np
import pytest

from arsis.measure.shapes import bell_db, low_shelf_db
from arsis.process.tone import response_db
from arsis.settings import Bell, LowShelf
from tests.tolerances import BELL_CURVE_DB

AT_HZ = np.geomspace(40.0, 16_000.0, 60)
RATE_HZ = 192_000  # the analogue curve is reached from below: at 48 kHz the top bends


@pytest.mark.parametrize(
    ("freq_hz", "gain_db", "q"), [(250.0, -3.0, 1.0), (3_200.0, 2.0, 1.4), (70.0, 5.0, 0.7)]
)
def test_the_bell(freq_hz: float, gain_db: float, q: float) -> None:
    applied = response_db(Bell(freq_hz=freq_hz, gain_db=gain_db, q=q), AT_HZ, RATE_HZ)
    assert np.abs(bell_db(AT_HZ, freq_hz, gain_db, q) - applied).max() < BELL_CURVE_DB


@pytest.mark.parametrize(("freq_hz", "gain_db"), [(120.0, 1.0), (120.0, -4.0), (400.0, 3.0)])
def test_the_low_shelf(freq_hz: float, gain_db: float) -> None:
    applied = response_db(LowShelf(freq_hz=freq_hz, gain_db=gain_db), AT_HZ, RATE_HZ)
    assert np.abs(low_shelf_db(AT_HZ, freq_hz, gain_db) - applied).max() < BELL_CURVE_DB
