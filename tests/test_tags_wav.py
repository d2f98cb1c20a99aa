"""Tags as chunks of a WAV file, with the loudness of the sound that was just written, read by others."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pyebur128
import pytest
import soundfile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from mutagen.id3 import ID3
from mutagen.wave import WAVE

from arsis.deliver.tagging import Marker, Tags, read_tags, wav_ahead, wav_chunks
from arsis.errors import SoundFileError
from arsis.io import wav_form
from arsis.io.chunks import read_chunks
from arsis.io.probe import probe
from arsis.io.read import read_all
from arsis.io.write import write_sound
from arsis.measure.summary import Meters
from tests.sound_files import words
from tests.tagged import FULL, RATE_HZ, decoded, ffprobe, loud_noise, mediainfo
from tests.tolerances import BEXT_LU, BEXT_RANGE_LU, PEAK_METERS_DB

MARKERS = (Marker(0, "intro", 96_000), Marker(96_000, "Strophe à\n2", 96_000))


@dataclass(frozen=True)
class Measured:
    """Figures that a meter might give."""

    integrated_lufs: float | None = -9.34
    range_lu: float | None = 6.50
    true_peak_dbtp: float | None = -1.00
    max_momentary_lufs: float | None = -6.12
    max_short_term_lufs: float | None = -7.77


def written(path: Path, tags: Tags, block: np.ndarray, start_frame: int = 0, bits: int = 24) -> str:
    """A file as a delivery writes it: metered on the way, tagged with what was measured."""
    meters = Meters(RATE_HZ, 2)
    about = {"rate_hz": RATE_HZ, "channels": 2, "bits": bits, "start_frame": start_frame}
    with write_sound(
        path,
        RATE_HZ,
        2,
        f"pcm_s{bits}",
        ahead=wav_ahead(tags, **about),
        chunks=lambda: wav_chunks(tags, meters.facts(), MARKERS, **about),
        frames=block.shape[1],
    ) as sound:
        meters.add(block / 2.0 ** (bits - 1))
        sound.write(block)
    assert sound.sha256 is not None
    return sound.sha256


def test_the_chunks_and_their_order(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    checksum = written(path, FULL, words(4_800, 24))
    content = path.read_bytes()
    assert checksum == hashlib.sha256(content).hexdigest()
    found = read_chunks(path)
    assert [name + body[:4] * (name == b"LIST") for name, body in found] == [
        b"JUNK", b"bext", b"fmt ", b"axml", b"cue ", b"LISTadtl", b"LISTINFO", b"id3 ",
    ]  # fmt: skip
    assert content.index(b"bext") < content.index(b"fmt ") < content.index(b"data") < content.index(b"axml")


def test_we_read_what_we_wrote(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    written(path, FULL, words(4_800, 24), start_frame=123_456)
    found = read_tags(path, "wav")
    assert {name: text for name, text in found.items() if name in FULL.named("wav")} == FULL.named("wav")
    assert {name: text for name, text in found.items() if name.startswith("info.")} == {
        f"info.{name}": FULL.texts()[name]
        for name in ("title", "artist", "album", "place", "date", "copyright", "encoder")
    }
    assert found["axml.isrc"] == found["isrc"] == "AA6Q72000047"
    assert found["markers"] == "0 intro; 96000 Strophe à 2"
    assert found["bext.description"] == "Law Water ? (instrumental) - The Tides - Tide Tables"
    assert found["bext.time_reference_frames"] == "123456"
    assert (found["bext.date"], found["bext.time"]) == ("2026-11-25", "00:00:00")
    assert "bext.integrated_lufs" not in found  # a tenth of a second has no gated loudness


def test_what_was_measured_is_what_libebur128_measures(tmp_path: Path) -> None:
    """The figures in bext, as MediaInfo shows them, against libebur128 on the file's own sound."""
    path, block = tmp_path / "a.wav", loud_noise()
    written(path, FULL, block)
    sound, _ = soundfile.read(path)
    mode = pyebur128.MeasurementMode.MODE_I | pyebur128.MeasurementMode.MODE_LRA
    state = pyebur128.R128State(2, RATE_HZ, mode | pyebur128.MeasurementMode.MODE_TRUE_PEAK)
    state.add_frames(sound.ravel(), len(sound))
    said = mediainfo(path)
    assert float(said["LoudnessValue"]) == pytest.approx(pyebur128.get_loudness_global(state), abs=BEXT_LU)
    assert float(said["LoudnessRange"]) == pytest.approx(
        pyebur128.get_loudness_range(state), abs=BEXT_RANGE_LU
    )
    peak = max(pyebur128.get_true_peak(state, channel) for channel in range(2))
    assert float(said["MaxTruePeakLevel"]) == pytest.approx(20 * np.log10(peak), abs=PEAK_METERS_DB)
    assert float(said["MaxMomentaryLoudness"]) >= float(said["MaxShortTermLoudness"])


def test_mediainfo_and_ffprobe_agree(tmp_path: Path) -> None:
    path, about = tmp_path / "a.wav", {"rate_hz": RATE_HZ, "channels": 2, "bits": 24, "start_frame": 96_000}
    chunks = wav_chunks(FULL, Measured(), MARKERS, **about)
    with write_sound(path, RATE_HZ, 2, ahead=wav_ahead(FULL, **about), chunks=lambda: chunks) as sound:
        sound.write(words(192_000, 24))
    said, probed = mediainfo(path), ffprobe(path)
    loudness = ("LoudnessValue", "LoudnessRange", "MaxTruePeakLevel", "MaxMomentaryLoudness")
    assert [said[name] for name in loudness] == ["-9.34", "6.50", "-1.00", "-6.12"]
    assert said["MaxShortTermLoudness"] == "-7.77"
    assert (said["ISRC"], said["Album"], said["Album_Performer"]) == (
        "AA6Q72000047",
        "Tide Tables",
        "Several",
    )
    assert said["Track"] == "Låw Water ☂ (instrumental)"
    assert (said["Performer"], said["Recorded_Date"]) == ("The Tides", "2026-11")
    assert (said["Track_Position"], said["Track_Position_Total"]) == ("3", "12")
    assert (said["BARCODE"], said["CATALOGNUMBER"]) == ("4006381333931", "CAT 1")
    assert (said["REPLAYGAIN_TRACK_GAIN"], said["Cover"], said["Delay"]) == ("-8.70 dB", "Yes", "2.000")
    tags = probed["format"]["tags"]
    assert (tags["title"], tags["artist"]) == ("Låw Water ☂ (instrumental)", "The Tides")
    assert (tags["album"], tags["track"], tags["date"]) == ("Tide Tables", "3", "2026-11")
    assert (tags["copyright"], tags["encoder"]) == ("2026 The Tides", FULL.encoder)
    assert tags["time_reference"] == "96000"
    chapters = [(one["start"], one["tags"]["title"]) for one in probed["chapters"]]
    assert chapters == [(0, "intro"), (96_000, "Strophe à 2")]
    picture = next(stream for stream in probed["streams"] if stream["codec_type"] == "video")
    assert picture["codec_name"] == "png"
    by_mutagen = WAVE(path)
    assert by_mutagen.tags is not None
    assert str(by_mutagen.tags["TSRC"]) == "AA6Q72000047"


def test_the_sound_is_untouched_and_the_bytes_are_the_same_again(tmp_path: Path) -> None:
    block, plain = loud_noise(20_001), tmp_path / "plain.wav"
    with write_sound(plain, RATE_HZ, 2) as sound:
        sound.write(block)
    checksums = {written(tmp_path / name, FULL, block) for name in ("a.wav", "b.wav")}
    assert len(checksums) == 1
    assert decoded(tmp_path / "a.wav") == decoded(plain)
    assert np.array_equal(read_all(tmp_path / "a.wav"), block / 2.0**23)


def test_a_long_file_is_rf64_with_all_its_tags(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """EBU Tech 3306, here at a lower limit: readers find the sound and bext where they do in a short file."""
    monkeypatch.setattr(wav_form, "MOST_RIFF_BYTES", 100_000)
    path, block = tmp_path / "long.wav", loud_noise()
    written(path, FULL, block, start_frame=96_000)
    assert probe(path).container == "rf64"
    assert np.array_equal(soundfile.read(path)[0].T, block / 2.0**23)
    assert np.array_equal(read_all(path), block / 2.0**23)
    short = tmp_path / "short.wav"
    monkeypatch.undo()
    written(short, FULL, block, start_frame=96_000)
    assert read_tags(path, "wav") == read_tags(short, "wav")
    assert decoded(path) == decoded(short)
    assert mediainfo(path)["LoudnessValue"] == mediainfo(short)["LoudnessValue"]
    assert ffprobe(path)["format"]["tags"] == ffprobe(short)["format"]["tags"]


def test_a_file_with_little_to_say(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    with write_sound(path, RATE_HZ, 1, "pcm_s16", chunks=wav_chunks(Tags(title="A"), None, **SMALL)) as sound:
        sound.write(words(100, 16, 1))
    found = read_tags(path, "wav")
    assert found["title"] == found["info.title"] == found["bext.description"] == "A"
    assert found["bext.coding_history"] == f"A=PCM,F={RATE_HZ},W=16,M=mono,T={FULL.encoder}"
    assert not {"isrc", "axml.isrc", "markers", "bext.date", "bext.time"} & set(found)


SMALL = {"rate_hz": RATE_HZ, "channels": 1, "bits": 16}
ODD = st.one_of(
    st.text(max_size=80), st.text("aé☂🌊/;=\0\r\n\u2028\x85\ufeff ", max_size=20), st.just("long " * 99)
)


@settings(
    derandomize=True,
    deadline=None,
    max_examples=40,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(texts=st.tuples(ODD, ODD, ODD), name=ODD)
def test_odd_texts(tmp_path: Path, texts: tuple[str, str, str], name: str) -> None:
    path, (title, artist, album) = tmp_path / "a.wav", texts
    tags = replace(FULL, title=title, artist=artist, album=album, artwork=None)
    ahead = wav_ahead(tags, **SMALL)
    with write_sound(
        path,
        RATE_HZ,
        1,
        "pcm_s16",
        ahead=ahead,
        chunks=lambda: wav_chunks(tags, Measured(), (Marker(7, name),), **SMALL),
    ) as sound:
        sound.write(words(100, 16, 1))
    found = read_tags(path, "wav")
    assert {name: text for name, text in found.items() if name in tags.named("wav")} == tags.named("wav")
    assert found["bext.integrated_lufs"] == "-9.34"
    assert found["bext.description"].isascii()
    assert np.array_equal(soundfile.read(path, dtype="int16")[0], words(100, 16, 1)[0])
    assert ID3(BytesIO(dict(read_chunks(path))[b"id3 "])).version == (2, 4, 0)


def test_damaged_chunks_are_said(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    with write_sound(path, RATE_HZ, 1, "pcm_s16", chunks=((b"bext", b"short"),)) as sound:
        sound.write(words(100, 16, 1))
    with pytest.raises(SoundFileError, match=r"a\.wav: its tags cannot be read: the file is damaged"):
        read_tags(path, "wav")
