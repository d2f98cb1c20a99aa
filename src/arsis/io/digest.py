"""The fingerprint of a file."""

from __future__ import annotations

import hashlib
from pathlib import Path

from arsis.errors import ArsisError


def sha256_of(path: Path) -> str:
    """SHA-256 of a file's bytes, in hexadecimal. Raises ArsisError where it cannot be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as fault:
        raise ArsisError(f"{path}: cannot be read: {fault.strerror}") from fault
