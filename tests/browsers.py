"""One real browser for all tests of a process: Debian's Chromium."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright

CHROMIUM = Path("/usr/bin/chromium")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--force-color-profile=srgb",
    "--font-render-hinting=none",
    "--hide-scrollbars",
]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium without a window. Tests skip where it is not installed; `tools/need tests` installs it."""
    if not CHROMIUM.exists():
        pytest.skip(f"needs Chromium at {CHROMIUM}")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield browser
        browser.close()
