"""`arsis sections`: corrections of a plan by name and time, and what is shown."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from pathlib import Path

import pytest
import soundfile
from click.testing import Result

from arsis.cli.answer import WARNED
from arsis.plan.codec import read_song

from .songs import CHORUS, INTRO, OUTRO, VERSE, KnownSong, make_song
from .test_cli_faults import arsis
from .tolerances import FOOT_MS, ON_DOWNBEAT_S

PLAN = """\
schema = 1
title = "Slack Tide"   # as on the tape box
mix = "slack-tide.wav"

# heard with the band on Tuesday
[[section]]
name = "intro"
kind = "intro"
start_s = 0.000000
pass = "A"

[[section]]
name = "verse"
kind = "verse"
start_s = {verse:.6f}
pass = "A"

[[section]]
name = "refrain"   # theirs
kind = "chorus"
start_s = {refrain:.6f}   # by ear
pass = "B"
ride_db = 0.4

[[section]]
name = "outro"
kind = "outro"
start_s = {outro:.6f}
pass = "A"

[pass.A]
chain = []

[pass.B]
chain = [{{ kind = "gain", gain_db = 0.6 }}]
"""
FORM = (replace(INTRO, bars=2), replace(VERSE, bars=6), CHORUS, OUTRO)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[KnownSong, Path]:
    """A song of 34 s with its mix on disk."""
    song = make_song(140.0, FORM, rate_hz=22_050)
    mix = tmp_path_factory.mktemp("slack-tide") / "slack-tide.wav"
    soundfile.write(mix, song.sound.T, song.rate_hz, subtype="PCM_16")
    return song, mix


@pytest.fixture
def plan(made: tuple[KnownSong, Path]) -> Path:
    song, mix = made
    path = mix.with_name("slack-tide.toml")
    starts = dict(zip(("verse", "refrain", "outro"), song.starts_s[1:], strict=True))
    path.write_text(PLAN.format(**starts), encoding="utf-8")
    return path


def starts(plan: Path) -> list[float]:
    return [section.start_s for section in read_song(plan).section]


def test_a_start_is_moved_to_the_attack_on_the_nearest_downbeat(
    made: tuple[KnownSong, Path], plan: Path
) -> None:
    song, _ = made
    bar_s = 4.0 * 60.0 / song.tempo_bpm
    meant = song.starts_s[2] + bar_s
    before = plan.read_text(encoding="utf-8")
    result = arsis("sections", plan, "--move", "refrain", f"0:{meant - 0.4 * bar_s:05.2f}")
    assert (result.exit_code, result.stderr) == (0, ""), result.output
    assert result.stdout.startswith("refrain starts ")
    assert starts(plan)[2] == pytest.approx(meant, abs=ON_DOWNBEAT_S)
    after = plan.read_text(encoding="utf-8")
    changed = [(a, b) for a, b in zip(before.splitlines(), after.splitlines(), strict=True) if a != b]
    assert len(changed) == 1
    assert changed[0][1].endswith("   # by ear")


def test_exact_means_to_the_frame(plan: Path) -> None:
    assert arsis("sections", plan, "--move", "refrain", "15.25", "--exact").exit_code == 0
    assert starts(plan)[2] == 15.25


def test_several_corrections_are_one(made: tuple[KnownSong, Path], plan: Path) -> None:
    song, _ = made
    result = arsis(
        "sections", plan, "--json",
        "--kind", "refrain b", "build", "--name", "verse", "verse 1", "--merge", "intro b",
        "--split", f"{song.downbeats_s[12]:.3f}", "refrain b", "--split", "1.8", "intro b",
    )  # fmt: skip
    assert (result.exit_code, result.stderr) == (0, ""), result.output
    told = json.loads(result.stdout)
    assert set(told) == {"changes", "file", "tempo_bpm", "downbeats_s", "sections", "why", "warnings"}
    names = ["intro", "verse 1", "refrain", "refrain b", "outro"]
    assert [section["name"] for section in told["sections"]] == names
    sections = read_song(plan).section
    assert [section.name for section in sections] == names
    assert [section.kind for section in sections][3] == "build"
    assert sections[3].start_s == pytest.approx(song.downbeats_s[12], abs=ON_DOWNBEAT_S)
    assert (sections[3].pass_, sections[3].ride_db) == ("B", 0.4)
    text = plan.read_text(encoding="utf-8")
    assert all(remark in text for remark in ("# as on the tape box", "# heard with", "# theirs", "# by ear"))


def test_a_nudge_moves_every_start_and_the_next_move_goes_to_its_bars(
    made: tuple[KnownSong, Path], plan: Path
) -> None:
    """A plan as a finder with bars half a bar late would have written it."""
    song, _ = made
    half_s = 2.0 * 60.0 / song.tempo_bpm
    late = dict(zip(("verse", "refrain", "outro"), song.starts_s[1:] + half_s, strict=True))
    plan.write_text(PLAN.format(**late), encoding="utf-8")
    arsis("sections", plan, "--move", "verse", f"{late['verse'] + 2.0 * half_s:.3f}")
    assert starts(plan)[1] == pytest.approx(late["verse"] + 2.0 * half_s, abs=ON_DOWNBEAT_S)
    plan.write_text(PLAN.format(**late), encoding="utf-8")
    result = arsis("sections", plan, "--nudge", "half-bar", "--json")
    assert result.exit_code == 0, result.output
    assert starts(plan) == pytest.approx(list(song.starts_s), abs=ON_DOWNBEAT_S)
    told = json.loads(result.stdout)
    off = [abs(song.downbeats_s - at).min() for at in told["downbeats_s"][1:-1]]
    assert max(off) <= ON_DOWNBEAT_S
    assert len(told["changes"]) == 3


REFUSED = [
    (("--move", "refrian", "3"), 'did you mean "refrain"?'),
    (("--move", "refrain", "900"), "not in the mix, which is"),
    (("--move", "refrain", "1:xx"), "83.4, 1:23.4"),
    (("--move", "refrain", "1.0"), "slack-tide.toml: section[3].start_s: found"),
    (("--move", "refrain", "1.0"), "(refrain); allowed: later than the section before it"),
    (("--split", "0", "count"), "and 'intro' starts at 0.00 s; at least 0.5 s"),
    (("--merge", "intro"), "none before it"),
    (("--kind", "intro", "hook"), "'pre_chorus'"),
    (("--find", "--nudge", "half"), "--find stands alone"),
    (("--exact",), "--exact goes with --move or --split"),
]


@pytest.mark.parametrize(("words", "message"), REFUSED, ids=[" ".join(words) for words, _ in REFUSED])
def test_what_cannot_be_done_leaves_the_plan_as_it_is(
    plan: Path, words: tuple[str, ...], message: str
) -> None:
    before = plan.read_text(encoding="utf-8")
    result = arsis("sections", plan, *words)
    assert result.exit_code == 2
    assert message in result.stderr
    assert "Traceback" not in result.output
    assert plan.read_text(encoding="utf-8") == before


@pytest.mark.parametrize("words", [(), ("--kind", "outro", "other")])
def test_a_section_past_the_end_of_the_mix_is_no_section(plan: Path, words: tuple[str, ...]) -> None:
    """Listed, it would end before it starts. Moved, it is put right."""
    text = plan.read_text(encoding="utf-8")
    start_s = f"start_s = {starts(plan)[-1]:.6f}"
    assert text.count(start_s) == 1
    plan.write_text(text.replace(start_s, "start_s = 500.0"), encoding="utf-8")
    result = arsis("sections", plan, *words)
    assert result.exit_code == 2
    assert "start_s: found 500.000000 s (outro); allowed: before the mix ends at" in result.stderr
    assert "start_s = 500.0" in plan.read_text(encoding="utf-8")
    assert arsis("sections", plan, "--move", "outro", "27").exit_code == 0


def test_a_mix_that_is_not_the_plans_is_told(plan: Path) -> None:
    """Listed or corrected: the sections may be put right for it. In the words of what refuses to print it."""
    text = plan.read_text(encoding="utf-8")
    mine = hashlib.sha256(plan.with_name("slack-tide.wav").read_bytes()).hexdigest()
    for digest, status in ((mine, 0), ("0" * 64, WARNED)):
        plan.write_text(f'mix_sha256 = "{digest}"\n{text}', encoding="utf-8")
        listed = arsis("sections", plan, "--json")
        corrected = arsis("sections", plan, "--kind", "outro", "other")
        assert (listed.exit_code, corrected.exit_code) == (status, status)
        assert listed.stderr == corrected.stderr == "".join(f"warning: {one}\n" for one in told(listed))
    (warning,) = told(listed)
    assert warning in arsis("contour", plan).stderr


def told(listed: Result) -> list[str]:
    warnings: list[str] = json.loads(listed.stdout)["warnings"]
    return warnings


def test_a_sound_file_has_no_plan_to_correct(made: tuple[KnownSong, Path]) -> None:
    result = arsis("sections", made[1], "--merge", "intro")
    assert result.exit_code == 2
    assert "not a plan" in result.stderr


def test_what_is_found_is_shown_as_wide_as_the_terminal(
    made: tuple[KnownSong, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    song, mix = made
    monkeypatch.setenv("COLUMNS", "64")
    shown = arsis("sections", mix).stdout
    picture = shown.split("\n\n")[1].split("\n")
    assert 56 <= max(map(len, picture)) <= 64
    assert picture[-1].startswith("0:00 ")
    assert "\x1b" not in shown
    told = json.loads(arsis("sections", mix, "--json").stdout)["sections"]
    assert [section["start_s"] for section in told] == pytest.approx(
        list(song.starts_s), abs=2e-3 * FOOT_MS + 0.02
    )
    steps = [section["step_lu"] for section in told]
    assert steps[0] is None
    assert steps[1] == pytest.approx(told[1]["loudness_lufs"] - told[0]["loudness_lufs"])
    assert {"bump_db", "dip_db", "middle_db", "low_dip_db", "low_dip_freq_hz", "crosses", "second"} == set(
        told[1]["seam"]
    )
