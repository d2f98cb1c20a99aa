"""Which sounds there are now, and which there were."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass, replace
from threading import RLock

from arsis.plan.model import Song

from .keys import shape_key
from .sounds import Moves, Shelf, Sound

_MOST_KNOWN, _MOST_GONE = 400, 10_000


class UnknownError(KeyError):
    """There never was such a sound, or such a part of one."""


class LetGoError(KeyError):
    """The sound was there once and is not known any more."""


@dataclass(frozen=True, slots=True)
class Now:
    """A plan and its sounds by id. turn: grows whenever the sounds may be others. shape_key: see `keys`."""

    turn: int
    song: Song
    version: int
    sounds: dict[str, Sound]
    shape_key: str


class Catalogue:
    """The sounds of the plan as it stands, and of those before it. Safe for several threads."""

    def __init__(self, shelf: Shelf, song: Song, version: int) -> None:
        """Raises PlanError where the plan does not fit the mix."""
        self._shelf, self._lock = shelf, RLock()
        self._known: OrderedDict[str, tuple[Sound, int]] = OrderedDict()
        self._gone: OrderedDict[str, None] = OrderedDict()
        self._turn = 0
        self.now = self.turn_to(song, version)

    def turn_to(self, song: Song, version: int) -> Now:
        """Another plan. Raises PlanError where it does not fit the mix; the last one stays then."""
        with self._lock:
            sounds = {sound.id: sound for sound in self._shelf.sounds(song)}
            self._turn += 1
            key = shape_key(song, sounds["print"].key)
            self.now = Now(self._turn, song, version, sounds, key)
            self._seen = self._shelf.look(song)
            for sound in sounds.values():
                self._known[sound.key] = (sound, self._turn)
                self._known.move_to_end(sound.key)
                self._gone.pop(sound.key, None)
            while len(self._known) > _MOST_KNOWN:
                self._gone[self._known.popitem(last=False)[0]] = None
            while len(self._gone) > _MOST_GONE:
                self._gone.popitem(last=False)
            return self.now

    def look(self, at_once: bool = False) -> bool:
        """Whether what lies beside the plan has changed; the sounds are then read anew."""
        with self._lock:
            if self._shelf.look(self.now.song) == self._seen and not at_once:
                return False
            self.turn_to(self.now.song, self.now.version)
            return True

    @property
    def moves(self) -> Moves | None:
        return self._shelf.moves

    @property
    def moves_stand(self) -> bool:
        """Whether the moves are those of the plan as it stands."""
        return self._shelf.stand(self.now.song)

    def offer(self, moves: Moves | None) -> None:
        """These moves can be heard beside the plan that they were made for, and no others."""
        with self._lock:
            self._shelf.moves = moves
            self.turn_to(self.now.song, self.now.version)

    def drop(self, move_id: str, dropped: bool) -> None:
        """Puts a move aside, or takes it up again. Raises UnknownError where there is none such."""
        with self._lock:
            moves = self._shelf.moves
            if moves is None or move_id not in moves.moved:
                raise UnknownError(move_id)
            one = frozenset({move_id})
            self.offer(replace(moves, dropped=moves.dropped | one if dropped else moves.dropped - one))

    def by_key(self, key: str) -> tuple[Sound, int]:
        """A sound that is or was current, and the turn at which it last was."""
        with self._lock:
            if key in self._known:
                return self._known[key]
        raise LetGoError(key) if key in self._gone else UnknownError(key)

    def by_id(self, sound_id: str) -> Sound:
        sounds = self.now.sounds
        if sound_id not in sounds:
            raise UnknownError(sound_id)
        return sounds[sound_id]
