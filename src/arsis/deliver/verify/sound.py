"""Is each sound file of the kind that it says, and has it the words that it was given?"""

from __future__ import annotations

from collections.abc import Iterator

from arsis.deliver.manifest import SoundFacts, SoundFile

from .delivery import Delivery
from .finding import Finding
from .say import length, many

ROUNDED_FRAMES = 2  # what a converter of rates may add or leave out at the end


def check_sound(delivery: Delivery) -> Iterator[Finding]:
    """Format, length, words, used word length, and the silence at both ends."""
    for sound in delivery.manifest.sounds:
        on_disk = delivery.files.get(sound.path)
        if on_disk is None or not on_disk.sha256:
            continue  # said by the check of files
        if on_disk.fault is not None:
            yield Finding(file=sound.path, check="sound", what=on_disk.fault)
        if on_disk.heard is not None:
            found = on_disk.heard.facts
            yield from _form(sound, found)
            if not on_disk.heard.info.is_lossy:
                yield from _words(delivery, sound, found)
                yield from _bits_and_silence(sound, found)


def _form(sound: SoundFile, found: SoundFacts) -> Iterator[Finding]:
    said = sound.facts
    pairs = (
        ("container", said.container, found.container),
        ("rate", f"{said.rate_hz} Hz", f"{found.rate_hz} Hz"),
        ("channels", str(said.channels), str(found.channels)),
        ("word", _word(said), _word(found)),
    )
    for name, expected, is_found in pairs:
        if expected != is_found:
            yield Finding(
                file=sound.path, check="sound", what=f"another {name}", expected=expected, found=is_found
            )
    length_told = None if found.frames == said.frames else _other_length(said, found)
    if length_told is not None:
        yield Finding(
            file=sound.path,
            check="sound",
            what=length_told,
            expected=many(said.frames, "frame"),
            found=many(found.frames, "frame"),
        )


def _other_length(said: SoundFacts, found: SoundFacts) -> str | None:
    """None for a sound that lasts as long at a rate of its own, which is told."""
    less = said.frames - round(found.frames * said.rate_hz / found.rate_hz)
    if abs(less) <= ROUNDED_FRAMES and found.rate_hz != said.rate_hz:
        return None
    piece = length(abs(less), said.rate_hz)
    return f"truncated: {piece} missing" if less > 0 else f"too long by {piece}"


def _words(delivery: Delivery, sound: SoundFile, found: SoundFacts) -> Iterator[Finding]:
    said = sound.facts
    if found.sound_sha256 == said.sound_sha256:
        return
    for other in delivery.manifest.sounds:
        if other is not sound and other.facts.sound_sha256 == found.sound_sha256:
            yield Finding(file=sound.path, check="sound", what=f"holds the sound of {other.path}")
            return
    yield Finding(file=sound.path, check="sound", what="sound altered: other words than were delivered")


def _bits_and_silence(sound: SoundFile, found: SoundFacts) -> Iterator[Finding]:
    said = sound.facts
    if found.used_bits is not None and said.used_bits is not None and found.used_bits != said.used_bits:
        yield Finding(
            file=sound.path,
            check="sound",
            what=f"{found.used_bits}-bit words in a {found.bits}-bit file",
            expected=f"{said.used_bits} bits in use",
            found=str(found.used_bits),
        )
    for end, expected, is_found in (
        ("start", said.head_silence_frames, found.head_silence_frames),
        ("end", said.tail_silence_frames, found.tail_silence_frames),
    ):
        if expected != is_found:
            yield Finding(
                file=sound.path,
                check="sound",
                what=f"another silence at the {end}",
                expected=length(expected, said.rate_hz),
                found=length(is_found, found.rate_hz),
            )


def _word(facts: SoundFacts) -> str:
    if facts.bits is None:
        return "lossy"
    return f"{facts.bits}-bit float" if facts.is_float else f"{facts.bits}-bit"
