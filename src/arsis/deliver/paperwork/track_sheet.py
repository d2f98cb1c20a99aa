"""The track sheet as plain text: one page of a fixed width."""

from __future__ import annotations

from collections.abc import Sequence

from arsis.deliver.manifest import Manifest, SoundFile
from arsis.plan.model import Release
from arsis.report.text import NOTHING, number

from .columns import WIDTH, grid, paragraph
from .figures import clock_ms, file_form, isrc_cell
from .tracks import SideOfTracks

HEADS = ("no", "title", "start", "length", "gap", "ISRC", "LUFS", "max S", "LRA", "dBTP")
_WIDTHS = (2, 22, 9, 9, 6, 15, 5, 5, 4, 5)
_RIGHT = (True, False, True, True, True, False, True, True, True, True)
_SHORT = 16  # digits of a SHA-256 that are shown; the manifest and the CSV have all 64
FILE_HEADS = ("no", "file", "bytes", f"SHA-256, first {_SHORT}")
_FILE_WIDTHS = (2, 64, 10, 18)
_FILE_RIGHT = (True, False, True, False)
KEY = (
    "Times in minutes, seconds and thousandths. The gap is the silence at the end of a file, in"
    " seconds: start + length + gap is where the next song starts. LUFS: integrated loudness; max S: the"
    " loudest 3 s, LUFS; LRA: loudness range, LU; dBTP: true peak (ITU-R BS.1770, EBU Tech 3341 and"
    " 3342). All 64 digits of each SHA-256 are in track-sheet.csv and in manifest.json."
)


def track_sheet_text(manifest: Manifest, release: Release, sides: Sequence[SideOfTracks]) -> str:
    """The whole sheet."""
    versions = version_rows(sides)
    blocks = [_head(manifest, release), *map(_side, sides)]
    blocks += [_ruled("VERSIONS", grid(versions, _WIDTHS, _RIGHT))] if versions else []
    heads = grid([FILE_HEADS], _FILE_WIDTHS, _FILE_RIGHT)
    files = grid(file_rows(manifest), _FILE_WIDTHS, _FILE_RIGHT)
    blocks.append(_ruled(f"{paragraph('FILES: ' + forms(manifest))}\n{heads}", files))
    return "\n\n".join([*blocks, paragraph(KEY)]) + "\n"


def levels(sound: SoundFile) -> tuple[str, str, str, str]:
    """Integrated and short-term loudness, range and true peak, as the sheets have them."""
    facts = sound.facts
    return (
        number(facts.integrated_lufs),
        number(facts.max_short_term_lufs),
        number(facts.range_lu),
        number(facts.true_peak_dbtp, 2),
    )


def side_rows(side: SideOfTracks) -> list[tuple[str, ...]]:
    """A row a song."""
    return [
        (
            f"{track.place:02d}",
            track.title + (f" ({track.artist})" if track.artist else ""),
            clock_ms(track.start, side.rate_hz),
            clock_ms(track.length, side.rate_hz),
            f"{track.gap / side.rate_hz:.3f}",
            isrc_cell(track.sound.isrc),
            *levels(track.sound),
        )
        for track in side.tracks
    ]


def total(side: SideOfTracks) -> str:
    """The length of a side, in words."""
    whole, music = clock_ms(side.frames, side.rate_hz), clock_ms(side.music_frames, side.rate_hz)
    return f"total {whole}, of which music {music}"


def version_rows(sides: Sequence[SideOfTracks]) -> list[tuple[str, ...]]:
    """A row a version; it has no place on the record's time."""
    return [
        (
            f"{track.place:02d}",
            f"{track.title} ({version.version})",
            "",
            clock_ms(version.facts.frames, version.facts.rate_hz),
            "",
            isrc_cell(version.isrc),
            *levels(version),
        )
        for side in sides
        for track in side.tracks
        for version in track.versions
    ]


def file_rows(manifest: Manifest) -> list[tuple[str, ...]]:
    """A row a file."""
    return [
        (
            f"{sound.place:02d}" if sound.place else "",
            sound.path,
            str(sound.bytes),
            sound.sha256[:_SHORT],
        )
        for sound in manifest.sounds
    ]


def forms(manifest: Manifest) -> str:
    """What the files are: once where they are all alike."""
    return "; ".join(dict.fromkeys(file_form(sound.facts) for sound in manifest.sounds))


def _head(manifest: Manifest, release: Release) -> str:
    facts = [
        ("title", manifest.title),
        ("artist", manifest.artist),
        ("GTIN", manifest.gtin or NOTHING),
        ("catalogue number", release.catalogue_number or NOTHING),
        ("delivery", f"{manifest.profile}, {manifest.date}"),
    ]
    return "\n".join(
        ["TRACK SHEET", "=" * WIDTH, *(paragraph(value, " " * 18, name) for name, value in facts)]
    )


def _side(side: SideOfTracks) -> str:
    name = [f"SIDE {side.name}"] if side.name else []
    heads = "\n".join([*name, grid([HEADS], _WIDTHS, _RIGHT)])
    return f"{_ruled(heads, grid(side_rows(side), _WIDTHS, _RIGHT))}\n{'-' * WIDTH}\n{total(side)}"


def _ruled(head: str, body: str) -> str:
    return f"{head}\n{'-' * WIDTH}\n{body}"
