"""Differences in words: each in the trade's terms, none hidden, none invented."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.plan import edit
from arsis.plan.codec import read_song
from arsis.plan.compare import compare
from arsis.plan.model import Join, Pass, RidePoint, Song, Version, VersionPrint
from arsis.plan.words import change, described, quantity
from arsis.settings import (
    Bell,
    Compressor,
    Delay,
    DynamicBell,
    Gain,
    HighPass,
    Limiter,
    LowShelf,
    Polarity,
    Saturator,
    Tilt,
    Width,
)
from tests.plans_made import PROCESSOR, songs

SONG = read_song(Path(__file__).parent / "plans" / "v1" / "low-water.toml")
BELL = SONG.pass_["B"].chain[2]
assert isinstance(BELL, Bell)


def bell(**changes: object) -> Song:
    assert isinstance(BELL, Bell)
    return edit.set_processor(SONG, "B", 2, replace(BELL, **changes))  # type: ignore[arg-type]


SENTENCES = [
    (bell(gain_db=-0.8), "pass B: bell 3.2 kHz −0.5 → −0.8 dB"),
    (bell(gain_db=0.0), "pass B: bell 3.2 kHz −0.5 → 0.0 dB"),
    (bell(gain_db=-0.5004), "pass B: bell 3.2 kHz −0.5 → −0.5004 dB"),
    (bell(freq_hz=3500.0), "pass B: bell 3.2 → 3.5 kHz"),
    (bell(freq_hz=900.0, q=2.0), "pass B: bell 3.2 → 0.9 kHz, Q 1.1 → 2"),
    (bell(channel="side", phase="linear"), "pass B: bell 3.2 kHz channel mid → side, phase minimum → linear"),
    (bell(bypass=True), "pass B: bell 3.2 kHz bypassed"),
    (bell(bypass=True, gain_db=-0.8), "pass B: bell 3.2 kHz −0.5 → −0.8 dB, bypassed"),
    (edit.remove_processor(SONG, "B", 0), "pass B: gain +0.6 dB removed"),
    (edit.add_processor(SONG, "B", HighPass(freq_hz=30)), "pass B: high pass 30 Hz 12 dB/octave added"),
    (edit.move_processor(SONG, "B", 0, 2), "pass B: gain moves from place 1 to 3"),
    (edit.assign(SONG, "refrain 1", "A"), "refrain 1: pass B → A"),
    (edit.set_ride(SONG, "refrain 1", 0.6), "refrain 1: ride +0.4 → +0.6 dB"),
    (edit.move_start(SONG, "refrain 1", 38.12), "refrain 1 starts 38.095 → 38.120 s"),
    (edit.move_start(SONG, "refrain 1", 38.095239), "refrain 1 starts 38.095238 → 38.095239 s"),
    (edit.set_kind(SONG, "intro", "build"), "intro: kind intro → build"),
    (edit.set_join(SONG, "refrain 1", None), "refrain 1: join as usual"),
    (edit.set_join(SONG, "refrain 1", Join(fade_ms=15, lead_ms=8)), "refrain 1: join fade 12 → 15 ms"),
    (
        edit.set_join(SONG, "bridge", Join(fade_ms=15, lead_ms=2)),
        "bridge: join set to a fade of 15 ms, lead 2 ms",
    ),
    (edit.merge(SONG, "verse 1"), "verse 1 removed"),
    (edit.split(SONG, 60.0, "refrain 2"), "refrain 2 added at 60.000 s: chorus, pass B, ride +0.4 dB"),
    (edit.rename(SONG, "verse 1", "first verse"), "verse 1 → first verse: renamed"),
    (edit.set_pass(SONG, "D", Pass(chain=(Gain(gain_db=1),))), "pass D added: gain +1.0 dB"),
    (edit.set_pass(SONG, "D", Pass()), "pass D added: left alone"),
    (edit.set_pass(SONG, "A", Pass(note="x")), "pass A: note “everything else: left alone” → “x”"),
    (edit.remove_pass(edit.assign(SONG, "bridge", "A"), "C"), "pass C removed"),
    (
        edit.set_pass(SONG, "C", replace(SONG.pass_["C"], print="prints/2.wav")),
        "pass C: print prints/low-water-bridge.wav → print prints/2.wav",
    ),
    (edit.set_finish(SONG, limiter=Limiter(ceiling_dbtp=-0.5)), "finish: ceiling −1.0 → −0.5 dBTP"),
    (edit.set_finish(SONG, limiter=Limiter(lookahead_ms=4)), "finish: look-ahead 3 → 4 ms"),
    (edit.set_finish(SONG, limiter=None), "finish: limiter removed"),
    (edit.set_finish(SONG, gain_db=-0.25), "finish: gain 0.0 → −0.25 dB"),
    (edit.set_finish(SONG, dither="none"), "finish: dither flat → none"),
    (edit.draw_ride(SONG, SONG.ride[1:]), "ride: point at 100.000 s removed"),
    (
        edit.draw_ride(SONG, [SONG.ride[0], RidePoint(time_s=104, gain_db=0.8)]),
        "ride at 104.000 s +0.5 → +0.8 dB",
    ),
    (replace(SONG, version=(Version(name="clean", mix="c.wav", follow=False),)), "version clean: renamed"),
    (replace(SONG, version=()), "version instrumental removed"),
    (
        replace(SONG, version=(replace(SONG.version[0], print=(VersionPrint(pass_="C", file="c.wav"),)),)),
        "version instrumental: print of pass C added: c.wav",
    ),
    (replace(SONG, mix="mixes/2.wav"), "mix “mixes/low-water.wav” → “mixes/2.wav”"),
    (replace(SONG, mix_sha256="0" * 64), "the mix's checksum is another: the mix itself has changed"),
    (replace(SONG, mix_sha256=None), "the mix's checksum is no longer recorded"),
    (replace(SONG, title="High Water"), "title “Low Water” → “High Water”"),
]


@pytest.mark.parametrize(("after", "sentence"), SENTENCES, ids=[sentence for _, sentence in SENTENCES])
def test_a_change_is_told_in_the_words_of_the_trade(after: Song, sentence: str) -> None:
    if sentence == "version clean: renamed":
        assert compare(SONG, after) == [
            "version instrumental → clean: renamed",
            "version clean: mix “mixes/low-water-instrumental.wav” → “c.wav”",
            "version clean: follows the main version → on its own",
        ]
    elif sentence == "pass C removed":
        assert compare(SONG, after) == ["bridge: pass C → A", "pass C removed"]
    else:
        assert compare(SONG, after) == [sentence]


@given(songs(), songs())
@settings(derandomize=True, deadline=None, max_examples=100)
def test_equal_songs_and_only_they_have_no_difference(before: Song, after: Song) -> None:
    assert compare(before, before) == []
    assert (compare(before, after) == []) == (before == after)


@given(PROCESSOR, PROCESSOR)
@settings(derandomize=True, deadline=None, max_examples=200)
def test_any_change_of_a_processor_is_told(before: object, after: object) -> None:
    old = replace(SONG, pass_={"A": Pass(chain=(before,))})  # type: ignore[arg-type]
    new = replace(SONG, pass_={"A": Pass(chain=(after,))})  # type: ignore[arg-type]
    assert bool(compare(old, new)) == (before != after)


@given(st.floats(-60, 60), st.floats(-60, 60), st.sampled_from(["dB", "dBTP", "Hz", "ms", "s", ""]))
@settings(derandomize=True, deadline=None, max_examples=300)
def test_two_values_never_look_alike(before: float, after: float, unit: str) -> None:
    old, new = change(before, after, unit).split(" → ")
    if before != after:
        assert old != new.removesuffix(unit).strip()


def test_values_one_bit_apart_are_told_apart() -> None:
    assert change(0.1, 0.1 + 2**-56, "dB") == "+0.10000000000000001 → +0.10000000000000002 dB"
    assert change(999.99999, 1000.0, "Hz") == "0.99999999 → 1 kHz"
    assert change(1e-300, 2e-300, "dB") == "1e-300 → 2e-300 dB"


def test_a_long_ride_is_told_in_one_sentence() -> None:
    points = [RidePoint(time_s=n, gain_db=0.1) for n in range(40)]
    assert compare(SONG, edit.draw_ride(SONG, points)) == [
        "ride redrawn: 2 → 40 points, 42 of them added, removed or changed"
    ]


def test_far_apart_is_another_processor() -> None:
    before = edit.set_pass(SONG, "A", Pass(chain=(Bell(freq_hz=60, gain_db=1),)))
    after = edit.set_pass(SONG, "A", Pass(chain=(Bell(freq_hz=8000, gain_db=1),)))
    assert compare(before, after) == [
        "pass A: bell 60 Hz +1.0 dB Q 0.7 removed",
        "pass A: bell 8 kHz +1.0 dB Q 0.7 added",
    ]


@pytest.mark.parametrize(
    ("processor", "words"),
    [
        (Bell(freq_hz=3200, gain_db=-0.5, q=1.1, channel="mid"), "bell 3.2 kHz −0.5 dB Q 1.1 (mid)"),
        (Gain(gain_db=0.6), "gain +0.6 dB"),
        (Gain(gain_db=0.6, channel="mid", bypass=True), "gain +0.6 dB (bypassed, mid)"),
        (LowShelf(freq_hz=95, gain_db=0.7, phase="linear"), "low shelf 95 Hz +0.7 dB Q 0.7 (linear phase)"),
        (HighPass(freq_hz=30, order=4, q=2.0), "high pass 30 Hz 24 dB/octave"),
        (HighPass(freq_hz=30, q=1.0), "high pass 30 Hz 12 dB/octave Q 1"),
        (Tilt(gain_db=-0.25), "tilt 700 Hz −0.25 dB"),
        (Width(side_db=1.0, fold_below_hz=110), "width sides +1.0 dB, mono below 110 Hz"),
        (Delay(delay_frames=1.5, channel="left"), "delay 1.5 frames (left)"),
        (Polarity(channel="right"), "polarity turned (right)"),
        (Saturator(drive_db=2, even=0.3, mix=0.5), "saturator drive +2.0 dB, even 0.3 (mix 50 %)"),
        (
            Compressor(makeup_db=1, sidechain_high_pass_hz=90),
            "compressor 1.5:1 above −20 dBFS, knee 6.0 dB, attack 30 ms, release 200 ms, makeup +1.0 dB, "
            "detector above 90 Hz",
        ),
        (
            DynamicBell(freq_hz=6500),
            "dynamic bell 6.5 kHz up to −3.0 dB Q 1, 2:1 above −30 dBFS, attack 5 ms, release 80 ms",
        ),
        (Limiter(), "limiter −1.0 dBTP, look-ahead 3 ms, release 120 ms, most 1.5 dB"),
    ],
)
def test_a_processor_in_words(processor: object, words: str) -> None:
    assert described(processor) == words  # type: ignore[arg-type]


def test_quantities() -> None:
    assert quantity(-0.001, "dB") == "0.0 dB"
    assert quantity(1234.5, "Hz") == "1.23 kHz"
    assert quantity(0.0, "s") == "0.000 s"
