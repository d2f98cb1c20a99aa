"""A desk with its server and a real browser for it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.desk.served import Served, serving
from tests.releases import SmallRelease

RELEASE = """\
schema = 1
title = "Nocturnes"
artist = "The Slack Water"

[[song]]
plan = "songs/small-hours.toml"
"""
AXE = Path(__file__).parent / "vendor" / "axe.min.js"


@pytest.fixture
def desk(release: SmallRelease) -> Iterator[Served]:
    """A desk on a release of its own; see tests/releases.py."""
    (release.folder / "release.toml").write_text(RELEASE)
    with serving(release.folder) as served:
        yield served


@pytest.fixture
def page(browser: Browser, desk: Served) -> Iterator[Page]:
    """The desk's page, open; a fault in the page's own code fails the test."""
    context = browser.new_context(viewport={"width": 1280, "height": 720}, reduced_motion="reduce")
    page = context.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda fault: faults.append(str(fault)))
    page.goto(desk.address)
    page.wait_for_selector("#desk")
    yield page
    context.close()
    assert not faults
