"""What lies on the desk: a release folder and its songs, each with its plan under edit and its sounds."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from threading import Event, Lock, Thread
from typing import Any

from arsis.errors import ArsisError
from arsis.plan.codec import read_release
from arsis.plan.model import Release
from arsis.workflow.document import Document
from arsis.workflow.hearing import ChunkStore, Hearing
from arsis.workflow.inside import check_inside, check_plan

from .events import Events
from .jobs import Job, Jobs

# The files of the songs on the desk are looked at this often.
_LOOK_S = 0.5


@dataclass(frozen=True, slots=True)
class SongDesk:
    """One song that is open. `id` is its plan's name without the ending."""

    id: str
    document: Document
    hearing: Hearing


class Desk:
    """A release folder on the desk. Songs are opened when first asked for, and watched from then on."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder.resolve()
        self.release()
        self.events = Events()
        self.jobs = Jobs(self._come_further)
        self._songs: dict[str, SongDesk] = {}
        self._chunks = ChunkStore()
        self._lock = Lock()
        self._closed = Event()
        self._watch = Thread(target=self._look, name="watch", daemon=True)
        self._watch.start()

    def release(self) -> Release:
        """The release's document as it is now. Raises ArsisError where it is at fault."""
        path = self.folder / "release.toml"
        if not path.is_file():
            raise ArsisError(f"{self.folder}: no release: it has no release.toml; `arsis start` makes one")
        check_inside(self.folder, path)
        return read_release(path)

    def plans(self) -> dict[str, Path]:
        """The plans of the release by song id, in the order of the record."""
        return {Path(entry.plan).stem: self.folder / entry.plan for entry in self.release().song}

    def song(self, song_id: str) -> SongDesk:
        """A song by its id; opened where it is not yet. Raises KeyError where the release has none of that
        id, ArsisError where its plan or mix is at fault."""
        with self._lock:
            if song_id not in self._songs:
                self._songs[song_id] = self._opened(song_id, self.plans()[song_id])
            return self._songs[song_id]

    def open_songs(self) -> list[SongDesk]:
        """Those that were asked for so far."""
        return list(self._songs.values())

    def close(self) -> None:
        """Stops everything that runs."""
        self._closed.set()
        self.jobs.close()
        self._watch.join()
        for song in self.open_songs():
            song.hearing.close()

    def reopen(self, song_id: str) -> None:
        """Reads a song's mix anew. Where that fails, as `song` may, the song is open as before."""
        with self._lock:
            before = self._songs[song_id]
            hearing = self._hearing(song_id, before.document)
            hearing.offer(before.hearing.moves)
            self._songs[song_id] = replace(before, hearing=hearing)
        before.hearing.close()

    def _opened(self, song_id: str, plan: Path) -> SongDesk:
        check_plan(self.folder, plan)
        document = Document(plan, lambda: self._changed(song_id))
        return SongDesk(song_id, document, self._hearing(song_id, document))

    def _hearing(self, song_id: str, document: Document) -> Hearing:
        def told(name: str, value: dict[str, Any]) -> None:
            self.events.send(name, {"song": song_id, **value})

        return Hearing(document.plan_path, document.song, told, document.version, self._chunks)

    def _changed(self, song_id: str) -> None:
        """The plan of a song is another now."""
        song = self._songs[song_id]
        with song.document.held():  # so that the version is this plan's
            plan, version = song.document.song, song.document.version
        song.hearing.turn_to(plan, version)
        self.events.send("song", {"song": song_id, "version": version})

    def _come_further(self, job: Job) -> None:
        self.events.send("job", {"id": job.id, "state": job.state, "done": job.done, "total": job.total})

    def _look(self) -> None:
        while not self._closed.wait(_LOOK_S):
            for song in self.open_songs():
                with suppress(ArsisError, OSError):  # a file on its way is looked at again in a moment
                    song.document.look()
                    song.hearing.look()
