"""Advice on the small release, where tests say what the judge finds."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from arsis.advice.evidence import Evidence, What
from arsis.advice.shape import Judged
from tests.releases import SmallRelease

Finds = Callable[..., None]

VERSES, REFRAINS = ("verse 1", "verse 2"), ("refrain 1",)
COMMENT = "# the singer asked for this one to stay dark"


def lacks(what: What, kind: str = "chorus", size_db: float = -1.2, freq_hz: float | None = None) -> Evidence:
    """Evidence as a judge would give it of the small release; negative for too little."""
    sections = {"chorus": REFRAINS, "verse": VERSES, "bridge": ("bridge",)}[kind]
    against = "verse" if kind == "chorus" else "chorus"
    return Evidence(
        what=what, kind=kind, against=against, sections=sections, size_db=size_db, freq_hz=freq_hz,
        says=f"{kind} {what} made up.", sure=0.7,
    )  # fmt: skip


ALL = (
    lacks("step", size_db=-0.8),
    lacks("body", freq_hz=233.0),
    lacks("width"),
    lacks("low_end", "verse", -1.4, 70.0),
    lacks("edge", "verse", 1.1, 2_853.0),
)


@pytest.fixture
def judged(monkeypatch: pytest.MonkeyPatch) -> Finds:
    """Says what the judge finds, whatever is played to it."""

    def finds(*evidence: Evidence) -> None:
        monkeypatch.setattr(
            "arsis.workflow.advise.judge_shape", lambda shape, moments: Judged(evidence, ("looked at",))
        )

    return finds


@pytest.fixture
def limited(release: SmallRelease) -> SmallRelease:
    """The small release with its limiter at work and a comment, and nothing printed elsewhere."""
    release.change("gain_db = 0.0\nlimiter", "gain_db = 6.0\nlimiter")
    release.change('[pass.A]\nnote = "left alone"', f'[pass.A]  {COMMENT}\nnote = "left alone"')
    release.change('start_s = 4.000000\npass = "C"', 'start_s = 4.000000\npass = "A"')
    return release
