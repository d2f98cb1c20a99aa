"""Fixtures that files share, and Hypothesis runs the same examples every time: a failure can be met again."""

from __future__ import annotations

from hypothesis import settings

from tests.advised import judged, limited
from tests.browsers import browser
from tests.deliveries import delivered, pristine_delivered
from tests.low_tides import pristine_tides, tides
from tests.releases import pristine_release, release

__all__ = [
    "browser",
    "delivered",
    "judged",
    "limited",
    "pristine_delivered",
    "pristine_release",
    "pristine_tides",
    "release",
    "tides",
]

settings.register_profile("house", derandomize=True, deadline=None)
settings.load_profile("house")
