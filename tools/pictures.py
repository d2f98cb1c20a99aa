"""`make pictures`: takes the demo release through the commands and renews what README.md shows of it.

Text goes into README.md between `<!-- output: NAME -->` and `<!-- end -->`; the report's figures go to
docs/pictures, photographed in Chromium. The curves of docs/advise.md are drawn by `curves.py`,
the desk is photographed by `desk_pictures.py`.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
PICTURES = ROOT / "docs" / "pictures"
PLAN = "songs/low-water.toml"

# By name of its block in README.md, in the order in which they run, inside the demo's folder.
TOUR: dict[str, tuple[str, ...]] = {
    "start": ("start", "first-look", "mixes/low-water.wav", "mixes/low-water-instrumental.wav"),
    "examine": ("examine", "mixes/ebb-clock.wav"),
    "sections": ("sections", "mixes/low-water.wav"),
    "print": ("print", PLAN),
    "contour": ("contour", PLAN),
    "advise": ("advise", PLAN),
    "measure": ("measure", "mixes/low-water.wav", "prints/low-water.wav"),
    "compare": ("compare", "mixes/low-water.wav", "prints/low-water.wav"),
    "report": ("report", PLAN),
    "diff": ("diff", PLAN, "1"),
    "keep": ("keep", PLAN, "-m", "refrains 0.2 dB further up"),
    "revisions": ("revisions", PLAN),
    "version": ("print", PLAN, "--version", "instrumental"),
    "record": ("record", "."),
    "deliver": ("deliver", ".", "--profile", "cd"),
    "verify": ("verify", "deliveries/cd"),
}
EDIT = ("gain_db = 0.6", "gain_db = 0.8")  # made by hand between `report` and `diff`


@dataclass(frozen=True, slots=True)
class Picture:
    """A part of the report: the figure with a heading before it, or the top of the page."""

    name: str
    heading: str | None


SHOTS = (
    Picture("report", None),
    Picture("spectra", "Spectrum by section"),
    Picture("took", "What the limiter took"),
    Picture("joins", "The joins"),
)
BROWSER = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def main() -> None:
    from curves import drawn
    from desk_pictures import desk_photographed

    with tempfile.TemporaryDirectory() as scratch:
        said(("demo", "tide-tables"), Path(scratch))
        demo = Path(scratch) / "tide-tables"
        blocks = toured(demo)
        README.write_text(filled(README.read_text(encoding="utf-8"), blocks), encoding="utf-8")
        photographed(demo / "reports" / "low-water.html", SHOTS)
        photographed(demo / "reports" / "record.html", (Picture("record", None),))
        drawn(demo / "mixes", PICTURES)
        desk_photographed(demo, PICTURES)


def toured(demo: Path) -> dict[str, str]:
    """What each block of README.md shows."""
    plan = demo / PLAN
    blocks = {"plan": f"```toml\n{excerpt(plan.read_text(encoding='utf-8'))}\n```"}
    for name, command in TOUR.items():
        if name == "diff":
            plan.write_text(plan.read_text(encoding="utf-8").replace(*EDIT), encoding="utf-8")
        blocks[name] = f"```console\n$ {typed(command)}\n{said(command, demo)}\n```"
    return blocks


def typed(command: tuple[str, ...]) -> str:
    return "arsis " + " ".join(f'"{word}"' if " " in word else word for word in command)


def said(command: tuple[str, ...], folder: Path) -> str:
    """What `arsis COMMAND` prints, run in `folder`. Raises where it is not done."""
    run = subprocess.run(
        [sys.executable, "-m", "arsis", *command], cwd=folder, capture_output=True, text=True, check=False
    )
    if run.returncode not in (0, 3):
        raise SystemExit(f"{typed(command)} ended with {run.returncode}:\n{run.stderr}")
    return (run.stdout + run.stderr).strip().replace(f"{folder.resolve()}/", "")


def excerpt(plan: str) -> str:
    """The parts of the plan that decide something: a section, the passes, the finish."""
    sections: list[str] = re.findall(r"\[\[section\]\]\n(?:.+\n)+", plan)
    return sections[2] + "\n" + plan[plan.index("[pass.A]") :].strip()


def filled(page: str, blocks: dict[str, str]) -> str:
    for name, block in blocks.items():
        start, end = f"<!-- output: {name} -->\n", "<!-- end -->"
        if page.count(start) != 1:
            raise SystemExit(f"README.md has {page.count(start)} blocks called {name}; it needs one")
        before, after = page.split(start)
        page = f"{before}{start}{block}\n{end}{after.partition(end)[2]}"
    return page


def photographed(report: Path, shots: Sequence[Picture]) -> None:
    from playwright.sync_api import sync_playwright

    PICTURES.mkdir(exist_ok=True)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path="/usr/bin/chromium", args=list(BROWSER))
        page = browser.new_page(viewport={"width": 1000, "height": 690}, device_scale_factor=1.25)
        page.goto(report.resolve().as_uri())
        for shot in shots:
            path = PICTURES / f"{shot.name}.png"
            if shot.heading is None:
                page.screenshot(path=path)
            else:
                after = page.locator(f'h2:text-is("{shot.heading}")')
                after.locator("xpath=following-sibling::*[self::figure or @class='grid'][1]").screenshot(
                    path=path
                )
        browser.close()


if __name__ == "__main__":
    main()
