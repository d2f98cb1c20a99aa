"""`arsis profiles`: what it takes and what it says."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from .answer import answer

if TYPE_CHECKING:  # results only name types here; their modules load numpy
    from arsis.workflow.profiles import Profiles


@click.command(
    short_help="The kinds of delivery there are.",
    epilog="\b\nExample: arsis profiles --show vinyl > tide-tables/profiles/single.toml",
)
@click.argument("folder", type=click.Path(path_type=Path), required=False)
@click.option("--show", "name", help="The document of this profile, to read, or to copy and change.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
def profiles(folder: Path | None, name: str | None, as_json: bool) -> None:
    """The house's profiles, and those that the release in FOLDER has of its own."""
    from arsis.workflow.profiles import list_profiles

    answer(list_profiles(folder, name), as_json, profiles_text if name is None else _document)


def profiles_text(found: Profiles) -> str:
    """A line for each."""
    from arsis.report.text import table

    rows = [[one.name, one.about, "the release's" if one.own else "the house's"] for one in found.profiles]
    return table(["profile", "what it is", "whose"], rows, left=3)


def _document(found: Profiles) -> str:
    return found.profiles[0].text.removesuffix("\n")
