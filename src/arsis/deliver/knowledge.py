"""What is known of a delivery when its sound is made, for its sheets: more than its manifest holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from .codec_check import CodecChecked, untried
from .jobs import SongHeard
from .laid import Side
from .loudness_advice import loudness_advice
from .manifest import Manifest
from .order import Order
from .paperwork.extra import Extra, KeptAs, SongExtra
from .record import Record
from .sides import SideSong, side_advice


def extra_of(
    order: Order,
    manifest: Manifest,
    record: Record,
    heard: Sequence[SongHeard],
    codecs: Mapping[int | None, tuple[CodecChecked, ...]],
    kept: Mapping[int, KeptAs],
) -> Extra:
    """All of it. kept: the states that plans were kept in, by place."""
    songs = {
        one.place: SongExtra(
            revision=kept.get(one.place),
            mix=one.mix,
            took=one.took,
            whole=one.whole,
            codecs=codecs.get(one.place, ()),
        )
        for one in heard
    }
    return Extra(
        songs=songs,
        untried=untried(order.profile.codec),
        loudness=loudness_advice(order.profile, manifest.sounds, manifest.record_lufs),
        sides=_sides(order, record, {one.place: one for one in heard}),
        warnings=order.warnings,
    )


def _sides(order: Order, record: Record, heard: Mapping[int, SongHeard]) -> tuple[str, ...]:
    sides = order.profile.sides
    if sides is None:
        return ()
    lines: list[str] = []
    for side in record.sides:
        lines += side_advice(sides, side.name, _songs(order, record, side, heard))
    return tuple(lines)


def _songs(order: Order, record: Record, side: Side, heard: Mapping[int, SongHeard]) -> list[SideSong]:
    found = []
    for place in side.places:
        groove = heard[place].groove
        if groove is not None:
            start = record.songs[place - 1].song.start - side.span.start
            found.append(SideSong(order.songs[place - 1].title, start / record.rate_hz, groove))
    return found
