"""The demo songs by arsis and by outside references: libebur128 (pyebur128) and Debian's ffmpeg.

libebur128 looks at the short-term loudness once a second, where Tech 3342 (2023), section 3, asks for
an overlap of at least 2.9 s, so its range differs by its sparser look. Taken at its own seconds our
short-term loudness gives its range; at ten looks a second ours is ffmpeg's.
"""

from __future__ import annotations

import math
import re
import subprocess
from pathlib import Path

import numpy as np
import pyebur128
import pytest

from arsis.demo.songs import SONGS, song_truth
from arsis.io.write import write_sound
from arsis.measure.loudness import HOPS_PER_SECOND, short_term_lufs
from arsis.measure.summary import Meters, SoundFacts

from .demo_songs import demo_song
from .tolerances import FFMPEG_DIGIT, PEER_LU, PEER_TRUE_PEAK_DB


@pytest.fixture(scope="module", params=SONGS)
def heard(request, tmp_path_factory):
    song = demo_song(request.param)
    path = tmp_path_factory.mktemp("agreement") / "mix.wav"
    with write_sound(path, song.rate_hz, 2) as out:
        out.write(song.stems.mix)
    sound = song.stems.mix * 2.0**-23
    meters = Meters(song.rate_hz, 2)
    meters.add(sound)
    mode = pyebur128.MeasurementMode
    state = pyebur128.R128State(2, song.rate_hz, mode.MODE_I | mode.MODE_LRA | mode.MODE_TRUE_PEAK)
    state.add_frames(np.ascontiguousarray(sound.T).ravel(), sound.shape[1])
    return path, meters, state


def facts(meters: Meters) -> SoundFacts:
    return meters.facts()


def test_integrated_loudness(heard):
    _, meters, state = heard
    theirs = pyebur128.get_loudness_global(state)
    assert facts(meters).integrated_lufs == pytest.approx(theirs, abs=PEER_LU)


def test_loudness_range_at_libebur128s_own_seconds(heard):
    _, meters, state = heard
    loudness = short_term_lufs(meters.energies(), HOPS_PER_SECOND)
    power = 10.0 ** (loudness / 10.0)
    gate = 10.0 * math.log10(power[loudness >= -70.0].mean()) - 20.0
    passed = np.sort(loudness[loudness >= max(-70.0, gate)])
    low, high = (passed[math.floor((passed.size - 1) * p / 100 + 0.5)] for p in (10, 95))
    assert high - low == pytest.approx(pyebur128.get_loudness_range(state), abs=PEER_LU)


def test_true_peak(heard):
    """Theirs is the four-times one at these rates and may read lower, never more than a little higher."""
    _, meters, state = heard
    theirs = 20.0 * math.log10(max(pyebur128.get_true_peak(state, channel) for channel in (0, 1)))
    assert facts(meters).true_peak_dbtp >= theirs - PEER_TRUE_PEAK_DB


def test_ffmpeg_reads_the_same_file_alike(heard):
    path, meters, _ = heard
    told = ffmpeg_ebur128(path)
    ours = facts(meters)
    assert ours.integrated_lufs == pytest.approx(told["I"], abs=FFMPEG_DIGIT)
    assert ours.range_lu == pytest.approx(told["LRA"], abs=FFMPEG_DIGIT)
    assert ours.true_peak_dbtp >= told["Peak"] - FFMPEG_DIGIT


def test_the_page_of_the_demo_tells_what_libebur128_reads(request, heard):
    _, _, state = heard
    title = song_truth(request.node.callspec.params["heard"]).title
    page = (Path(__file__).parents[1] / "docs" / "demo.md").read_text()
    row = re.search(rf"^\| {title} \|.*LUFS.*$", page, re.M)[0].replace("−", "-")
    told = [float(number) for number in re.findall(r"(-?[\d.]+) (?:LUFS|LU|dBTP) ", row)]
    peak = max(pyebur128.get_true_peak(state, channel) for channel in (0, 1))
    theirs = [
        pyebur128.get_loudness_global(state),
        pyebur128.get_loudness_range(state),
        20 * math.log10(peak),
    ]
    assert told == [round(number, 1) for number in theirs]


def ffmpeg_ebur128(path: Path) -> dict[str, float]:
    command = [
        "ffmpeg",
        "-hide_banner",
        "-nostats",
        "-i",
        str(path),
        "-af",
        "ebur128=peak=true",
        "-f",
        "null",
        "-",
    ]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stderr
    summary = said[said.rindex("Summary:") :]
    return {
        name: float(re.search(rf"^\s+{name}:\s+(-?[\d.]+)", summary, re.M)[1])
        for name in ("I", "LRA", "Peak")
    }
