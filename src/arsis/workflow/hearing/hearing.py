"""The sounds of one song: heard at once after every change, exact soon after, measured behind."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from pathlib import Path
from threading import Lock
from typing import Any

from arsis.errors import ArsisError, PlanError
from arsis.io.read import SoundReader, open_sound
from arsis.plan.model import Song

from ..inside import check_song
from ..places import release_of
from ..print import word_of
from ..spectrum import ChainSpectrum, chain_spectrum
from .behind import Behind
from .cache import Cache
from .catalogue import Catalogue, LetGoError, UnknownError
from .entrance import Entrance, entrance
from .files import Alignments, Digests, Files
from .kept import Kept
from .levels import level_lufs, trims_db
from .measured import Measured
from .mix_file import MixFile
from .quick import Quick
from .series import series
from .sounds import MOVE, Moves, Shelf, Sound
from .store import Chunk, ChunkStore
from .streams import ConvertedStream, FileStream, PrintStream, Stream
from .works import Works

__all__ = ["Hearing", "LetGoError", "UnknownError"]

# At each of its steps, work behind gives way to what is waited for, at most for so long.
_MOST_REST_S = 0.25
_MOST_REFERENCES = 8


class Hearing:
    """What can be heard of one song. Safe for several threads; only `chunk` and `entrance` wait for sound.

    told: gets news by name: `shape`, `exact`, `beats`, `mix`, `notice`. fault: why the print is still that
    of an earlier plan; None where it is not. replaced: what is to be said where the mix on disk is another.
    """

    def __init__(
        self,
        plan_path: Path,
        song: Song,
        told: Callable[[str, dict[str, Any]], None],
        version: int = 1,
        store: ChunkStore | None = None,
    ) -> None:
        """Raises ArsisError where the mix cannot be opened, is not the plan's, or does not fit it."""
        self.release, self._told = release_of(plan_path).resolve(), told
        check_song(self.release, song)
        cache, self._store = Cache(self.release), store or ChunkStore()
        mix = self.release / song.mix
        self._mix = MixFile(mix, Digests(cache.folder / "digests.json").of(mix))
        self._mix_name, sha256 = song.mix, self._mix.sha256
        self._kept = Kept(cache)
        alignments = Alignments(self._kept, sha256)
        self._files = Files(self.release, song, sha256, alignments)
        self._files_behind = Files(self.release, song, sha256, alignments, whole=True)
        self._files_looked_at = Files(self.release, song, sha256, alignments)
        self._looking = Lock()
        self.info = self._files.mix.info
        self._word = word_of(None, self._files.mix.info)
        self._references: OrderedDict[str, SoundReader] = OrderedDict()
        self.fault: str | None = None
        self.replaced: str | None = None
        shelf = Shelf(self.release, plan_path, self.info, sha256)
        self._catalogue = Catalogue(shelf, song, version)
        heard_behind = (self._files_behind, self._mix, self._word, self._catalogue)
        self._works = Works(*heard_behind, self._kept, self._store, told)
        self._quick = Quick(self.info.rate_hz, self._found, self._opened, self._made)
        self._behind = Behind(self._works.next, lambda: self._quick.rest(_MOST_REST_S))

    def turn_to(self, song: Song, version: int) -> None:
        """Another plan of the same mix; never blocks."""
        try:
            if song.mix != self._mix_name or song.mix_sha256 not in (None, self._mix.sha256):
                raise PlanError(f"{song.mix}: the plan is for another mix than is open here; open it anew")
            check_song(self.release, song)
            self._catalogue.turn_to(song, version)
            self.fault = None
        except ArsisError as fault:
            self.fault = str(fault)
            self._told("notice", {"text": self.fault})
        self._behind.look()

    def references_changed(self) -> None:
        """What lies beside the plan has changed."""
        self._catalogue.look(at_once=True)
        self._behind.look()

    @property
    def moves(self) -> Moves | None:
        """What was offered last."""
        return self._catalogue.moves

    def offer(self, moves: Moves | None) -> None:
        """Moves that can be heard as long as the plan is the one that they were made for."""
        self._catalogue.offer(moves)
        self._told("sounds", {})
        self._behind.look()

    def drop(self, move_id: str, dropped: bool) -> None:
        """Puts a move aside, or takes it up again; nothing is written. Raises UnknownError."""
        self._catalogue.drop(move_id, dropped)
        self._told("sounds", {})
        self._behind.look()

    def look(self) -> None:
        """Looks whether files have changed; called now and then."""
        if self._catalogue.look():
            self._behind.look()
        told = self._mix.look()
        if told is not None:
            self.replaced = told
            self._told("mix", {"told": told})

    def close(self) -> None:
        self._behind.close()
        self._quick.close()
        for files in (self._files, self._files_behind, self._files_looked_at):
            files.close()
        for reader in self._references.values():
            reader.close()

    def sounds(self) -> dict[str, Any]:
        """Everything that can be heard now."""
        now = self._catalogue.now
        return {
            "version": now.version,
            "rate_hz": self.info.rate_hz,
            "frames": self.info.frames,
            "chunk_frames": self.info.rate_hz,
            "fault": self.fault,
            "replaced": self.replaced,
            "moves": self._offered(),
            "sounds": [self._entry(sound) for sound in now.sounds.values()],
        }

    def chunk(self, key: str, number: int) -> Chunk:
        """A second of a sound. Raises UnknownError or LetGoError, and ArsisError where it cannot be made."""
        sound, turn = self._catalogue.by_key(key)
        if not 0 <= number * self.info.rate_hz < sound.frames:
            raise UnknownError(number)
        found = self._store.get(key, number)
        if found is not None:
            return found
        self._works.asked.add(sound.id)
        return self._quick.chunk(sound, number, turn)

    @property
    def shape(self) -> tuple[int, dict[str, Any]] | None:
        """The newest shape that is known, with the version of its plan."""
        return self._works.shape

    @property
    def beats(self) -> dict[str, Any] | None:
        return self._works.beats

    def series(self, sound_id: str) -> dict[str, Any] | None:
        """What the meters read through a sound, see `series`; None until it is measured."""
        measured = self._measured(sound_id)
        return None if measured is None else series(measured)

    def peaks(self, sound_id: str) -> bytes | None:
        """The outline of a sound, see `peaks`; None until it is measured."""
        measured = self._measured(sound_id)
        return None if measured is None else measured.peaks

    def levels(self, start_s: float | None = None, end_s: float | None = None) -> dict[str, Any]:
        """Loudness of every sound over a range, and the gains that match them; see docs/desk-hearing.md.

        `earlier` names the sounds whose level is that of an earlier plan, until theirs is measured.
        """
        lufs: dict[str, float | None] = {}
        earlier = []
        for sound in self._catalogue.now.sounds.values():
            measured = self._measured(sound.id) or self._forerun(sound.id)
            if measured is None:
                lufs[sound.id] = None
                continue
            if self._kept.measured(sound.key) is None:
                earlier.append(sound.id)
            span = (start_s, end_s) if sound.in_time else (None, None)
            lufs[sound.id] = level_lufs(measured, *span)
        return {"lufs": lufs, "gain_db": trims_db(lufs), "earlier": earlier}

    def entrance(self, section: str, at_s: float) -> Entrance:
        """Where a section is entered cleanly near a place. Raises PlanError where it cannot be."""
        with self._looking:
            return entrance(self._files_looked_at.source(self._catalogue.now.song), section, at_s)

    def spectrum(self, song: Song, owner: str | None) -> ChainSpectrum:
        """What a pass of a plan of this mix, or its finish, does to the spectrum; see `chain_spectrum`."""
        with self._looking:
            return chain_spectrum(self._files_looked_at.source, song, owner)

    def _entry(self, sound: Sound) -> dict[str, Any]:
        measured = self._kept.measured(sound.key)
        return {
            "id": sound.id,
            "label": sound.label,
            "key": sound.key,
            "frames": sound.frames,
            "in_time": sound.in_time,
            "ready": measured is not None,
            "lufs": None if measured is None else measured.integrated_lufs,
            "true_peak_dbtp": None if measured is None else measured.true_peak_dbtp,
        }

    def _offered(self) -> dict[str, Any] | None:
        moves = self._catalogue.moves
        if moves is None:
            return None
        return {"stand": self._catalogue.moves_stand, "dropped": sorted(moves.dropped)}

    def _forerun(self, sound_id: str) -> Measured | None:
        """A move's level is about that of the print, until it is known."""
        return self._works.last.get("print") if sound_id.startswith(MOVE) else None

    def _measured(self, sound_id: str) -> Measured | None:
        """Of the sound as it is, or until that is known as it was last."""
        sound = self._catalogue.by_id(sound_id)
        return self._kept.measured(sound.key) or self._works.last.get(sound_id)

    def _found(self, sound: Sound, number: int) -> Chunk | None:
        return self._store.get(sound.key, number)

    def _opened(self, sound: Sound, start: int, end: int) -> Stream:
        if sound.song is not None:
            return PrintStream(self._files.source(sound.song), self._word, start, end)
        if sound.id == "mix":
            return FileStream(self._files.mix, start, end)
        reader = self._reference(sound)
        if reader.info.rate_hz == self.info.rate_hz:
            return FileStream(reader, start, end)
        return ConvertedStream(reader, self.info.rate_hz, start, end)

    def _reference(self, sound: Sound) -> SoundReader:
        assert sound.file is not None
        if sound.key not in self._references:
            self._references[sound.key] = open_sound(sound.file)
            while len(self._references) > _MOST_REFERENCES:
                self._references.popitem(last=False)[1].close()
        return self._references[sound.key]

    def _made(self, sound: Sound, number: int, chunk: Chunk) -> Chunk:
        """Exact where it is what the whole render was seen to have there."""
        self._mix.check()
        measured = self._kept.measured(sound.key)
        if not chunk.exact and measured is not None:
            if chunk.sha256 == measured.sha256[number]:
                chunk = Chunk(chunk.data, chunk.sha256, exact=True)
            else:
                self._works.lack(sound)
                self._behind.look()
        self._store.put(sound.key, number, chunk)
        return chunk
