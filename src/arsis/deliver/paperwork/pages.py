"""Sheets from their templates: each page one file that fetches nothing, each text as it will be read."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, FunctionLoader, StrictUndefined
from markupsafe import Markup

from arsis.deliver.manifest import Manifest
from arsis.plan.model import Release
from arsis.report.text import NOTHING


@dataclass(frozen=True, slots=True)
class Head:
    """What stands at the top and the bottom of every page."""

    title: str
    artist: str
    facts: tuple[tuple[str, str], ...]
    colophon: str


def head_of(manifest: Manifest, release: Release) -> Head:
    """The release as it is identified, and what made the delivery."""
    libraries = ", ".join(f"{name} {version}" for name, version in sorted(manifest.libraries.items()))
    return Head(
        title=manifest.title,
        artist=manifest.artist,
        facts=(
            ("GTIN", manifest.gtin or NOTHING),
            ("catalogue number", release.catalogue_number or NOTHING),
            ("delivery", f"{manifest.profile}, {manifest.date}"),
        ),
        colophon=f"arsis {manifest.arsis}{f'; {libraries}' if libraries else ''}",
    )


def page(template: str, kind: str, head: Head, **said: Any) -> str:
    """A page as HTML. kind: what sheet it is."""
    return _environment().get_template(template).render(kind=kind, head=head, style=_style(), **said)


def text(template: str, **said: Any) -> str:
    """A plain text."""
    return _environment().get_template(template).render(**said)


@cache
def _environment() -> Environment:
    return Environment(
        loader=FunctionLoader(_source),
        autoescape=lambda name: name is not None and name.endswith(".html.j2"),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


@cache
def _source(name: str) -> str:
    return (files("arsis.deliver.paperwork") / "templates" / name).read_text(encoding="utf-8")


def _style() -> Markup:
    return Markup(_source("sheet.css"))
