"""The list of what can be heard of a song."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from arsis.dsp.resample import resampled_frames
from arsis.errors import ArsisError
from arsis.io.info import SoundInfo
from arsis.io.read import open_sound
from arsis.plan.codec import read_song
from arsis.plan.model import Song
from arsis.render.run import single_pass
from arsis.render.schedule import schedule

from ..revisions import Revision, revisions
from .keys import key_of, print_key, stamp

MOVE = "move:"  # before the id of a move, in that of its sound
SUFFIXES = (".wav", ".wave", ".aif", ".aiff", ".aifc", ".flac", ".ogg", ".opus", ".mp3", ".m4a", ".aac")


@dataclass(frozen=True, slots=True)
class Sound:
    """Something that can be heard. id: its lasting name. key: of all that makes its samples.

    song: the plan whose print it is; else it is a sound file. in_time: whether it lies in the song's time.
    """

    id: str
    label: str
    key: str
    frames: int
    song: Song | None = None
    file: Path | None = None
    in_time: bool = True


@dataclass(frozen=True, slots=True)
class Moves:
    """What a plan would be with a move that nobody has taken yet.

    song, mix_sha256: the plan that they were made for. moved: by the id of each, what it is called and the
    plan with it. dropped: ids of those that are put aside.
    """

    song: Song
    mix_sha256: str
    moved: Mapping[str, tuple[str, Song]]
    dropped: frozenset[str] = frozenset()


class Shelf:
    """What lies beside the plan: kept states and references, read once for each change; moves to be tried."""

    def __init__(self, release: Path, plan_path: Path, mix: SoundInfo, mix_sha256: str) -> None:
        self._release, self._plan_path = release, plan_path
        self._mix, self._mix_sha256 = mix, mix_sha256
        self.moves: Moves | None = None
        self._songs: dict[str, Song | None] = {}
        self._references: dict[object, Sound | None] = {}

    def look(self, song: Song) -> object:
        """Something that differs when kept states, references or prints from elsewhere have changed."""
        notes = self._release / "revisions" / self._plan_path.stem / "notes.toml"
        printed = [self._release / one.print for one in song.pass_.values() if one.print is not None]
        return [stamp(path) for path in (notes, *printed, *self._reference_files())]

    def sounds(self, song: Song) -> tuple[Sound, ...]:
        """Everything that can be heard, the print of `song` first. Raises PlanError where it does not fit."""
        return (*self.of_plan(song), *self._kept(), *self._beside(), *self._tried(song))

    def stand(self, song: Song) -> bool:
        """Whether the moves are those of this plan over the mix that is open."""
        moves = self.moves
        return moves is not None and (moves.song, moves.mix_sha256) == (song, self._mix_sha256)

    def of_plan(self, song: Song) -> Iterator[Sound]:
        """The mix, the print and every pass alone."""
        yield Sound("mix", "mix", key_of("mix", self._mix_sha256), self._mix.frames, file=self._mix.path)
        yield self._print("print", "print", song)
        for name in song.pass_:
            yield self._print(f"pass:{name}", f"pass {name}", single_pass(song, name))

    def _print(self, sound_id: str, label: str, song: Song) -> Sound:
        plan = schedule(song, self._mix.rate_hz, self._mix.frames)
        key = print_key(song, plan, self._mix_sha256, self._release)
        return Sound(sound_id, label, key, self._mix.frames, song=song)

    def _kept(self) -> Iterator[Sound]:
        try:
            kept = revisions(self._plan_path)
        except (ArsisError, OSError):
            return
        for one in reversed(kept):
            song = self._song_of(one) if one.mix_sha256 == self._mix_sha256 else None
            if song is not None:
                try:
                    yield self._print(f"revision:{one.number}", f"revision {one.number}: {one.note}", song)
                except ArsisError:
                    continue

    def _tried(self, song: Song) -> Iterator[Sound]:
        if self.moves is None or not self.stand(song):
            return
        for move_id, (label, moved) in self.moves.moved.items():
            if move_id not in self.moves.dropped:
                yield self._print(f"{MOVE}{move_id}", f"move: {label}", moved)

    def _song_of(self, revision: Revision) -> Song | None:
        if revision.plan_sha256 not in self._songs:
            try:
                self._songs[revision.plan_sha256] = read_song(revision.path)
            except (ArsisError, OSError):
                self._songs[revision.plan_sha256] = None
        return self._songs[revision.plan_sha256]

    def _reference_files(self) -> list[Path]:
        folder = self._release / "references"
        try:
            found = [path for path in folder.iterdir() if path.suffix.lower() in SUFFIXES and path.is_file()]
        except OSError:
            return []
        return sorted(path for path in found if path.resolve().is_relative_to(self._release.resolve()))

    def _beside(self) -> Iterator[Sound]:
        for path in self._reference_files():
            known = stamp(path)
            if known not in self._references:
                self._references[known] = self._reference(path, known)
            sound = self._references[known]
            if sound is not None:
                yield sound

    def _reference(self, path: Path, known: object) -> Sound | None:
        try:
            with open_sound(path) as reader:
                info = reader.info
        except ArsisError:
            return None
        frames = resampled_frames(info.frames, info.rate_hz, self._mix.rate_hz)
        key = key_of("reference", known, self._mix.rate_hz)
        return Sound(f"reference:{path.name}", path.name, key, frames, file=path, in_time=False)
