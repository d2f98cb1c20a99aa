"""What was measured of known sounds, on disk: safe to delete, and never believed where it is damaged."""

from __future__ import annotations

import io
import json
import os
import zipfile
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np

from arsis.errors import ArsisError
from arsis.io.whole import write_bytes_whole

from .measured import Measured

FOLDER = Path(".arsis") / "desk"
MOST_BYTES, MOST_FILES = 256 * 2**20, 200
_FORM = 1  # of the entries; another is not read


class Cache:
    """Entries by key in one folder; those not used for longest go when there are too many."""

    def __init__(self, release: Path) -> None:
        self.folder = release / FOLDER

    def measured(self, key: str) -> Measured | None:
        """What was measured of a sound, where it is known."""
        try:
            with np.load(io.BytesIO(self._read(key, "npz")), allow_pickle=False) as kept:
                form, channels, integrated_lufs, true_peak_dbtp = kept["facts"]
                if form != _FORM:
                    return None
                return Measured(
                    channels=int(channels),
                    integrated_lufs=float(integrated_lufs),
                    true_peak_dbtp=float(true_peak_dbtp),
                    energies=kept["energies"],
                    true_peaks=kept["true_peaks"],
                    relations=kept["relations"],
                    took_db=kept["took_db"],
                    peaks=kept["peaks"].tobytes(),
                    sha256=tuple(str(one) for one in kept["sha256"]),
                )
        except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
            return None

    def keep_measured(self, key: str, sound: Measured) -> None:
        data = io.BytesIO()
        np.savez(
            data,
            facts=np.array([_FORM, sound.channels, sound.integrated_lufs, sound.true_peak_dbtp]),
            energies=sound.energies,
            true_peaks=sound.true_peaks,
            relations=sound.relations,
            took_db=sound.took_db,
            peaks=np.frombuffer(sound.peaks, dtype=np.uint8),
            sha256=np.array(sound.sha256),
        )
        self._write(key, "npz", data.getvalue())

    def table(self, key: str) -> Any | None:
        """A table of figures."""
        try:
            kept = json.loads(self._read(key, "json"))
            return kept["table"] if kept["form"] == _FORM else None
        except (OSError, ValueError, KeyError, TypeError):
            return None

    def keep_table(self, key: str, table: Any) -> None:
        self._write(key, "json", json.dumps({"form": _FORM, "table": table}).encode())

    def _read(self, key: str, suffix: str) -> bytes:
        path = self.folder / f"{key}.{suffix}"
        data = path.read_bytes()
        with suppress(OSError):
            os.utime(path)
        return data

    def _write(self, key: str, suffix: str, data: bytes) -> None:
        with suppress(OSError, ArsisError):  # a disk that takes nothing costs time and nothing else
            self.folder.mkdir(parents=True, exist_ok=True)
            write_bytes_whole(self.folder / f"{key}.{suffix}", data)
            self._let_go()

    def _let_go(self) -> None:
        entries = [(path, path.stat()) for path in self.folder.iterdir() if path.suffix in (".npz", ".json")]
        entries.sort(key=lambda entry: -entry[1].st_mtime_ns)
        size = 0
        for number, (path, status) in enumerate(entries):
            size += status.st_size
            if number >= MOST_FILES or size > MOST_BYTES:
                path.unlink(missing_ok=True)
