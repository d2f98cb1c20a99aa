"""A row of the bench: what arsis does, who else does it, and how the costs compare."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from statistics import median

from .timing import Cost

Run = Callable[[], Cost]


@dataclass(frozen=True, slots=True)
class Peer:
    """Someone else at the same work.

    without: what it costs to get sound in and out without the work; taken off. does: what is not alike.
    goal: how many times our cost it should be at least.
    """

    name: str
    run: Run
    does: str = ""
    goal: float | None = None
    without: Run | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """One piece of work. notes: called once after the timing, sentences about the results themselves.

    is_long: everyone runs once, without warming up.
    """

    title: str
    ours: Run
    peers: tuple[Peer, ...] = ()
    most_cpu_s: float | None = None
    most_wall_s: float | None = None
    most_mb: float | None = None
    notes: Callable[[], list[str]] = list
    is_long: bool = False


@dataclass(frozen=True, slots=True)
class PeerResult:
    """Medians; ratio: median over the repetitions of its net cost over ours in the same repetition."""

    name: str
    does: str
    cpu_s: float
    taken_off_s: float
    peak_mb: float | None
    ratio: float
    goal: float | None
    reached: bool | None


@dataclass(frozen=True, slots=True)
class Verdict:
    """A limit on ours, in its unit."""

    what: str
    found: float
    most: float
    reached: bool


@dataclass(frozen=True, slots=True)
class RowResult:
    """Medians over the repetitions."""

    title: str
    cpu_s: float
    wall_s: float
    peak_mb: float | None
    limits: tuple[Verdict, ...]
    peers: tuple[PeerResult, ...]
    notes: tuple[str, ...] = field(default=())


def measured(row: Row, repetitions: int) -> RowResult:
    """Everyone once to warm up, then everyone in turn, `repetitions` times over; a long row once."""
    runs: dict[str, Run] = {"ours": row.ours}
    for peer in row.peers:
        runs[peer.name] = peer.run
        if peer.without is not None:
            runs[f"{peer.name}, without"] = peer.without
    if row.is_long:
        repetitions = 1
    else:
        for run in runs.values():
            run()
    costs: dict[str, list[Cost]] = {name: [] for name in runs}
    for _ in range(repetitions):
        for name, run in runs.items():
            costs[name].append(run())
    ours = costs["ours"]
    cpu_s, wall_s, peak_mb = _median_cpu(ours), median(c.wall_s for c in ours), _peak(ours)
    return RowResult(
        row.title,
        cpu_s,
        wall_s,
        peak_mb,
        _verdicts(row, cpu_s, wall_s, peak_mb),
        tuple(_result(peer, costs) for peer in row.peers),
        tuple(row.notes()),
    )


def _result(peer: Peer, costs: dict[str, list[Cost]]) -> PeerResult:
    taken_off = [cost.cpu_s for cost in costs.get(f"{peer.name}, without", ())] or [0.0] * len(costs["ours"])
    net = [cost.cpu_s - off for cost, off in zip(costs[peer.name], taken_off, strict=True)]
    ratio = median(theirs / ours.cpu_s for theirs, ours in zip(net, costs["ours"], strict=True))
    return PeerResult(
        peer.name,
        peer.does,
        median(net),
        median(taken_off),
        _peak(costs[peer.name]),
        ratio,
        peer.goal,
        None if peer.goal is None else ratio >= peer.goal,
    )


def _verdicts(row: Row, cpu_s: float, wall_s: float, peak_mb: float | None) -> tuple[Verdict, ...]:
    limits = (
        ("CPU, s", cpu_s, row.most_cpu_s),
        ("wall, s", wall_s, row.most_wall_s),
        ("memory, MB", peak_mb, row.most_mb),
    )
    return tuple(
        Verdict(what, found, most, found <= most)
        for what, found, most in limits
        if most is not None and found is not None
    )


def _median_cpu(costs: list[Cost]) -> float:
    return median(cost.cpu_s for cost in costs)


def _peak(costs: list[Cost]) -> float | None:
    peaks = [cost.peak_mb for cost in costs if cost.peak_mb is not None]
    return max(peaks) if peaks else None
