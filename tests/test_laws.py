"""The laws of sound (DESIGN section 5) over made-up plans and signals. Laws 4, 5 and 7 also have tests
of their own beside the limiter and the equaliser; law 6 beside the joins; law 9 beside files and commands."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.plan.model import Finish, Join, RidePoint
from arsis.render.words import Word
from arsis.settings import Bell, Gain, HighPass, Limiter, LowShelf

from .meter16 import true_peak_dbtp
from .render_plans import song, songs
from .renders import make_print, source, whole_words
from .signals import RATES, noise
from .tolerances import CEILING_DB

LENGTH_S = 0.6


def mix_for(rate_hz: int, seed: int = 1, rms: float = 0.1, channels: int = 2):
    """Noise as 24-bit words: as hard on a limiter as sound gets."""
    words = np.clip(
        np.round(noise(round(LENGTH_S * rate_hz), channels, seed, rms) * 2**23), -(2**23), 2**23 - 1
    )
    return words * 2.0**-23


# --- 1 do nothing, change nothing
NEUTRAL = {
    "empty": (),
    "zero": (Gain(), Bell(freq_hz=1_000.0, gain_db=0.0), LowShelf(freq_hz=90.0, channel="mid")),
}


@pytest.mark.parametrize("rate_hz", RATES)
@pytest.mark.parametrize("chain", NEUTRAL.values(), ids=NEUTRAL.keys())
@given(
    bits=st.sampled_from((16, 24, 32)),
    more=st.sampled_from((0, 8)),
    seed=st.integers(0, 99),
    channels=st.integers(1, 2),
)
@settings(max_examples=6)
def test_law_1_a_plan_that_does_nothing_gives_the_mix_bit_for_bit(rate_hz, chain, bits, more, seed, channels):
    words = whole_words(round(0.2 * rate_hz), bits, seed, channels=channels)
    if channels == 1:
        chain = tuple(link for link in chain if getattr(link, "channel", "stereo") == "stereo")
    plan = song([0.0, 0.1], "AB", {"A": chain, "B": ()}, finish=Finish(chain=chain, limiter=Limiter()))
    out = Word(min(32, bits + more) if bits != 24 else 24 + more)
    made = make_print(source(plan, words * 2.0 ** (1 - bits), rate_hz, bits), out)
    assert np.array_equal(made.words, words.astype(np.int64) << (out.bits - bits))


def test_law_1_a_floating_point_mix_passes_bit_for_bit():
    mix = noise(20_000, seed=2).astype(np.float32).astype(np.float64)
    made = make_print(
        source(song([0.0], "A", {"A": ()}), mix, 48_000, 32, is_float=True), Word(32, is_float=True)
    )
    assert np.array_equal(made.words, mix)


def test_law_1_dither_comes_only_where_the_plan_changed_something():
    """Two sections, one untouched: its words are the mix's, the other's are dithered."""
    words = whole_words(48_000, 24, 3)
    plan = song([0.0, 0.5], "AB", {"A": (), "B": (Gain(gain_db=-0.7),)})
    made = make_print(source(plan, words * 2.0**-23, 48_000), Word(24))
    before = round(0.5 * 48_000) - round(0.022 * 48_000)
    assert np.array_equal(made.words[:, :before], words[:, :before])
    exact = np.round(words[:, 24_000:] * 10 ** (-0.7 / 20)).astype(int)
    off = made.words[:, 24_000:] - exact
    assert 0.2 < np.mean(off != 0) < 0.8  # noise of plus and minus a step, not rounding alone
    assert np.max(np.abs(off)) <= 2


def test_law_1_a_reduced_word_length_is_always_dithered():
    words = whole_words(48_000, 24, 4)
    made = make_print(source(song([0.0], "A", {"A": ()}), words * 2.0**-23, 48_000), Word(16))
    off = made.words - words / 256.0
    # TPDF over a uniform remainder: variance of a quarter of a step squared (check values, section 6)
    assert np.var(off) == pytest.approx(0.25, rel=0.05)


# --- 2 blocks don't matter
@pytest.mark.parametrize("rate_hz", RATES)
@given(data=st.data(), blocks=st.sampled_from((1_000, 4_097, 16_384)), threads=st.sampled_from((1, 2)))
@settings(max_examples=6)
def test_law_2_block_size_and_threads_never_change_a_sample(rate_hz, data, blocks, threads):
    plan = data.draw(songs(LENGTH_S))
    of = source(plan, mix_for(rate_hz), rate_hz)
    whole = make_print(of, Word(24), block_frames=10**7)
    assert np.array_equal(make_print(of, Word(24), block_frames=blocks, threads=threads).words, whole.words)


# --- 3 in place
@pytest.mark.parametrize("rate_hz", RATES)
@given(at=st.floats(0.05, 0.95), phase=st.sampled_from(("minimum", "linear")), limited=st.booleans())
@settings(max_examples=8)
def test_law_3_an_impulse_stays_where_it_was(rate_hz, at, phase, limited):
    frames = round(LENGTH_S * rate_hz)
    mix = np.zeros((2, frames))
    mix[:, round(at * frames)] = 0.5
    bell = Bell(freq_hz=3_000.0, gain_db=1.5, phase=phase)
    plan = song(
        [0.0, 0.3],
        "AB",
        {"A": (bell,), "B": (replace(bell, phase="linear"), Gain(gain_db=0.5))},
        finish=Finish(limiter=Limiter(ceiling_dbtp=-1.0) if limited else None, dither="none"),
    )
    made = make_print(source(plan, mix, rate_hz), Word(24))
    assert made.words.shape == mix.shape
    assert np.argmax(np.abs(made.words[0])) == round(at * frames)


# --- 4 the ceiling holds
@pytest.mark.parametrize("rate_hz", RATES)
@given(data=st.data(), ceiling=st.sampled_from((-0.1, -1.0, -6.0)), gain_db=st.sampled_from((0.0, 6.0, 20.0)))
@settings(max_examples=4)
def test_law_4_the_ceiling_holds_on_every_print(rate_hz, data, ceiling, gain_db):
    plan = data.draw(songs(LENGTH_S))
    finish = replace(plan.finish, gain_db=gain_db, limiter=Limiter(ceiling_dbtp=ceiling), dither="flat")
    made = make_print(source(replace(plan, finish=finish), mix_for(rate_hz, rms=0.2), rate_hz), Word(24))
    assert true_peak_dbtp(made.sound) <= ceiling + CEILING_DB


@pytest.mark.parametrize(("from_hz", "to_hz"), [(96_000, 44_100), (44_100, 48_000), (48_000, 96_000)])
def test_law_4_the_ceiling_holds_at_the_delivered_rate(from_hz, to_hz):
    plan = song([0.0], "A", {"A": (Gain(gain_db=9.0),)}, finish=Finish(limiter=Limiter()))
    made = make_print(source(plan, mix_for(from_hz, rms=0.2), from_hz), Word(24), out_rate_hz=to_hz)
    assert made.words.shape[1] == round(round(LENGTH_S * from_hz) * to_hz / from_hz)
    assert true_peak_dbtp(made.sound) <= -1.0 + CEILING_DB


# --- 5 hands off below the ceiling
@pytest.mark.parametrize("rate_hz", RATES)
@given(data=st.data())
@settings(max_examples=4)
def test_law_5_a_limiter_that_is_not_needed_changes_no_bit(rate_hz, data):
    plan = data.draw(songs(LENGTH_S))
    finish = replace(plan.finish, gain_db=-24.0)
    mix = mix_for(rate_hz, rms=0.05)
    without = make_print(source(replace(plan, finish=replace(finish, limiter=None)), mix, rate_hz), Word(24))
    guarded = make_print(
        source(replace(plan, finish=replace(finish, limiter=Limiter())), mix, rate_hz), Word(24)
    )
    assert np.array_equal(guarded.words, without.words)


# --- 6 a join of equals is no join
@pytest.mark.parametrize("rate_hz", RATES)
@given(data=st.data(), cut=st.floats(0.05, 0.95))
@settings(max_examples=4)
def test_law_6_splitting_a_section_changes_no_bit(rate_hz, data, cut):
    plan = data.draw(songs(LENGTH_S))
    first = plan.section[-1]
    middle = round(first.start_s + cut * (LENGTH_S - first.start_s), 6)
    split = replace(
        plan, section=(*plan.section, replace(first, name="second half", start_s=middle, join=Join()))
    )
    mix = mix_for(rate_hz)
    assert np.array_equal(
        make_print(source(plan, mix, rate_hz)).words, make_print(source(split, mix, rate_hz)).words
    )


# --- 8 the same again
@given(data=st.data())
@settings(max_examples=4)
def test_law_8_the_same_plan_gives_the_same_words(data):
    plan = data.draw(songs(LENGTH_S))
    mix = mix_for(44_100)
    first, second = (make_print(source(plan, mix, 44_100), Word(16)).words for _ in range(2))
    assert np.array_equal(first, second)


# --- 11 say what was taken
def stepped(gain_db: float, limiter: Limiter | None, rate_hz: int = 44_100):
    """Eight seconds of steady noise; the second half is asked to be louder by 1 dB."""
    mix = noise(8 * rate_hz, seed=5, rms=0.05)
    plan = song([0.0, 4.0], "AA", {"A": ()}, [0.0, 1.0], finish=Finish(gain_db=gain_db, limiter=limiter))
    return make_print(source(plan, mix, rate_hz), Word(24))


def test_law_11_a_step_that_arrives_is_said_to_have_arrived():
    made = stepped(0.0, Limiter())
    assert made.ear.steps_asked_db() == (None, pytest.approx(1.0))
    assert made.ear.section_took()[1].step_db == pytest.approx(0.0, abs=1e-3)
    assert made.ear.took.whole().max_db == 0.0


def test_law_11_what_the_limiter_takes_of_a_step_is_said():
    """Driven hard, the limiter eats the step; loudness before and after says how much."""
    made = stepped(18.0, Limiter(ceiling_dbtp=-1.0))
    taken = made.ear.section_took()[1]
    assert taken.max_db > 3.0
    assert taken.step_db > 0.5
    levels = [float(np.mean(made.sound[:, a:b] ** 2)) for a, b in ((44_100, 170_000), (180_000, 340_000))]
    arrived = 10 * np.log10(levels[1] / levels[0])  # white noise: power says what loudness would
    assert 1.0 - taken.step_db == pytest.approx(arrived, abs=0.05)


def test_law_11_a_drawn_ride_counts_as_asked():
    mix = noise(4 * 44_100, seed=6)
    ride = (RidePoint(time_s=1.9, gain_db=0.0), RidePoint(time_s=2.0, gain_db=2.0))
    made = make_print(source(song([0.0, 2.0], "AA", {"A": ()}, ride=ride), mix, 44_100))
    assert made.ear.steps_asked_db()[1] == pytest.approx(2.0 - 2.0 * 0.05 / 2.0, abs=0.01)


def test_two_names_for_one_treatment_are_one_voice():
    mix = mix_for(44_100)
    chain = (Bell(freq_hz=300.0, gain_db=-1.0), Gain())
    two = song([0.0, 0.3], "AB", {"A": chain, "B": chain[:1]})
    one = song([0.0], "A", {"A": chain})
    assert np.array_equal(
        make_print(source(two, mix, 44_100)).words, make_print(source(one, mix, 44_100)).words
    )


def test_every_processor_may_stand_in_a_pass_and_in_the_finish():
    chain = (HighPass(freq_hz=25.0), Bell(freq_hz=200.0, gain_db=-0.5, channel="side"))
    plan = song([0.0, 0.3], "AB", {"A": chain, "B": chain[:1]}, finish=Finish(chain=chain, limiter=Limiter()))
    made = make_print(source(plan, mix_for(44_100), 44_100))
    assert np.isfinite(made.sound).all()
