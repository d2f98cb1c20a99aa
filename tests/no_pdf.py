"""Deliveries without their pages on paper, which take longer than all else of a short release."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from .test_cli_faults import environment


def plain_environment(folder: Path) -> dict[str, str]:
    """Of a process in which the library for PDF cannot be imported; `folder` is for a module of its name."""
    stub = folder / "without-pdf"
    stub.mkdir(exist_ok=True)
    (stub / "weasyprint.py").write_text('raise ImportError("hidden by a test")\n', encoding="utf-8")
    found = environment()
    return found | {"PYTHONPATH": os.pathsep.join((str(stub), found["PYTHONPATH"]))}


def hide_pdf(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    """Here, and in the processes that are started from here."""
    monkeypatch.setattr("arsis.deliver.paperwork.pdf._library", lambda: None)
    stub = plain_environment(folder)["PYTHONPATH"].split(os.pathsep)[0]
    monkeypatch.syspath_prepend(stub)  # which a spawned process is given, too
