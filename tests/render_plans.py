"""Plans for tests: built by hand, and made up by hypothesis."""

from __future__ import annotations

from hypothesis import strategies as st

from arsis.plan.model import Finish, Join, Pass, RidePoint, Section, Song
from arsis.settings import Bell, Compressor, Gain, HighShelf, Limiter, LowShelf, Processor, Tilt, Width


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

processors = st.one_of(
    st.builds(Gain, gain_db=_db),
    st.builds(
        Bell,
        freq_hz=st.floats(30.0, 12_000.0),
        gain_db=_db,
        q=st.floats(0.3, 4.0),
        channel=st.sampled_from(("stereo", "mid", "side", "left")),
    ),
    st.builds(LowShelf, freq_hz=st.floats(40.0, 300.0), gain_db=_db),
    st.builds(HighShelf, freq_hz=st.floats(3_000.0, 12_000.0), gain_db=_db),
    st.builds(Tilt, gain_db=_db),
    st.builds(Compressor, threshold_dbfs=st.floats(-40.0, -6.0), mix=st.sampled_from((0.5, 1.0))),
    st.builds(Width, side_db=_db),
)
chains = st.lists(processors, max_size=3).map(tuple)
limiters = st.builds(
    Limiter,
    ceiling_dbtp=st.floats(-12.0, 0.0),
    lookahead_ms=st.floats(0.5, 8.0),
    release_ms=st.floats(20.0, 400.0),
)


@st.composite
def songs(draw: st.DrawFn, length_s: float) -> Song:
    """A plan of one to four sections over a mix of `length_s` seconds."""
    count = draw(st.integers(1, 4))
    # Starts keep a tenth of the song apart, so that every default fade fits.
    marks = sorted(draw(st.lists(st.integers(1, 9), min_size=count - 1, max_size=count - 1, unique=True)))
    starts = [0.0, *(round(mark * length_s / 10.0, 6) for mark in marks)]
    names = "".join(draw(st.sampled_from("AB")) for _ in starts)
    rides = [draw(st.sampled_from((0.0, 0.4, -0.7))) for _ in starts]
    points = draw(st.lists(st.tuples(st.integers(0, 100), _db), max_size=3, unique_by=lambda p: p[0]))
    ride = tuple(RidePoint(time_s=round(at * length_s / 100.0, 6), gain_db=db) for at, db in sorted(points))
    finish = Finish(
        chain=draw(chains),
        gain_db=draw(_db),
        limiter=draw(st.one_of(st.none(), limiters)),
        dither=draw(st.sampled_from(("flat", "lipshitz_5", "none"))),
    )
    return song(starts, names, {"A": draw(chains), "B": draw(chains)}, rides, ride=ride, finish=finish)
