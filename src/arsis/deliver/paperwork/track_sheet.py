"""The track sheet as plain text: one page of a fixed width."""

from __future__ import annotations

from collections.abc import Sequence

from arsis.deliver.manifest import Manifest, SoundFile
from arsis.plan.model import Release
from arsis.report.text import NOTHING, number

from .columns import WIDTH, grid, padded, paragraph
from .figures import clock_ms, file_form, shown_isrc
from .tracks import SideOfTracks, Track

_HEADS = ("no", "title", "start", "length", "gap", "ISRC", "LUFS", "max S", "LRA", "dBTP")
_WIDTHS = (2, 26, 9, 9, 6, 15, 5, 5, 4, 5)
_RIGHT = (True, False, True, True, True, False, True, True, True, True)
_FILE_WIDTHS = (2, 60, 10, 18)
_FILE_RIGHT = (True, False, True, False)
_SHORT = 16  # digits of a SHA-256 that are shown; the manifest and the CSV have all 64


def track_sheet_text(manifest: Manifest, release: Release, sides: Sequence[SideOfTracks]) -> str:
    """The whole sheet."""
    blocks = [_head(manifest, release)]
    blocks += [_side(manifest, side) for side in sides]
    blocks += [_versions(sides), _files(manifest), _key()]
    return "\n\n".join(filter(None, blocks)) + "\n"


def levels(sound: SoundFile) -> tuple[str, str, str, str]:
    """Integrated and short-term loudness, range and true peak, as the sheets have them."""
    facts = sound.facts
    return (
        number(facts.integrated_lufs),
        number(facts.max_short_term_lufs),
        number(facts.range_lu),
        number(facts.true_peak_dbtp, 2),
    )


def _head(manifest: Manifest, release: Release) -> str:
    facts = [
        ("title", manifest.title),
        ("artist", manifest.artist),
        ("GTIN", manifest.gtin or NOTHING),
        ("catalogue number", release.catalogue_number or NOTHING),
        ("delivery", f"{manifest.profile}, {manifest.date}"),
    ]
    return "\n".join(["TRACK SHEET", "=" * WIDTH, *(f"{padded(name, 18)}{value}" for name, value in facts)])


def _side(manifest: Manifest, side: SideOfTracks) -> str:
    rows = [_row(track, side.rate_hz) for track in side.tracks]
    name = [f"SIDE {side.name}"] if side.name else []
    lines = [*name, grid([_HEADS], _WIDTHS, _RIGHT), "-" * WIDTH, grid(rows, _WIDTHS, _RIGHT), "-" * WIDTH]
    return "\n".join([*lines, _total(side)])


def _row(track: Track, rate_hz: int) -> tuple[str, ...]:
    return (
        f"{track.place:02d}",
        track.title + (f" ({track.artist})" if track.artist else ""),
        clock_ms(track.start, rate_hz),
        clock_ms(track.length, rate_hz),
        f"{track.gap / rate_hz:.3f}",
        shown_isrc(track.sound.isrc),
        *levels(track.sound),
    )


def _total(side: SideOfTracks) -> str:
    total, music = clock_ms(side.frames, side.rate_hz), clock_ms(side.music_frames, side.rate_hz)
    return f"total {total}, of which music {music}"


def _versions(sides: Sequence[SideOfTracks]) -> str:
    rows = [
        (
            f"{track.place:02d}",
            f"{track.title} ({version.version})",
            "",
            clock_ms(version.facts.frames, version.facts.rate_hz),
            "",
            shown_isrc(version.isrc),
            *levels(version),
        )
        for side in sides
        for track in side.tracks
        for version in track.versions
    ]
    return "\n".join(["VERSIONS", "-" * WIDTH, grid(rows, _WIDTHS, _RIGHT)]) if rows else ""


def _files(manifest: Manifest) -> str:
    heads = ("no", "file", "bytes", f"SHA-256, first {_SHORT}")
    rows = [
        (
            f"{sound.place:02d}" if sound.place else "",
            sound.path,
            str(sound.bytes),
            sound.sha256[:_SHORT],
        )
        for sound in manifest.sounds
    ]
    forms = dict.fromkeys(file_form(sound.facts) for sound in manifest.sounds)
    return "\n".join(
        [
            "FILES: " + "; ".join(forms),
            grid([heads], _FILE_WIDTHS, _FILE_RIGHT),
            "-" * WIDTH,
            grid(rows, _FILE_WIDTHS, _FILE_RIGHT),
        ]
    )


def _key() -> str:
    return paragraph(
        "Times in minutes, seconds and thousandths. The gap is the silence at the end of a file, in seconds:"
        " start + length + gap is where the next song starts. LUFS: integrated loudness; max S: the loudest"
        " 3 s, LUFS; LRA: loudness range, LU; dBTP: true peak (ITU-R BS.1770, EBU Tech 3341 and 3342)."
        " All 64 digits of each SHA-256 are in track-sheet.csv and in manifest.json."
    )
