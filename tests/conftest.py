"""Fixtures that files share, and Hypothesis runs the same examples every time: a failure can be met again."""

from __future__ import annotations

import signal

import pytest
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

# What a shell runs in the background is begun deaf to Ctrl-C, and so is what it starts: with it tests stop
# commands.
signal.signal(signal.SIGINT, signal.default_int_handler)

# Modules that take longest come first, in this order, so that no core is left with one of them at the end.
LONG = (
    "test_deliver_killed",
    "test_advise",
    "test_deliver",
    "test_verify",
    "test_versions_shifted",
    "test_hearing_page",
    "test_examine",
    "test_advise_planted",
    "test_versions",
    "test_versions_command",
    "test_versions_together",
    "test_verify_elsewhere",
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    rank = {name: place for place, name in enumerate(LONG)}
    items.sort(key=lambda item: rank.get(item.path.stem, len(LONG)))
