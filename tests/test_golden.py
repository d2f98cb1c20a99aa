"""The sound is the one on record, and the changelog knows which record that is."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest

from .golden_renders import BITS, CASES, RECORD, digests, material, set_id

CHANGELOG = Path(__file__).parent.parent / "CHANGELOG.md"
CHANGED = "the sound changed: say so under Sound in CHANGELOG.md and renew with tools/renew_golden.py"


def test_every_render_has_the_words_on_record() -> None:
    record = json.loads(RECORD.read_text(encoding="utf-8"))
    now = digests()
    changed = sorted(name for name in now.keys() | record.keys() if now.get(name) != record.get(name))
    if changed:
        pytest.fail(f"{CHANGED} ({', '.join(changed)})")


def test_the_changelog_names_the_record_under_sound() -> None:
    record = json.loads(RECORD.read_text(encoding="utf-8"))
    sections = re.findall(r"^### Sound\n(.*?)(?=^##|\Z)", CHANGELOG.read_text(), re.MULTILINE | re.DOTALL)
    if set_id(record) not in "".join(sections):
        pytest.fail(f"{CHANGED} (golden set {set_id(record)} is not named there)")


def test_the_material_fits_its_word_and_drives_what_it_should() -> None:
    """Under full scale, yet 9 dB more work the limiter; every case sounds different."""
    peak = int(np.max(np.abs(material()))) / 2 ** (BITS - 1)
    assert 0.355 < peak < 1.0  # -9 dBFS
    assert len(set(json.loads(RECORD.read_text(encoding="utf-8")).values())) == len(CASES)
