"""Where a render starts: a stretch begun anywhere has the words of the whole print there, but for what its
filters and detectors would remember from before the warm-up."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.plan.model import Finish, Join, Pass
from arsis.render import stretch as stretch_module
from arsis.render.part import GRID, begin_before
from arsis.render.schedule import Hold, schedule
from arsis.render.stretch import Stretch, warm_up_s
from arsis.render.words import Word
from arsis.settings import Bell, Compressor, DynamicBell, Gain, HighPass, Limiter, LowPass, LowShelf

from .render_plans import song, songs
from .renders import make_print, source
from .signals import noise

RATE = 44_100
LENGTH_S = 3.0
FRAMES = round(LENGTH_S * RATE)
FLOAT = Word(32, is_float=True)
RINGS_AHEAD = 4_096  # frames by which linear phase sounds before its cause, at most, in made-up plans


def mix(seconds=LENGTH_S, rms=0.1, seed=3):
    words = np.round(noise(round(seconds * RATE), seed=seed, rms=rms) * 2**23)
    return np.clip(words, -(2**23), 2**23 - 1) * 2.0**-23


def off_db(plan, sound, start, end):
    """How far a stretch of a print is from the same of the whole, in dBFS."""
    of = source(plan, sound, RATE)
    off = Stretch(of, FLOAT, start, end).read(end - start) - make_print(of, FLOAT).words[:, start:end]
    return 20.0 * np.log10(np.abs(off).max() + 1e-12)


@given(data=st.data())
@settings(max_examples=20)
def test_after_silence_a_stretch_has_the_words_of_the_whole_print(data):
    """There all is at rest where it begins, so every sample has to be in its place, with its own noise."""
    plan = data.draw(songs(LENGTH_S))
    plan = replace(plan, finish=replace(plan.finish, dither="flat"))
    start = data.draw(st.integers(0, FRAMES - 2))
    end = data.draw(st.integers(start + 1, FRAMES))
    begin = begin_before(schedule(plan, RATE, FRAMES), start, RATE)
    sound = mix()
    sound[:, : begin + RINGS_AHEAD] = 0.0
    of = source(plan, sound, RATE)
    with pytest.MonkeyPatch.context() as cold:
        cold.setattr(stretch_module, "MOST_S", 0.0)
        stretch = Stretch(of, Word(24), start, end)
    parts = [stretch.read(1 + (end - start) // 3) for _ in range(3)]
    assert np.array_equal(np.concatenate(parts, axis=1), make_print(of, Word(24)).words[:, start:end])


@given(plan=songs(LENGTH_S), frame=st.integers(0, FRAMES - 1))
@settings(max_examples=25)
def test_a_render_never_begins_in_a_fade(plan, frame):
    scheduled = schedule(plan, RATE, FRAMES)
    begin = begin_before(scheduled, frame, RATE)
    assert begin <= frame
    assert begin % GRID == 0
    assert begin == 0 or any(
        isinstance(one, Hold) and one.span.start <= begin <= one.span.end for one in scheduled.stretches
    )


TONE = (
    HighPass(freq_hz=25.0, order=8),
    LowShelf(freq_hz=95.0, gain_db=0.7),
    Bell(freq_hz=40.0, gain_db=3.0, q=4.0),
    Bell(freq_hz=3_200.0, gain_db=-0.5, channel="mid", phase="linear"),
)
SLOW = Compressor(threshold_dbfs=-34.0, ratio=4.0, attack_ms=30.0, release_ms=1_000.0)
# After warm-ups of 3 s. Noise of -20 dBFS that is 20 dB softer from 2 s on, heard from 6 s on: what
# compressors and limiters did to the loud part is still to be seen. Measured: -240, -239, -86, -91 dBFS.
LEVEL = (Compressor(threshold_dbfs=-34.0), DynamicBell(freq_hz=300.0, threshold_dbfs=-50.0))
AFTER_3_S = {
    "tone": (TONE, None, -120.0),
    "level": (LEVEL, None, -120.0),
    "slow": ((SLOW,), None, -80.0),
    "limited": ((Gain(gain_db=10.0),), Limiter(release_ms=120.0), -85.0),
}


@pytest.mark.parametrize(("chain", "limiter", "most_db"), AFTER_3_S.values(), ids=AFTER_3_S.keys())
def test_after_three_seconds_next_to_nothing_is_left_to_remember(chain, limiter, most_db, monkeypatch):
    monkeypatch.setattr(stretch_module, "LEAST_S", 3.0)
    monkeypatch.setattr(stretch_module, "MOST_S", 3.0)
    sound = mix(7.0)
    sound[:, 2 * RATE :] *= 0.1
    plan = song([0.0, 6.3], "AB", {"A": chain, "B": ()}, finish=Finish(limiter=limiter))
    assert off_db(plan, sound, 6 * RATE, 7 * RATE) < most_db


def test_the_warm_up_lasts_as_long_as_the_longest_memory():
    def needed(*chain, limiter=None):
        plan = song([0.0], "A", {"A": chain}, finish=Finish(limiter=limiter))
        return warm_up_s(source(plan, mix(0.1), RATE))

    assert needed() == stretch_module.LEAST_S
    assert needed(Bell(freq_hz=20.0, gain_db=1.0, q=20.0)) > 5.0
    assert needed(Compressor(ratio=2.0, release_ms=800.0)) == pytest.approx(5.6)
    assert needed(Compressor(ratio=1.0, release_ms=800.0)) == stretch_module.LEAST_S
    assert needed(limiter=Limiter(release_ms=2_000.0)) == stretch_module.MOST_S


def test_a_join_long_enough_to_look_back_beyond_its_section_is_measured_as_in_the_whole():
    t = np.arange(6 * RATE) / RATE
    sound = noise(t.size, seed=4, rms=0.1) * np.where(t < 3.0, 0.05, 1.0)
    plan = song([0.0, 3.0, 5.9], "ABA", {"A": (), "B": (LowPass(freq_hz=300.0),)})
    long = replace(plan.section[2], join=Join(fade_ms=2_850.0))
    plan = replace(plan, section=(*plan.section[:2], long))
    assert off_db(plan, sound, 5 * RATE, 6 * RATE) < -150.0


def test_only_what_is_heard_runs():
    """A pass that the stretch does not reach is not opened."""
    plan = song([0.0, 2.0], "AB", {"A": (), "B": ()})
    plan = replace(plan, pass_={**plan.pass_, "B": Pass(print="prints/not-there.wav")})
    of = replace(source(plan, mix(), RATE), printed={})
    assert Stretch(of, Word(24), 0, RATE).read(RATE).shape == (2, RATE)
    with pytest.raises(KeyError):
        Stretch(of, Word(24), RATE, FRAMES)
