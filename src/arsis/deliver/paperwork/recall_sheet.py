"""The recall sheet: what was done to every song, as plain text and as a page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from arsis.deliver.manifest import Manifest
from arsis.plan.model import Release

from .columns import WIDTH, grid, padded, paragraph, wrapped
from .pages import head_of, page
from .recall import SECTION_HEADS, Pairs, RecalledPass, RecalledProcessor, RecalledSong

_WIDTHS = (15, 10, 11, 11, 4, 7, 17, 11)
_RIGHT = (False, False, True, True, False, True, False, True)
_NAME = 27  # columns of a pair's name
_KEY = (
    "Times are of the mix, in minutes and seconds. A fade into a section is between the two sections'"
    " passes and rides. Took: what the limiter took in the section, mean and most, dB. Settings are all as"
    " the plan has them. The frozen plans, release and profile in this delivery make the same files again"
    " from the same mixes with the same arsis."
)


def recall_page(manifest: Manifest, release: Release, songs: Sequence[RecalledSong]) -> str:
    """The page as HTML; each song begins a new sheet of paper."""
    head = head_of(manifest, release)
    return page("recall.html.j2", "recall sheet", head, songs=songs, heads=SECTION_HEADS, key=_KEY)


def recall_text(manifest: Manifest, songs: Sequence[RecalledSong]) -> str:
    """The same as plain text."""
    of = paragraph(f"{manifest.title}, {manifest.profile}, {manifest.date}")
    head = f"RECALL SHEET\n{'=' * WIDTH}\n{of}"
    return "\n\n".join([head, *(_song(song) for song in songs), paragraph(_KEY)]) + "\n"


def _song(song: RecalledSong) -> str:
    blocks = [
        f"{paragraph(f'{song.place:02d} {song.title}')}\n{'-' * WIDTH}\n{_pairs(song.facts)}",
        "SECTIONS\n" + grid([SECTION_HEADS, *song.sections], _WIDTHS, _RIGHT),
        *map(_pass, song.passes),
    ]
    if song.ride:
        blocks.append("DRAWN RIDE, linear in dB between the points\n" + _pairs(song.ride))
    blocks.append("\n".join(["FINISH", *_chain(song.finish_chain), _pairs(song.finish)]))
    if song.on_record:
        blocks.append("ON THE RECORD\n" + _pairs(song.on_record))
    return "\n\n".join(blocks)


def _pass(one: RecalledPass) -> str:
    lines = [paragraph(f"PASS {one.name}")]
    lines += [paragraph(one.note, "  ")] if one.note else []
    lines.append(paragraph(f"used by {one.used_by}", "  "))
    lines += [paragraph(one.what, "  ")] if one.what else []
    return "\n".join([*lines, *_chain(one.chain)])


def _chain(chain: Sequence[RecalledProcessor]) -> Iterator[str]:
    for one in chain:
        settings = ", ".join(f"{name} {value}" for name, value in one.settings)
        yield paragraph(f"{one.title}: {settings}", "     ", first=f"  {one.place}. ")


def _pairs(rows: Pairs) -> str:
    lines = []
    for name, value in rows:
        names, values = wrapped(name, _NAME), wrapped(value, WIDTH - _NAME - 4)
        for i in range(max(len(names), len(values))):
            left = names[i] if i < len(names) else ""
            right = values[i] if i < len(values) else ""
            lines.append(f"  {padded(left, _NAME)}  {right}".rstrip())
    return "\n".join(lines)
