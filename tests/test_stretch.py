"""Law 2, where a render starts: a stretch after a change has the words of the whole print there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.errors import PlanError
from arsis.plan.model import Finish, Join, Pass
from arsis.render import stretch as stretch_module
from arsis.render.stretch import Stretch
from arsis.render.words import Word
from arsis.settings import Bell, Compressor, Gain, Limiter, LowPass

from .render_plans import song, songs
from .renders import make_print, source
from .signals import noise

RATE = 44_100
LENGTH_S = 3.0


@pytest.fixture(autouse=True)
def close_checkpoints(monkeypatch):
    monkeypatch.setattr(stretch_module, "CHECKPOINT_S", 0.4)


def mix():
    words = np.round(noise(round(LENGTH_S * RATE), seed=3, rms=0.1) * 2**23)
    return np.clip(words, -(2**23), 2**23 - 1) * 2.0**-23


def whole(plan):
    return make_print(source(plan, mix(), RATE), Word(24)).words


@given(data=st.data())
@settings(max_examples=15)
def test_stretches_of_changing_plans_are_what_the_whole_print_has(data):
    plans = data.draw(st.lists(songs(LENGTH_S), min_size=1, max_size=3))
    stretch = Stretch(source(plans[0], mix(), RATE), Word(24))
    for plan in plans:
        start = data.draw(st.integers(0, round(LENGTH_S * RATE) - 2))
        end = data.draw(st.integers(start + 1, round(LENGTH_S * RATE)))
        assert np.array_equal(stretch.words(plan, start, end), whole(plan)[:, start:end])


@given(
    gains=st.lists(st.floats(-3.0, 3.0), min_size=1, max_size=4),
    start=st.integers(0, 2 * RATE),
    name=st.sampled_from("AB"),
)
@settings(max_examples=15)
def test_a_band_that_is_dragged_gives_the_same_words_as_a_new_print(gains, start, name):
    """One band of one pass changes several times, as under a hand; checkpoints are used in between."""
    chain = (Bell(freq_hz=90.0, gain_db=1.0), Compressor(threshold_dbfs=-24.0), Gain(gain_db=0.5))
    plan = song(
        [0.0, 1.1, 1.9],
        "ABA",
        {"A": chain[:1], "B": chain},
        finish=Finish(gain_db=6.0, limiter=Limiter()),
    )
    stretch = Stretch(source(plan, mix(), RATE), Word(24))
    stretch.words(plan, start, start + RATE)
    for gain_db in gains:
        moved = replace(chain[0], gain_db=gain_db)
        treatment = Pass(chain=(moved, *plan.pass_[name].chain[1:]))
        plan = replace(plan, pass_={**plan.pass_, name: treatment})
        assert np.array_equal(stretch.words(plan, start, start + RATE), whole(plan)[:, start : start + RATE])


def test_a_join_made_long_enough_to_look_back_beyond_its_section_is_measured_anew():
    """The fade of the last join reaches back over the one before it, past the last checkpoints."""
    t = np.arange(6 * RATE) / RATE
    sound = noise(t.size, seed=4, rms=0.1) * np.where(t < 3.0, 0.05, 1.0)
    plan = song([0.0, 3.0, 5.9], "ABA", {"A": (), "B": (LowPass(freq_hz=300.0),)})
    stretch = Stretch(source(plan, sound, RATE), Word(24))
    stretch.words(plan, 5 * RATE, 6 * RATE)
    long = replace(plan.section[2], join=Join(fade_ms=2_850.0))
    longer = replace(plan, section=(*plan.section[:2], long))
    want = make_print(source(longer, sound, RATE), Word(24)).words[:, 5 * RATE : 6 * RATE]
    assert np.array_equal(stretch.words(longer, 5 * RATE, 6 * RATE), want)


def test_a_pass_printed_elsewhere_that_is_not_open_is_refused():
    """It must not be the mix instead."""
    plan = song([0.0], "A", {"A": ()})
    other = replace(plan, pass_={"A": Pass(print="prints/a.wav")})
    with pytest.raises(PlanError, match="opened anew"):
        Stretch(source(plan, mix(), RATE), Word(24)).words(other, 0, 100)
