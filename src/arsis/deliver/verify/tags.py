"""Does each file say of itself what it was given to say, in every place where it says it?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from arsis.deliver.gains import peak_text, r128_q78, replaygain_text
from arsis.deliver.manifest import SoundFile
from arsis.deliver.tag_wav import BEXT_LEVELS
from arsis.io.bext import MOST_HUNDREDTHS

from .delivery import Delivery, OnDisk
from .finding import Finding

BEXT_DB = 0.0051
# What the places of a WAV file that repeat a tag call it.
_TOLD_TWICE = ("title", "artist", "album", "place", "date", "copyright", "encoder")
_SHOWN = {"isrc": "ISRC", "gtin": "GTIN", "artwork": "artwork"}


def check_tags(delivery: Delivery) -> Iterator[Finding]:
    """Tags against the manifest, against each other, and levels in tags against the meters."""
    for sound in delivery.manifest.sounds:
        on_disk = delivery.files.get(sound.path)
        if on_disk is None or on_disk.fault is not None:
            continue
        if on_disk.tags is None:
            if on_disk.tags_fault is not None:
                yield _fault(sound, on_disk.tags_fault)
            continue
        found = [
            *_against_manifest(sound, on_disk),
            *_among_themselves(sound, on_disk.tags),
            *_levels(delivery, sound, on_disk.tags),
        ]
        yield from found
        if not found and on_disk.sha256 != sound.sha256 and _is_sound_intact(sound, on_disk):
            yield _fault(sound, "sound intact, and the tags that arsis reads: others were put in or changed")


def _fault(sound: SoundFile, what: str, expected: str | None = None, found: str | None = None) -> Finding:
    return Finding(file=sound.path, check="tags", what=what, expected=expected, found=found)


def _is_sound_intact(sound: SoundFile, on_disk: OnDisk) -> bool:
    """By its words; of a lossy file, whose words are not known, by every meter."""
    if on_disk.heard is None:
        return False
    found = on_disk.heard.facts
    if on_disk.heard.info.is_lossy:
        return replace(found, sound_sha256=sound.facts.sound_sha256) == sound.facts
    return found.sound_sha256 == sound.facts.sound_sha256


def _against_manifest(sound: SoundFile, on_disk: OnDisk) -> Iterator[Finding]:
    tags = on_disk.tags or {}
    head = "re-tagged, sound intact" if _is_sound_intact(sound, on_disk) else "re-tagged"
    for name in dict.fromkeys((*sound.tags, *tags)):
        expected, found = sound.tags.get(name), tags.get(name)
        if (
            expected == found
            or (expected is None and "." in name)
            or (expected is None and name == "markers")
        ):
            continue  # what only a chunk says is held against the rest of the file
        shown = _SHOWN.get(name, name)
        if found is None:
            yield _fault(sound, f"{head}: {shown} taken out", _short(expected), "none")
        elif expected is None:
            yield _fault(sound, f"{head}: {shown} put in", "none", _short(found))
        else:
            yield _fault(
                sound,
                f"{head}: {shown} changed from {_short(expected)} to {_short(found)}",
                _short(expected),
                _short(found),
            )
    if sound.isrc is not None and sound.tags.get("isrc", sound.isrc) != sound.isrc:
        yield _fault(
            sound, "the manifest gives the file one ISRC and its tag another", sound.isrc, sound.tags["isrc"]
        )


def _short(text: str | None) -> str:
    """A digest as its start; other texts as they are, unless they are very long."""
    if text is None:
        return "none"
    kind, _, digest = text.partition(" ")
    if kind.startswith("image/"):
        return f"{kind} {digest[:12]}…"
    return f'"{text[:77]}…"' if len(text) > 78 else f'"{text}"' if " " in text or not text else text


def _among_themselves(sound: SoundFile, tags: dict[str, str]) -> Iterator[Finding]:
    """The chunks of a WAV file that repeat one another."""
    for name in _TOLD_TWICE:
        other = tags.get(f"info.{name}")
        if other is not None and other != tags.get(name):
            yield _fault(sound, f"{name} in LIST INFO is not that of the tag", tags.get(name, "none"), other)
    axml = tags.get("axml.isrc")
    if axml is not None and axml != sound.isrc:
        yield _fault(
            sound, f"ISRC in axml changed from {sound.isrc} to {axml or 'none'}", sound.isrc or "none", axml
        )
    if sound.isrc is not None and axml is None and "bext.originator" in tags:
        yield _fault(sound, "no ISRC in axml", sound.isrc, "none")
    start = tags.get("bext.time_reference_frames")
    if start is not None and start != str(sound.start_frame):
        yield _fault(sound, "start in bext", f"frame {sound.start_frame}", f"frame {start}")


def _levels(delivery: Delivery, sound: SoundFile, tags: dict[str, str]) -> Iterator[Finding]:
    """Loudness in bext, ReplayGain and R128 gains against what the file measures."""
    heard = delivery.heard(sound)
    facts = sound.facts if heard is None else heard.facts
    for name in BEXT_LEVELS:
        text, measured = tags.get(f"bext.{name}"), getattr(facts, name)
        said = None if text is None else float(text)
        if "bext.originator" not in tags or (said is None and measured is None):
            continue
        if said is None or measured is None or abs(said - _held(measured)) > BEXT_DB:
            shown = "none" if measured is None else f"{measured:.2f}"
            yield _fault(sound, f"{name} in bext is not what the file measures", shown, text or "none")
    yield from _gains(sound, tags, facts.integrated_lufs, facts.true_peak_dbtp, "track")
    record_lufs = delivery.manifest.record_lufs
    yield from _gains(sound, tags, record_lufs, None, "album")


def _held(level: float) -> float:
    """A level as far as a bext chunk can hold it."""
    most = MOST_HUNDREDTHS / 100.0
    return min(max(level, -most), most)


def _gains(
    sound: SoundFile, tags: dict[str, str], lufs: float | None, peak_dbtp: float | None, whose: str
) -> Iterator[Finding]:
    pairs = [
        (f"replaygain_{whose}_gain", None if lufs is None else replaygain_text(lufs)),
        (f"r128_{whose}_gain", None if lufs is None else str(r128_q78(lufs))),
        (f"replaygain_{whose}_peak", None if peak_dbtp is None else peak_text(peak_dbtp)),
    ]
    for name, expected in pairs:
        found = tags.get(name)
        if found is not None and expected is not None and found != expected:
            yield _fault(sound, f"{name} is not what the file measures", expected, found)
