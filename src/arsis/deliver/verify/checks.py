"""All checks of a delivery that need nothing but its folder."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from .delivery import Delivery
from .files import check_files
from .finding import CHECKS, Finding
from .meters import check_meters
from .papers import check_paperwork
from .rules import check_manifest
from .said import check_said
from .sound import check_sound
from .spacing import check_spacing
from .tags import check_tags

Checker = Callable[[Delivery], Iterator[Finding]]

ALL: tuple[Checker, ...] = (
    check_files,
    check_sound,
    check_tags,
    check_meters,
    check_manifest,
    check_spacing,
    check_said,
    check_paperwork,
)


def run_checks(delivery: Delivery) -> list[Finding]:
    """What every check finds, file by file, what is plainest first."""
    return ordered([finding for check in ALL for finding in check(delivery)])


def ordered(findings: list[Finding]) -> list[Finding]:
    """By file, the files in the order in which they are first found wrong; each thing said once."""
    files = list(dict.fromkeys(finding.file for finding in findings))
    return sorted(
        dict.fromkeys(findings), key=lambda found: (files.index(found.file), CHECKS.index(found.check))
    )
