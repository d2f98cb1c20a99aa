"""The moves of `arsis advise` in the plan, what they are in conflict with, and the command."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from arsis.advice.moves import MOST_A_PASS, MOST_DB
from arsis.advice.shape import Judged
from arsis.errors import ArsisError
from arsis.measure.alike.moments import Moments
from arsis.plan.codec import read_song
from arsis.render.contour import Contour
from arsis.settings import Bell, LowShelf, Width
from arsis.workflow.advise import Wanted, advise_song, apply_advice
from arsis.workflow.revisions import restore, revisions
from tests.advised import ALL, COMMENT, REFRAINS, Finds, lacks
from tests.releases import SmallRelease, music, write
from tests.test_cli import document
from tests.test_cli_faults import arsis, refused

# The plan


def test_an_exclusive_pass_is_changed_in_place(limited: SmallRelease, judged: Finds) -> None:
    judged(lacks("width"))
    before = read_song(limited.plan)
    one = apply_advice(limited.plan, "chorus-width").advice
    after = read_song(limited.plan)
    assert one.move.passes == ("B",)
    assert after.pass_["B"].chain == (*before.pass_["B"].chain, Width(side_db=1.2))
    assert replace(after, pass_=before.pass_) == before
    assert COMMENT in limited.plan.read_text(encoding="utf-8")


def test_a_shared_pass_is_left_to_the_others(limited: SmallRelease, judged: Finds) -> None:
    limited.change('start_s = 2.000000\npass = "B"', 'start_s = 2.000000\npass = "A"')
    judged(lacks("body", freq_hz=233.0))
    before = read_song(limited.plan)
    one = apply_advice(limited.plan, "chorus-body").advice
    after = read_song(limited.plan)
    assert one.move.passes == ("D",)
    assert after.pass_["D"].chain == (*before.pass_["A"].chain, Bell(freq_hz=230.0, gain_db=1.2, q=1.0))
    assert {name: after.pass_[name] for name in before.pass_} == before.pass_
    changed = [b.name for a, b in zip(before.section, after.section, strict=True) if a != b]
    assert changed == list(REFRAINS)
    assert after.section[1] == replace(before.section[1], pass_="D")
    assert COMMENT in limited.plan.read_text(encoding="utf-8")


def test_sections_of_two_passes_are_moved_in_both(limited: SmallRelease, judged: Finds) -> None:
    """Verse 1 has pass A with the bridge, verse 2 has C alone: a copy of A, and C itself."""
    limited.change('start_s = 5.500000\npass = "A"', 'start_s = 5.500000\npass = "C"')
    limited.change('print = "prints/small-hours-bridge.wav"', "chain = [{ kind = 'gain', gain_db = -0.1 }]")
    judged(lacks("low_end", "verse", -1.0, 70.0))
    before = read_song(limited.plan)
    one = apply_advice(limited.plan, "verse-low-end").advice
    after, shelf = read_song(limited.plan), LowShelf(freq_hz=110.0, gain_db=1.0)
    assert one.move.passes == ("D", "C")
    assert after.pass_["D"].chain == (shelf,)
    assert after.pass_["C"].chain == (*before.pass_["C"].chain, shelf)
    assert (after.pass_["A"], after.pass_["B"]) == (before.pass_["A"], before.pass_["B"])
    assert [section.pass_ for section in after.section] == ["D", "B", "A", "C"]


def test_a_ride_is_added_to_the_ride_that_is_there(limited: SmallRelease, judged: Finds) -> None:
    judged(lacks("step", size_db=-0.8))
    before = read_song(limited.plan)
    apply_advice(limited.plan, "chorus-step")
    after = read_song(limited.plan)
    assert after.section[1].ride_db == pytest.approx(before.section[1].ride_db + 0.8)
    assert [s.ride_db for s in after.section if s.kind != "chorus"] == [0.0, 0.0, 0.0]
    assert after.pass_ == before.pass_


@pytest.mark.parametrize(
    ("size_db", "wanted", "most_db"), [(-4.0, Wanted(), MOST_DB), (4.0, Wanted(most_db=3.0), 3.0)]
)
def test_no_move_goes_further_than_it_may(
    size_db: float, wanted: Wanted, most_db: float, limited: SmallRelease, judged: Finds
) -> None:
    judged(*(replace(one, size_db=size_db) for one in ALL))
    for one in advise_song(limited.plan, wanted).advice:
        assert one.move.db == pytest.approx(-np.sign(size_db) * most_db)
        assert one.move.left_db == pytest.approx(abs(size_db) - most_db)
        processor = one.move.processor
        if isinstance(processor, Bell | LowShelf):
            assert processor.gain_db == one.move.db
        elif isinstance(processor, Width):
            assert processor.side_db == one.move.db


def test_at_most_three_moves_for_a_kind(limited: SmallRelease, judged: Finds) -> None:
    four = [lacks("step"), lacks("low_end", freq_hz=70.0), lacks("body", freq_hz=230.0), lacks("width")]
    judged(*four, lacks("edge", "verse", 1.0, 3_000.0))
    found = advise_song(limited.plan)
    of_refrains = [one.id for one in found.advice if one.evidence.kind == "chorus"]
    assert of_refrains == ["chorus-step", "chorus-low-end", "chorus-body"]
    assert len(of_refrains) == MOST_A_PASS
    assert [one.id for one in found.advice if one.evidence.kind == "verse"] == ["verse-edge"]
    assert any(line.startswith("chorus width made up.") for line in found.leave)


def test_the_plan_before_is_kept_and_comes_back_to_the_byte(limited: SmallRelease, judged: Finds) -> None:
    judged(lacks("width"), lacks("step"))
    stood = limited.plan.read_bytes()
    first = apply_advice(limited.plan, "chorus-width")
    between = limited.plan.read_bytes()
    second = apply_advice(limited.plan, "chorus-step")
    assert second.before == first.revision  # kept already: not twice
    assert [one.note for one in revisions(limited.plan)] == [
        "before chorus-width",
        f"chorus-width: {first.advice.move.says}",
        f"chorus-step: {second.advice.move.says}",
    ]
    restore(limited.plan, second.before)
    assert limited.plan.read_bytes() == between
    restore(limited.plan, first.before)
    assert limited.plan.read_bytes() == stood


def test_what_was_printed_elsewhere_is_not_moved_from_here(release: SmallRelease, judged: Finds) -> None:
    """But its level may be: a ride lies on top of any pass."""
    judged(lacks("edge", "bridge", 1.2, 3_000.0), lacks("step", "bridge"))
    stood = release.plan.read_bytes()
    found = advise_song(release.plan)
    assert [one.id for one in found.advice] == ["bridge-step"]
    assert any("printed elsewhere" in line and "bridge edge made up." in line for line in found.leave)
    with pytest.raises(ArsisError, match="bridge-edge"):
        apply_advice(release.plan, "bridge-edge")
    assert release.plan.read_bytes() == stood


def test_what_no_move_answers_is_for_the_mixer(limited: SmallRelease, judged: Finds) -> None:
    judged(lacks("attack", "verse"), lacks("width"))
    found = advise_song(limited.plan)
    assert [one.id for one in found.advice] == ["chorus-width"]
    assert found.ask_mixer == ("verse attack made up.",)
    with pytest.raises(ArsisError, match="verse-attack"):
        apply_advice(limited.plan, "verse-attack")


# Conflicts


def test_a_move_that_drives_the_limiter_past_its_most_says_so(limited: SmallRelease, judged: Finds) -> None:
    """Where it takes more than it may, and only of the move that makes it take more."""
    judged(lacks("step", size_db=-1.5), lacks("width", size_db=0.3))
    up, narrow = advise_song(limited.plan).advice
    assert up.predicted.costs_took_db > 0.0 >= narrow.predicted.costs_took_db
    written = "most_db = 1.5"
    for over_db, said in ((-0.1, [True, False]), (0.1, [False, False])):
        most_db = f"most_db = {up.predicted.took_max_db + over_db:.2f}"
        limited.change(written, most_db)
        written = most_db
        found = advise_song(limited.plan).advice
        assert [any("past its most_db" in line for line in one.conflicts) for one in found] == said


def test_moves_that_work_in_the_same_place_say_so(limited: SmallRelease, judged: Finds) -> None:
    judged(lacks("body", freq_hz=130.0), lacks("low_end", freq_hz=70.0), lacks("edge", "verse", 1.0, 3_000.0))
    body, low, edge = advise_song(limited.plan).advice
    assert any("chorus-low-end" in line for line in body.conflicts)
    assert any("chorus-body" in line for line in low.conflicts)
    assert edge.conflicts == ()


def test_a_move_that_changes_a_step_is_named_beside_it(limited: SmallRelease, judged: Finds) -> None:
    judged(lacks("step"), lacks("low_end", "verse", -1.5, 70.0), lacks("width", size_db=0.1))
    step = advise_song(limited.plan).advice[0]
    assert any("verse-low-end" in line and "LU" in line for line in step.conflicts)
    assert not any("chorus-width" in line for line in step.conflicts)


# The command


def test_the_command_gives_its_keys(limited: SmallRelease, judged: Finds) -> None:
    """DESIGN 4: advise: {advice: [{id, sections, evidence, move, predicted, confidence}], leave: [...]}."""
    judged(*ALL)
    result = arsis("advise", limited.plan, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    found = document(result)
    assert {"advice", "leave"} <= set(found)
    assert len(found["advice"]) == len(ALL)
    for one in found["advice"]:
        assert {"id", "sections", "evidence", "move", "predicted", "confidence"} <= set(one)
        assert 0.0 <= one["confidence"] <= 1.0
    shown = arsis("advise", limited.plan)
    assert shown.exit_code == 0
    assert all(one.id in shown.stdout for one in ALL)


def test_the_command_takes_a_move(limited: SmallRelease, judged: Finds) -> None:
    judged(lacks("width", size_db=-3.0))
    stood = limited.plan.read_bytes()
    shown = arsis("advise", limited.plan, "--up-to", 2.5).stdout
    assert shown.endswith(f"arsis advise {limited.plan} --apply chorus-width --up-to 2.5\n")
    result = arsis("advise", limited.plan, "--apply", "chorus-width", "--up-to", 2.5)
    assert result.exit_code == 0
    assert "sides +2.5 dB in refrain 1" in result.stdout
    number = result.stdout.split()[-3]
    assert arsis("restore", limited.plan, number).exit_code == 0
    assert limited.plan.read_bytes() == stood


def test_what_was_to_be_minded_is_said_once_it_is_done(limited: SmallRelease, judged: Finds) -> None:
    limited.change("most_db = 1.5", "most_db = 0.2")
    judged(lacks("step", size_db=-1.5))
    said = arsis("advise", limited.plan, "--apply", "chorus-step").stdout.splitlines()
    assert said[1].startswith("mind: the limiter would take up to ")
    assert said[2].startswith("kept as revision 2")


def test_what_cannot_be_is_said_in_a_line(limited: SmallRelease, judged: Finds) -> None:
    judged(lacks("width"))
    stood = limited.plan.read_bytes()
    refused(arsis("advise", limited.plan, "--apply", "chorus-wdith"), "chorus-wdith", "arsis advise")
    refused(arsis("advise", limited.folder / "songs" / "nothing.toml"), "nothing.toml")
    refused(arsis("advise", limited.folder / "nothing.wav"), "nothing.wav")
    refused(arsis("advise", limited.mix, "--apply", "chorus-width"), "not a plan")
    refused(arsis("advise", limited.plan, "--beside", limited.folder / "nothing.wav"), "nothing.wav")
    refused(arsis("advise", limited.plan, "--up-to", "nan"), "nan")
    both = arsis("advise", limited.plan, "--apply", "chorus-width", "--loud")
    assert both.exit_code == 2
    assert "--apply stands alone" in both.stderr
    assert limited.plan.read_bytes() == stood
    assert not (limited.folder / "revisions").exists()


def test_a_sound_file_is_listened_to_as_it_stands(limited: SmallRelease, tmp_path: Path) -> None:
    """Outside a release nothing stays behind, whatever it stands beside."""
    alone = tmp_path / "alone"
    alone.mkdir()
    mix = shutil.copy(limited.mix, alone)
    for options in ([], ["--beside", limited.mix]):
        result = arsis("advise", mix, "--json", *options)
        assert result.exit_code == 0
        assert document(result)["leave"]
        assert list(alone.iterdir()) == [alone / limited.mix.name]
    assert "--apply" not in arsis("advise", mix).stdout


def test_beside_a_record_and_within_limits(limited: SmallRelease) -> None:
    """The record is the mix with its level up, and twice as much treble."""
    bright = music() + np.diff(music(), axis=1, prepend=0.0)
    record = write(limited.folder / "record.wav", 0.4 * bright / np.abs(bright).max())
    found = document(arsis("advise", limited.plan, "--beside", record, "--lufs", -16.0, "--json"))
    assert found["references"]
    assert found["beside"]
    assert found["loudness"]["wanted_lufs"] == -16.0
    shown = arsis("advise", limited.plan, "--beside", record, "--loud").stdout
    assert "beside record" in shown
    assert "loudness:" in shown
    plain = document(arsis("advise", limited.plan, "--json"))
    assert (plain["references"], plain["beside"], plain["loudness"]) == ([], [], None)


# What happens meanwhile


def test_a_plan_that_was_changed_meanwhile_is_left_so(
    limited: SmallRelease, monkeypatch: pytest.MonkeyPatch
) -> None:
    def edits(shape: Contour, moments: Moments) -> Judged:
        limited.change("gain_db = 6.0", "gain_db = 5.0")
        return Judged((lacks("width"),), ())

    monkeypatch.setattr("arsis.workflow.advise.judge_shape", edits)
    with pytest.raises(ArsisError, match="was changed while it was listened to"):
        apply_advice(limited.plan, "chorus-width")
    assert "gain_db = 5.0" in limited.plan.read_text(encoding="utf-8")
    assert not (limited.folder / "revisions").exists()


def test_a_ride_without_room_is_left(limited: SmallRelease, judged: Finds) -> None:
    limited.change("ride_db = 0.4", "ride_db = 11.5")
    judged(lacks("step", size_db=-0.8))
    found = advise_song(limited.plan)
    assert found.advice == ()
    assert any("there is no room" in line for line in found.leave)
