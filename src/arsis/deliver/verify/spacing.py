"""Do the files lie on the record as they say: starts, gaps, cuts, and the assembly as their sum?"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

from arsis.deliver.manifest import SoundFile
from arsis.errors import SoundFileError

from .delivery import Delivery
from .finding import Finding
from .hear import order_of_pieces, piece_digests
from .say import length, many


def check_spacing(delivery: Delivery) -> Iterator[Finding]:
    """Starts, gaps and cuts of the songs, then the continuous files."""
    songs = songs_of(delivery)
    yield from _starts(songs)
    for song in songs:
        yield from _gap(delivery, song)
    if delivery.profile is not None and delivery.profile.cut_frames > 1:
        for song in (song for song in songs if song.facts.bits is not None):
            yield from _cuts(delivery, song, delivery.profile.cut_frames)
    for sound in delivery.manifest.sounds:
        if sound.role == "assembly":
            yield from _assembly(delivery, sound, [song for song in songs if song.place in sound.songs])


def songs_of(delivery: Delivery) -> list[SoundFile]:
    """The songs' own files in the order of the record."""
    songs = [sound for sound in delivery.manifest.sounds if sound.role == "song"]
    return sorted(songs, key=lambda song: song.place or 0)


def _starts(songs: list[SoundFile]) -> Iterator[Finding]:
    if songs and songs[0].start_frame != 0:
        yield Finding(
            file=songs[0].path,
            check="spacing",
            what="the first song does not begin the record",
            expected="frame 0",
            found=f"frame {songs[0].start_frame}",
        )
    for before, song in pairwise(songs):
        if before.facts.bits is None:
            continue  # a coder has frames and a rate of its own
        end = before.start_frame + before.facts.frames
        if song.start_frame != end:
            yield Finding(
                file=song.path,
                check="spacing",
                what=f"does not begin where {before.path} ends",
                expected=f"frame {end}",
                found=f"frame {song.start_frame}",
            )


def _frames(delivery: Delivery, song: SoundFile) -> int:
    """As they are on disk; as the manifest has them where the file does not read."""
    heard = delivery.heard(song)
    return song.facts.frames if heard is None else heard.info.frames


def _gap(delivery: Delivery, song: SoundFile) -> Iterator[Finding]:
    heard = delivery.heard(song)
    if heard is None or heard.info.is_lossy:
        return
    tail, rate_hz, said_hz = heard.facts.tail_silence_frames, heard.info.rate_hz, song.facts.rate_hz
    if tail * said_hz >= song.gap_frames * rate_hz:
        return
    yield Finding(
        file=song.path,
        check="spacing",
        what="the gap after it is not silent all through",
        expected=f"{length(song.gap_frames, said_hz)} of silence at the end",
        found=length(tail, rate_hz),
    )


def _cuts(delivery: Delivery, song: SoundFile, cut_frames: int) -> Iterator[Finding]:
    for what, frame in (("begins", song.start_frame), ("ends", song.start_frame + _frames(delivery, song))):
        if frame % cut_frames:
            yield Finding(
                file=song.path,
                check="spacing",
                what=f"{what} off the grid of {cut_frames} frames",
                expected=f"a multiple of {cut_frames}",
                found=f"frame {frame}, {many(frame % cut_frames, 'frame')} past one",
            )


def _assembly(delivery: Delivery, whole: SoundFile, songs: list[SoundFile]) -> Iterator[Finding]:
    heard = [delivery.heard(song) for song in songs]
    if delivery.heard(whole) is None or not all(heard) or whole.facts.bits is None:
        return  # a coder makes other words of a whole than of its pieces
    pieces = {
        song.path: (one.info.frames, one.facts.sound_sha256)
        for song, one in zip(songs, heard, strict=True)
        if one
    }
    path = delivery.folder / whole.path
    try:
        fault = _unlike(path, pieces)
    except SoundFileError:
        return  # said by the check of sounds
    if fault is not None:
        yield Finding(file=whole.path, check="spacing", what=fault)


def _unlike(path: Path, pieces: dict[str, tuple[int, str]]) -> str | None:
    """How a continuous file differs from the pieces one after another; None where it is their sum."""
    lengths = tuple(frames for frames, _ in pieces.values())
    found = piece_digests(path, (*lengths, 1))
    expected = tuple(digest for _, digest in pieces.values())
    if found == expected:
        return None
    if found[: len(expected)] == expected:
        return "is longer than the songs it is made of"
    order = order_of_pieces(path, pieces)
    if order is not None:
        return "holds its songs in another order: " + ", ".join(order)
    at = next(
        (i for i, pair in enumerate(zip(found, expected, strict=False)) if pair[0] != pair[1]), len(found)
    )
    return f"is not the sum of its songs: differs where {list(pieces)[min(at, len(pieces) - 1)]} should be"
