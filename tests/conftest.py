"""Hypothesis runs the same examples every time: a failure can be met again."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("house", derandomize=True, deadline=None)
settings.load_profile("house")
