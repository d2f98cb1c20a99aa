"""A plan on disk under edit: the one model behind every open page.

Every change is on disk, whole, before it counts: what is killed in between leaves the last state that was
told. The file may be changed by hand meanwhile; that is one more step, and never written over unread.
"""

from __future__ import annotations

import codecs
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from threading import Lock
from typing import Literal

from arsis.errors import ArsisError, DocumentError, PlanError
from arsis.io.info import SoundInfo
from arsis.io.probe import probe
from arsis.plan.check import past_the_end
from arsis.plan.codec import check_against, parse_song
from arsis.plan.compare import compare
from arsis.plan.model import Song
from arsis.plan.rewrite import rewritten
from arsis.plan.table import Table
from arsis.plan.text import decoded

from . import revisions as recall
from .document_clash import Clash, clashing
from .document_edits import edited
from .document_file import ChangedMeanwhileError, OnDisk, PlanFile
from .document_history import History, State
from .places import lies_inside, release_of
from .revisions import Revision

_MOST_TRIES = 5
_BY_HAND = "changed on disk"


class Document:
    """May be used from any thread. `told` is called after every change, without the document's lock.

    song: the last plan that could be read. version: grows with every change of what is here. fault: why
    the file as it stands is no plan; it is not written over then, unless that is asked for. clash: a change
    by hand that an edit here met.
    """

    def __init__(self, plan_path: Path, told: Callable[[], None]) -> None:
        """Raises DocumentError where there is no plan, or it is at fault."""
        self.plan_path, self.release = plan_path, release_of(plan_path)
        self.version = 1
        self.fault: DocumentError | None = None
        self.clash: Clash | None = None
        self._file = PlanFile(plan_path, self.release)
        self._disk = self._file.now()
        self.song = self._song_of(self._disk)
        self._history = History(State(self._disk.data or b"", "", self.version))
        self._told = told
        self._lock, self._telling = Lock(), Lock()

    @property
    def undo_label(self) -> str | None:
        """What undo takes back."""
        return None if self._history.earlier is None else self._history.now.label

    @property
    def redo_label(self) -> str | None:
        """What redo makes again."""
        later = self._history.later
        return None if later is None else later.label

    @property
    def data(self) -> bytes:
        """The plan to the byte: as it is in the file, unless that is broken."""
        return self._history.now.data

    @property
    def mix(self) -> SoundInfo | None:
        """The facts of the song's mix; None where it cannot be read."""
        return self._mix_of(self.song)

    @property
    def revisions(self) -> tuple[Revision, ...]:
        """The kept states."""
        return recall.revisions(self.plan_path)

    @contextmanager
    def held(self) -> Iterator[None]:
        """Nobody else changes anything in the body; what it changed is told after it."""
        changed = False
        try:
            with self._lock:
                before = self.version
                try:
                    yield
                finally:
                    changed = self.version != before
        finally:
            if changed:
                with self._telling:
                    self._told()

    def look(self) -> bool:
        """Whether the file has changed on disk; what it holds now is taken as one more step."""
        with self.held():
            return self._look()

    def edit(
        self,
        edit: str,
        args: Table,
        gesture: str | None = None,
        label: str | None = None,
        seen: int | None = None,
    ) -> None:
        """One edit by its name; those of one gesture are one step.

        label: what the step is called, in place of what it changes. seen: the version known to who asks,
        where it is another than before this call. Raises as `edited` does, and PlanError where the file is
        broken.
        """
        with self.held():
            seen = self.version if seen is None else seen
            for _ in range(_MOST_TRIES):
                self._look()
                self._refuse_broken()
                try:
                    return self._edit(edit, args, gesture, label, seen)
                except ChangedMeanwhileError:
                    continue
            raise self._busy()

    def undo(self) -> None:
        """Takes the last step back; does nothing where there is none."""
        with self.held():
            if self._is_as_known() and self._history.earlier is not None:
                self._step(self._history.earlier, self._history.back)

    def redo(self) -> None:
        """Makes the step again that was taken back last; does nothing where there is none."""
        with self.held():
            if self._is_as_known() and self._history.later is not None:
                self._step(self._history.later, self._history.forth)

    def take(self, which: Literal["desk", "disk"]) -> str | None:
        """Answers a clash or a broken file; gives back what is to be said of it.

        desk: the plan as it is here stays, or goes over the broken file, which is kept apart. disk: the text
        that was made by hand is taken, as one more step. Raises PlanError where that is broken.
        """
        with self.held():
            self._look()
            if which == "disk":
                self._refuse_broken()
                if self.clash is not None:
                    self._put(self.clash.by_hand, "the file's own text again", self._write)
            elif self.fault is not None:
                return self._write_over_broken()
            if self.clash is not None:
                self.clash = None
                self.version += 1
            return None

    def keep(self, note: str) -> Revision:
        """Keeps the plan as a revision. Raises as `revisions.keep` does."""
        self._file.revisions()
        kept = recall.keep(self.plan_path, note)
        with self.held():
            self.version += kept.is_new
        return kept

    def restore(self, number: int) -> None:
        """Makes the plan what it was in a revision, as one more step; what no revision has is kept first.

        Raises as `revisions.restore` does, and DocumentError where the revision itself is broken.
        """
        with self.held():
            self._look()
            self._refuse_broken()
            self._file.check_inside(self.plan_path)
            self._file.revisions()
            data = recall.found(self.plan_path, number).path.read_bytes()
            self._checked(data, f"revision {number}")

            def restore(data: bytes) -> None:
                recall.restore(self.plan_path, number)
                self._disk = OnDisk(data)

            self._put(data, f"back to revision {number}", restore)

    def _look(self) -> bool:
        found = self._file.settled(self._disk)
        if found == self._disk:
            return False
        self._disk = found
        self.version += 1
        try:
            song = self._song_of(found)
        except DocumentError as fault:
            self.fault = fault
            return True
        self.fault = None
        if found.data is not None and found.data != self.data:
            label = ": ".join(filter(None, [_BY_HAND, _in_words(compare(self.song, song))]))
            self._history.push_by_hand(State(found.data, label, self.version, by_hand=True))
            self.song = song
        return True

    def _edit(self, edit: str, args: Table, gesture: str | None, label: str | None, seen: int) -> None:
        left = self._history.left_by(gesture)
        song = edited(self.song, edit, args, None if left is None else self._parsed(left))
        mix = self.mix
        if mix is not None and not past_the_end(self.song, mix.duration_s):  # else it can only become better
            check_against(song, mix.duration_s, song.title)
        # A gesture is written into the text that it began with: back at its beginning, so is the text.
        start = self._history.start_of(gesture)
        base = start or self._history.now
        base_song = self._parsed(base)
        data, song = _rewritten(base.data, base_song, song)
        if data == self.data:
            return
        clash = self._clash_with(song, seen)
        called = label or _in_words(compare(base_song, song)) or edit.replace("_", " ")
        self._disk = self._file.write(data, self._disk)
        self.version += 1
        self.song, self.clash = song, clash or self.clash
        push = self._history.push if start is None else self._history.push_on
        push(State(data, called, self.version, gesture))

    def _clash_with(self, song: Song, seen: int) -> Clash | None:
        """What was changed by hand since `seen`, where the way to `song` touches it."""
        by_hand = self._history.by_hand_since(seen)
        if by_hand is None:
            return None
        hand = (self._parsed(by_hand[0]), self._parsed(by_hand[1]))
        return Clash(tuple(compare(*hand)), by_hand[1].data) if clashing(hand, (self.song, song)) else None

    def _is_as_known(self) -> bool:
        """Whether the file is as it was; raises PlanError where it was changed, which nobody has seen yet."""
        before = self._history.now
        self._look()
        self._refuse_broken()
        if self._history.now is not before:
            raise PlanError(f"{self._file.name} was {_BY_HAND} meanwhile; see what changed, then ask again")
        return True

    def _step(self, target: State, go: Callable[[], None]) -> None:
        song = self._parsed(target)
        self._write(target.data)
        self.version += 1
        self.song = song
        go()
        self._settle_clash()

    def _put(self, data: bytes, label: str, write: Callable[[bytes], None]) -> None:
        """Another text, as one more step."""
        if data == self.data:
            return
        song = parse_song(decoded(data, self._file.name))
        write(data)
        self.version += 1
        self._history.push(State(data, label, self.version))
        self.song = song
        self._settle_clash()

    def _settle_clash(self) -> None:
        """A clash is over once the plan is as it was made by hand."""
        if self.clash is not None and self.clash.by_hand == self.data:
            self.clash = None

    def _write(self, data: bytes) -> None:
        try:
            self._disk = self._file.write(data, self._disk)
        except ChangedMeanwhileError:
            raise self._busy() from None

    def _write_over_broken(self) -> str:
        broken = self._disk.data
        self._file.check_inside(self.plan_path)
        if self.plan_path.is_symlink():  # whatever it leads to is not a plan, and may be a mix
            raise ArsisError(
                f"{self._file.name}: is a link to what is no plan; nothing was written; take it away"
            )
        kept = "" if broken is None else f"; what stood there is kept as {self._file.keep_apart(broken)}"
        self._write(self.data)
        self.fault = None
        self.version += 1
        return f"{self._file.name}: the desk's plan is on disk again{kept}"

    def _refuse_broken(self) -> None:
        if self.fault is not None:
            first, *more = str(self.fault).split("\n")
            rest = f" (and {len(more)} more)" if more else ""
            raise PlanError(f"{first}{rest}. Mend the file, or put the desk's plan in its place.")

    def _busy(self) -> PlanError:
        return PlanError(f"{self._file.name}: somebody else is writing to it; nothing was changed")

    def _song_of(self, found: OnDisk) -> Song:
        """The plan in the file; raises DocumentError with everything that is wrong with it."""
        if found.data is None:
            raise self._file.fault(found)
        return self._checked(found.data, self._file.name)

    def _checked(self, data: bytes, name: str) -> Song:
        text = decoded(data, name)
        song = parse_song(text, name)
        if (mix := self._mix_of(song)) is not None:
            check_against(song, mix.duration_s, name, text)
        return song

    def _parsed(self, state: State) -> Song:
        """The plan of a state, which could be read when it was made."""
        return self.song if state is self._history.now else parse_song(decoded(state.data, self._file.name))

    def _mix_of(self, song: Song) -> SoundInfo | None:
        path = self.release / song.mix
        if not lies_inside(self.release, path):
            return None
        try:
            known = path.stat()
            return _sound(path, known.st_size, known.st_mtime_ns)
        except (ArsisError, OSError):
            return None


@lru_cache(maxsize=64)
def _sound(path: Path, size: int, mtime_ns: int) -> SoundInfo:
    return probe(path)


def _rewritten(data: bytes, before: Song, song: Song) -> tuple[bytes, Song]:
    mark = codecs.BOM_UTF8 if data.startswith(codecs.BOM_UTF8) else b""
    text, held = rewritten(data[len(mark) :].decode(), before, song)
    return mark + text.encode(), held


def _in_words(told: list[str]) -> str:
    return "" if not told else told[0] + (f", and {len(told) - 1} more" if len(told) > 1 else "")
