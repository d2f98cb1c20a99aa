"""The bench's results in words: a plain table for a terminal, and the same as Markdown."""

from __future__ import annotations

from .rows import PeerResult, RowResult, Verdict


def plain(result: RowResult) -> str:
    """One row's lines."""
    lines = [result.title, _line("arsis", _seconds(result.cpu_s), "", result.peak_mb, _limits(result.limits))]
    for peer in result.peers:
        lines.append(_line(peer.name, _seconds(peer.cpu_s), f"{peer.ratio:.1f}×", peer.peak_mb, _goal(peer)))
        if peer.does:
            lines.append(f"      {peer.does}")
    return "\n".join([*lines, *(f"    {note}" for note in result.notes)])


def markdown(results: list[RowResult]) -> str:
    """All rows as one table, and their notes below it."""
    lines = [
        "| work | who | CPU | times ours | memory | goal | what is not alike |",
        "|---|---|---:|---:|---:|---|---|",
    ]
    for result in results:
        limits, cpu = _limits(result.limits), _seconds(result.cpu_s)
        lines.append(f"| **{result.title}** | arsis | {cpu} | | {_mb(result.peak_mb)} | {limits} | |")
        for peer in result.peers:
            lines.append(
                f"| | {peer.name} | {_seconds(peer.cpu_s)} | {peer.ratio:.1f} | {_mb(peer.peak_mb)} "
                f"| {_goal(peer)} | {peer.does} |"
            )
    notes = [f"- {result.title}: {note}" for result in results for note in result.notes]
    return "\n".join([*lines, "", *notes, ""])


def _line(name: str, cpu: str, ratio: str, peak_mb: float | None, goal: str) -> str:
    return f"    {name:<30} {cpu:>9} {ratio:>7} {_mb(peak_mb):>7}  {goal}".rstrip()


def _seconds(cpu_s: float) -> str:
    return f"{cpu_s:.2f} s" if cpu_s >= 1.0 else f"{1000.0 * cpu_s:.0f} ms"


def _mb(peak_mb: float | None) -> str:
    return "" if peak_mb is None else f"{peak_mb:.0f} MB"


def _goal(peer: PeerResult) -> str:
    return "" if peer.goal is None else f"≥ {peer.goal:g}×: {_said(peer.reached)}"


def _limits(limits: tuple[Verdict, ...]) -> str:
    said = (f"{v.what} ≤ {v.most:g}: {_said(v.reached)} ({v.found:.3g})" for v in limits)
    return "; ".join(said)


def _said(reached: bool | None) -> str:
    return "reached" if reached else "not reached"
