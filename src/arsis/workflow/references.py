"""Records to compare with: taken into the release's folder for them, whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from arsis.audio import BLOCK_FRAMES
from arsis.errors import ArsisError, SoundFileError
from arsis.io.names import fit_stem, folded
from arsis.io.read import open_sound
from arsis.io.whole import replace_whole

from .inside import check_inside
from .places import make_folder

FOLDER = "references"
ENDINGS = (".wav", ".aif", ".aiff", ".flac", ".ogg", ".opus", ".mp3", ".m4a")


@contextmanager
def new_reference(release: Path, name: str) -> Iterator[tuple[Path, Callable[[bytes], None]]]:
    """A record on its way in: its file, and what writes the next bytes of it.

    The file is there when the body has ended well and all of it can be heard. Raises ArsisError for a name
    that is taken or has another ending, SoundFileError for anything but a whole sound.
    """
    target = _target(release, name)
    with replace_whole(target) as file:
        yield target, file.write
        _hear(file.path, target.name)
        _check_free(target)


def _target(release: Path, name: str) -> Path:
    ending = Path(name).suffix.lower()
    stem = fit_stem(name[: len(name) - len(ending)])
    if ending not in ENDINGS or not stem:
        raise ArsisError(f"{name}: not taken; allowed: a sound file whose name ends in {', '.join(ENDINGS)}")
    target = release / FOLDER / f"{stem}{ending}"
    check_inside(release, target)
    make_folder(target.parent)
    _check_free(target)
    return target


def _check_free(target: Path) -> None:
    if any(folded(one.name) == folded(target.name) for one in target.parent.iterdir()):
        raise ArsisError(f"{FOLDER}/{target.name}: is there already; allowed: another name")


def _hear(part: Path, name: str) -> None:
    """Reads it to its end. Raises SoundFileError where that cannot be."""
    try:
        with open_sound(part) as sound:
            while sound.read(BLOCK_FRAMES).shape[1]:
                pass
    except SoundFileError as fault:
        raise SoundFileError(str(fault).replace(str(part), name)) from None
