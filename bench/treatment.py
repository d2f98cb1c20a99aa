"""The work of the whole chain, once as numbers, and from those as our plan and as a filter graph.

Two passes of six bands at −1 and +1 dB, joined six times with fades of 50 ms, then 8 dB into a limiter
at −1 dBTP. The song is far too loud for that on purpose: the limiter has to work all the time.
"""

from __future__ import annotations

import math

Band = tuple[float, float, float]  # Hz, dB, q

BANDS: dict[str, tuple[Band, ...]] = {
    "A": ((40, 2, 0.7), (120, -1.5, 1), (350, -2, 1.2), (1500, 1, 0.8), (4000, 1.5, 0.9), (12000, 2.5, 0.7)),
    "B": ((40, 1, 0.7), (120, 1.5, 1), (350, -1, 1.2), (1500, -1, 0.8), (4000, 1, 0.9), (12000, 3.5, 0.7)),
}
LEVEL_DB = {"A": -1.0, "B": 1.0}
STARTS_S = (0.0, 48.0, 80.0, 112.0, 144.0, 162.0, 194.0)  # A, B, A, B, ...
FADE_S = 0.05
DRIVE_DB = 8.0
CEILING_DBTP = -1.0
LOOKAHEAD_MS = 5.0
RELEASE_MS = 60.0
SONG_S = 210.0

Filter = tuple[str, str]


def gain(level_db: float) -> float:
    return float(10.0 ** (level_db / 20.0))


def plan(mix: str, length_s: float = SONG_S) -> str:
    """The plan of it all; over a longer song the sections go round again."""
    lines = ["schema = 1", 'title = "Bench"', f'mix = "{mix}"', ""]
    starts = [turn * SONG_S + start for turn in range(int(length_s // SONG_S) + 1) for start in STARTS_S]
    for number, start in enumerate(start for start in starts if start < length_s - 10.0):
        lines += ["[[section]]", f'name = "part {number + 1}"', f"start_s = {start:.6f}"]
        lines += [f'pass = "{"AB"[number % 2]}"']
        lines += [f"join = {{ fade_ms = {1000.0 * FADE_S:.1f}, lead_ms = 0.0 }}"] if number else []
        lines.append("")
    for name, bands in BANDS.items():
        lines += [f"[pass.{name}]", "chain = ["]
        lines += [
            f'  {{ kind = "bell", freq_hz = {f}.0, gain_db = {float(g)}, q = {float(q)} }},'
            for f, g, q in bands
        ]
        lines += [f'  {{ kind = "gain", gain_db = {LEVEL_DB[name]} }},', "]", ""]
    times = f"lookahead_ms = {LOOKAHEAD_MS}, release_ms = {RELEASE_MS}"
    limiter = f"limiter = {{ ceiling_dbtp = {CEILING_DBTP}, {times}, most_db = 24.0 }}"
    return "\n".join([*lines, "[finish]", f"gain_db = {DRIVE_DB}", limiter, ""])


def equalizers(name: str) -> list[Filter]:
    """A pass's bands as FFmpeg's filters."""
    return [("equalizer", f"f={f}:t=q:w={q}:g={g}") for f, g, q in BANDS[name]]


def cookbook(name: str, rate_hz: int) -> list[list[float]]:
    """A pass's bands as rows b0 b1 b2 a1 a2, the formulas that the peers use too.

    R. Bristow-Johnson, "Cookbook formulae for audio EQ biquad filter coefficients", peaking EQ.
    """
    rows = []
    for freq_hz, level_db, q in BANDS[name]:
        root, angle = 10.0 ** (level_db / 40.0), 2.0 * math.pi * freq_hz / rate_hz
        alpha, cosine = math.sin(angle) / (2.0 * q), math.cos(angle)
        a0 = 1.0 + alpha / root
        row = (1.0 + alpha * root, -2.0 * cosine, 1.0 - alpha * root, -2.0 * cosine, 1.0 - alpha / root)
        rows.append([value / a0 for value in row])
    return rows


def weight() -> str:
    """How much of pass B is heard at time t, as FFmpeg's expression."""
    ramps = (f"{'+' if i % 2 == 0 else '-'}clip((t-{at})/{FADE_S},0,1)" for i, at in enumerate(STARTS_S[1:]))
    return "".join(ramps).lstrip("+")


def faded(name: str) -> list[Filter]:
    """A pass with its share of the song."""
    share = f"({weight()})" if name == "B" else f"(1-({weight()}))"
    expression = f"'{gain(LEVEL_DB[name]):.6f}*{share}':eval=frame:precision=double"
    return [*equalizers(name), ("volume", expression)]


def limited(rate_hz: int, over: int = 4) -> list[Filter]:
    """FFmpeg's limiter, which knows sample peaks only, at `over` times the rate."""
    work = ("alimiter", f"limit={gain(CEILING_DBTP):.6f}:level=0:attack={LOOKAHEAD_MS}:release={RELEASE_MS}")
    return [("aresample", str(over * rate_hz)), work, ("aresample", str(rate_hz))] if over > 1 else [work]


def finished(rate_hz: int) -> list[Filter]:
    """What follows the sum of both passes, meters included."""
    drive = ("volume", f"{DRIVE_DB}dB:precision=double")
    return [drive, *limited(rate_hz), ("ebur128", "peak=true:framelog=verbose")]


def text(filters: list[Filter]) -> str:
    return ",".join(f"{name}={arguments}" if arguments else name for name, arguments in filters)


def graph(rate_hz: int) -> str:
    """The whole chain for `ffmpeg -filter_complex`; its output is [o]."""
    passes = (f"[{n.lower()}]{text(faded(n))}[{n.lower()}2]" for n in BANDS)
    tail = f"[a2][b2]amix=inputs=2:normalize=0,{text(finished(rate_hz))}[o]"
    return ";".join(["[0:a]aformat=dblp,asplit=2[a][b]", *passes, tail])
