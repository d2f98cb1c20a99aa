"""The long work of a hearing: every sound heard from end to end, the print and its shape first."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from arsis.audio import BLOCK_FRAMES, Block
from arsis.dsp.resample import Resampler
from arsis.errors import ArsisError
from arsis.io.read import SoundReader, open_sound
from arsis.render.contour import Contour, contour
from arsis.render.progress import Progress
from arsis.render.run import Way, render
from arsis.render.schedule import section_spans
from arsis.render.words import Word, Words

from ..contour import warnings_of
from .beats import find_beats
from .behind import Work
from .catalogue import Catalogue, Now
from .files import Files
from .kept import Kept
from .keys import key_of
from .measured import Ear, Measured
from .mix_file import MixFile
from .shape import shape_table
from .sounds import Sound
from .store import Chunk, ChunkStore

Wanted = Callable[[], bool]
Told = Callable[[str, dict[str, Any]], None]

_MOST_CONTOURS = 4
# Of kept states and of references, so many are measured before anybody hears them.
_MOST_REVISIONS, _MOST_REFERENCES = 4, 24


class Works:
    """Says what is to be done next and does it, on one thread.

    shape: the newest that is known, with the version of its plan. asked: ids of the sounds that somebody
    hears. last: of each id, what was measured last. beats: None until they are known.
    """

    def __init__(
        self,
        files: Files,
        mix: MixFile,
        word: Word,
        catalogue: Catalogue,
        kept: Kept,
        store: ChunkStore,
        told: Told,
    ) -> None:
        self._files, self._mix, self._word, self._catalogue = files, mix, word, catalogue
        self._kept, self._store, self._told = kept, store, told
        self._info = files.mix.info
        self._contours: OrderedDict[object, Contour] = OrderedDict()
        self._lacking: dict[str, Sound] = {}
        self._mended: set[str] = set()
        self._done: set[str] = set()  # keys of what is measured, or cannot be
        self._beats_key = key_of("beats", catalogue.by_id("mix").key)
        self.shape: tuple[int, dict[str, Any]] | None = None
        self.beats: dict[str, Any] | None = None
        self.asked = {"print"}
        self.last: dict[str, Measured] = {}
        self.recall()

    def recall(self) -> bool:
        """Takes what is known of the plan as it stands; whether that is its shape."""
        now = self._catalogue.now
        for name, sound in now.sounds.items():
            known = self._kept.measured(sound.key)
            if known is not None:
                self.last[name] = known
                self._done.add(sound.key)
        self.beats = self.beats or self._kept.table(self._beats_key)
        table = self._kept.table(now.shape_key)
        if table is None or now.sounds["print"].key not in self._done:
            return False
        if self.shape is None or self.shape[0] != now.version:
            self.shape = (now.version, table)
            self._told("shape", {"version": now.version})
        return True

    def lack(self, sound: Sound) -> None:
        """A chunk cannot be shown to be exact by itself: the sound is to be rendered whole again, once."""
        if sound.key not in self._mended:
            self._mended.add(sound.key)
            self._lacking[sound.key] = sound

    def next(self) -> tuple[Work, Wanted] | None:
        """What is to be done now, and whether it is still wanted."""
        catalogue, now = self._catalogue, self._catalogue.now
        known = self.recall()
        if now.sounds["mix"].key not in self._done:
            return self._hearing(now.sounds["mix"]), lambda: True
        if not known and now.shape_key not in self._done:
            shaping = self._guarded(now.shape_key, lambda step: self._shaping(now, step))
            return shaping, lambda: catalogue.now.shape_key == now.shape_key
        if self.beats is None and self._beats_key not in self._done:
            return self._guarded(self._beats_key, self._finding), lambda: True
        for sound in [*self._worth_hearing(now), *self._lacking.values()]:
            if sound.key not in self._done or sound.key in self._lacking:
                return self._hearing(sound), lambda: catalogue.now.turn == now.turn
        return None

    def _worth_hearing(self, now: Now) -> Iterator[Sound]:
        """What is measured before anybody asks: of a long list, what comes first."""
        room = {"revision": _MOST_REVISIONS, "reference": _MOST_REFERENCES}
        for sound in now.sounds.values():
            sort = sound.id.partition(":")[0]
            room[sort] = room.get(sort, len(now.sounds)) - 1
            if room[sort] >= 0 or sound.id in self.asked:
                yield sound

    def _guarded(self, key: str, work: Work) -> Work:
        """Work whose fault is told once, and which is then not tried again."""

        def guarded(step: Progress) -> None:
            def checked(done: int, total: int) -> None:
                self._mix.check()
                step(done, total)

            try:
                work(checked)
            except (ArsisError, OSError) as fault:
                self._done.add(key)
                self._told("notice", {"text": str(fault)})

        return guarded

    def _shaping(self, now: Now, step: Progress) -> None:
        """The print, exact, and its shape, from one render."""
        sound, rate_hz = now.sounds["print"], self._info.rate_hz
        source = self._files.source(now.song)
        spans = section_spans(now.song, rate_hz, self._info.frames)
        ear = self._ear(sound, self._info.channels, meters=False)
        found = contour(source, Way(self._word, rate_hz), step, ear.hear, self._contours.get(spans))
        self._contours[spans] = found
        if len(self._contours) > _MOST_CONTOURS:
            self._contours.popitem(last=False)
        self._finished(sound, ear.measured_in(found))
        self._kept.keep_table(now.shape_key, shape_table(found, warnings_of(source, found)))

    def _hearing(self, sound: Sound) -> Work:
        return self._guarded(sound.key, lambda step: self._hear(sound, step))

    def _hear(self, sound: Sound, step: Progress) -> None:
        rate_hz = self._info.rate_hz
        if sound.song is not None:
            ear = self._ear(sound, self._info.channels)
            scale = 1.0 if self._word.is_float else 2.0 ** (1 - self._word.bits)

            def hear(words: Words) -> None:
                ear.hear(np.multiply(words, scale, dtype=np.float64))

            render(self._files.source(sound.song), Way(self._word, rate_hz), hear, step)
        elif sound.id == "mix":
            ear = self._ear(sound, self._info.channels)
            for block in _blocks(self._files.mix, rate_hz, step):
                ear.hear(block)
        else:
            assert sound.file is not None
            with open_sound(sound.file) as reader:
                ear = self._ear(sound, reader.info.channels)
                for block in _blocks(reader, rate_hz, step):
                    ear.hear(block)
        self._lacking.pop(sound.key, None)
        self._finished(sound, ear.measured())

    def _finding(self, step: Progress) -> None:
        beats = find_beats(self._files.mix, step)
        self._kept.keep_table(self._beats_key, beats)
        self.beats = beats
        self._told("beats", {})

    def _ear(self, sound: Sound, channels: int, *, meters: bool = True) -> Ear:
        def keep(number: int, chunk: Chunk) -> None:
            heard = sound.id in self.asked and sound.id != "mix"  # which is read again as quickly
            if heard or self._store.get(sound.key, number) is not None:
                self._store.put(sound.key, number, chunk)

        return Ear(self._info.rate_hz, channels, keep, meters=meters)

    def _finished(self, sound: Sound, measured: Measured) -> None:
        self._mix.check()
        self._kept.keep(sound.key, measured)
        self._done.add(sound.key)
        self.last[sound.id] = measured
        changed = self._store.guessed_otherwise(sound.key, measured.sha256)
        self._told("exact", {"id": sound.id, "key": sound.key, "changed": changed})


def _blocks(reader: SoundReader, rate_hz: int, step: Progress) -> Iterator[Block]:
    """A sound file from end to end, at a rate."""
    resampler = Resampler(reader.info.rate_hz, rate_hz, reader.info.channels)
    reader.seek(0)
    done = 0
    while (block := reader.read(BLOCK_FRAMES)).shape[1]:
        yield resampler.process(block)
        done += block.shape[1]
        step(done, reader.info.frames)
    yield resampler.process(np.zeros((reader.info.channels, 0)), last=True)
