"""A delivered file: container and tags round words that are finished. It appears whole and tagged."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from arsis.audio import BLOCK_FRAMES, Block
from arsis.errors import ArsisError
from arsis.io.read import open_sound
from arsis.io.whole import refused
from arsis.io.write import Chunks, write_sound
from arsis.plan.profile import Codec, Profile
from arsis.render.words import Word, Words
from arsis.report.text import number

from .gains import Gains
from .hearing import FileEar
from .jobs import FILES, WORDS, FinishJob, Made, words_path
from .lossy import decode, encode
from .manifest import SoundFacts, SoundFile
from .soundings import word_of
from .staging import entry_of
from .tagging import read_tags, wav_ahead, wav_chunks, write_tags
from .tags import Tags

_FLOAT = Word(32, is_float=True)


def finish_file(job: FinishJob) -> Made:
    """One file of the delivery from the words of its parts."""
    container = job.order.profile.container
    facts = _written_wav(job) if container == "wav" else _written_and_tagged(job)
    path = f"{FILES}/{job.sound.path}"
    file = entry_of(job.staging, path)
    sound = replace(
        _coded_entry(job.sound, facts) if facts.bits is None else job.sound,
        sha256=file.sha256,
        bytes=file.bytes,
        facts=facts,
        tags=read_tags(job.staging / path, container),
    )
    return Made(files=(file,), sounds=(sound,))


def _coded_entry(sound: SoundFile, facts: SoundFacts) -> SoundFile:
    """What is said of a lossy file: its ceiling held at the coder's input; nothing holds what is decoded."""
    peak_dbtp, warnings = facts.true_peak_dbtp, sound.warnings
    if peak_dbtp is not None and peak_dbtp > 0.0:
        said = (
            f"decoded, its true peak is {number(peak_dbtp, 2)} dBTP: players that have no room above clip it"
        )
        warnings = (*warnings, said)
    return replace(sound, ceiling_dbtp=None, warnings=warnings)


def _written_wav(job: FinishJob) -> SoundFacts:
    """Chunks stand before and after the sound; what is measured is known when the sound has passed."""
    order, word = job.order, word_of(job.order.profile)
    ear = FileEar(order.rate_hz, order.channels, word)
    form = {
        "rate_hz": order.rate_hz,
        "channels": order.channels,
        "bits": word.bits,
        "start_frame": job.sound.start_frame,
    }

    def late() -> Chunks:
        facts = ear.facts("wav")
        return wav_chunks(_tags(job, facts), facts, job.markers, **form)

    with write_sound(
        job.staging / FILES / job.sound.path,
        order.rate_hz,
        order.channels,
        word.encoding,
        chunks=late,
        ahead=wav_ahead(job.tags, **form),
    ) as writer:
        for words in _words_of(job, word):
            ear.hear(words)
            writer.write(words)
    return ear.facts("wav")


def _written_and_tagged(job: FinishJob) -> SoundFacts:
    """Written beside, tagged there, and only then put in its place."""
    profile = job.order.profile
    beside = job.staging / WORDS / job.sound.path
    facts = _written_flac(job, beside) if profile.container == "flac" else _coded(job, profile, beside)
    write_tags(beside, profile.container, _tags(job, facts))
    place = job.staging / FILES / job.sound.path
    try:
        with beside.open("rb+") as file:
            os.fsync(file.fileno())
        os.replace(beside, place)
    except OSError as fault:
        raise refused(place, fault, ArsisError) from fault
    return facts


def _written_flac(job: FinishJob, path: Path) -> SoundFacts:
    order, word = job.order, word_of(job.order.profile)
    ear = FileEar(order.rate_hz, order.channels, word)
    with write_sound(path, order.rate_hz, order.channels, word.encoding, "flac") as writer:
        for words in _words_of(job, word):
            ear.hear(words)
            writer.write(words)
    return ear.facts("flac")


def _coded(job: FinishJob, profile: Profile, path: Path) -> SoundFacts:
    """A lossy file is metered as it is heard: decoded."""
    codec: Codec = profile.container  # type: ignore[assignment]
    order = job.order
    if profile.kbps is None:
        raise ArsisError(f"profile {profile.name}: {codec} needs its kbps")
    sound = (words.astype(np.float64, copy=False) for words in _words_of(job, _FLOAT))
    coded = encode(path, sound, codec, profile.kbps, order.rate_hz, order.channels)
    with decode(path) as decoded:
        ear = FileEar(decoded.info.rate_hz, decoded.info.channels, _FLOAT)
        while (block := decoded.read(BLOCK_FRAMES)).shape[1]:
            ear.hear(block)
    return replace(ear.facts(codec, is_lossy=True), sound_sha256=coded.sound_sha256)


def _words_of(job: FinishJob, word: Word) -> Iterator[Words]:
    for name in job.parts:
        with open_sound(job.staging / words_path(name)) as sound:
            while (block := sound.read(BLOCK_FRAMES)).shape[1]:
                yield to_words(block, word)


def to_words(block: Block, word: Word) -> Words:
    """A block as it was read, in the words of its file: nothing is rounded."""
    if word.is_float:
        return block
    words: NDArray[np.int32] = (block * 2.0 ** (word.bits - 1)).astype(np.int32)
    return words


def _tags(job: FinishJob, facts: SoundFacts) -> Tags:
    """With the file's own gains."""
    gains = replace(
        job.tags.gains or Gains(),
        track_lufs=facts.integrated_lufs,
        track_peak_dbtp=facts.true_peak_dbtp,
    )
    return replace(job.tags, gains=gains)
