"""Does the manifest agree with itself, with the frozen documents, and the files with the profile?"""

from __future__ import annotations

from collections.abc import Iterator

from arsis.deliver.file_names import assembly_file, song_file
from arsis.deliver.manifest import MANIFEST, Manifest, SoundFile
from arsis.plan.identifiers import is_gtin, is_isrc, plain_isrc
from arsis.plan.profile import Profile
from arsis.report.text import number

from .delivery import Delivery
from .finding import Finding

PROFILE_COPY, RELEASE_COPY = "profile.toml", "release.toml"


def check_manifest(delivery: Delivery) -> Iterator[Finding]:
    """The manifest's own fields, then what the frozen documents say of them."""
    yield from _paths(delivery)
    for sound in delivery.manifest.sounds:
        yield from _facts(sound)
    yield from _identifiers(delivery)
    for name, version in delivery.manifest.libraries.items():
        begun = delivery.manifest.inputs.get(f"library {name}", version)
        if begun != version:
            yield _fault(f"{name} has two versions", begun, version)
    for path, why in delivery.unread.items():
        yield Finding(file=path, check="manifest", what=why)
    yield from _release(delivery)
    if delivery.profile is not None:
        yield from _profile(delivery, delivery.profile)


def _fault(what: str, expected: object, found: object, file: str = MANIFEST) -> Finding:
    return Finding(file=file, check="manifest", what=what, expected=str(expected), found=str(found))


def _paths(delivery: Delivery) -> Iterator[Finding]:
    manifest = delivery.manifest
    paths = [one.path for one in delivery.listed]
    for path in (RELEASE_COPY, PROFILE_COPY, *manifest.plans):
        if path not in paths:
            yield _fault("a frozen document is not listed", path, "nothing")
    places = [sound.place for sound in manifest.sounds if sound.role == "song"]
    if places != list(range(1, len(places) + 1)):
        yield _fault("places of the songs", f"1 to {len(places)}", ", ".join(map(str, places)))
    for sound in manifest.sounds:
        if not has_its_places(sound, len(manifest.plans)):
            one, many = f"from 1 to {len(manifest.plans)}", "songs" if sound.role == "assembly" else "a place"
            yield _fault(f"{sound.path}: where it belongs", f"{many} {one}, and nothing else", _places(sound))
    if len(manifest.plans) != len(places):
        yield _fault("frozen plans", f"one for each of {len(places)} songs", len(manifest.plans))


def has_its_places(sound: SoundFile, songs: int) -> bool:
    """Whether the places that a file names are places of the record: one, or those that an assembly holds."""
    is_whole = sound.role == "assembly"
    named = sound.songs if is_whole else (sound.place or 0,)
    other = sound.place is not None if is_whole else bool(sound.songs)
    return bool(named) and not other and all(0 < place <= songs for place in named)


def has_its_songs(manifest: Manifest) -> bool:
    """Whether there is one song for each plan, in order."""
    places = [sound.place for sound in manifest.sounds if sound.role == "song"]
    return places == list(range(1, len(manifest.plans) + 1))


def _places(sound: SoundFile) -> str:
    place = f"place {sound.place}, " if sound.place is not None else ""
    return f"{place}songs {', '.join(map(str, sound.songs)) or 'none'}"


def _facts(sound: SoundFile) -> Iterator[Finding]:
    facts = sound.facts
    true_dbtp, sample_dbfs = facts.true_peak_dbtp, facts.sample_peak_dbfs
    if true_dbtp is not None and sample_dbfs is not None and true_dbtp < sample_dbfs - 0.001:
        least = f"at least {number(sample_dbfs, 2)} dBTP"
        yield _fault(f"{sound.path}: true peak lies under sample peak", least, number(true_dbtp, 2))
    if max(facts.head_silence_frames, facts.tail_silence_frames) > facts.frames:
        yield _fault(f"{sound.path}: more silence than sound", f"up to {facts.frames} frames", "more")
    if sound.gap_frames > facts.frames:
        yield _fault(f"{sound.path}: its gap is longer than it", facts.frames, sound.gap_frames)
    if facts.used_bits is not None and facts.bits is not None and facts.used_bits > facts.bits:
        yield _fault(f"{sound.path}: bits in use", f"at most {facts.bits}", facts.used_bits)


def _identifiers(delivery: Delivery) -> Iterator[Finding]:
    manifest = delivery.manifest
    if manifest.gtin is not None and not is_gtin(manifest.gtin):
        yield _fault("gtin", "a number with a right check digit", manifest.gtin)
    recordings: dict[str, set[tuple[str, str | None]]] = {}
    for sound in manifest.sounds:
        if sound.isrc is not None:
            recordings.setdefault(sound.isrc, set()).add(_recording(delivery, sound))
    for code, owners in recordings.items():
        if not is_isrc(code):
            yield _fault("isrc", "two letters, three letters or digits, seven digits", code)
        if len(owners) > 1:
            yield _fault(f"the ISRC {code} is given to more than one recording", 1, len(owners))


def _recording(delivery: Delivery, sound: SoundFile) -> tuple[str, str | None]:
    """A plan may come twice on a record, as a reprise does: one recording, as preflight has it."""
    release = delivery.release
    if release is None or sound.place is None or not 0 < sound.place <= len(release.song):
        return sound.path, None
    return release.song[sound.place - 1].plan, sound.version


def _release(delivery: Delivery) -> Iterator[Finding]:
    manifest, release = delivery.manifest, delivery.release
    if release is None:
        return
    for name, expected, found in (
        ("title", release.title, manifest.title),
        ("artist", release.artist, manifest.artist),
        ("gtin", release.gtin, manifest.gtin),
        ("number of songs", len(release.song), len(manifest.plans)),
    ):
        if expected != found:
            yield _fault(f"{name} is not that of {RELEASE_COPY}", expected, found)
    for sound in manifest.sounds:
        if sound.place is None or not 0 < sound.place <= len(release.song):
            continue
        entry = release.song[sound.place - 1]
        codes = {version.name: version.isrc for version in entry.version} | {None: entry.isrc}
        code = codes.get(sound.version)
        if sound.isrc != (None if code is None else plain_isrc(code)):
            yield _fault(f"{sound.path}: its ISRC is not that of {RELEASE_COPY}", code, sound.isrc)


def _profile(delivery: Delivery, profile: Profile) -> Iterator[Finding]:
    manifest = delivery.manifest
    if profile.name != manifest.profile:
        yield _fault(f"profile is not that of {PROFILE_COPY}", profile.name, manifest.profile)
    for sound in manifest.sounds:
        yield from _form(sound, profile)
        name = _name(delivery, sound, profile)
        if name != sound.path:
            yield _fault("name is not what the profile makes", name, sound.path, sound.path)
    if manifest.trim_db > 0.0 or (profile.limiter and manifest.trim_db):
        most = "0 dB: limiters hold the peaks" if profile.limiter else "at most 0 dB"
        yield _fault("trim_db", most, f"{number(manifest.trim_db, 2)} dB")
    roles = {sound.role for sound in manifest.sounds}
    if profile.assembly != ("assembly" in roles):
        yield _fault(
            "continuous file", "one" if profile.assembly else "none", "none" if profile.assembly else "one"
        )
    if "version" in roles and not profile.versions:
        yield _fault("versions", "none, after the profile", "some")


def _form(sound: SoundFile, profile: Profile) -> Iterator[Finding]:
    facts = sound.facts
    lossy = profile.container not in ("wav", "flac")
    bits = None if lossy else 32 if profile.bits == "32f" else int(profile.bits)
    for name, expected, found in (
        ("container", profile.container, facts.container),
        ("rate_hz", profile.rate_hz or facts.rate_hz, facts.rate_hz),
        ("bits", bits, facts.bits),
        ("floating point", profile.bits == "32f" and not lossy, facts.is_float),
    ):
        if expected != found:
            yield _fault(f"{name} is not what the profile asks for", expected, found, sound.path)
    ceiling_dbtp = sound.ceiling_dbtp
    if ceiling_dbtp is not None and profile.ceiling_dbtp is not None and ceiling_dbtp > profile.ceiling_dbtp:
        yield _fault("ceiling is over the profile's", profile.ceiling_dbtp, ceiling_dbtp, sound.path)


def _name(delivery: Delivery, sound: SoundFile, profile: Profile) -> str:
    manifest, release = delivery.manifest, delivery.release
    if sound.role == "assembly" or sound.place is None:
        return assembly_file(profile, manifest.title, sound.side)
    entry = release.song[sound.place - 1] if release and sound.place <= len(release.song) else None
    artist = (entry.artist if entry else "") or manifest.artist
    return song_file(profile, sound.place, sound.title, artist, sound.isrc, sound.version)
