"""A delivery is the same however it is made, its words are the prints', its ceilings hold, and what stands in
its way is one clear message."""

from __future__ import annotations

import hashlib
import json
import resource
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from arsis.cli.main import main
from arsis.deliver.manifest_file import read_manifest
from arsis.deliver.staging import open_staging, staging_of
from arsis.io.read import read_all
from arsis.workflow.print import print_song

from .deliveries import make_release, png
from .meter16 import true_peak_dbtp
from .no_pdf import hide_pdf, plain_environment
from .test_cli_faults import environment
from .tolerances import CEILING_DB, EXACT

DATE = "2026-11-25"


def made_release(folder: Path) -> Path:
    """Three songs, the first with an instrumental, the last two sounding into each other."""
    make_release(folder)
    (folder / "art/front.png").write_bytes(png(1400))  # as shops want it, so that nothing has to be said
    return folder


@pytest.fixture(scope="session")
def pristine(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made_release(tmp_path_factory.mktemp("pristine") / "nocturnes")


@pytest.fixture(autouse=True)
def _plain(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    hide_pdf(monkeypatch, tmp_path)


@pytest.fixture
def folder(pristine: Path, tmp_path: Path) -> Path:
    """Of a release, a test's own copy."""
    copy = tmp_path / "nocturnes"
    shutil.copytree(pristine, copy)
    return copy


def deliver(*words: object, jobs: int = 1) -> Result:
    return CliRunner().invoke(main, ["deliver", *map(str, words), "--jobs", str(jobs), "--date", DATE])


def made(folder: Path, profile: str, **options: int) -> Path:
    result = deliver(folder, "--profile", profile, **options)
    assert result.exit_code in (0, 3), result.output
    return folder / "deliveries" / profile


def refused(result: Result, *said: str) -> None:
    assert result.exit_code == 2, result.output
    assert result.stdout == ""
    assert "Traceback" not in result.stderr
    for one in said:
        assert one in result.stderr


def digests(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def change(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


@pytest.mark.parametrize("profile", ["cd", "preview"])
def test_a_delivery_made_twice_has_the_same_bytes(profile: str, pristine: Path, tmp_path: Path) -> None:
    for name, jobs in (("first", 1), ("side by side", 2)):
        shutil.copytree(pristine, tmp_path / name / "nocturnes")
        made(tmp_path / name / "nocturnes", profile, jobs=jobs)
    first, beside = (
        digests(tmp_path / name / "nocturnes" / "deliveries") for name in ("first", "side by side")
    )
    assert first == beside
    assert f"{profile}/manifest.json" in first
    assert not [name for name in first if "begun" in name or "arsis-part" in name]


def test_pages_on_paper_have_the_same_bytes_from_another_process(
    pristine: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.undo()
    pytest.importorskip("weasyprint")
    papers = []
    for jobs in (1, 2):
        shutil.copytree(pristine, tmp_path / str(jobs) / "nocturnes")
        target = made(tmp_path / str(jobs) / "nocturnes", "hires", jobs=jobs)
        papers.append(digests(target / "paperwork"))
    assert papers[0] == papers[1]
    assert "report.pdf" in papers[0]


def test_that_pages_are_not_on_paper_is_said_and_no_warning(folder: Path) -> None:
    result = deliver(folder, "--profile", "hires")
    assert result.exit_code == 0
    assert "pip install 'arsis[pdf]'" in result.stderr
    assert not list((folder / "deliveries").rglob("*.pdf"))


def test_a_songs_words_are_those_of_its_print(folder: Path) -> None:
    """The first song stands by itself; the profile's ceiling lies over its plan's, so it changes nothing."""
    delivered = read_all(made(folder, "cd") / "01 Small Hours.wav")
    out = folder / "print.wav"
    print_song(folder / "songs/small-hours.toml", out=out, rate_hz=44_100, bits="16")
    printed = read_all(out)
    np.testing.assert_allclose(delivered[:, : printed.shape[1]], printed, rtol=EXACT, atol=EXACT)
    assert not delivered[:, printed.shape[1] :].any()  # the gap before the next


@pytest.mark.parametrize("profile", ["hires", "cd", "stream", "vinyl"])
def test_the_ceiling_holds_in_every_file_at_its_own_rate(profile: str, folder: Path) -> None:
    change(folder / "songs/first-tram.toml", "gain_db = 0.0", "gain_db = 9.0")
    target = made(folder, profile)
    sounds = read_manifest(target).sounds
    assert len(sounds) >= 3
    for sound in sounds:
        assert sound.ceiling_dbtp is not None
        peak_dbtp = true_peak_dbtp(read_all(target / sound.path))
        assert peak_dbtp <= sound.ceiling_dbtp + CEILING_DB, sound.path


def test_a_profile_without_limiters_turns_the_release_down_as_one(folder: Path) -> None:
    change(folder / "songs/first-tram.toml", "gain_db = 0.0", "gain_db = 9.0")
    target = made(folder, "vinyl")
    manifest = read_manifest(target)
    assert manifest.trim_db < -0.5  # there is something to turn down
    assert all(sound.took_max_db is None for sound in manifest.sounds)
    highest = max(sound.facts.true_peak_dbtp or -99.0 for sound in manifest.sounds)
    # Turned down no more than it must: the limiter's eye sees up to some tenths more than a meter.
    assert -1.3 < highest <= -1.0 + CEILING_DB
    for stem, gain_db in (("small-hours", 6.0), ("first-tram", 9.0), ("milk-round", 0.0)):
        change(
            folder / f"songs/{stem}.toml", f"gain_db = {gain_db}", f"gain_db = {gain_db + manifest.trim_db}"
        )
    shutil.rmtree(target)
    by_hand = read_manifest(made(folder, "vinyl"))
    assert by_hand.trim_db == 0.0
    first, same = (one.sounds[1] for one in (manifest, by_hand))
    assert first.title == "Small Hours"
    assert first.facts.sound_sha256 == same.facts.sound_sha256


def test_a_song_that_nothing_limits_is_told_when_it_passes_the_ceiling(folder: Path) -> None:
    plan = folder / "songs/small-hours.toml"
    text = plan.read_text(encoding="utf-8")
    plan.write_text(text[: text.index("limiter =")], encoding="utf-8")
    result = deliver(folder, "--profile", "stream")
    assert result.exit_code == 3
    assert "01 Small Hours.wav: true peak" in result.stderr
    first = read_manifest(folder / "deliveries/stream").sounds[0]
    assert first.ceiling_dbtp is None
    assert first.took_max_db is None


def test_a_limiter_that_takes_too_much_is_told(folder: Path) -> None:
    change(folder / "songs/small-hours.toml", "most_db = 6.0", "most_db = 0.1")
    result = deliver(folder, "--profile", "hires")
    assert result.exit_code == 3
    assert "warning: 01 Small Hours.wav: the limiter takes up to" in result.stderr


def test_a_delivery_that_is_there_is_looked_at_and_left(folder: Path) -> None:
    target = made(folder, "hires")
    before = {path: path.stat().st_mtime_ns for path in target.rglob("*")}
    again = deliver(folder, "--profile", "hires")
    assert again.exit_code == 0
    assert "is there already, as it was made" in again.stdout
    assert {path: path.stat().st_mtime_ns for path in target.rglob("*")} == before
    assert not staging_of(target).exists()


def test_a_delivery_of_something_else_is_not_written_over(folder: Path) -> None:
    target = made(folder, "hires")
    before = digests(target)
    change(folder / "songs/small-hours.toml", "ride_db = 0.4", "ride_db = 0.5")
    refused(deliver(folder, "--profile", "hires"), "01 songs/small-hours.toml has changed", "move it away")
    other = deliver(folder, "--profile", "hires", "--out", folder / "again")
    assert other.exit_code == 0
    assert (folder / "again/manifest.json").is_file()
    assert digests(target) == before


def test_an_altered_delivery_is_not_taken_for_done(folder: Path) -> None:
    target = made(folder, "hires")
    (target / "02 First Tram.wav").write_bytes(b"no sound")
    refused(deliver(folder, "--profile", "hires"), "not as it was made: 02 First Tram.wav", "arsis verify")


def test_a_folder_that_is_no_delivery_is_left_alone(folder: Path) -> None:
    kept = folder / "deliveries/cd/kept.txt"
    kept.parent.mkdir(parents=True)
    kept.write_text("mine", encoding="utf-8")
    refused(deliver(folder, "--profile", "cd"), "is no delivery")
    assert kept.read_text(encoding="utf-8") == "mine"


def test_two_commands_do_not_make_the_same_delivery_at_once(folder: Path) -> None:
    with open_staging(folder / "deliveries/cd"):
        refused(deliver(folder, "--profile", "cd"), "is being made by another command")
    made(folder, "cd")


def small_files_only() -> None:
    resource.setrlimit(resource.RLIMIT_FSIZE, (300_000, 300_000))


@pytest.mark.parametrize("jobs", [1, 2])
def test_a_full_disk_is_one_message_and_the_command_goes_on(jobs: int, folder: Path) -> None:
    """A file that may not grow past a limit ends with EFBIG where a full disk does with ENOSPC."""
    command = [sys.executable, "-m", "arsis", "deliver", str(folder), "--profile", "cd", "--date", DATE]
    ended = subprocess.run(
        [*command, "--jobs", str(jobs)],
        capture_output=True,
        text=True,
        env=plain_environment(folder.parent),
        preexec_fn=small_files_only,
        check=False,
    )
    assert ended.returncode == 2
    assert "cannot be written: file too large" in ended.stderr
    assert "Traceback" not in ended.stderr
    assert not (folder / "deliveries/cd").exists()
    assert not list(staging_of(folder / "deliveries/cd").glob("files/*.wav"))
    result = deliver(folder, "--profile", "cd")
    assert "going on with what was begun before" in result.stderr
    assert result.exit_code == 0


def test_what_changed_since_it_was_begun_is_said_and_it_begins_anew(folder: Path) -> None:
    target = folder / "deliveries/cd"
    made(folder, "cd").rename(folder / "finished")
    with open_staging(target) as staging:
        table = {"date": DATE, "inputs": {"arsis": "0.0.1", "gone.wav": "0"}, "kept": {}}
        (staging.folder / "begun.json").write_text(json.dumps(table), encoding="utf-8")
    result = deliver(folder, "--profile", "cd")
    assert result.exit_code == 0
    assert "begun anew, since arsis was 0.0.1 and is" in result.stderr
    assert "gone.wav is no more" in result.stderr
    assert digests(target) == digests(folder / "finished")


def test_a_delivery_begun_another_day_keeps_its_date(folder: Path) -> None:
    target = folder / "deliveries/hires"
    made(folder, "hires").rename(folder / "finished")
    with open_staging(target) as staging:
        manifest = read_manifest(folder / "finished")
        table = {"date": DATE, "inputs": manifest.inputs, "kept": {}}
        (staging.folder / "begun.json").write_text(json.dumps(table), encoding="utf-8")
    result = CliRunner().invoke(main, ["deliver", str(folder), "--profile", "hires", "--jobs", "1"])
    assert result.exit_code == 0
    assert read_manifest(target).date == DATE


def test_a_release_that_fails_does_not_stop_the_others(pristine: Path, tmp_path: Path) -> None:
    for name in ("one", "two", "three"):
        shutil.copytree(pristine, tmp_path / name)
    (tmp_path / "two/songs/first-tram.toml").unlink()
    releases = [tmp_path / name for name in ("one", "two", "three")]
    result = deliver(*releases, "--profile", "hires", "--json")
    assert result.exit_code == 2
    assert "first-tram.toml" in result.stderr
    document = json.loads(result.stdout)
    assert [Path(one["out"]).parts[-3] for one in document["deliveries"]] == ["one", "three"]
    assert len(document["faults"]) == 1
    assert not (tmp_path / "two/deliveries/hires").exists()


def test_json_is_the_manifest_and_what_became_of_the_command(folder: Path) -> None:
    result = deliver(folder, "--profile", "hires", "--json")
    (one,) = json.loads(result.stdout)["deliveries"]
    manifest = json.loads((Path(one["out"]) / "manifest.json").read_text(encoding="utf-8"))
    assert {key: one[key] for key in manifest} == manifest
    assert one["resumed"]["kept"] == 0
    assert one["resumed"]["jobs"] > 5
    assert one["was_there"] is False


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--profile", "cd", "--date", "tomorrow"], "--date: found 'tomorrow'"),
        (["--profile", "cd", "--jobs", "0"], "Invalid value for '--jobs': 0"),
        (["--profile", "cd", "--profile", "hires", "--out", "x"], "--out is for one release in one profile"),
        (["--profile", "tape"], 'found "tape"'),
    ],
)
def test_what_cannot_be_asked_for(words: list[str], said: str, folder: Path) -> None:
    result = CliRunner().invoke(main, ["deliver", str(folder), *words])
    refused(result, said)
    assert not (folder / "deliveries").exists()


def test_a_mix_that_changes_meanwhile_is_refused(folder: Path) -> None:
    """What was ordered is what is made: the order's digest is held against the file when it is read."""
    from arsis.deliver.jobs import About, RunJob
    from arsis.deliver.make import make
    from arsis.deliver.preflight import prepare_order
    from arsis.errors import ArsisError

    order = prepare_order(folder, "cd", DATE)
    shutil.copy(folder / "mixes/milk-round.wav", folder / "mixes/small-hours.wav")
    with open_staging(order.target) as staging:
        staging.make_folders()
        job = RunJob(key="x", frames=1, run=order.record.runs[0], about=About(staging.folder, "", order))
        with pytest.raises(ArsisError, match="was changed while the delivery was being made"):
            make(job)


def test_help_of_the_command_loads_no_numpy() -> None:
    script = "import sys; from arsis.cli.main import main; main(['deliver', '-h'], standalone_mode=False); "
    checked = script + "assert 'numpy' not in sys.modules"
    subprocess.run([sys.executable, "-c", checked], check=True, env=environment(), capture_output=True)


def test_versions_can_be_left_out_and_need_not_be_there_then(folder: Path) -> None:
    (folder / "mixes/small-hours-instrumental.wav").unlink()
    refused(deliver(folder, "--profile", "hires"), "mixes/small-hours-instrumental.wav")
    result = deliver(folder, "--profile", "hires", "--no-versions")
    assert result.exit_code == 0
    assert {sound.role for sound in read_manifest(folder / "deliveries/hires").sounds} == {"song"}


def test_a_version_is_a_file_of_its_own_that_follows(folder: Path) -> None:
    """0.6 of the mix under the main version's gain is 0.6 of the print, but for both files' dither."""
    target = made(folder, "hires")
    (version,) = (sound for sound in read_manifest(target).sounds if sound.role == "version")
    assert (version.place, version.version, version.isrc) == (1, "instrumental", "AA6Q72000048")
    main_print = read_all(target / "01 Small Hours.wav")
    followed = read_all(target / version.path)
    difference = followed - 0.6 * main_print[:, : followed.shape[1]]
    # Each print is off by 1.5 steps at most (dither and rounding), and the version's mix by half, 6 dB up.
    assert np.abs(difference).max() < 4 * 2.0**-23


def test_a_version_that_cannot_follow_is_told_before_anything_is_rendered(folder: Path) -> None:
    """Its mix is another song's."""
    shutil.copy(folder / "mixes/first-tram.wav", folder / "mixes/small-hours-instrumental.wav")
    refused(
        deliver(folder, "--profile", "hires"), "instrumental cannot follow 'Small Hours'", "follow = false"
    )
    assert not list(staging_of(folder / "deliveries/hires").rglob("*.wav"))


def test_a_worker_with_other_tools_does_nothing(folder: Path) -> None:
    from arsis.deliver.executors import attempt
    from arsis.deliver.inputs import tools
    from arsis.deliver.jobs import About, RunJob
    from arsis.deliver.preflight import prepare_order

    order = prepare_order(folder, "cd", DATE)
    with open_staging(order.target) as staging:
        about = About(staging.folder, "", order, tools() | {"library numpy": "1.0"})
        outcome = attempt(RunJob(key="x", frames=1, run=order.record.runs[0], about=about))
    assert outcome.made is None
    assert "library numpy was 1.0 and is" in outcome.fault
