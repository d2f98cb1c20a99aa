"""`arsis advise`: what it says of the demo's songs, what it predicts and what comes of it, and the plan."""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from arsis.advice.evidence import Evidence, What
from arsis.advice.moves import MOST_A_PASS, MOST_DB
from arsis.advice.predict import Figures, Predicted
from arsis.advice.shape import Judged
from arsis.audio import Block
from arsis.cli.advise import advised_text
from arsis.demo.songs import MAIN_SONG, song_truth
from arsis.errors import ArsisError
from arsis.io.write import write_sound
from arsis.plan.codec import read_song, song_to_toml
from arsis.plan.model import Pass, Section, Song
from arsis.render.contour import SectionShape
from arsis.settings import Bell, LowShelf, Width
from arsis.workflow.advise import Advised, Wanted, advise_song, apply_advice
from arsis.workflow.contour import song_contour
from arsis.workflow.measure import measure_file
from arsis.workflow.print import print_song
from arsis.workflow.revisions import restore, revisions
from tests.demo_songs import demo_song
from tests.releases import RATE_HZ, SmallRelease, music, write
from tests.songs import CHORUS, VERSE, KnownSong, make_song
from tests.test_cli import document
from tests.test_cli_faults import arsis, refused
from tests.tolerances import PREDICTED_DB

VERSES, REFRAINS = ("verse 1", "verse 2"), ("refrain 1",)
COMMENT = "# the singer asked for this one to stay dark"


def lacks(what: What, kind: str = "chorus", size_db: float = -1.2, freq_hz: float | None = None) -> Evidence:
    """Evidence as a judge would give it of the small release; negative for too little."""
    sections = {"chorus": REFRAINS, "verse": VERSES, "bridge": ("bridge",)}[kind]
    against = "verse" if kind == "chorus" else "chorus"
    return Evidence(
        what=what, kind=kind, against=against, sections=sections, size_db=size_db, freq_hz=freq_hz,
        says=f"{kind} {what} made up.", sure=0.7,
    )  # fmt: skip


SIX = (
    lacks("step", size_db=-0.8),
    lacks("body", freq_hz=233.0),
    lacks("width"),
    lacks("low_end", "verse", -1.4, 70.0),
    lacks("edge", "verse", 1.1, 2_853.0),
    lacks("attack", "verse"),
)


@pytest.fixture
def judged(monkeypatch: pytest.MonkeyPatch):
    """Says what the judge finds, whatever is played to it."""

    def finds(*evidence: Evidence) -> None:
        monkeypatch.setattr(
            "arsis.workflow.advise.judge_shape", lambda shape, moments: Judged(evidence, ("looked at",))
        )

    return finds


@pytest.fixture
def limited(release: SmallRelease) -> SmallRelease:
    """The small release with its limiter at work and a comment, and nothing printed elsewhere."""
    release.change("gain_db = 0.0\nlimiter", "gain_db = 6.0\nlimiter")
    release.change('[pass.A]\nnote = "left alone"', f'[pass.A]  {COMMENT}\nnote = "left alone"')
    release.change('start_s = 4.000000\npass = "C"', 'start_s = 4.000000\npass = "A"')
    return release


def left_alone(name: str, folder: Path) -> Path:
    """A plan as composed that changes nothing, over the demo song's mix."""
    song = demo_song(name)
    (folder / "mixes").mkdir(parents=True)
    (folder / "songs").mkdir()
    with write_sound(folder / "mixes" / f"{name}.wav", song.rate_hz, 2, encoding="pcm_s24") as sound:
        sound.write(song.mix)
    sections = tuple(
        Section(name=one.name, kind=one.kind, start_s=one.start_s, pass_="A") for one in song.sections
    )
    plan = Song(title=song.title, mix=f"mixes/{name}.wav", section=sections, pass_={"A": Pass()})
    path = folder / "songs" / f"{name}.toml"
    path.write_text(f"{COMMENT}\n{song_to_toml(plan)}", encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def low_water(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Nobody writes to it but the last test that is named so."""
    return left_alone(MAIN_SONG, tmp_path_factory.mktemp("release") / "tides")


@pytest.fixture(scope="module")
def advised(low_water: Path) -> Advised:
    return advise_song(low_water)


# What is advised


def test_the_song_that_needs_work_is_told_what_it_needs(advised: Advised) -> None:
    """The score says what was written into it: refrains that do not grow, thin low mid, edge in the verses.

    The low mid lies in what sounds in refrains only, as well as in what both have: it may be said or not.
    """
    weak = {one.what: one.where for one in song_truth(MAIN_SONG).weaknesses}
    by_id = {one.id: one for one in advised.advice}
    assert {"chorus-step", "verse-edge"} <= set(by_id) <= {"chorus-step", "verse-edge", "chorus-body"}
    assert by_id["chorus-step"].sections == weak["refrains that do not grow"]
    assert by_id["verse-edge"].sections == weak["edge"]
    assert by_id["chorus-step"].move.ride_db is not None
    assert by_id["chorus-step"].move.ride_db > 0.0
    bell = by_id["verse-edge"].move.processor
    assert isinstance(bell, Bell)
    assert bell.gain_db < 0.0
    assert abs(np.log2(bell.freq_hz / 3_200.0)) < 1 / 3  # where the score has it


def test_a_song_that_needs_nothing_is_left_alone(tmp_path: Path) -> None:
    found = advise_song(left_alone("nine-lamps", tmp_path / "release"))
    assert found.advice == ()
    assert len(found.leave) >= 6  # what was looked at, and each thing looked for
    assert "leave it" in advised_text(found)


def test_it_is_told_in_words_with_what_will_be(advised: Advised) -> None:
    told = advised_text(advised)
    first = advised.advice[0]
    for words in (first.id, "move: ", "then: ", "cost: ", "left alone:", f"--apply {first.id}"):
        assert words in told
    assert max(map(len, told.splitlines()[1:-1])) <= 100


# What is predicted is what comes of it


def figures(section: SectionShape) -> dict[str, float | None]:
    bands = section.print.bands_db
    return {
        "loudness": section.print.loudness_lufs, "step": section.step_print_lu,
        "width": section.print.width_db, "attack": section.print.attack_db, "took": section.took.max_db,
        "low": bands.low, "low_mid": bands.low_mid, "mid": bands.mid, "presence": bands.presence,
        "air": bands.air,
    }  # fmt: skip


def told(one: Figures) -> dict[str, float | None]:
    bands = one.bands_db
    return {
        "loudness": one.loudness_lufs, "step": one.step_lu, "width": one.width_db, "attack": one.attack_db,
        "took": one.took_max_db, "low": bands.low, "low_mid": bands.low_mid, "mid": bands.mid,
        "presence": bands.presence, "air": bands.air,
    }  # fmt: skip


def alike(a: dict[str, float | None], b: dict[str, float | None]) -> bool:
    return all(
        one == b[key] or (one is not None and b[key] is not None and abs(one - b[key]) < PREDICTED_DB)
        for key, one in a.items()
    )


def holds(one: Predicted, plan: Path, before: Iterable[SectionShape], out: Path) -> None:
    """The plan as it stands on disk, rendered and measured by the commands that know nothing of advice."""
    printed, measured = print_song(plan, out=out), measure_file(out).meters
    shapes = {section.name: section for section in song_contour(plan).sections}
    stood = {section.name: section for section in before}
    assert abs(one.integrated_lufs - printed.integrated_lufs) < PREDICTED_DB
    assert abs(one.integrated_lufs - measured.integrated_lufs) < PREDICTED_DB
    assert abs(one.true_peak_dbtp - measured.true_peak_dbtp) < PREDICTED_DB
    assert one.plr_db is not None
    assert measured.plr_db is not None
    assert abs(one.plr_db - measured.plr_db) < PREDICTED_DB
    assert abs(one.took_max_db - printed.took.max_db) < PREDICTED_DB
    for section in one.sections:
        assert alike(told(section.now), figures(stood[section.name])), section.name
        assert alike(told(section.then), figures(shapes[section.name])), section.name


@pytest.mark.parametrize("evidence", SIX, ids=[one.id for one in SIX])
def test_what_is_predicted_is_what_is_printed(evidence: Evidence, limited: SmallRelease, judged) -> None:
    judged(evidence)
    before = song_contour(limited.plan).sections
    (one,) = advise_song(limited.plan).advice
    done = apply_advice(limited.plan, evidence.id)
    assert done.advice == one
    assert {section.name for section in one.predicted.sections} >= set(evidence.sections)
    holds(one.predicted, limited.plan, before, limited.folder / "after.wav")


def test_every_move_does_what_it_is_for(limited: SmallRelease, judged) -> None:
    """In the sections concerned, in the contour's own figures."""
    judged(*SIX)
    found = {one.id: one for one in advise_song(limited.plan).advice}
    assert len(found) == len(SIX)

    def rise(name: str, key: str) -> float:
        one = found[name].predicted.sections[0]
        after, before = told(one.then)[key], told(one.now)[key]
        assert after is not None
        assert before is not None
        return after - before

    assert rise("chorus-step", "step") > 0.4  # of 0.8 asked for, the limiter takes some
    assert rise("chorus-body", "low_mid") > 0.2
    assert rise("chorus-width", "width") > 0.6
    assert rise("verse-low-end", "low") > 0.4
    assert rise("verse-edge", "presence") < -0.4
    assert rise("verse-attack", "attack") > 0.1


# The plan


def test_an_exclusive_pass_is_changed_in_place_and_comments_stay(limited: SmallRelease, judged) -> None:
    judged(lacks("width"))
    before = read_song(limited.plan)
    (one,) = [apply_advice(limited.plan, "chorus-width").advice]
    after = read_song(limited.plan)
    assert one.move.passes == ("B",)
    assert after.pass_["B"].chain == (*before.pass_["B"].chain, Width(side_db=1.2))
    assert replace(after, pass_=before.pass_) == before
    assert COMMENT in limited.plan.read_text(encoding="utf-8")


def test_a_shared_pass_is_left_to_the_others(limited: SmallRelease, judged) -> None:
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


def test_sections_of_two_passes_are_moved_in_both(limited: SmallRelease, judged) -> None:
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


def test_a_ride_is_added_to_the_ride_that_is_there(limited: SmallRelease, judged) -> None:
    judged(lacks("step", size_db=-0.8))
    before = read_song(limited.plan)
    apply_advice(limited.plan, "chorus-step")
    after = read_song(limited.plan)
    assert after.section[1].ride_db == pytest.approx(before.section[1].ride_db + 0.8)
    assert [s.ride_db for s in after.section if s.kind != "chorus"] == [0.0, 0.0, 0.0]
    assert after.pass_ == before.pass_


@pytest.mark.parametrize("size_db", [-4.0, 4.0])
def test_no_move_goes_further_than_it_may(size_db: float, limited: SmallRelease, judged) -> None:
    judged(*(replace(one, size_db=size_db) for one in SIX))
    for most_db, wanted in ((MOST_DB, Wanted()), (3.0, Wanted(most_db=3.0)), (0.4, Wanted(most_db=0.4))):
        for one in advise_song(limited.plan, wanted).advice:
            assert one.move.db == pytest.approx(-np.sign(size_db) * most_db)
            assert one.move.left_db == pytest.approx(abs(size_db) - most_db)
            processor = one.move.processor
            if isinstance(processor, Bell | LowShelf):
                assert processor.gain_db == one.move.db
            elif isinstance(processor, Width):
                assert processor.side_db == one.move.db


def test_at_most_three_moves_for_a_kind(limited: SmallRelease, judged) -> None:
    five = [lacks("step"), lacks("low_end", freq_hz=70.0), lacks("body", freq_hz=230.0), lacks("width")]
    judged(*five, lacks("edge", "verse", 1.0, 3_000.0))
    found = advise_song(limited.plan)
    assert [one.id for one in found.advice if one.evidence.kind == "chorus"] == [
        "chorus-step", "chorus-low-end", "chorus-body",
    ][:MOST_A_PASS]  # fmt: skip
    assert [one.id for one in found.advice if one.evidence.kind == "verse"] == ["verse-edge"]


def test_the_plan_before_is_kept_and_comes_back_to_the_byte(limited: SmallRelease, judged) -> None:
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


def test_what_was_printed_elsewhere_is_not_moved_from_here(release: SmallRelease, judged) -> None:
    """But its level may be: a ride lies on top of any pass."""
    judged(lacks("edge", "bridge", 1.2, 3_000.0), lacks("step", "bridge"))
    stood = release.plan.read_bytes()
    found = advise_song(release.plan)
    assert [one.id for one in found.advice] == ["bridge-step"]
    assert any("printed elsewhere" in line and "bridge edge made up." in line for line in found.leave)
    with pytest.raises(ArsisError, match="bridge-edge"):
        apply_advice(release.plan, "bridge-edge")
    assert release.plan.read_bytes() == stood


# Conflicts


def test_a_move_that_drives_the_limiter_past_its_most_says_so(limited: SmallRelease, judged) -> None:
    limited.change("most_db = 1.5", "most_db = 0.5")
    judged(lacks("step", size_db=-1.5), lacks("width", size_db=0.3))
    up, narrow = advise_song(limited.plan).advice
    assert up.predicted.took_max_db > 0.5
    assert up.predicted.costs_took_db > 0.0
    assert any("past its most_db of 0.5" in line for line in up.conflicts)
    assert narrow.predicted.costs_took_db <= 0.0
    assert narrow.conflicts == ()
    limited.change("most_db = 0.5", "most_db = 24.0")
    assert all("most_db" not in line for one in advise_song(limited.plan).advice for line in one.conflicts)


def test_moves_that_work_in_the_same_place_say_so(limited: SmallRelease, judged) -> None:
    judged(lacks("body", freq_hz=130.0), lacks("low_end", freq_hz=70.0), lacks("edge", "verse", 1.0, 3_000.0))
    body, low, edge = advise_song(limited.plan).advice
    assert any("chorus-low-end" in line for line in body.conflicts)
    assert any("chorus-body" in line for line in low.conflicts)
    assert edge.conflicts == ()


def test_a_move_that_changes_a_step_is_named_beside_it(limited: SmallRelease, judged) -> None:
    judged(lacks("step"), lacks("low_end", "verse", -1.5, 70.0), lacks("width", size_db=0.1))
    step = advise_song(limited.plan).advice[0]
    assert any("verse-low-end" in line and "LU" in line for line in step.conflicts)
    assert not any("chorus-width" in line for line in step.conflicts)


# The command


def test_the_command_gives_its_keys(limited: SmallRelease, judged) -> None:
    """DESIGN 4: advise: {advice: [{id, sections, evidence, move, predicted, confidence}], leave: [...]}."""
    judged(*SIX)
    result = arsis("advise", limited.plan, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    found = document(result)
    assert {"advice", "leave"} <= set(found)
    assert len(found["advice"]) == len(SIX)
    for one in found["advice"]:
        assert {"id", "sections", "evidence", "move", "predicted", "confidence"} <= set(one)
        assert 0.0 <= one["confidence"] <= 1.0
    shown = arsis("advise", limited.plan)
    assert shown.exit_code == 0
    assert all(one.id in shown.stdout for one in SIX)


def test_the_command_takes_a_move(limited: SmallRelease, judged) -> None:
    judged(lacks("width", size_db=-3.0))
    stood = limited.plan.read_bytes()
    result = arsis("advise", limited.plan, "--apply", "chorus-width", "--up-to", 2.5)
    assert result.exit_code == 0
    assert "sides +2.5 dB in refrain 1" in result.stdout
    number = result.stdout.split()[-3]
    assert arsis("restore", limited.plan, number).exit_code == 0
    assert limited.plan.read_bytes() == stood


def test_what_cannot_be_is_said_in_a_line(limited: SmallRelease, judged) -> None:
    judged(lacks("width"))
    stood = limited.plan.read_bytes()
    refused(arsis("advise", limited.plan, "--apply", "chorus-wdith"), "chorus-wdith", "arsis advise")
    refused(arsis("advise", limited.folder / "songs" / "nothing.toml"), "nothing.toml")
    refused(arsis("advise", limited.folder / "nothing.wav"), "nothing.wav")
    refused(arsis("advise", limited.mix, "--apply", "chorus-width"), "not a plan")
    refused(arsis("advise", limited.plan, "--beside", limited.folder / "nothing.wav"), "nothing.wav")
    assert limited.plan.read_bytes() == stood
    assert not (limited.folder / "revisions").exists()


def test_a_sound_file_is_listened_to_as_it_stands(release: SmallRelease) -> None:
    before = sorted(release.folder.rglob("*"))
    result = arsis("advise", release.mix, "--json")
    found = document(result)
    assert result.exit_code == 0
    assert found["leave"]
    assert "--apply" not in arsis("advise", release.mix).stdout
    assert sorted(release.folder.rglob("*")) == before


def test_beside_a_record_and_within_limits(release: SmallRelease) -> None:
    """The record is the mix with its level up, and twice as much treble."""
    bright = music()
    bright += 1.0 * np.diff(bright, axis=1, prepend=0.0)
    record = write(release.folder / "record.wav", 0.4 * bright / np.abs(bright).max())
    found = document(arsis("advise", release.plan, "--beside", record, "--lufs", -16.0, "--json"))
    assert found["references"]
    assert found["beside"]
    assert found["loudness"]["wanted_lufs"] == -16.0
    shown = arsis("advise", release.plan, "--beside", record, "--loud").stdout
    assert "beside record" in shown
    assert "loudness:" in shown
    plain = document(arsis("advise", release.plan, "--json"))
    assert (plain["references"], plain["beside"], plain["loudness"]) == ([], [], None)


# Songs that there is little to say about


def judged_alone(sound: Block, sections: Sequence[Section], folder: Path) -> Advised:
    write(folder / "mixes" / "mix.wav", sound)
    plan = Song(title="Alone", mix="mixes/mix.wav", section=tuple(sections), pass_={"A": Pass()})
    path = folder / "songs" / "alone.toml"
    path.parent.mkdir()
    path.write_text(song_to_toml(plan), encoding="utf-8")
    found = advise_song(path)
    assert advised_text(found)
    return found


@pytest.fixture(scope="module")
def two_kinds() -> tuple[KnownSong, tuple[Section, ...]]:
    """A verse and a refrain of 12 s."""
    song = make_song(rate_hz=RATE_HZ, form=(replace(VERSE, bars=6), replace(CHORUS, bars=6)))
    kinds = ("verse", "chorus")
    return song, tuple(
        Section(name=kind, kind=kind, start_s=round(float(start_s), 6), pass_="A")
        for kind, start_s in zip(kinds, song.starts_s, strict=True)
    )


def test_one_kind_of_section_has_nothing_to_stand_beside(two_kinds, tmp_path: Path) -> None:
    song, sections = two_kinds
    found = judged_alone(song.sound, [replace(one, kind="verse") for one in sections], tmp_path)
    assert found.advice == ()
    assert len(found.leave) == 1


def test_three_seconds_are_too_few(two_kinds, tmp_path: Path) -> None:
    song, sections = two_kinds
    sections = (sections[0], replace(sections[1], start_s=1.5))
    found = judged_alone(song.sound[:, : 3 * RATE_HZ], sections, tmp_path)
    assert found.advice == ()
    assert len(found.leave) == 1


def test_silence_is_left_alone(two_kinds, tmp_path: Path) -> None:
    song, sections = two_kinds
    found = judged_alone(np.zeros_like(song.sound), sections, tmp_path)
    assert found.advice == ()
    assert len(found.leave) == 1


@pytest.mark.parametrize("case", ["mono", "both sides alike", "a refrain without sides"])
def test_nobody_is_told_to_widen_what_has_no_sides(case: str, two_kinds, tmp_path: Path) -> None:
    song, sections = two_kinds
    sound = np.repeat(song.sound.mean(axis=0, keepdims=True), 1 if case == "mono" else 2, axis=0)
    if case == "a refrain without sides":
        refrain = round(sections[1].start_s * RATE_HZ)
        sound[:, :refrain] = song.sound[:, :refrain]
    found = judged_alone(sound, sections, tmp_path)
    assert "chorus-width" not in [one.id for one in found.advice]
    assert "width: there are no sides" in found.leave


# Taking a move, and asking again


def test_a_taken_move_is_not_advised_again(low_water: Path, advised: Advised, tmp_path: Path) -> None:
    folder = tmp_path / "tides"
    shutil.copytree(low_water.parents[1], folder)
    plan = folder / "songs" / low_water.name
    before = song_contour(plan).sections
    (one,) = [one for one in advised.advice if one.id == "chorus-step"]
    assert apply_advice(plan, one.id).advice.predicted == one.predicted
    holds(one.predicted, plan, before, tmp_path / "print.wav")
    assert "chorus-step" not in [again.id for again in advise_song(plan).advice]
    assert COMMENT in plan.read_text(encoding="utf-8")
