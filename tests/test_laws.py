"""The laws of sound (DESIGN section 5) over made-up plans and signals. Laws 4, 5 and 7 also have tests
of their own beside the limiter and the equaliser; law 6 beside the joins; law 9 beside files and commands."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.plan.model import Finish, Join, Pass, RidePoint
from arsis.render.schedule import schedule
from arsis.render.words import Word
from arsis.settings import Bell, Gain, Limiter, LowShelf

from .dithered import FLOOR_DBFS, floor_db, highest_fit_dbfs, tone_db
from .meter16 import true_peak_dbtp
from .render_plans import chains, song, songs
from .renders import make_print, source, whole_words
from .signals import RATES, noise, sine
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


def test_law_1_at_16_bits_the_floor_is_the_one_of_the_standards():
    """TPDF: -93.32 dBFS, where a sine of full scale is 0 (AES17; check values, section 6)."""
    made = make_print(source(song([0.0], "A", {"A": ()}), np.zeros((2, 1 << 19)), 44_100), Word(16))
    power_dbfs = 10 * np.log10(2 * np.mean(made.sound**2))
    assert power_dbfs == pytest.approx(FLOOR_DBFS, abs=floor_db(made.sound.size))


@pytest.mark.parametrize(("dither", "distorts"), [("flat", False), ("none", True)])
def test_law_1_a_tone_below_a_step_keeps_its_level_and_gets_no_harmonics(dither, distorts):
    """-90 dBFS is one step of 16 bits; rounded without noise it is a pulse with harmonics at -104 dBFS."""
    frames = 1 << 19
    bin_ = round(997.0 * frames / 44_100)
    tone = sine(bin_ * 44_100 / frames, 44_100, frames / 44_100, peak=10 ** (-90 / 20))
    plan = song([0.0], "A", {"A": ()}, finish=Finish(dither=dither))
    made = make_print(source(plan, tone, 44_100), Word(16))
    level_db = 20 * np.log10(np.abs(np.fft.rfft(made.sound[0])) * 2 / frames + 1e-15)
    harmonics_db = level_db[2 * bin_ :: bin_][:15]
    if distorts:
        assert harmonics_db.max() > -105.0
    else:
        assert harmonics_db.max() < highest_fit_dbfs(frames, len(harmonics_db))  # -136.7
        assert level_db[bin_] == pytest.approx(-90.0, abs=tone_db(frames, -90.0))


@given(data=st.data(), bits=st.sampled_from((16, 24)))
@settings(max_examples=10)
def test_law_1_a_bypassed_processor_is_one_that_is_not_there(data, bits):
    """Joins, asked steps, untouched words and dither included."""
    plan = data.draw(songs(LENGTH_S))
    idle, place = data.draw(chains(most=3)), data.draw(st.integers(0, 3))
    with_idle, without = (_with_idle(plan, place, links) for links in (idle, ()))
    bypassed, gone = (
        make_print(source(one, mix_for(44_100), 44_100), Word(bits)) for one in (with_idle, without)
    )
    assert np.array_equal(bypassed.words, gone.words)
    assert bypassed.joins == gone.joins
    assert bypassed.ear.steps_asked_db() == gone.ear.steps_asked_db()


def _with_idle(plan, place, links):
    """The plan with these links bypassed at a place of every chain."""
    idle = tuple(replace(link, bypass=True) for link in links)

    def longer(chain):
        return (*chain[:place], *idle, *chain[place:])

    passes = {name: replace(one, chain=longer(one.chain)) for name, one in plan.pass_.items()}
    return replace(plan, pass_=passes, finish=replace(plan.finish, chain=longer(plan.finish.chain)))


# --- 2 blocks don't matter
@pytest.mark.parametrize("rate_hz", RATES)
@given(
    data=st.data(),
    channels=st.integers(1, 2),
    blocks=st.sampled_from((1_000, 4_097, 16_384)),
    threads=st.integers(1, 2),
    bits=st.sampled_from((16, 24)),
)
@settings(max_examples=8)
def test_law_2_block_size_and_threads_never_change_a_sample(rate_hz, data, channels, blocks, threads, bits):
    plan = data.draw(songs(LENGTH_S, channels))
    out_rate_hz = data.draw(st.sampled_from((rate_hz, 44_100)))
    of = source(plan, mix_for(rate_hz, channels=channels), rate_hz)
    whole, pieces = (
        make_print(of, Word(bits), out_rate_hz=out_rate_hz, **how)
        for how in ({"block_frames": 10**7}, {"block_frames": blocks, "threads": threads})
    )
    assert np.array_equal(pieces.words, whole.words)
    assert pieces.joins == whole.joins


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


@pytest.mark.parametrize(("from_hz", "to_hz"), [(96_000, 48_000), (192_000, 48_000), (88_200, 44_100)])
@given(at=st.integers(2_000, 18_000), limited=st.booleans())
@settings(max_examples=4)
def test_law_3_an_impulse_stays_where_it_was_at_a_lower_rate(from_hz, to_hz, at, limited):
    times = from_hz // to_hz
    mix = np.zeros((2, 20_000 * times + 1))
    mix[:, at * times] = 0.9
    plan = song(
        [0.0, 0.1],
        "AB",
        {"A": (Bell(freq_hz=3_000.0, gain_db=1.5, phase="linear"),), "B": ()},
        finish=Finish(gain_db=9.0, limiter=Limiter() if limited else None),
    )
    made = make_print(source(plan, mix, from_hz), Word(24), out_rate_hz=to_hz)
    assert made.words.shape == (2, 20_001 if times == 2 else 20_000)  # halves upwards
    assert np.argmax(np.abs(made.words[0])) == at


# --- 4 the ceiling holds
@pytest.mark.parametrize("rate_hz", RATES)
@given(data=st.data(), ceiling=st.sampled_from((-0.1, -1.0, -6.0)), gain_db=st.sampled_from((0.0, 6.0, 20.0)))
@settings(max_examples=4)
def test_law_4_the_ceiling_holds_on_every_print(rate_hz, data, ceiling, gain_db):
    plan = data.draw(songs(LENGTH_S))
    finish = replace(plan.finish, gain_db=gain_db, limiter=Limiter(ceiling_dbtp=ceiling), dither="flat")
    of = source(replace(plan, finish=finish), mix_for(rate_hz, rms=0.2), rate_hz)
    made = make_print(of, Word(24), out_rate_hz=data.draw(st.sampled_from((rate_hz, 44_100, 96_000))))
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


def test_a_pass_that_no_section_has_never_stands_for_one_that_does_the_same():
    """It is not opened: were it the voice of its like, the mix would be heard in its place."""
    plan = song([0.0], "B", {"A": (), "B": ()})
    printed = Pass(print="prints/outboard.wav")
    plan = replace(plan, pass_={"A": printed, "B": printed})
    assert schedule(plan, 44_100, 44_100).passes == ("B",)
