"""Plans for tests: built by hand, and made up by hypothesis."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st

from arsis.errors import PlanError
from arsis.plan.model import Finish, Join, Pass, RidePoint, Section, Song
from arsis.render.schedule import schedule
from arsis.settings import (
    Bell,
    Compressor,
    Delay,
    DynamicBell,
    Gain,
    HighPass,
    HighShelf,
    Limiter,
    LowPass,
    LowShelf,
    Polarity,
    Processor,
    Saturator,
    Tilt,
    Width,
)

from .signals import RATES


def song(
    starts_s: list[float],
    passes: str,
    treatments: dict[str, tuple[Processor, ...]],
    rides_db: list[float] | None = None,
    *,
    join: Join | None = None,
    ride: tuple[RidePoint, ...] = (),
    finish: Finish | None = None,
) -> Song:
    """A song whose section i starts at `starts_s[i]` and has the pass `passes[i]`."""
    rides = rides_db or [0.0] * len(starts_s)
    sections = tuple(
        Section(name=f"part {i}", start_s=start, pass_=name, ride_db=ride_db, join=join if i else None)
        for i, (start, name, ride_db) in enumerate(zip(starts_s, passes, rides, strict=True))
    )
    return Song(
        title="Test",
        mix="mix.wav",
        section=sections,
        pass_={name: Pass(chain=chain) for name, chain in treatments.items()},
        ride=ride,
        finish=finish or Finish(),
    )


_db = st.floats(-3.0, 3.0).map(lambda x: round(x, 2))
_mixes = st.sampled_from((0.0, 0.3, 1.0))
_phases = st.sampled_from(("minimum", "minimum", "linear"))
_orders = st.integers(1, 8)
LOWEST_LINEAR_HZ = 2_000.0
_CHANNELS = {1: ("stereo", "mid"), 2: ("stereo", "mid", "side", "left", "right")}


def processors(channels: int = 2) -> st.SearchStrategy[Processor]:
    """One processor of any kind that a mix of so many channels may have."""
    channel = st.sampled_from(_CHANNELS[channels])
    tone = {"channel": channel, "phase": _phases}
    level = {
        "threshold_dbfs": st.floats(-40.0, -6.0),
        "ratio": st.floats(1.0, 8.0),
        "attack_ms": st.floats(0.1, 50.0),
        "release_ms": st.floats(10.0, 400.0),
        "channel": channel,
    }
    kinds = [
        st.builds(Gain, gain_db=_db, channel=channel),
        st.builds(Bell, freq_hz=st.floats(30.0, 12_000.0), gain_db=_db, q=st.floats(0.3, 4.0), **tone),
        st.builds(LowShelf, freq_hz=st.floats(40.0, 300.0), gain_db=_db, **tone),
        st.builds(HighShelf, freq_hz=st.floats(3_000.0, 12_000.0), gain_db=_db, **tone),
        st.builds(
            HighPass, freq_hz=st.floats(15.0, 400.0), order=_orders, q=st.floats(0.3, 1.5), channel=channel
        ),
        # A linear one of order 1 has a corner at 0 Hz, which no short filter has: it is refused.
        st.builds(
            HighPass,
            freq_hz=st.floats(15.0, 400.0),
            order=st.integers(2, 8),
            channel=channel,
            phase=st.just("linear"),
        ),
        st.builds(LowPass, freq_hz=st.floats(4e3, 2e4), order=_orders, q=st.floats(0.3, 1.5), **tone),
        st.builds(Tilt, gain_db=_db, **tone),
        st.builds(DynamicBell, freq_hz=st.floats(40.0, 9e3), range_db=st.floats(-6.0, 6.0), **level),
        st.builds(Compressor, mix=_mixes, sidechain_high_pass_hz=st.sampled_from((0.0, 90.0)), **level),
        st.builds(
            Saturator, drive_db=st.floats(0.0, 9.0), even=st.floats(0.0, 1.0), mix=_mixes, channel=channel
        ),
        st.builds(Delay, delay_frames=st.sampled_from((0.0, 1.0, 2.25, 300.5)), channel=channel),
        st.builds(Polarity, channel=channel),
    ]
    if channels == 2:
        kinds.append(st.builds(Width, side_db=_db, fold_below_hz=st.sampled_from((0.0, 120.0))))
    return st.one_of(kinds).map(_playable)


def _playable(settings: Processor) -> Processor:
    """Linear phase low in the spectrum would ring too long at high rates and is refused: minimum there."""
    low = getattr(settings, "phase", "minimum") == "linear" and settings.freq_hz < LOWEST_LINEAR_HZ
    return replace(settings, phase="minimum") if low else settings


def chains(channels: int = 2, most: int = 3) -> st.SearchStrategy[tuple[Processor, ...]]:
    return st.lists(processors(channels), max_size=most).map(tuple)


limiters = st.builds(
    Limiter,
    ceiling_dbtp=st.floats(-12.0, 0.0),
    lookahead_ms=st.floats(0.5, 20.0),
    release_ms=st.floats(10.0, 2_000.0),
)
joins = st.builds(
    Join,
    fade_ms=st.one_of(st.sampled_from((0.0, 0.01, 20.0, 4_000.0)), st.floats(0.0, 300.0)),
    lead_ms=st.one_of(st.sampled_from((0.0, 2.0, -500.0)), st.floats(-100.0, 100.0)),
)
_rides = st.sampled_from((0.0, 0.4, -0.7))
_names = st.sampled_from("ABC")


@st.composite
def songs(draw: st.DrawFn, length_s: float, channels: int = 2) -> Song:
    """A plan over a mix of `length_s` seconds: up to four sections, or up to thirty short ones.

    Passes A and B are chains, C was printed elsewhere.
    """
    grid, most = draw(st.sampled_from(((10, 4), (10, 4), (100, 30))))
    marks = sorted(draw(st.sets(st.integers(1, grid - 1), max_size=most - 1)))
    plan = song(
        [0.0],
        draw(_names),
        {"A": draw(chains(channels)), "B": draw(chains(channels))},
        [draw(_rides)],
        ride=_drawn(draw, length_s),
        finish=Finish(
            chain=draw(chains(channels, 2)),
            gain_db=draw(_db),
            limiter=draw(st.none() | limiters),
            dither=draw(st.sampled_from(("flat", "lipshitz_5", "none"))),
        ),
    )
    printed = Pass(print="print.wav", chain=draw(chains(channels, 1)))
    plan = replace(plan, pass_={**plan.pass_, "C": printed})
    for mark in marks:
        section = Section(
            name=f"part {mark}",
            start_s=round(mark * length_s / grid, 6),
            pass_=draw(_names),
            ride_db=draw(_rides),
            join=draw(st.none() | joins),
        )
        longer = replace(plan, section=(*plan.section, section))
        plan = longer if _fits(longer, length_s) else plan
    return plan


def _drawn(draw: st.DrawFn, length_s: float) -> tuple[RidePoint, ...]:
    """Up to four points, some of them at one time: a step in the ride."""
    points = draw(st.lists(st.tuples(st.integers(0, 20), _db), max_size=4))
    points.sort(key=lambda point: point[0])
    return tuple(RidePoint(time_s=round(at * length_s / 20.0, 6), gain_db=db) for at, db in points)


def _fits(plan: Song, length_s: float) -> bool:
    """Whether its fades find room at every rate."""
    try:
        return all(schedule(plan, rate_hz, round(length_s * rate_hz)) for rate_hz in RATES)
    except PlanError:
        return False
