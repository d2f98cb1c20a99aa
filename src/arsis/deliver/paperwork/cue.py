"""The track list of a disc as a cue sheet: plain text over the assembly, places in CD frames.

The grammar is the part that the open readers agree on: `CATALOG`, `FILE`, `TRACK nn AUDIO`, `TITLE`,
`PERFORMER`, `ISRC`, `INDEX` (GNU ccd2cue, manual, "CUE sheet format"; libFLAC, cue sheet reader and the rules
of its test sheets). UTF-8, as none of them says another coding.
"""

from __future__ import annotations

from collections.abc import Sequence

from arsis.deliver.manifest import Manifest
from arsis.io.names import fit_stem
from arsis.plan.identifiers import gtin_13

from .figures import CD_FRAME, CD_RATE_HZ, disc_clock
from .tracks import SideOfTracks, Track

MOST_CHARACTERS = 80  # of a title or a performer
_MOST_FRAMES = 100 * 60 * 75 * CD_FRAME  # minutes have two digits
_MOST_TRACKS = 99  # track numbers 1 to 99: IEC 60908, as libFLAC checks them
_LEAST_TRACK = 300 * CD_FRAME  # 4 s: IEC 60908, after two published summaries of it
_KINDS = {"wav": "WAVE", "flac": "FLAC"}  # the second as libFLAC's metaflac writes it


def cue_sheets(manifest: Manifest, sides: Sequence[SideOfTracks]) -> dict[str, str]:
    """A sheet for every assembly that is fit for a disc, by its path in the delivery: beside the file that it
    names, as readers look for that where the sheet lies. None for any other."""
    return {
        fit_stem("tracks", f"side {side.name}" if side.name else "") + ".cue": cue_sheet(manifest, side)
        for side in sides
        if is_fit_for_disc(side)
    }


def is_fit_for_disc(side: SideOfTracks) -> bool:
    """Whether a side has an assembly whose every cut lies on a CD frame, within what a disc takes."""
    return (
        side.assembly is not None
        and side.assembly.facts.container in _KINDS
        and side.rate_hz == CD_RATE_HZ
        and side.assembly.facts.frames % CD_FRAME == 0
        and side.assembly.facts.frames <= _MOST_FRAMES
        and all(track.start % CD_FRAME == 0 for track in side.tracks)
        and all(track.length + track.gap >= _LEAST_TRACK for track in side.tracks)
        and len(side.tracks) <= _MOST_TRACKS
    )


def cue_sheet(manifest: Manifest, side: SideOfTracks) -> str:
    """The sheet of a side that is fit for a disc."""
    assembly = side.assembly
    if assembly is None:
        raise ValueError("a cue sheet is of an assembly")
    catalogue = gtin_13(manifest.gtin) if manifest.gtin else None
    lines = [f"CATALOG {catalogue}"] if catalogue else []
    lines.append(f"TITLE {_quoted(assembly.title or manifest.title)}")
    lines += [f"PERFORMER {_quoted(manifest.artist)}"] if manifest.artist else []
    # A path as it is: it is the file's own name, which holds no quotes, and may be longer than a title.
    lines.append(f'FILE "{assembly.path}" {_KINDS[assembly.facts.container]}')
    gap = 0
    for number, track in enumerate(side.tracks, 1):
        lines += _track(number, track, gap, manifest.artist)
        gap = track.gap
    return "\n".join(lines) + "\n"


def _track(number: int, track: Track, gap_before: int, artist: str) -> list[str]:
    performer = track.artist or artist
    lines = [f"  TRACK {number:02d} AUDIO", f"    TITLE {_quoted(track.title)}"]
    lines += [f"    PERFORMER {_quoted(performer)}"] if performer else []
    lines += [f"    ISRC {track.sound.isrc}"] if track.sound.isrc else []
    # The gap is counted from the first CD frame that lies in it as a whole.
    silent_from = -(-(track.start - gap_before) // CD_FRAME) * CD_FRAME
    if silent_from < track.start:
        lines.append(f"    INDEX 00 {disc_clock(silent_from)}")
    return [*lines, f"    INDEX 01 {disc_clock(track.start)}"]


def _quoted(text: str) -> str:
    """A text between quotes, which no reader lets a text hold: they become apostrophes."""
    plain = " ".join(text.replace('"', "'").split())
    return f'"{plain if len(plain) <= MOST_CHARACTERS else plain[: MOST_CHARACTERS - 3].rstrip() + "..."}"'
