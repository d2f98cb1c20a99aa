"""`arsis advise`: what it says of the demo's songs, and what it predicts beside what comes of it."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from arsis.advice.evidence import Evidence
from arsis.advice.predict import Figures, Predicted
from arsis.audio import Block
from arsis.cli.advise import advised_text
from arsis.demo.songs import MAIN_SONG, song_truth
from arsis.io.write import write_sound
from arsis.plan.codec import song_to_toml
from arsis.plan.model import Pass, Section, Song
from arsis.render.contour import SectionShape
from arsis.settings import Bell
from arsis.workflow.advise import Advised, advise_song, apply_advice
from arsis.workflow.contour import song_contour
from arsis.workflow.measure import measure_file
from arsis.workflow.print import print_song
from tests.advised import ALL, COMMENT, Finds
from tests.demo_songs import demo_song
from tests.releases import RATE_HZ, SmallRelease, write
from tests.songs import CHORUS, VERSE, KnownSong, make_song
from tests.tolerances import PREDICTED_DB


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
    """Nobody writes to it."""
    return left_alone(MAIN_SONG, tmp_path_factory.mktemp("release") / "tides")


@pytest.fixture(scope="module")
def advised(low_water: Path) -> Advised:
    return advise_song(low_water)


# What is advised


def test_the_song_that_needs_work_is_told_what_it_needs(advised: Advised) -> None:
    """The score says what was written into it: refrains that do not grow, thin low mid, edge in the verses.

    The low mid lies in what sounds in refrains, not in the strokes that both have: nothing is said of it.
    """
    weak = {one.what: one.where for one in song_truth(MAIN_SONG).weaknesses}
    by_id = {one.id: one for one in advised.advice}
    assert set(by_id) == {"chorus-step", "verse-edge"}
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


def holds(one: Predicted, plan: Path, out: Path) -> None:
    """The plan as it stands on disk, rendered and measured by the commands that know nothing of advice."""
    printed, measured = print_song(plan, out=out), measure_file(out).meters
    shapes = {section.name: section for section in song_contour(plan).sections}
    assert abs(one.integrated_lufs - printed.integrated_lufs) < PREDICTED_DB
    assert abs(one.integrated_lufs - measured.integrated_lufs) < PREDICTED_DB
    assert abs(one.true_peak_dbtp - measured.true_peak_dbtp) < PREDICTED_DB
    assert one.plr_db is not None
    assert measured.plr_db is not None
    assert abs(one.plr_db - measured.plr_db) < PREDICTED_DB
    assert abs(one.took_max_db - printed.took.max_db) < PREDICTED_DB
    for section in one.sections:
        assert alike(told(section.then), figures(shapes[section.name])), section.name


@pytest.mark.parametrize("evidence", ALL, ids=[one.id for one in ALL])
def test_what_is_predicted_is_what_is_printed(
    evidence: Evidence, limited: SmallRelease, judged: Finds
) -> None:
    judged(evidence)
    stood = {section.name: section for section in song_contour(limited.plan).sections}
    (one,) = advise_song(limited.plan).advice
    done = apply_advice(limited.plan, evidence.id)
    assert done.advice == one
    assert {section.name for section in one.predicted.sections} >= set(evidence.sections)
    assert all(alike(told(part.now), figures(stood[part.name])) for part in one.predicted.sections)
    holds(one.predicted, limited.plan, limited.folder / "after.wav")


def test_every_move_does_what_it_is_for(limited: SmallRelease, judged: Finds) -> None:
    """In the sections concerned, in the contour's own figures."""
    judged(*ALL)
    found = {one.id: one for one in advise_song(limited.plan).advice}
    assert len(found) == len(ALL)

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


@pytest.mark.parametrize("case", ["mono", "a refrain without sides"])
def test_nobody_is_told_to_widen_what_has_no_sides(case: str, two_kinds, tmp_path: Path) -> None:
    song, sections = two_kinds
    sound = np.repeat(song.sound.mean(axis=0, keepdims=True), 1 if case == "mono" else 2, axis=0)
    if case == "a refrain without sides":
        refrain = round(sections[1].start_s * RATE_HZ)
        sound[:, :refrain] = song.sound[:, :refrain]
    found = judged_alone(sound, sections, tmp_path)
    assert "chorus-width" not in [one.id for one in found.advice]
    assert any(line.startswith("width:") for line in found.leave)


# Taking a move, and asking again


def test_a_taken_move_is_not_advised_again(low_water: Path, advised: Advised, tmp_path: Path) -> None:
    folder = tmp_path / "tides"
    shutil.copytree(low_water.parents[1], folder)
    plan = folder / "songs" / low_water.name
    (one,) = [one for one in advised.advice if one.id == "chorus-step"]
    assert apply_advice(plan, one.id).advice.predicted == one.predicted
    holds(one.predicted, plan, tmp_path / "print.wav")
    assert "chorus-step" not in [again.id for again in advise_song(plan).advice]
    assert COMMENT in plan.read_text(encoding="utf-8")
