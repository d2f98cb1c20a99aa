"""The row of an hour at 96 kHz: memory must stay flat, and a minute cost what it costs in a song."""

from __future__ import annotations

from pathlib import Path

from .rows import Row
from .rows_process import WARNED, arsis
from .song import LONG_RATE_HZ, LONG_S, long_material
from .timing import Cost, of_process
from .treatment import SONG_S


def long_row(scratch: Path) -> Row:
    """Ours is the hour; the note compares its minute with that of a song."""
    out = scratch / "long.wav"
    costs: dict[float, list[Cost]] = {SONG_S: [], LONG_S: []}

    def printed(seconds: float) -> Cost:
        plan = long_material(seconds).plan
        cost = of_process((arsis(), "print", plan, "--out", out), allowed=(0, WARNED))
        costs[seconds].append(cost)
        return cost

    def notes() -> list[str]:
        song, long = (min(costs[seconds], key=lambda cost: cost.cpu_s) for seconds in (SONG_S, LONG_S))
        minute_song, minute_long = 60.0 * song.cpu_s / SONG_S, 60.0 * long.cpu_s / LONG_S
        return [
            f"a minute costs {1000 * minute_long:.0f} ms of CPU in the hour and {1000 * minute_song:.0f} ms "
            f"in {SONG_S:g} s, start included; memory {long.peak_mb:.0f} MB and {song.peak_mb:.0f} MB"
        ]

    def hour() -> Cost:
        printed(SONG_S)
        return printed(LONG_S)

    return Row(
        f"`arsis print` of {LONG_S / 60:g} min at {LONG_RATE_HZ // 1000} kHz", hour, most_mb=64.0, notes=notes
    )
