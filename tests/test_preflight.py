"""Before a delivery: every bad datum is one clear message that says what, where and what is allowed."""

from __future__ import annotations

import pickle
import shutil
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from click.testing import CliRunner

from arsis.cli.main import main
from arsis.errors import ArsisError

from .low_tides import SmallRecord, png

R = "release.toml"


def remove(tides: SmallRecord, file: str) -> None:
    (tides.folder / file).unlink()


def link_out(tides: SmallRecord) -> None:
    outside = tides.folder.parent / "outside.png"
    outside.write_bytes(png(1400, 1400))
    remove(tides, "artwork/front.png")
    (tides.folder / "artwork" / "front.png").symlink_to(outside)


def make_mono(tides: SmallRecord, *names: str) -> None:
    for name in names:
        tides.sound(f"mixes/{name}.wav", channels=1)


def without_songs(tides: SmallRecord) -> None:
    path = tides.folder / R
    path.write_text(path.read_text().split("[[song]]")[0])


Change = Callable[[SmallRecord], object]
BAD: dict[str, tuple[Change, str]] = {
    "no release document": (
        lambda tides: remove(tides, R),
        "release.toml: file: found nothing; allowed: a release folder with its release.toml; "
        "`arsis start` makes one",
    ),
    "no song": (
        without_songs,
        "release.toml: song: found nothing; allowed: at least one [[song]]: there is nothing to deliver",
    ),
    "missing plan": (
        lambda tides: remove(tides, "songs/second.toml"),
        "songs/second.toml: file: found No such file or directory; allowed: a document that can be read",
    ),
    "a plan at fault": (
        lambda tides: tides.change("songs/first.toml", 'pass = "A"', 'pass = "B"'),
        'songs/first.toml:13: section[1].pass: found "B"; allowed: a pass of this song (there are: A)',
    ),
    "missing mix": (
        lambda tides: remove(tides, "mixes/first.wav"),
        'songs/first.toml:3: mix: found "mixes/first.wav", and there is no such file; '
        "allowed: a sound file in the release folder",
    ),
    "missing mix of a version": (
        lambda tides: remove(tides, "mixes/first-instrumental.wav"),
        'songs/first.toml:8: version[1].mix: found "mixes/first-instrumental.wav", and there is no such '
        "file; allowed: a sound file in the release folder",
    ),
    "a mix that is no sound": (
        lambda tides: (tides.folder / "mixes/first.wav").write_bytes(b"not a sound at all"),
        'songs/first.toml:3: mix: found "mixes/first.wav", and is not a sound file that arsis knows',
    ),
    "duplicate ISRC": (
        lambda tides: tides.change(R, "JMK401400212", "AA-6Q7-20-00047"),
        'release.toml:17: song[2].isrc: found "AA-6Q7-20-00047"; '
        "allowed: an ISRC that no other recording of the release has",
    ),
    "not an ISRC": (
        lambda tides: tides.change(R, "JMK401400212", "JMK40140021"),
        'release.toml:17: song[2].isrc: found "JMK40140021"; allowed: an ISRC:',
    ),
    "wrong check digit": (
        lambda tides: tides.change(R, "6291041500213", "6291041500214"),
        'release.toml:4: gtin: found "6291041500214"; allowed: 8, 12, 13 or 14 digits, the last of them '
        "the check digit, which is 3 here",
    ),
    "negative gap": (
        lambda tides: tides.change(R, "gap_s = 1.0", "gap_s = -1.0"),
        "release.toml:18: song[2].gap_s: found -1.0; allowed: a number from 0 to 600 s",
    ),
    "songs at different rates": (
        lambda tides: tides.sound("mixes/second.wav", rate_hz=48_000),
        "release.toml:7: song: found songs at different rates: 01 First at 44100 Hz; 02 Second at 48000 Hz; "
        "allowed: one rate for one record: set it at the release's head, such as rate_hz = 48000",
    ),
    "mono and stereo": (
        lambda tides: make_mono(tides, "first", "first-instrumental"),
        "release.toml:7: song: found mono and stereo songs: 01 First with 1 channel; 02 Second with 2 "
        "channels; allowed: as many channels in every song, or a profile of your own with channels = 2",
    ),
    "a stereo version of a mono song": (
        lambda tides: make_mono(tides, "first", "second", "second-instrumental"),
        "release.toml:7: song[1]: found 01 First (instrumental) with 2 channels; "
        "allowed: 1 channel, as its song has",
    ),
    "missing artwork": (
        lambda tides: remove(tides, "artwork/front.png"),
        'release.toml:5: artwork: found "artwork/front.png", and no such file or directory; '
        "allowed: a JPEG or PNG picture inside the release folder, of at most",
    ),
    "artwork that is none": (
        lambda tides: (tides.folder / "artwork/front.png").write_bytes(b"GIF89a" + bytes(64)),
        'release.toml:5: artwork: found "artwork/front.png", which holds no such picture; '
        "allowed: a JPEG or PNG",
    ),
    "artwork of no size": (
        lambda tides: (tides.folder / "artwork/front.png").write_bytes(png(1400, 0)),
        'release.toml:5: artwork: found "artwork/front.png", 65 bytes long, of 1400 × 0 pixels; allowed:',
    ),
    "artwork by a link that leads out": (
        link_out,
        'release.toml:5: artwork: found "artwork/front.png", a link that leads out of the release folder; '
        "allowed: a JPEG or PNG",
    ),
    "an unknown version": (
        lambda tides: tides.change(R, 'name = "instrumental"', 'name = "clean"'),
        'release.toml:12: song[1].version[1].name: found "clean"; '
        "allowed: a version of 01 First (there are: instrumental)",
    ),
    "sections past the end": (
        lambda tides: tides.change(
            "songs/first.toml", "[pass.A]", '[[section]]\nname = "b"\nstart_s = 9.0\npass = "A"\n\n[pass.A]'
        ),
        "songs/first.toml:17: section[2].start_s: found 9.000000 s (b); "
        "allowed: before the mix ends at 5.000000 s",
    ),
    "a print from elsewhere that is missing": (
        lambda tides: tides.change("songs/first.toml", "chain = []", 'print = "prints/outboard.wav"'),
        'songs/first.toml:17: pass.A.print: found "prints/outboard.wav", and there is no such file; '
        "allowed: a sound file in the release folder",
    ),
    "missing sound between": (
        lambda tides: tides.change(R, "trim_db = -0.5", 'between = { file = "mixes/room.wav" }'),
        'release.toml:19: song[2].between.file: found "mixes/room.wav", and there is no such file; '
        "allowed: a sound file in the release folder",
    ),
    "a song that begins after its end": (
        lambda tides: tides.change(R, "trim_db = -0.5", "from_s = 6.0"),
        "release.toml: song 2 (songs/second.toml): from_s is 6.000000, so that nothing sounds; "
        "it ends at 5.000000 s",
    ),
    "an overlap longer than a song": (
        lambda tides: tides.change(R, "gap_s = 1.0", "gap_s = 0.0\noverlap_s = 6.0"),
        "release.toml: song 2 (songs/second.toml): overlap_s is 6.000000; it has only 5.000000 s",
    ),
    "a folder that is a file": (
        lambda tides: (tides.folder / "deliveries").write_text("not a folder"),
        "deliveries/hires: folder: found",
    ),
}


@pytest.mark.parametrize(("change", "said"), BAD.values(), ids=list(BAD))
def test_one_bad_datum_is_one_clear_message(tides: SmallRecord, change: Change, said: str) -> None:
    tides.order()  # nothing was wrong before
    change(tides)
    assert tides.fault().startswith(said)


def test_a_mix_that_changed_is_told_with_both_digests(tides: SmallRecord) -> None:
    shutil.copy(tides.folder / "mixes/second.wav", tides.folder / "mixes/first.wav")
    fault = tides.fault()
    assert fault.startswith("songs/first.toml:4: mix_sha256: found ")
    assert "while mixes/first.wav now has " in fault
    assert fault.endswith("put it back, or set this where the new one is meant")


def test_all_that_is_wrong_is_said_at_once(tides: SmallRecord) -> None:
    tides.change(R, "6291041500213", "6291041500214")
    remove(tides, "mixes/first.wav")
    remove(tides, "songs/second.toml")
    with pytest.raises(ArsisError) as caught:
        tides.order("no-such")
    said = str(caught.value)
    for part in ("no-such", "check digit", "mixes/first.wav", "songs/second.toml"):
        assert part in said
    assert len(said.splitlines()) == 4


@pytest.mark.parametrize("coder", ["vorbis", "opus", "aac", "mp3"])
def test_missing_mixes_are_told_one_by_one_whatever_the_coder(tides: SmallRecord, coder: str) -> None:
    tides.profile("lossy", f'container = "{coder}"\nkbps = 128.0\nrate_hz = 48000\nversions = false')
    for name in ("first", "second"):
        remove(tides, f"mixes/{name}.wav")
    command = ["deliver", str(tides.folder), "--profile", "lossy", "--jobs", "1"]
    result = CliRunner().invoke(main, command)
    assert result.exit_code == 2
    lines = result.stderr.splitlines()
    assert len(lines) == 2
    for name, line in zip(("first", "second"), lines, strict=True):
        assert f'songs/{name}.toml:3: mix: found "mixes/{name}.wav", and there is no such file' in line


def test_an_unknown_profile_is_told_with_those_there_are(tides: SmallRecord) -> None:
    tides.profile("mine", "")
    assert tides.fault("hirez") == (
        'profile: found "hirez"; allowed: hires, cd, stream, vinyl, preview, mine, or one of your own as '
        "profiles/NAME.toml in the release folder"
    )


def test_a_song_too_short_for_a_disc(tides: SmallRecord) -> None:
    # 300 frames of a disc, 176 400 samples, are the least (check-values, 8.6): one sample less is too short.
    tides.sound("mixes/second.wav", seconds=4.0)
    assert tides.order("cd").songs[1].frames == 176_400
    tides.sound("mixes/second.wav", seconds=4.0 - 1.0 / 44_100)
    assert tides.fault("cd") == (
        "release.toml:15: song[2]: found 02 Second, 0:03.999 long; allowed: at least 0:04 in the profile cd"
    )


def test_more_songs_than_a_disc_has_numbers_for(tides: SmallRecord) -> None:
    path = tides.folder / R
    head, first, second = path.read_text().split("[[song]]\n")
    again = '[[song]]\nplan = "songs/second.toml"\n'
    path.write_text(head + "[[song]]\n" + first + "[[song]]\n" + second + 97 * again)
    assert len(tides.order("cd").songs) == 99
    path.write_text(path.read_text() + again)
    assert tides.fault("cd") == (
        "release.toml:7: song: found 100 songs; allowed: at most 99 in the profile cd"
    )


def test_a_record_too_long_for_a_disc(tides: SmallRecord) -> None:
    path = tides.folder / R
    path.write_text(path.read_text() + 8 * '[[song]]\nplan = "songs/second.toml"\ngap_s = 600.0\n')
    assert tides.fault("cd").startswith(
        "release.toml:7: song: found a record of 80:51; allowed: at most 79:57"
    )


def test_mono_becomes_two_channels_where_the_profile_has_two(tides: SmallRecord) -> None:
    tides.sound("mixes/first.wav", channels=1)
    order = tides.order("cd")
    assert order.channels == 2
    assert order.warnings == ("01 First is mono: it comes as two equal channels",)


def test_sides_are_advice_until_they_do_not_follow_one_another(tides: SmallRecord) -> None:
    assert tides.order("vinyl").warnings == (
        "no side is said for 01 First, 02 Second: set `side` in the release's [[song]]",
    )
    tides.change(R, 'isrc = "AA6Q72000047"', 'isrc = "AA6Q72000047"\nside = "A"')
    tides.change(R, "trim_db = -0.5", 'side = "B"')
    assert tides.order("vinyl").warnings == ()
    path = tides.folder / R
    path.write_text(path.read_text() + '\n[[song]]\nplan = "songs/second.toml"\nside = "A"\n')
    assert tides.fault("vinyl") == (
        'release.toml:24: song[3].side: found "A" again (03 Second); '
        "allowed: the songs of a side one after another"
    )


# Gaps between songs of 5 s. A side is best up to 19:30 and 23:00 at most (check-values, 9: plants' pages).
@pytest.mark.parametrize(
    ("gaps_s", "said"),
    [
        ((575.0, 580.0), ""),  # 1170 s
        ((575.0, 580.1), "side A is 19:30.100 long; past 19:30 it has to be cut at a lower level"),
        ((575.0, 580.0, 205.1), "side A is 23:00.100 long; the longest that plants cut is 23:00"),
    ],
)
def test_sides_that_are_long_are_advice(tides: SmallRecord, gaps_s: tuple[float, ...], said: str) -> None:
    path = tides.folder / R
    head = path.read_text().split("[[song]]")[0]
    song = '[[song]]\nplan = "songs/second.toml"\nside = "A"\n'
    path.write_text(head + song + "".join(f"{song}gap_s = {gap_s}\n" for gap_s in gaps_s))
    assert tides.order("vinyl").warnings == ((said,) if said else ())


def test_a_small_picture_is_advice(tides: SmallRecord) -> None:
    (tides.folder / "artwork/front.png").write_bytes(png(1400, 1000))
    [warning] = tides.order().warnings
    assert warning.startswith("the artwork has 1400 × 1000 pixels; shops want a square")


def test_a_full_disk_is_said_beforehand(tides: SmallRecord, monkeypatch: pytest.MonkeyPatch) -> None:
    needed = tides.order().bytes
    # 10 s of songs, a gap of 1 s and 10 s of versions in 24 bits, and the words beside them until they are
    # whole; 16 MiB and two hundredths for the rest.
    sound = 2 * 21.0 * 44_100 * 2 * 3
    assert sound < needed < 1.03 * sound + 17 * 2**20
    monkeypatch.setattr("shutil.disk_usage", lambda folder: SimpleNamespace(free=needed - 1))
    fault = tides.fault()
    assert fault.startswith("deliveries/hires: room: found ")
    assert fault.endswith(f"MB free on its disk; allowed: at least {needed / 1e6:.0f} MB, which it takes")
    monkeypatch.setattr("shutil.disk_usage", lambda folder: SimpleNamespace(free=needed))
    tides.order()


def test_a_folder_that_takes_no_files_is_said_beforehand(
    tides: SmallRecord, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(**where: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("tempfile.TemporaryFile", refuse)  # the tests may run as root, who may all
    fault = tides.fault()
    assert fault.startswith("deliveries/hires: folder: found ")
    assert fault.endswith("permission denied; allowed: a folder that can be written to")


def test_nothing_is_written_by_looking(tides: SmallRecord) -> None:
    before = {path: path.stat().st_mtime_ns for path in tides.folder.rglob("*")}
    tides.order()
    with pytest.raises(ArsisError):
        tides.order("no-such")
    assert {path: path.stat().st_mtime_ns for path in tides.folder.rglob("*")} == before


def test_an_order_holds_what_was_read(tides: SmallRecord) -> None:
    order = tides.order("cd")
    first, second = order.songs
    assert pickle.loads(pickle.dumps(order)) == order
    assert (order.rate_hz, order.channels, order.end) == (44_100, 2, ".wav")
    assert order.target == tides.folder / "deliveries" / "cd"
    assert first.plan_text == (tides.folder / "songs/first.toml").read_text()
    assert order.release_text == (tides.folder / R).read_text()
    assert (first.file_name, second.file_name) == ("01 First.wav", "02 Second.wav")
    assert (first.isrc, second.plan_copy) == ("AA6Q72000047", "plans/02-second.toml")
    assert first.versions == ()  # a disc holds none
    # 5 s, a gap of 1 s, 5 s; the gap is filled up to a frame of 588: it is one already.
    assert order.record.frames == 11 * 44_100
    assert second.song.finish.gain_db == -0.5
    assert second.song.finish.limiter is not None
    assert second.song.finish.limiter.ceiling_dbtp == -0.5  # lower than the profile's, which never raises


def test_a_rate_of_the_release_settles_mixed_rates(tides: SmallRecord) -> None:
    tides.sound("mixes/second.wav", rate_hz=48_000)
    tides.change(R, 'artist = "The Lamps"', 'artist = "The Lamps"\nrate_hz = 96000')
    order = tides.order()
    assert order.rate_hz == 96_000
    assert [song.frames for song in order.songs] == [480_000, 480_000]
    assert tides.order("cd").rate_hz == 44_100  # a profile that says one has the last word


def test_versions_come_with_their_own_codes(tides: SmallRecord) -> None:
    first, second = tides.order("stream").songs
    assert [(v.name, v.isrc, v.file_name) for v in first.versions] == [
        ("instrumental", "AA6Q72000048", "01 First (instrumental).wav")
    ]
    assert [v.isrc for v in second.versions] == [None]
