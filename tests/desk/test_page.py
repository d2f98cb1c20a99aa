"""The page as a whole."""

from __future__ import annotations

import hashlib
import json

import pytest
from playwright.sync_api import Page

from tests.desk.conftest import AXE
from tools.vendor import PAGE, TESTS


@pytest.mark.parametrize("folder", [PAGE, TESTS], ids=["page", "tests"])
def test_vendored_files_are_as_they_were_taken(folder):
    lock = json.loads((folder / "vendor.lock.json").read_text())
    taken = {name: digest for package in lock.values() for name, digest in package["sha256"].items()}
    there = {path.name for path in folder.iterdir()} - {"vendor.lock.json"}
    assert there == set(taken)
    for name, digest in taken.items():
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest, name


def test_the_page_opens(page: Page):
    assert page.get_by_role("button", name="keys").is_visible()


def test_axe_finds_nothing_serious(page: Page):
    page.evaluate(AXE.read_text())
    found = page.evaluate("axe.run()")
    assert [one["id"] for one in found["violations"] if one["impact"] in ("serious", "critical")] == []
