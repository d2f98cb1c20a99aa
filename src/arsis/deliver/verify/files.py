"""Is every file there, is nothing there that should not be, and has each the bytes it was given?"""

from __future__ import annotations

from collections.abc import Iterator

from arsis.deliver.manifest import Document, SoundFile

from .delivery import Delivery
from .finding import Finding
from .say import many


def check_files(delivery: Delivery) -> Iterator[Finding]:
    """Missing, extra, renamed, swapped and changed files."""
    listed = delivery.listed
    extra = [path for path in delivery.files if path not in {one.path for one in listed}]
    for one in listed:
        on_disk = delivery.files.get(one.path)
        if on_disk is None:
            renamed = [path for path in extra if delivery.files[path].sha256 == one.sha256]
            if renamed:
                extra.remove(renamed[0])
                yield Finding(
                    file=one.path, check="files", what="renamed", expected=one.path, found=renamed[0]
                )
            else:
                yield Finding(file=one.path, check="files", what="missing: the manifest lists it")
        elif not on_disk.sha256:
            yield Finding(file=one.path, check="files", what=on_disk.fault or "cannot be read")
        elif on_disk.sha256 != one.sha256:
            yield _changed(delivery, one)
        elif on_disk.bytes != one.bytes:
            sizes = str(one.bytes), str(on_disk.bytes)
            what = "the manifest gives it another size"
            yield Finding(file=one.path, check="files", what=what, expected=sizes[0], found=sizes[1])
    for path in extra:
        yield Finding(file=path, check="files", what="extra: the manifest does not list it")
    for path in delivery.folders:
        if not any(one.path.startswith(f"{path}/") for one in listed):  # else its files are missing
            yield Finding(
                file=path, check="files", what="extra: a folder of which the manifest lists no file"
            )


def _changed(delivery: Delivery, one: SoundFile | Document) -> Finding:
    on_disk = delivery.files[one.path]
    other = _whose(delivery, on_disk.sha256)
    if other is not None:
        here = delivery.digest(one.path)
        exchanged = other in delivery.files and delivery.files[other].sha256 == here
        what = f"{one.path} and {other} are swapped" if exchanged else f"is a copy of {other}"
        return Finding(file=one.path, check="files", what=what)
    if on_disk.bytes != one.bytes:
        more = on_disk.bytes - one.bytes
        what = f"changed: {many(abs(more), 'byte')} {'longer' if more > 0 else 'shorter'}"
        return Finding(
            file=one.path, check="files", what=what, expected=str(one.bytes), found=str(on_disk.bytes)
        )
    return Finding(
        file=one.path,
        check="files",
        what="changed: not the bytes that were delivered",
        expected=f"SHA-256 {one.sha256[:16]}…",
        found=f"{on_disk.sha256[:16]}…",
    )


def _whose(delivery: Delivery, sha256: str) -> str | None:
    for one in delivery.listed:
        if one.sha256 == sha256:
            return one.path
    return None
