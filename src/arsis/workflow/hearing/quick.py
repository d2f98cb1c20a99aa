"""Chunks that are asked for and not there yet, made at once: the newest plan's first, each key's in order."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, field
from itertools import count
from threading import Condition, Thread

from .catalogue import LetGoError
from .sounds import Sound
from .store import Chunk, chunk_of
from .streams import Stream

# A stream goes on for so long, and holds only what is heard until then.
_AHEAD_S = 10
_STREAMS = 4


@dataclass(slots=True)
class _Asked:
    turn: int
    order: int
    sound: Sound
    number: int
    answer: Future[Chunk] = field(default_factory=Future)


class Quick:
    """One thread that makes chunks. Chunks in a row go on with one stream and need no warm-up of their own.

    found: a chunk that is there already. opened: a stream of a sound from one frame to another. made: gets
    every chunk that was made, and gives the one to be heard.
    """

    def __init__(
        self,
        chunk_frames: int,
        found: Callable[[Sound, int], Chunk | None],
        opened: Callable[[Sound, int, int], Stream],
        made: Callable[[Sound, int, Chunk], Chunk],
    ) -> None:
        self._chunk_frames, self._found = chunk_frames, found
        self._opened, self._made = opened, made
        self._change = Condition()
        self._asked: dict[tuple[str, int], _Asked] = {}
        self._working, self._closed = False, False
        self._order = count()
        self._streams: OrderedDict[str, Stream] = OrderedDict()
        self._thread = Thread(target=self._run, name="quick", daemon=True)
        self._thread.start()

    def chunk(self, sound: Sound, number: int, turn: int) -> Chunk:
        """Waits for a chunk. turn: the higher, the sooner.

        Raises ArsisError where it cannot be made, LetGoError once nothing is heard here any more.
        """
        with self._change:
            if self._closed:
                raise LetGoError(sound.key)
            asked = self._asked.get((sound.key, number))
            if asked is None:
                asked = _Asked(turn, next(self._order), sound, number)
                self._asked[(sound.key, number)] = asked
            asked.turn = max(asked.turn, turn)
            self._change.notify_all()
        return asked.answer.result()

    def rest(self, most_s: float) -> None:
        """Waits until nothing is asked for, at most so long."""
        with self._change:
            self._change.wait_for(lambda: not (self._asked or self._working), most_s)

    def close(self) -> None:
        with self._change:
            self._closed = True
            self._change.notify_all()
        self._thread.join()

    def _run(self) -> None:
        while (asked := self._next()) is not None:
            try:
                asked.answer.set_result(self._answer(asked.sound, asked.number))
            except BaseException as fault:
                self._streams.pop(asked.sound.key, None)
                asked.answer.set_exception(fault)

    def _next(self) -> _Asked | None:
        with self._change:
            self._working = False
            self._change.notify_all()
            self._change.wait_for(lambda: self._closed or bool(self._asked))
            if self._closed:
                for one in self._asked.values():
                    one.answer.set_exception(LetGoError(one.sound.key))
                return None
            first = min(self._asked.values(), key=lambda one: (-one.turn, one.order))
            del self._asked[(first.sound.key, first.number)]
            self._working = True
            return first

    def _answer(self, sound: Sound, number: int) -> Chunk:
        found = self._found(sound, number)
        return self._made(sound, number, self._make(sound, number)) if found is None else found

    def _make(self, sound: Sound, number: int) -> Chunk:
        start = number * self._chunk_frames
        end = min(sound.frames, start + self._chunk_frames)
        stream = self._streams.get(sound.key)
        if stream is None or stream.at != start or stream.end < end:
            ahead = min(sound.frames, start + _AHEAD_S * self._chunk_frames)
            stream = self._opened(sound, start, ahead)
            self._streams[sound.key] = stream
            while len(self._streams) > _STREAMS:
                self._streams.popitem(last=False)
        self._streams.move_to_end(sound.key)
        return chunk_of(stream.read(end - start), stream.exact)
