"""What lies where in a delivery: cuts in running sound, trims, and versions in their own time."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import numpy as np
import pytest
import soundfile
from click.testing import CliRunner

from arsis.audio import Block
from arsis.cli.main import main
from arsis.deliver.executors import in_line
from arsis.deliver.manifest_file import read_manifest
from arsis.deliver.order import Order
from arsis.deliver.preflight import prepare_order
from arsis.deliver.soundings import OpenSong, open_run, word_of
from arsis.deliver.staging import staging_of
from arsis.deliver.work import Delivering, work_off
from arsis.errors import ArsisError
from arsis.io.chunks import read_chunks
from arsis.io.markers import Marker, read_markers

from .meter16 import true_peak_dbtp
from .no_pdf import hide_pdf
from .test_deliver import DATE
from .test_delivered_sound import LIMITER, add_release, add_song, delivered, read, verified
from .tolerances import CEILING_DB

RATE_HZ = 44_100
APART = '[[version]]\nname = "radio"\nmix = "mixes/radio.wav"\nfollow = {follow}\n'


@pytest.fixture(autouse=True)
def _plain(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    hide_pdf(monkeypatch, tmp_path)


def steps_of_noise(seconds: float, seed: int) -> Block:
    """Noise whose level changes each tenth of a second: no two places are alike."""
    rng = np.random.default_rng(seed)
    frames = round(seconds * RATE_HZ)
    level = np.repeat(rng.uniform(0.02, 0.1, size=-(-frames * 10 // RATE_HZ)), RATE_HZ // 10)[:frames]
    return level * rng.standard_normal((2, frames))


def ordered(folder: Path, profile: str) -> Order:
    return prepare_order(folder, profile, DATE)


def marks(path: Path) -> tuple[Marker, ...]:
    return read_markers(read_chunks(path))


def test_a_release_without_limiters_fits_where_its_files_are_cut_in_running_sound(tmp_path: Path) -> None:
    """A slow wave is cut at its top: the whole has no step there, each of the two files has."""
    wave = 0.9 * np.sin(2.0 * np.pi * np.arange(98 * 900) / 900) * np.ones((2, 1))
    top = 48 * 900 + 225
    add_song(tmp_path, "rise", wave[:, :top], RATE_HZ)
    add_song(tmp_path, "fall", wave[:, top:], RATE_HZ)
    profile = 'bits = "24"\nlimiter = false\nceiling_dbtp = -1.0\nassembly = true'
    add_release(tmp_path, [("rise", ""), ("fall", "gap_s = 0.0")], {"cut": profile})
    target = delivered(tmp_path, "cut")
    peaks = [true_peak_dbtp(read(path)) for path in sorted(target.glob("*.wav"))]
    assert len(peaks) == 3
    assert max(peaks) <= -1.0 + CEILING_DB
    assert max(peaks) > -1.2  # and no further down than that: the meters differ by less
    verified(target)


def open_only_song(order: Order, stack: ExitStack) -> OpenSong:
    run = open_run(order.record.runs[0], order, 0.0, word_of(order.profile), stack)
    for _ in run.words():
        pass
    return run.songs[1]


def test_a_trimmed_songs_mix_is_heard_whole_and_its_limiter_where_it_sounds(tmp_path: Path) -> None:
    """A stroke at either end, both of which are cut off; the limiter would take over 8 dB of them."""
    sound = 0.05 * np.random.default_rng(3).standard_normal((2, 5 * RATE_HZ))
    sound[0, [2_000, -2_000]] = 0.95, -0.987
    add_song(tmp_path, "kept", sound, RATE_HZ, finish=LIMITER.replace("-0.1", "-9.0"))
    add_release(tmp_path, [("kept", "from_s = 2.0\nuntil_s = 4.0")], {})
    with ExitStack() as stack:
        song = open_only_song(ordered(tmp_path, "hires"), stack)
        assert song.mix is not None
        peak_dbfs = song.mix.heard().sample_peak_dbfs
        took = song.took
    assert peak_dbfs == pytest.approx(20.0 * np.log10(0.987), abs=1e-4)  # a 24-bit word is 1e-6 dB there
    assert took.whole().max_db < 0.05  # what two seconds of release leave of the first stroke
    assert [one.max_db for one in took.result()] == [took.whole().max_db]


def apart_release(folder: Path, offset_s: float, follow: str) -> Block:
    """A trimmed song, and a version of the same music so much later; gives the version's mix."""
    mix = steps_of_noise(6.0, seed=4)
    add_song(folder, "main", mix, RATE_HZ, version=APART.format(follow=follow))
    shift = round(offset_s * RATE_HZ)
    more = steps_of_noise(2.0, seed=5)
    moved = np.concatenate([more[:, :shift], mix], axis=1) if shift > 0 else mix[:, -shift:]
    soundfile.write(folder / "mixes/radio.wav", moved.T, RATE_HZ, subtype="PCM_24")
    add_release(folder, [("main", "from_s = 1.0\nuntil_s = 5.0")], {})
    return read(folder / "mixes/radio.wav")


@pytest.mark.parametrize("offset_s", [0.5, -0.25])
def test_the_trims_of_a_version_apart_lie_at_the_same_music(offset_s: float, tmp_path: Path) -> None:
    mix = apart_release(tmp_path, offset_s, "false")
    target = delivered(tmp_path, "hires")
    start = round((1.0 + offset_s) * RATE_HZ)
    file = target / "01 main (radio).wav"
    np.testing.assert_array_equal(read(file), mix[:, start : start + 4 * RATE_HZ])
    assert not marks(file)  # where its sections lie, the plan of its song does not say
    verified(target)


def test_a_version_has_its_sections_where_they_lie_in_its_own_file(tmp_path: Path) -> None:
    """The song's own file begins on a CD frame, a little before its song; the version's, with the song."""
    sounds = [steps_of_noise(2.0 + 0.001 * i, seed=i) for i in (6, 7)]
    add_song(tmp_path, "first", sounds[0], RATE_HZ)
    add_song(tmp_path, "second", sounds[1], RATE_HZ, version=APART.format(follow="true"))
    soundfile.write(tmp_path / "mixes/radio.wav", sounds[1].T, RATE_HZ, subtype="PCM_24")
    add_release(
        tmp_path, [("first", ""), ("second", "gap_s = 0.0")], {"frames": "rate_hz = 44100\ncut_frames = 588"}
    )
    target = delivered(tmp_path, "frames")
    early = round(2.006 * RATE_HZ) % 588
    assert [one.frame for one in marks(target / "02 second.wav")] == [early]
    version = marks(target / "02 second (radio).wav")
    assert [(one.frame, one.frames) for one in version] == [(0, round(2.007 * RATE_HZ))]
    verified(target)


# Containers whose whole is not the sum of its pieces once it is coded, and those of which it is.
CONTAINERS = {
    "flac": 'bits = "16"',
    "mp3": "kbps = 320.0",
    "aac": "kbps = 256.0",
    "opus": "kbps = 160.0",
    "vorbis": "kbps = 256.0",
}


@pytest.mark.parametrize("container", CONTAINERS)
def test_a_record_as_one_file_verifies_in_every_container(container: str, tmp_path: Path) -> None:
    if container == "aac":
        pytest.importorskip("av")
    for i, stem in enumerate(("one", "two")):
        add_song(tmp_path, stem, steps_of_noise(2.0, seed=i), RATE_HZ)
    profile = f'container = "{container}"\nrate_hz = 48000\n{CONTAINERS[container]}\nassembly = true'
    add_release(tmp_path, [("one", ""), ("two", "gap_s = 0.5")], {"whole": profile})
    target = delivered(tmp_path, "whole")
    assert len([path for path in target.iterdir() if path.name.startswith("00 ")]) == 1
    verified(target)


def test_what_a_limiter_takes_of_songs_together_is_told(tmp_path: Path) -> None:
    """Two songs at full level for a second together: their own limiters have next to nothing to do."""
    at = np.arange(3 * RATE_HZ) / RATE_HZ
    for stem, freq_hz in (("one", 110.0), ("two", 113.0)):
        wave = 0.85 * np.sin(2.0 * np.pi * freq_hz * at) * np.ones((2, 1))
        add_song(tmp_path, stem, wave, RATE_HZ, finish=LIMITER.replace("most_db = 20.0", "most_db = 1.5"))
    add_release(tmp_path, [("one", ""), ("two", "overlap_s = 1.0")], {"plain": 'bits = "24"'})
    target = delivered(tmp_path, "plain")
    first, second = read_manifest(target).sounds
    # The sum of two waves of 0.85 lies 4.7 dB over the ceiling of -0.1 dBTP; the overlap is the second's.
    assert second.took_max_db == pytest.approx(20.0 * np.log10(1.7) + 0.1, abs=0.1)
    assert any("the limiter over them takes up to 4.7 dB (at 0:00." in said for said in second.warnings)
    assert first.took_max_db is not None
    verified(target)
    report = (target / "paperwork/report.html").read_text(encoding="utf-8")
    assert "with others" in report


def test_a_song_without_sound_is_told(tmp_path: Path) -> None:
    add_song(tmp_path, "rest", np.zeros((2, 5 * RATE_HZ)), RATE_HZ)
    add_release(tmp_path, [("rest", "")], {})
    assert read_manifest(delivered(tmp_path, "hires")).sounds[0].warnings == ("there is no sound in it",)


def test_warnings_of_several_profiles_say_whose_they_are(tmp_path: Path) -> None:
    add_song(tmp_path, "rest", np.zeros((2, RATE_HZ)), RATE_HZ)
    add_release(tmp_path, [("rest", "")], {"own": 'bits = "24"'})
    words = ["deliver", str(tmp_path), "--profile", "hires", "--profile", "own", "--jobs", "1"]
    said = CliRunner().invoke(main, words).stderr
    for name in ("hires", "own"):
        assert f"warning: {name}: 01 rest.wav: there is no sound in it" in said


@pytest.mark.parametrize("out", [".", "/", "", "..", "{release}/deliveries/hires/more"])
def test_a_delivery_has_a_folder_of_its_own(out: str, tmp_path: Path) -> None:
    add_song(tmp_path, "one", steps_of_noise(1.0, seed=8), RATE_HZ)
    add_release(tmp_path, [("one", "")], {})
    delivered(tmp_path, "hires")
    words = ["deliver", str(tmp_path), "--profile", "cd", "--out", out.format(release=tmp_path)]
    result = CliRunner().invoke(main, words)
    assert result.exit_code == 2, result.output
    assert "--out" in result.stderr


def test_what_is_refused_leaves_no_folder(tmp_path: Path) -> None:
    add_song(tmp_path, "one", steps_of_noise(1.0, seed=8), RATE_HZ)
    add_release(tmp_path, [("one", "")], {})
    target = delivered(tmp_path, "hires")
    (target / "01 one.wav").write_bytes(b"")
    with pytest.raises(AssertionError, match="not as it was made"):
        delivered(tmp_path, "hires")
    assert not staging_of(target).exists()


def test_a_delivery_whose_disk_fails_between_its_jobs_stops_no_other() -> None:
    def failing(kind: type[Exception]) -> Iterator[tuple[()]]:
        yield ()
        raise kind(28, "No space left on device") if kind is OSError else kind("a plan is gone")

    def done() -> Iterator[tuple[()]]:
        yield ()

    closed: list[str] = []
    todo = [
        Delivering(name, steps, lambda name=name: closed.append(name))  # type: ignore[arg-type, misc]
        for name, steps in (("full", failing(OSError)), ("gone", failing(ArsisError)), ("well", done()))
    ]
    with in_line() as executor:
        ended = {one.about: one.fault for one in work_off(todo, executor, lambda done, of: None)}
    assert ended == {"full": "no space left on device", "gone": "a plan is gone", "well": ""}
    assert closed == ["full", "gone", "well"]
