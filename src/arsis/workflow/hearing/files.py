"""What a song's sounds are rendered from, kept open between edits: nothing is read or lined up twice."""

from __future__ import annotations

import json
from contextlib import ExitStack, suppress
from dataclasses import asdict, replace
from pathlib import Path
from threading import Lock

from arsis.errors import PlanError
from arsis.io.digest import sha256_of
from arsis.io.read import SoundReader, open_sound
from arsis.io.whole import write_text_whole
from arsis.measure.alignment import Alignment
from arsis.plan.model import Song
from arsis.render.opening import check_mix
from arsis.render.printed import AlignedSound, align_printed
from arsis.render.source import Source
from arsis.render.version_mix import open_version
from arsis.render.version_source import VersionSource

from ..inside import check_song
from .kept import Kept
from .keys import Stamp, key_of, stamp


class Digests:
    """SHA-256 of files, remembered with their size and time, so that a long mix is not read to open it."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def of(self, file: Path) -> str:
        """Raises ArsisError where the file cannot be read."""
        known, now = self._known(), stamp(file)
        if now is not None and (found := known.get(now[0])) and found[:2] == list(now[1:]):
            return str(found[2])
        digest = sha256_of(file)
        # Taken before the file was read: where it changed meanwhile, the next look reads it again.
        if now is not None:
            with suppress(Exception):  # what is not remembered costs time and nothing else
                self._path.parent.mkdir(parents=True, exist_ok=True)
                write_text_whole(self._path, json.dumps({**known, now[0]: [*now[1:], digest]}, indent=0))
        return digest

    def _known(self) -> dict[str, list[object]]:
        try:
            known = json.loads(self._path.read_text(encoding="utf-8"))
            return {str(name): list(entry) for name, entry in known.items() if len(entry) == 3}
        except (OSError, ValueError, TypeError, AttributeError):
            return {}


class Alignments:
    """How files printed elsewhere lie against the mix: found once, for every thread and the next time."""

    def __init__(self, kept: Kept, mix_sha256: str) -> None:
        self._kept, self._mix_sha256, self._lock = kept, mix_sha256, Lock()

    def of(self, printed: SoundReader, mix: SoundReader, known: Stamp) -> Alignment:
        """Raises PlanError where the file is not a print of the mix."""
        key = key_of("alignment", self._mix_sha256, known)
        with self._lock:
            table = self._kept.table(key)
            if table is not None:
                with suppress(TypeError):
                    return Alignment(**table)
            found = align_printed(printed, mix).alignment
            self._kept.keep_table(key, asdict(found))
            return found


class Files:
    """The mix of a song and what else its plans render from, for one thread."""

    def __init__(
        self, release: Path, song: Song, mix_sha256: str, alignments: Alignments, *, whole: bool = False
    ) -> None:
        """whole: with the versions that share a limiter, which take seconds to line up; else it hears the
        main mix alone. Raises ArsisError where the mix cannot be opened, or is not the plan's."""
        self._whole = whole
        self._release, self._sha256, self._alignments = release, mix_sha256, alignments
        check_song(release, song)
        check_mix(song, release / song.mix, mix_sha256)
        self._stack = ExitStack()
        self.mix = self._stack.enter_context(open_sound(release / song.mix))
        self._printed: dict[object, AlignedSound] = {}
        self._followers: dict[object, VersionSource] = {}

    def source(self, song: Song) -> Source:
        """A plan over this mix, ready to render. Raises ArsisError where its files do not fit."""
        check_song(self._release, song)
        used = {section.pass_ for section in song.section}
        printed = {
            name: self._aligned(self._release / treatment.print)
            for name, treatment in song.pass_.items()
            if treatment.print is not None and name in used
        }
        source = Source(song, self.mix, self._sha256, printed)
        if not self._whole or not song.finish.share_limiter or song.finish.limiter is None:
            return source
        return replace(source, followers=tuple(self._follower(source, i) for i in _following(song)))

    def close(self) -> None:
        self._stack.close()

    def _aligned(self, path: Path) -> AlignedSound:
        known = stamp(path)
        if known is None:
            raise PlanError(f"{path}: there is no such file")
        if known not in self._printed:
            reader = self._stack.enter_context(open_sound(path))
            alignment = self._alignments.of(reader, self.mix, known)
            self._printed[known] = AlignedSound(reader, alignment, self.mix.info.frames)
        return self._printed[known]

    def _follower(self, source: Source, number: int) -> VersionSource:
        version = source.song.version[number]
        used = tuple(sorted(source.printed))
        known = (version, stamp(self._release / version.mix), used)
        if known not in self._followers:
            self._followers[known] = open_version(source, version, self._release, self._stack)
        return self._followers[known]


def _following(song: Song) -> list[int]:
    return [number for number, version in enumerate(song.version) if version.follow]
