"""`arsis record`: a record in figures against libebur128 and plain arithmetic, its page, and its faults."""

from __future__ import annotations

import json
import re
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pyebur128
import pytest
import soundfile

from arsis.measure.summary import Meters
from arsis.workflow.print import print_song
from arsis.workflow.record import Recorded, release_record
from tests.releases import RATE_HZ, UNTOUCHED, SmallRelease, make_release, music, write
from tests.signals import sine
from tests.test_cli_faults import arsis
from tests.tolerances import PEER_LU, SINGLE_DB, TONE_BAND_DB

BANDS = ("low", "low_mid", "mid", "presence", "air")


def three_songs(release: SmallRelease, rate_hz: int = RATE_HZ, head: str = "") -> SmallRelease:
    """A song as it is, one turned up, with a fade and a segue, and one cut short on another side."""
    quiet = 0.4 * music(13.0, seed=6)
    quiet[:, 4 * RATE_HZ :] *= 0.5
    quiet = np.pad(quiet, ((0, 0), (0, RATE_HZ)))
    write(release.folder / "mixes" / "late-train.wav", quiet, rate_hz=rate_hz)
    late = UNTOUCHED.replace("Small Hours", "Late <Train>").replace("small-hours", "late-train")
    (release.folder / "songs" / "late-train.toml").write_text(late, encoding="utf-8")
    (release.folder / "release.toml").write_text(
        f'schema = 1\ntitle = "Nocturnes"\nartist = "The Lamps"\n{head}\n'
        '[[song]]\nplan = "songs/small-hours.toml"\nside = "A"\n\n'
        '[[song]]\nplan = "songs/late-train.toml"\nside = "A"\ngap_s = 0.0\noverlap_s = 1.5\ntrim_db = 3.0\n'
        "fade_in_s = 1.5\n\n"
        '[[song]]\nplan = "songs/small-hours.toml"\nside = "B"\ngap_s = 2.5\nfrom_s = 1.0\nuntil_s = 6.0\n',
        encoding="utf-8",
    )
    return release


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[SmallRelease, Recorded]:
    release = three_songs(make_release(tmp_path_factory.mktemp("record") / "nocturnes"))
    return release, release_record(release.folder)


@pytest.fixture(scope="module")
def sounds(made: tuple[SmallRelease, Recorded], tmp_path_factory: pytest.TempPathFactory) -> list[np.ndarray]:
    """The three songs by `arsis print` and numpy, as they are in the record, each by itself."""
    release, tmp_path = made[0], tmp_path_factory.mktemp("prints")
    loud = print_song(release.plan, out=tmp_path / "a.wav", bits="32f").out
    late = print_song(release.folder / "songs" / "late-train.toml", out=tmp_path / "b.wav", bits="32f").out
    first, _ = soundfile.read(loud, always_2d=True)
    second, _ = soundfile.read(late, always_2d=True)
    second = second * 10.0 ** (3.0 / 20.0)
    fade = round(1.5 * RATE_HZ)
    second[:fade] *= np.sin(np.pi / 2.0 * (np.arange(fade) + 0.5) / fade)[:, None]
    return [first, second, first[RATE_HZ : 6 * RATE_HZ]]


def heard_by_libebur128(songs: list[np.ndarray]) -> tuple[list[float], float]:
    """Loudness of each song, and of all together."""
    states = []
    for song in songs:
        states.append(pyebur128.R128State(2, RATE_HZ, pyebur128.MeasurementMode.MODE_I))
        states[-1].add_frames(np.ascontiguousarray(song).reshape(-1), song.shape[0])
    whole = pyebur128.get_loudness_global_multiple(states)
    return [pyebur128.get_loudness_global(state) for state in states], whole


def test_levels_are_those_of_an_outside_meter(
    made: tuple[SmallRelease, Recorded], sounds: list[np.ndarray]
) -> None:
    levels, whole = heard_by_libebur128(sounds)
    shape = made[1].shape
    np.testing.assert_allclose([song.loudness_lufs for song in shape.songs], levels, rtol=0.0, atol=PEER_LU)
    assert shape.loudness_lufs == pytest.approx(whole, abs=PEER_LU)
    assert shape.spread_lu == pytest.approx(max(levels) - min(levels), abs=2 * PEER_LU)
    steps = [song.step_lu for song in shape.songs]
    assert steps[0] is None
    assert steps[1:] == pytest.approx(np.diff(levels), abs=2 * PEER_LU)


def test_peaks_and_ranges_are_those_of_the_prints(
    made: tuple[SmallRelease, Recorded], sounds: list[np.ndarray]
) -> None:
    """The same meters over what `arsis print` and numpy made of the songs."""
    for sound, song in zip(sounds, made[1].shape.songs, strict=True):
        meters = Meters(RATE_HZ, 2)
        meters.add(np.ascontiguousarray(sound.T))
        facts = meters.facts()
        assert song.true_peak_dbtp == pytest.approx(facts.true_peak_dbtp, abs=SINGLE_DB)
        assert song.range_lu == pytest.approx(facts.range_lu, abs=SINGLE_DB)
        assert song.plr_db == pytest.approx(facts.true_peak_dbtp - facts.integrated_lufs, abs=SINGLE_DB)


def test_places_are_those_of_the_release(made: tuple[SmallRelease, Recorded]) -> None:
    shape = made[1].shape
    assert [song.title for song in shape.songs] == ["Small Hours", "Late <Train>", "Small Hours"]
    assert [song.start_s for song in shape.songs] == pytest.approx([0.0, 5.5, 22.0])
    assert [song.length_s for song in shape.songs] == pytest.approx([7.0, 14.0, 5.0])
    assert [(song.gap_s, song.overlap_s) for song in shape.songs] == [(0.0, 0.0), (0.0, 1.5), (2.5, 0.0)]
    assert shape.length_s == pytest.approx(27.0)
    assert [(side.side, side.songs) for side in shape.sides] == [("A", (1, 2)), ("B", (3,))]
    assert [side.length_s for side in shape.sides] == pytest.approx([19.5, 5.0])


def test_the_change_is_from_the_end_before_into_the_beginning(
    made: tuple[SmallRelease, Recorded], sounds: list[np.ndarray]
) -> None:
    """First and last ten seconds by libebur128; of a shorter song all; silence at an end is gated."""
    first, second, third = made[1].shape.songs
    assert first.begins_lufs == first.ends_lufs == first.loudness_lufs
    (begins, ends), _ = heard_by_libebur128([sounds[1][: 10 * RATE_HZ], sounds[1][-10 * RATE_HZ :]])
    assert begins - ends > 2.0  # the two are not to be taken for one another
    assert second.begins_lufs == pytest.approx(begins, abs=PEER_LU)
    assert second.ends_lufs == pytest.approx(ends, abs=PEER_LU)
    assert first.change_lu is None
    (before, after), _ = heard_by_libebur128([sounds[0], sounds[2]])
    assert second.change_lu == pytest.approx(begins - before, abs=2 * PEER_LU)
    assert third.change_lu == pytest.approx(after - ends, abs=2 * PEER_LU)


def test_tone_is_against_the_mean_of_the_songs(release: SmallRelease) -> None:
    """Songs of a low tone and one in the middle, in known shares of their power."""
    three_songs(release)
    shares = {"small-hours": 0.5, "late-train": 0.1}
    for stem, low in shares.items():
        low_tone, mid_tone = (sine(freq_hz, RATE_HZ, 14.0, peak=0.2) for freq_hz in (50.0, 1_000.0))
        sound = np.sqrt(low) * low_tone + np.sqrt(1.0 - low) * mid_tone
        write(release.folder / "mixes" / f"{stem}.wav", sound)
    release.set_plan(UNTOUCHED)
    low_db = 10.0 * np.log10([0.5, 0.1, 0.5])
    mid_db = 10.0 * np.log10([0.5, 0.9, 0.5])
    songs = release_record(release.folder).shape.songs
    for band, level_db in (("low", low_db), ("mid", mid_db)):
        tone_db = [getattr(song.tone_db, band) for song in songs]
        np.testing.assert_allclose(tone_db, level_db - level_db.mean(), rtol=0.0, atol=TONE_BAND_DB)


def test_the_page_shows_every_song(made: tuple[SmallRelease, Recorded]) -> None:
    release, recorded = made
    assert recorded.out == release.folder / "reports" / "record.html"
    page = recorded.out.read_text(encoding="utf-8")
    assert page.count("Late &lt;Train&gt;") >= 3  # two tables and a figure
    assert "Late <Train>" not in page
    assert not re.search(r"(src|href)=", page)
    figures = [ElementTree.fromstring(text) for text in re.findall(r"<svg.*?</svg>", page, re.DOTALL)]
    assert len(figures) == 2
    text = "".join(figures[0].itertext())
    assert "side A" in text
    assert "heard" in text


def test_the_command_speaks_text_and_json(release: SmallRelease) -> None:
    three_songs(release)
    said = arsis("record", release.folder)
    assert said.exit_code == 0, said.output
    assert "Nocturnes: 3 songs, 0:27.0" in said.stdout
    assert "over 1.5 s" in said.stdout
    assert "side B: 0:05.0" in said.stdout
    told = arsis("record", release.folder, "--json")
    found: Any = json.loads(told.stdout)
    assert found["songs"][1]["overlap_s"] == 1.5
    assert set(found["songs"][0]["tone_db"]) == set(BANDS)
    assert found["songs"][0]["step_lu"] is None


def test_songs_at_different_rates_are_said_plainly(release: SmallRelease) -> None:
    three_songs(release, rate_hz=48_000)
    said = arsis("record", release.folder)
    assert said.exit_code == 3
    assert "01 at 44.1 kHz, 02 at 48 kHz" in said.stderr
    three_songs(release, rate_hz=48_000, head="rate_hz = 44100")
    assert arsis("record", release.folder).exit_code == 0


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda f: (f / "release.toml").unlink(), "no release: it has no release.toml"),
        (lambda f: (f / "songs" / "late-train.toml").unlink(), "there is no such plan"),
        (lambda f: (f / "mixes" / "late-train.wav").unlink(), "late-train.wav"),
        (
            lambda f: (f / "release.toml").write_text(
                (f / "release.toml").read_text().replace("overlap_s = 1.5", "overlap_s = 7.0")
            ),
            "song 2 (songs/late-train.toml): overlap_s is 7.000000; the song before has only 7.000000 s",
        ),
    ],
)
def test_faults_are_one_message(release: SmallRelease, change: Any, message: str) -> None:
    three_songs(release)
    change(release.folder)
    said = arsis("record", release.folder)
    assert said.exit_code == 2
    assert message in said.stderr
    assert len(said.stderr.strip().splitlines()) == 1
    assert not (release.folder / "reports" / "record.html").exists()


def test_a_stop_leaves_no_page(release: SmallRelease) -> None:
    three_songs(release)

    def stop(done: int, total: int) -> None:
        assert 0 < done <= total
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        release_record(release.folder, progress=stop)
    assert not (release.folder / "reports" / "record.html").exists()


def test_progress_goes_to_the_end_of_all_songs(release: SmallRelease) -> None:
    three_songs(release)
    seen: list[tuple[int, int]] = []
    release_record(release.folder, progress=lambda done, total: seen.append((done, total)))
    assert [done for done, _ in seen] == sorted(done for done, _ in seen)
    assert {total for _, total in seen} == {28 * RATE_HZ}
    assert seen[-1][0] == 28 * RATE_HZ


def test_the_page_has_a_pages_name(release: SmallRelease) -> None:
    said = arsis("record", release.folder, "--out", release.folder / "release.toml")
    assert said.exit_code == 2
    assert "allowed: a name that ends in .html" in said.stderr
