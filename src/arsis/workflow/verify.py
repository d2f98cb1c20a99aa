"""`arsis verify`: a delivery is read back from disk, and what does not hold is named."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from arsis.deliver.verify.checks import ordered, run_checks
from arsis.deliver.verify.delivery import Delivery
from arsis.deliver.verify.finding import Finding
from arsis.deliver.verify.reading import open_delivery
from arsis.deliver.verify.rebuild import NotRebuilt, Rebuilt, rebuild
from arsis.errors import ArsisError
from arsis.render.progress import Progress, unseen

from .deliver import default_jobs


@dataclass(frozen=True, slots=True)
class Unheard:
    """A sound file that was not listened to, and why."""

    file: str
    why: str


@dataclass(frozen=True, slots=True)
class Verified:
    """A delivery as it was found.

    files: all that the manifest lists; sounds: those of them with sound. unheard: whose sound was not read,
    for want of a decoder here; their bytes were. rebuilt: made again from mix and plan, with the same bytes.
    """

    delivery: str
    title: str
    profile: str
    date: str
    arsis: str
    holds: bool
    files: int
    sounds: int
    unheard: tuple[Unheard, ...]
    rebuilt: tuple[str, ...]
    not_rebuilt: tuple[NotRebuilt, ...]
    findings: tuple[Finding, ...]


def verify_delivery(
    folder: Path,
    *,
    release: Path | None = None,
    with_rebuild: bool = True,
    jobs: int | None = None,
    progress: Progress = unseen,
) -> Verified:
    """Reads a delivery back with nothing but its folder; makes its files again where the release is at hand.

    release: the release folder, where it does not lie as the manifest says; named, it has to be enough to
    make every file again. jobs: processes, one for each core when None.
    Raises ArsisError where the folder is no delivery.
    """
    jobs = jobs or default_jobs()
    delivery = open_delivery(folder, jobs, progress)
    made = _rebuilt(delivery, release, jobs, progress) if with_rebuild else Rebuilt()
    findings = ordered([*run_checks(delivery), *made.findings])
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
        unheard=tuple(
            Unheard(path, one.unheard) for path, one in delivery.files.items() if one.unheard is not None
        ),
        rebuilt=tuple(made.same),
        not_rebuilt=tuple(made.not_rebuilt),
        findings=tuple(findings),
    )


def _rebuilt(delivery: Delivery, release: Path | None, jobs: int, progress: Progress) -> Rebuilt:
    """What came of making it again. A release folder that was named has to be enough for it."""
    home = release or delivery.folder / delivery.manifest.release_path
    if not (home / "release.toml").is_file():
        if release is not None:
            raise ArsisError(f"{release}: is no release folder: it holds no release.toml")
        why = f"there is no release folder at {delivery.manifest.release_path}; name it with --release"
        return Rebuilt(not_rebuilt=[NotRebuilt(sound.path, why) for sound in delivery.manifest.sounds])
    made = rebuild(delivery, home, jobs, progress)
    if release is not None:
        made.findings += [
            Finding(file=one.file, check="rebuild", what=f"cannot be made again: {one.why}")
            for one in made.not_rebuilt
        ]
    return made
