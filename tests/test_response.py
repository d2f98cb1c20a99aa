"""The curve of a chain: against the sound that the chain's own runner makes, and against closed forms."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings

from arsis.audio import Block, silence
from arsis.errors import DocumentError, PlanError
from arsis.plan.codec import parse_song, read_song
from arsis.plan.model import Finish, Song
from arsis.plan.table import as_table
from arsis.process import ChainRunner, apply, drain
from arsis.render.opening import open_source
from arsis.settings import (
    Bell,
    Compressor,
    DynamicBell,
    Gain,
    HighPass,
    Limiter,
    LowPass,
    LowShelf,
    Polarity,
    Processor,
    Saturator,
    Width,
)
from arsis.workflow import spectrum
from arsis.workflow.response import ChainResponse, chain_response, song_chain_response
from arsis.workflow.spectrum import ChainSpectrum, chain_spectrum
from tests.releases import SmallRelease, write
from tests.render_plans import chains
from tests.signals import noise, sine
from tests.tolerances import ANALOGUE_DB, BAND_NOISE_DB, DELAY_DB, LEVEL_DB

RATE = 44_100
SOUNDS = {
    "everything": (1.0, 0.0),
    "middle": (1.0, 1.0),
    "sides": (1.0, -1.0),
    "left": (1.0, 0.0),
    "right": (0.0, 1.0),
}
# An impulse that no detector hears and no curve bends, late enough for the ringing of linear phase.
IMPULSE, AT, FRAMES = 1e-4, 1 << 16, 1 << 18


def heard_db(chain: tuple[Processor, ...], sound: tuple[float, float], freq_hz: Block) -> Block:
    """Level of what an impulse comes out as, over both channels, at each frequency."""
    x = silence(2, FRAMES)
    x[:, AT] = IMPULSE * np.array(sound)
    y = drain(ChainRunner(chain, RATE, 2), x) / IMPULSE
    turns = np.exp(-2j * np.pi * freq_hz[:, None] * (np.arange(FRAMES) - AT) / RATE)
    power = np.sum(np.abs(turns @ y.T) ** 2, axis=1) / np.sum(np.square(sound))
    return 10.0 * np.log10(np.maximum(power, 1e-12))


@given(chain=chains(most=3))
@settings(max_examples=25)
def test_the_curve_is_what_an_impulse_through_the_chain_comes_out_as(chain: tuple[Processor, ...]) -> None:
    """Also where channels go into each other; compressors and the like rest under an impulse so small."""
    found = chain_response(chain, RATE, 2)
    some = slice(20, 290, 45)
    for whole in found.wholes:
        measured_db = heard_db(chain, SOUNDS[whole.of], found.freq_hz[some])
        told_db = np.maximum(whole.db[some], -120.0)
        deep = np.minimum(told_db, measured_db) < -60.0  # what is left there is rounding and ringing
        np.testing.assert_allclose(told_db[~deep], measured_db[~deep], rtol=0, atol=DELAY_DB)


def only(chain: tuple[Processor, ...], rate_hz: int = RATE) -> tuple[Block, Block]:
    """Grid and curve of a chain that treats everything alike."""
    found = chain_response(chain, rate_hz, 2)
    assert [whole.of for whole in found.wholes] == ["everything"]
    return found.freq_hz, found.wholes[0].db


@pytest.mark.parametrize("rate_hz", [44_100, 96_000])
@pytest.mark.parametrize("phase", ["minimum", "linear"])
def test_the_curve_of_a_bell_is_the_cookbooks(rate_hz: int, phase: str) -> None:
    """H(s) = (s² + s A/Q + 1) / (s² + s/(AQ) + 1), A = 10^(gain/40): R. Bristow-Johnson, "Cookbook formulae
    for audio EQ biquad filter coefficients", peakingEQ."""
    freq_hz, db = only((Bell(freq_hz=3_000.0, gain_db=4.0, q=1.4, phase=phase),), rate_hz)
    s, a = 1j * freq_hz / 3_000.0, 10.0 ** (4.0 / 40.0)
    want = (s**2 + s * a / 1.4 + 1.0) / (s**2 + s / (a * 1.4) + 1.0)
    to = freq_hz <= 16_000.0
    np.testing.assert_allclose(db[to], 20.0 * np.log10(np.abs(want[to])), rtol=0, atol=ANALOGUE_DB)


def test_the_curve_of_a_pass_is_butterworths() -> None:
    """|H|² = 1 / (1 + (fc/f)^2n): S. Butterworth, "On the theory of filter amplifiers", 1930."""
    freq_hz, db = only((HighPass(freq_hz=40.0, order=4),))
    want = -10.0 * np.log10(1.0 + (40.0 / freq_hz) ** 8)
    near = (want > -20.0) & (freq_hz <= 16_000.0)
    np.testing.assert_allclose(db[near], want[near], rtol=0, atol=ANALOGUE_DB)


def test_the_grid_goes_from_the_lowest_to_close_under_half_the_rate() -> None:
    freq_hz, db = only((), 96_000)
    assert (freq_hz[0], freq_hz[-1], len(freq_hz)) == (pytest.approx(10.0), pytest.approx(47_040.0), 300)
    np.testing.assert_allclose(np.diff(np.log(freq_hz)), np.log(4_704.0) / 299, rtol=1e-9)
    assert not db.any()


def of(found: ChainResponse) -> dict[str, float]:
    """The level of each whole at 1 kHz or so."""
    place = int(np.argmin(np.abs(found.freq_hz - 1_000.0)))
    return {whole.of: whole.db[place] for whole in found.wholes}


def near(**levels: float) -> dict[str, object]:
    return {name: pytest.approx(db, abs=LEVEL_DB) for name, db in levels.items()}


def test_channels_are_told_apart_where_the_chain_does() -> None:
    up, sides = Gain(gain_db=1.0), Width(side_db=-3.0)
    middle = Gain(gain_db=2.0, channel="mid")
    left = replace(middle, channel="left")
    assert of(chain_response((up,), RATE, 2)) == near(everything=1.0)
    assert of(chain_response((up, middle, sides), RATE, 2)) == near(middle=3.0, sides=-2.0)
    assert of(chain_response((up, left), RATE, 2)) == near(left=3.0, right=1.0)
    assert of(chain_response((up, middle), RATE, 1)) == near(everything=3.0)
    # A sign turned on the right makes sides of the middle: what a link of the sides does, it does to that.
    turned = chain_response((Polarity(channel="right"), replace(sides, side_db=-60.0)), RATE, 2)
    half_db = 10.0 * np.log10(0.5 * (1.0 + 1e-6))
    assert of(turned) == near(left=half_db, right=half_db)


def test_each_link_has_a_curve_of_its_own_and_says_where_it_works() -> None:
    chain = (
        Bell(freq_hz=1_000.0, gain_db=2.0, channel="side"),
        Compressor(),
        Saturator(),
        Gain(gain_db=1.0, bypass=True),
        Gain(),
        Width(fold_below_hz=100.0),
    )
    found = chain_response(chain, RATE, 2).links
    assert [(one.channel, one.works, one.db is None) for one in found] == [
        ("side", True, False),
        ("stereo", True, True),
        ("stereo", True, True),
        ("stereo", False, True),
        ("stereo", False, True),
        ("side", True, False),
    ]
    assert all(one.most_db is None for one in found)


def test_a_dynamic_bell_has_two_curves_and_loud_sound_reaches_the_second() -> None:
    bell = DynamicBell(freq_hz=2_000.0, q=1.0, range_db=-6.0, threshold_dbfs=-60.0, ratio=100.0)
    found = chain_response((Gain(gain_db=1.0), bell), RATE, 2)
    [whole] = found.wholes
    assert found.links[1].db is None
    assert whole.most_db is not None
    assert found.links[1].most_db is not None
    np.testing.assert_allclose(whole.db, 1.0, rtol=0, atol=LEVEL_DB)
    np.testing.assert_allclose(whole.most_db - whole.db, found.links[1].most_db, rtol=0, atol=LEVEL_DB)
    for freq_hz in (1_000.0, 2_000.0, 3_500.0):
        x = sine(freq_hz, RATE, 1.0, peak=1.0)
        steady = slice(RATE // 2, RATE)
        y = apply(bell, x, RATE)
        heard_db = 10.0 * np.log10(np.mean(y[0, steady] ** 2) / np.mean(x[0, steady] ** 2))
        told_db = np.interp(freq_hz, found.freq_hz, found.links[1].most_db)
        assert heard_db == pytest.approx(told_db, abs=ANALOGUE_DB)


def test_nothing_that_passes_has_no_level() -> None:
    freq_hz, db = only((LowPass(freq_hz=100.0, order=8), LowPass(freq_hz=100.0, order=8)))
    assert db[freq_hz > 10_000.0].max() < -500.0
    assert not np.isnan(db).any()


def test_what_a_print_would_refuse_is_refused() -> None:
    with pytest.raises(PlanError, match="needs a stereo mix"):
        chain_response((Gain(gain_db=1.0, channel="left"),), RATE, 1)
    with pytest.raises(PlanError, match="linear phase"):
        chain_response((Bell(freq_hz=5.0, gain_db=6.0, q=20.0, phase="linear"),), RATE, 2)


def test_tables_are_checked_as_a_documents_are(pristine_release: SmallRelease) -> None:
    song = read_song(pristine_release.plan)
    whole = song_chain_response(pristine_release.folder, song, as_table(song)["pass"]["B"]["chain"])
    assert len(whole.links) == 2
    with pytest.raises(DocumentError) as caught:
        song_chain_response(
            pristine_release.folder, song, [{"kind": "bell", "freq_hz": 3}, {"kind": "sparkle"}]
        )
    assert [fault.key for fault in caught.value.faults] == ["finish.chain[1].freq_hz", "finish.chain[2].kind"]


def spectrum_of(release: Path, song: Song, owner: str | None) -> ChainSpectrum:
    with ExitStack() as stack:
        return chain_spectrum(lambda plan: open_source(plan, release, stack), song, owner)


def spread(pass_db: float = 0.0, bell: str = "") -> str:
    """A plan of three sections over twelve seconds, the second through a bell."""
    return f"""schema = 1
title = "Spread"
mix = "mixes/spread.wav"
section = [
  {{ name = "one", start_s = 0.0, pass = "A" }},
  {{ name = "two", start_s = 2.0, pass = "B" }},
  {{ name = "three", start_s = 10.0, pass = "A" }},
]
[pass.A]
chain = [{{ kind = "gain", gain_db = {pass_db} }}]
[pass.B]
chain = [{bell}]
[pass.C]
chain = []
"""


@pytest.fixture(scope="module")
def noise_release(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """White noise, ten times as loud in the second section."""
    folder = tmp_path_factory.mktemp("spread")
    sound = noise(12 * RATE, rms=0.01)
    sound[:, 2 * RATE : 10 * RATE] *= 10.0
    write(folder / "mixes" / "spread.wav", sound, "DOUBLE")
    return folder


def test_the_spectrum_is_of_the_sections_that_use_the_pass(noise_release: Path) -> None:
    song = parse_song(spread(pass_db=-2.0))
    loud, soft = (spectrum_of(noise_release, song, name) for name in "BA")
    assert (loud.sections, soft.sections) == (("two",), ("one", "three"))
    assert (loud.heard_s, soft.heard_s) == (pytest.approx(8.0), pytest.approx(4.0))
    np.testing.assert_array_equal(loud.after_db, loud.before_db)
    np.testing.assert_allclose(soft.after_db - soft.before_db, -2.0, rtol=0, atol=LEVEL_DB)
    # White noise of rms r: a band of bandwidth B holds r² B / (rate / 2).
    high = loud.freq_hz > 1_000.0
    share = loud.freq_hz * (2.0 ** (1 / 12) - 2.0 ** (-1 / 12)) / (RATE / 2.0)
    np.testing.assert_allclose(
        loud.before_db[high], 10.0 * np.log10(0.1**2 * share[high]), rtol=0, atol=BAND_NOISE_DB
    )


def test_a_pass_that_no_section_uses_is_measured_over_the_song(noise_release: Path) -> None:
    found = spectrum_of(noise_release, parse_song(spread()), "C")
    assert (found.sections, found.heard_s) == ((), pytest.approx(12.0))


def test_what_is_measured_follows_the_curve(noise_release: Path) -> None:
    """A linear bell, late by thousands of frames, and one that has to settle: both in place and at rest."""
    bells = """{ kind = "bell", freq_hz = 2000.0, gain_db = 6.0, phase = "linear" },
      { kind = "bell", freq_hz = 100.0, gain_db = -4.0 }"""
    song = parse_song(spread(bell=bells))
    found = spectrum_of(noise_release, song, "B")
    told = chain_response(song.pass_["B"].chain, RATE, 2)
    told_db = np.interp(found.freq_hz, told.freq_hz, told.wholes[0].db)
    wide = found.freq_hz > 60.0  # narrower bands than the meter's bins say nothing here
    np.testing.assert_allclose(
        (found.after_db - found.before_db)[wide], told_db[wide], rtol=0, atol=ANALOGUE_DB
    )


def test_a_long_section_is_heard_in_its_middle(noise_release: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(spectrum, "MOST_HEARD_S", 3.0)
    found = spectrum_of(noise_release, parse_song(spread()), "B")
    assert found.heard_s == pytest.approx(3.0)
    high = found.freq_hz > 1_000.0
    monkeypatch.undo()
    whole = spectrum_of(noise_release, parse_song(spread()), "B")
    np.testing.assert_allclose(found.before_db[high], whole.before_db[high], rtol=0, atol=BAND_NOISE_DB)


def test_a_pass_printed_elsewhere_is_heard_as_it_was_printed(pristine_release: SmallRelease) -> None:
    """tests/releases.py: the print is the mix 0.42 dB louder and 37 frames late."""
    found = spectrum_of(pristine_release.folder, read_song(pristine_release.plan), "C")
    louder = found.after_db - found.before_db
    np.testing.assert_allclose(louder, 20.0 * np.log10(1.05), rtol=0, atol=DELAY_DB)


def test_a_pass_that_is_not_there_is_told(pristine_release: SmallRelease) -> None:
    with pytest.raises(PlanError, match="no pass 'X' in 'Small Hours'; it has A, B, C"):
        spectrum_of(pristine_release.folder, read_song(pristine_release.plan), "X")


def test_the_finish_has_the_ridden_passes_before_it_and_its_gain_behind(noise_release: Path) -> None:
    """The soft sections are ridden up to the loud one: before the finish all are equally loud."""
    song = parse_song(spread(pass_db=8.0))
    rides = tuple(replace(one, ride_db=12.0 if one.pass_ == "A" else 0.0) for one in song.section)
    shelf = LowShelf(freq_hz=300.0, gain_db=3.0)
    finish = Finish(chain=(shelf,), gain_db=-2.0, limiter=Limiter(ceiling_dbtp=-20.0))
    found = spectrum_of(noise_release, replace(song, section=rides, finish=finish), None)
    assert found.sections == ("one", "two", "three")
    high = found.freq_hz > 2_000.0
    loud = spectrum_of(noise_release, song, "B")
    np.testing.assert_allclose(found.before_db[high], loud.before_db[high], rtol=0, atol=BAND_NOISE_DB)
    told = chain_response((shelf,), RATE, 2)
    told_db = np.interp(found.freq_hz, told.freq_hz, told.wholes[0].db) - 2.0
    wide = found.freq_hz > 60.0
    np.testing.assert_allclose(
        (found.after_db - found.before_db)[wide], told_db[wide], rtol=0, atol=ANALOGUE_DB
    )
