"""The track sheet as CSV, for whoever enters it elsewhere: a row a file, units in the heads.

Y. Shafranovich, "Common Format and MIME Type for Comma-Separated Values (CSV) Files", RFC 4180, 2005: CRLF at
the end of each row, quotes where a cell needs them. UTF-8; a point before the decimals; empty where there is
nothing.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from arsis.deliver.manifest import Manifest, SoundFile
from arsis.plan.model import Release

from .tracks import SideOfTracks

Cell = str | int | float | None


def track_sheet_csv(manifest: Manifest, release: Release, sides: Sequence[SideOfTracks]) -> str:
    """The whole table with its heads."""
    rows = [_release(manifest, release) | row for side in sides for row in _side(manifest, side)]
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, list(rows[0]) if rows else [], lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def _release(manifest: Manifest, release: Release) -> dict[str, Cell]:
    return {
        "release": manifest.title,
        "release_artist": manifest.artist,
        "gtin": manifest.gtin,
        "catalogue_number": release.catalogue_number,
        "profile": manifest.profile,
        "date": manifest.date,
    }


def _side(manifest: Manifest, side: SideOfTracks) -> list[dict[str, Cell]]:
    """The assembly, then each song with its versions."""
    rows = []
    if side.assembly is not None:
        rows.append(_row(side.assembly, manifest.artist, start=0, gap=0))
    for track in side.tracks:
        artist = track.artist or manifest.artist
        rows.append(_row(track.sound, artist, start=track.start, gap=track.gap))
        rows += [_row(version, artist, start=None, gap=0) for version in track.versions]
    return rows


def _row(sound: SoundFile, artist: str, *, start: int | None, gap: int) -> dict[str, Cell]:
    """start: in its record or side; None for what is not on it."""
    facts = sound.facts
    rate_hz = facts.rate_hz
    return {
        "role": sound.role,
        "side": sound.side,
        "place": sound.place,
        "title": sound.title,
        "version": sound.version,
        "artist": artist,
        "isrc": sound.isrc,
        "start_s": None if start is None else _seconds(start, rate_hz),
        "length_s": _seconds(facts.frames - gap, rate_hz),
        "gap_s": _seconds(gap, rate_hz),
        "start_frames": start,
        "length_frames": facts.frames - gap,
        "gap_frames": gap,
        "integrated_lufs": _level(facts.integrated_lufs),
        "max_short_term_lufs": _level(facts.max_short_term_lufs),
        "max_momentary_lufs": _level(facts.max_momentary_lufs),
        "range_lu": _level(facts.range_lu),
        "true_peak_dbtp": _level(facts.true_peak_dbtp),
        "sample_peak_dbfs": _level(facts.sample_peak_dbfs),
        "ceiling_dbtp": _level(sound.ceiling_dbtp),
        "container": facts.container,
        "rate_hz": rate_hz,
        "channels": facts.channels,
        "bits": facts.bits,
        "file": sound.path,
        "bytes": sound.bytes,
        "sha256": sound.sha256,
        "sound_sha256": facts.sound_sha256,
    }


def _seconds(frames: int, rate_hz: int) -> str:
    """Six decimals: exact to the frame up to 192 kHz."""
    return f"{frames / rate_hz:.6f}"


def _level(value: float | None) -> str | None:
    return None if value is None else f"{value:.3f}"
