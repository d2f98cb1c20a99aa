"""Loudness within limits: a print made as advised has what was said, and each limit stops where it is met."""

from __future__ import annotations

import json
from contextlib import ExitStack
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from arsis.advice.loudness import LoudnessAdvice, advise_loudness
from arsis.advice.loudness_search import LEAST_GAIN_DB, MOST_GAIN_DB
from arsis.advice.loudness_soundings import LimiterEar
from arsis.advice.loudness_words import loudness_table, said
from arsis.audio import Block, silence
from arsis.cli.answer import plain
from arsis.errors import ArsisError
from arsis.measure.attack import HOPS_PER_SECOND, attack_db, strong_onsets
from arsis.measure.loudness import LoudnessMeter
from arsis.plan.declared import declared
from arsis.plan.model import Finish, Song
from arsis.render.opening import open_source
from arsis.settings import Gain, Limiter
from arsis.workflow.places import open_for_render, open_plan
from arsis.workflow.print import Printed, print_song

from .meter16 import true_peak_dbtp
from .releases import write
from .render_plans import song
from .renders import Print, make_print, source
from .signals import noise
from .songs import CHORUS, INTRO, VERSE, make_song
from .tolerances import (
    ADVISED_ATTACK_DB,
    ADVISED_DB,
    ADVISED_LU,
    ADVISED_SHARE,
    ADVISED_STOP_DB,
    CEILING_DB,
    EXACT,
)
from .versions import VERSIONS, folder

RATE_HZ = 48_000
HALF_A_DB = 0.5  # of attack: what may be lost (docs/loudness-limits.md)
FREE = Limiter(ceiling_dbtp=-1.0, most_db=24.0)  # stops nothing by what it takes
PLAN = """\
schema = 1
title = "Small Hours"
mix = "mixes/small-hours.wav"
section = [
  { name = "intro", start_s = 0.0, pass = "A" },
  { name = "verse", start_s = 8.0, pass = "A" },
  { name = "chorus", start_s = 16.0, pass = "B" },
]
[pass.A]
chain = []
[pass.B]
chain = [{ kind = "gain", gain_db = 0.6 }, { kind = "low_shelf", freq_hz = 95.0, gain_db = 0.7, q = 0.7 }]
[finish]
gain_db = GAIN
limiter = { ceiling_dbtp = -1.0, most_db = MOST }
"""


class OnDisk:
    """A song of 32 s whose intro and verse grow into a chorus that is asked to be 0.6 dB up."""

    def __init__(self, path: Path) -> None:
        self.path, self.plan = path, path / "songs" / "small-hours.toml"
        form = (INTRO, replace(VERSE, bars=4), CHORUS)
        write(
            path / "mixes" / "small-hours.wav", make_song(form=form, rate_hz=RATE_HZ).sound, rate_hz=RATE_HZ
        )
        self.plan.parent.mkdir()

    def _set(self, gain_db: float, most_db: float) -> None:
        text = PLAN.replace("GAIN", f"{gain_db:.3f}").replace("MOST", f"{most_db:.1f}")
        self.plan.write_text(text, encoding="utf-8")

    def advised(
        self, wanted_lufs: float | None, present_db: float = 0.0, most_db: float = 1.5
    ) -> LoudnessAdvice:
        self._set(present_db, most_db)
        with ExitStack() as stack:
            plan = open_plan(self.plan)
            return advise_loudness(open_for_render(plan, plan.song, stack), wanted_lufs)

    def printed(self, gain_db: float, most_db: float = 1.5) -> Printed:
        self._set(gain_db, most_db)
        return print_song(self.plan, out=self.path / "printed.wav")


@pytest.fixture(scope="module")
def on_disk(tmp_path_factory: pytest.TempPathFactory) -> OnDisk:
    return OnDisk(tmp_path_factory.mktemp("song"))


def at(plan: Song, gain_db: float) -> Song:
    return replace(plan, finish=replace(plan.finish, gain_db=gain_db))


def advise(plan: Song, block: Block, wanted_lufs: float | None = None) -> LoudnessAdvice:
    return advise_loudness(source(plan, block, RATE_HZ), wanted_lufs)


def made(plan: Song, block: Block, gain_db: float) -> Print:
    return make_print(source(at(plan, gain_db), block, RATE_HZ))


def plan_of(starts_s: list[float], limiter: Limiter | None, gain_db: float = 0.0) -> Song:
    return song(starts_s, "A" * len(starts_s), {"A": ()}, finish=Finish(gain_db=gain_db, limiter=limiter))


def one_peak(peak: float = 0.5, seconds: float = 4.0) -> Block:
    """A quiet 1 kHz tone that swells once, to a true peak that is known: its samples meet every crest."""
    t = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    middle = seconds / 2.0
    swell = np.where(abs(t - middle) < 0.1, 0.5 + 0.5 * np.cos(np.pi * (t - middle) / 0.1), 0.0)
    tone = (0.05 + (peak - 0.05) * swell) * np.cos(2.0 * np.pi * 1_000.0 * (t - middle))
    return np.stack([tone, tone])


def two_levels() -> Block:
    """Four seconds of noise, and four of the same 6 dB up: no onsets, one step."""
    quiet = noise(4 * RATE_HZ, seed=4, rms=0.03)
    return np.concatenate([quiet, 2.0 * noise(4 * RATE_HZ, seed=5, rms=0.03)], axis=1)


def strokes() -> Block:
    return make_song(form=(replace(VERSE, bars=6),), rate_hz=RATE_HZ).sound


@pytest.mark.parametrize("most_db", [1.5, 24.0])
@pytest.mark.parametrize("wanted_lufs", [None, -15.5, -4.0, -25.0])
def test_a_print_has_what_was_said(wanted_lufs: float | None, most_db: float, on_disk: OnDisk) -> None:
    """The print's own meters: whole K-weighted sound, true peaks, the limiter's gain frame by frame."""
    advice = on_disk.advised(wanted_lufs, most_db=most_db)
    gain_db = advice.gain_db
    assert gain_db is not None
    found = advice.found
    past = next((row for row in advice.rows if row.gain_db > gain_db and row.broken), None)
    for row in filter(None, (found, past)):
        printed = on_disk.printed(row.gain_db, most_db)
        assert abs(printed.integrated_lufs - row.integrated_lufs) < ADVISED_LU
        assert abs(printed.took.max_db - row.took_max_db) < ADVISED_DB
        assert abs(printed.took.share - row.took_share) < ADVISED_SHARE
        assert abs(printed.true_peak_dbtp - printed.integrated_lufs - row.plr_db) < ADVISED_LU
        into = printed.took.sections["chorus"].step_db
        assert abs(1.0 - into / 0.6 - row.asked_kept) < ADVISED_SHARE
        # What is within is what a print says nothing of (law 11, most_db).
        assert bool(printed.warnings) == bool({"most_db", "asked"} & set(row.broken))
    if wanted_lufs in (-15.5, -25.0):
        assert advice.reached
        assert abs(found.integrated_lufs - wanted_lufs) < ADVISED_LU
        assert advice.stopped_by is None
    else:
        assert not advice.reached
        assert advice.stopped_by == ("most_db" if most_db == 1.5 else "asked")
        assert advice.stopped_in == "chorus"


def test_a_known_peak_stops_at_what_the_limiter_may_take() -> None:
    advice = advise(plan_of([0.0], Limiter(ceiling_dbtp=-1.0, most_db=1.5)), one_peak())
    met_db = -1.0 - 20.0 * np.log10(0.5) + 1.5
    assert met_db - ADVISED_STOP_DB < advice.gain_db <= met_db
    assert (advice.stopped_by, advice.stopped_in) == ("most_db", "part 0")
    for row in advice.rows:
        above_db = max(0.0, row.gain_db - met_db + 1.5)
        assert abs(row.took_max_db - above_db) < ADVISED_DB
        assert row.within == (row.gain_db <= met_db)


def test_a_limiter_that_may_take_nothing_is_led_up_to_its_ceiling() -> None:
    plan = plan_of([0.0], Limiter(ceiling_dbtp=-1.0, most_db=0.0))
    advice = advise(plan, one_peak())
    met_db = -1.0 - 20.0 * np.log10(0.5)
    assert met_db - ADVISED_STOP_DB < advice.gain_db <= met_db
    assert advice.found.took_max_db == 0.0
    assert made(plan, one_peak(), advice.gain_db).ear.took.whole().max_db == 0.0


def test_a_step_keeps_three_quarters() -> None:
    plan, block = plan_of([0.0, 4.0], FREE), two_levels()
    advice = advise(plan, block)
    assert (advice.stopped_by, advice.stopped_in) == ("step", "part 1")
    kept = []
    for gain_db in (advice.gain_db, advice.gain_db + ADVISED_STOP_DB):
        taken = made(plan, block, gain_db).ear.steps_taken_db()[1]
        kept.append(1.0 - taken / (20.0 * np.log10(2.0)))
    assert kept[0] > 0.75 - ADVISED_SHARE > kept[1] - 2 * ADVISED_SHARE
    assert abs(advice.found.step_kept - kept[0]) < ADVISED_SHARE


def test_a_step_down_and_a_step_too_small_to_be_meant_stop_nothing() -> None:
    block = two_levels()
    down = advise(plan_of([0.0, 4.0], FREE), np.ascontiguousarray(block[:, ::-1]))
    even = np.concatenate([block[:, 4 * RATE_HZ :], 1.005 * block[:, 4 * RATE_HZ :]], axis=1)
    small = advise(plan_of([0.0, 4.0], FREE), even)
    for advice in (down, small):
        assert advice.stopped_by != "step"
        assert advice.found.step_kept is None


def powers(block: Block) -> np.ndarray:
    meter = LoudnessMeter(RATE_HZ, 2, HOPS_PER_SECOND)
    meter.add(np.ascontiguousarray(block))
    return meter.energies()


def test_attack_keeps_all_but_half_a_decibel() -> None:
    plan, block = plan_of([0.0], FREE), strokes()
    advice = advise(plan, block)
    assert (advice.stopped_by, advice.stopped_in) == ("attack", "part 0")
    onsets = strong_onsets(powers(block))
    before_db = attack_db(powers(block), onsets)
    lost = [
        before_db - attack_db(powers(made(plan, block, gain_db).sound), onsets)
        for gain_db in (advice.gain_db, advice.gain_db + ADVISED_STOP_DB)
    ]
    assert lost[0] < HALF_A_DB + ADVISED_ATTACK_DB
    assert lost[1] > HALF_A_DB - ADVISED_ATTACK_DB
    assert abs(advice.found.attack_change_db + lost[0]) < ADVISED_ATTACK_DB


def test_more_is_louder_takes_more_and_keeps_less(on_disk: OnDisk) -> None:
    rows = on_disk.advised(None, present_db=5.0, most_db=24.0).rows
    assert len(rows) >= 6
    for low, high in pairwise(rows):
        assert high.gain_db > low.gain_db
        assert high.integrated_lufs > low.integrated_lufs
        assert high.took_max_db >= low.took_max_db
        assert high.took_share >= low.took_share
        assert high.step_kept <= low.step_kept
        assert high.attack_change_db <= low.attack_change_db
        assert high.plr_db < low.plr_db
        assert set(low.broken) <= set(high.broken)
    gains = [on_disk.advised(wanted).gain_db for wanted in (-18.0, -17.0, -16.0, -15.3, -14.0, -9.0)]
    assert gains == sorted(gains)
    assert gains[-1] == gains[-2]  # both out of reach


def test_down_goes_exactly_down_whatever_is_passed(on_disk: OnDisk) -> None:
    advice = on_disk.advised(-11.0, present_db=9.0)
    assert advice.present_lufs > -10.5
    assert advice.reached
    assert abs(on_disk.printed(advice.gain_db).integrated_lufs + 11.0) < ADVISED_LU
    assert not advice.found.within
    assert "past the limits still" in said(advice)[1]


@pytest.mark.parametrize("wanted_lufs", [None, -8.0])
def test_a_plan_that_is_past_the_limits_is_told_so(wanted_lufs: float | None, on_disk: OnDisk) -> None:
    advice = on_disk.advised(wanted_lufs, present_db=9.0)
    assert advice.gain_db == on_disk.advised(None).gain_db < 9.0
    assert "The plan is past that, at +9.0 dB" in " ".join(said(advice))


def test_what_is_there_already_is_left() -> None:
    block = two_levels()
    plan = plan_of([0.0, 4.0], FREE, gain_db=2.345)
    lufs = advise(plan, block).present_lufs
    advice = advise(plan, block, lufs)
    assert (advice.gain_db, advice.reached) == (2.345, True)
    assert "already" in said(advice)[0]


def test_without_a_limiter_the_true_peak_stops() -> None:
    plan, block = plan_of([0.0], None), one_peak()
    advice = advise(plan, block)
    assert (advice.stopped_by, advice.most_db) == ("ceiling", None)
    peak_dbtp = true_peak_dbtp(made(plan, block, advice.gain_db).sound)
    assert -ADVISED_DB < peak_dbtp + 1.0 < CEILING_DB
    assert all(
        row.took_max_db == 0.0 and row.within == (row.gain_db <= advice.gain_db) for row in advice.rows
    )
    far = advise(plan, block, -5.0)
    assert (far.gain_db, far.reached) == (advice.gain_db, False)
    past = advise(at(plan, 9.0), block)
    assert past.gain_db == advice.gain_db
    assert said(past)[1].endswith("there its true peak is +3.0 dBTP.")
    near = advise(plan, block, advice.integrated_lufs - 3.0)
    assert near.reached
    assert abs(near.gain_db - (advice.gain_db - 3.0)) < ADVISED_LU


def test_a_plans_gain_goes_no_further_than_a_plan_may_say() -> None:
    bounds = declared(Finish)["gain_db"]
    assert (bounds.low, bounds.high) == (LEAST_GAIN_DB, MOST_GAIN_DB)
    faint = noise(4 * RATE_HZ, rms=1e-3)
    up = advise(plan_of([0.0], FREE), faint)
    down = advise(plan_of([0.0], FREE), noise(4 * RATE_HZ), -60.0)
    assert (up.gain_db, up.stopped_by, up.reached) == (MOST_GAIN_DB, "gain", False)
    assert (down.gain_db, down.stopped_by, down.reached) == (LEAST_GAIN_DB, "gain", False)
    assert all("goes no further" in said(advice)[0] for advice in (up, down))


@pytest.mark.parametrize("limiter", [None, FREE])
@pytest.mark.parametrize("block", [silence(2, RATE_HZ), noise(RATE_HZ // 5), 1e-6 * noise(RATE_HZ)])
@pytest.mark.parametrize("wanted_lufs", [None, -14.0])
def test_of_nothing_nothing_is_said(block: Block, limiter: Limiter | None, wanted_lufs: float | None) -> None:
    """Silence, what is shorter than a gating block of 400 ms, and what lies under the absolute gate."""
    advice = advise(plan_of([0.0], limiter), block, wanted_lufs)
    assert (advice.gain_db, advice.integrated_lufs, advice.rows) == (None, None, ())
    assert "no loudness" in said(advice)[0]
    assert loudness_table(advice) == ""
    json.dumps(plain(advice), allow_nan=False)


@pytest.mark.parametrize("wanted_lufs", [0.0, 3.0, -70.0, float("nan")])
def test_a_loudness_that_no_sound_has_is_refused(wanted_lufs: float) -> None:
    with pytest.raises(ArsisError, match="no loudness to want; allowed: over −70 and under 0"):
        advise(plan_of([0.0], FREE), two_levels(), wanted_lufs)


def test_it_is_json_and_a_table_and_few_words(on_disk: OnDisk) -> None:
    advice = on_disk.advised(-12.0)
    document = json.loads(json.dumps(plain(advice), allow_nan=False))
    assert document["stopped_by"] == "most_db"
    assert document["rows"][-1]["broken"][0] == "most_db"
    lines = loudness_table(advice).splitlines()
    assert len(lines) == len(advice.rows) + 1
    assert sum(line.startswith("here") for line in lines) == 1
    assert sum(line.startswith("now") for line in lines) == 1
    first, second = said(advice)
    assert first == (
        "−12.0 LUFS is out of reach; −15.3 LUFS is as far as it goes: "
        "past +1.7 dB the limiter takes more than 1.5 dB in chorus."
    )
    assert second.startswith(
        "1.5 dB further it has −14.0 LUFS; there the limiter takes up to 3.0 dB (chorus)"
    )


def test_a_limiter_that_is_shared_hears_the_versions(tmp_path: Path) -> None:
    """A voice that takes away from the band's peaks: the band alone is what stops the gain."""
    band = 4.0 * noise(48_000, seed=3, rms=0.06)
    plan = song([0.0], "A", {"A": (Gain(gain_db=1.0),)}, finish=Finish(limiter=FREE, share_limiter=True))
    shared = folder(tmp_path, plan, band, -0.5 * band, RATE_HZ)
    with ExitStack() as stack:
        both = open_source(replace(shared.song, version=VERSIONS[:1]), tmp_path, stack)
        advice = advise_loudness(both)
        alone = advise_loudness(replace(both, followers=()))
        printed = make_print(replace(both, song=at(both.song, advice.gain_db)))
    assert alone.gain_db - advice.gain_db > 1.0  # the band is 6 dB over the mix
    for said_of, measured in (
        (advice.found.took_max_db, printed.ear.took.whole().max_db),
        (advice.found.integrated_lufs, printed.ear.print.facts().integrated_lufs),
        (advice.found.plr_db, printed.ear.print.facts().plr_db),
    ):
        assert abs(said_of - measured) < ADVISED_DB


def test_blocks_do_not_matter_to_a_sounding() -> None:
    block = strokes()[:, : 3 * 44_100 + 17]
    soundings = []
    for frames in (16_384, 1_000, 31):
        ear = LimiterEar(FREE, 9.0, 44_100, 2, 2)
        for start in range(0, block.shape[1], frames):
            ear.add(np.ascontiguousarray(block[:, start : start + frames]))
        soundings.append(ear.sounding())
    for other in soundings[1:]:
        assert np.abs(other.kept - soundings[0].kept).max() == EXACT
        assert np.abs(other.lowest - soundings[0].lowest).max() == EXACT
        assert other.share == soundings[0].share
