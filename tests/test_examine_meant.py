"""Sounds that are meant as they are, and faults that come together: what `arsis examine` says of them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

import numpy as np
import pytest
import soundfile

from arsis.audio import Block
from arsis.cli.examine import examined_text
from arsis.workflow.examine import listen, stops

from .examine_sounds import RATE_HZ, demo, examined, kinds, loud
from .test_examine import clicked, clipped, holed, hummed, one


def notes(freq_hz: float, length_s: float, fade_s: float, wave: Callable[[Block], Block] = np.sin) -> Block:
    """Eight of them with rests of digital silence, both channels alike."""
    at = np.arange(round(length_s * RATE_HZ)) / RATE_HZ
    edges = np.clip(np.minimum(at, length_s - at) / fade_s, 0.0, 1.0) if fade_s else np.ones_like(at)
    one_note = 0.9 * edges * wave(2.0 * np.pi * freq_hz * at)
    return np.tile(np.concatenate([one_note, np.zeros(RATE_HZ // 5)]), (2, 8))


def partials(top_hz: float) -> Block:
    """A chord whose partials all end at one frequency, in the noise of a room."""
    t = np.arange(10 * RATE_HZ) / RATE_HZ
    chord = sum(
        np.sin(2.0 * np.pi * f * k * t + k * k) / k
        for f in (110.0, 138.6, 164.8)
        for k in range(1, int(top_hz / f))
    )
    hiss = 3e-5 * np.random.default_rng(51).standard_normal((2, t.size))
    return 0.1 * chord * np.clip(np.minimum(t, 10.0 - t), 0.0, 1.0) + hiss


def pulse(phase: Block) -> Block:
    return np.where(np.sin(phase) > 0.3, 0.8, -0.8)


MEANT: dict[str, tuple[Callable[[], Block], int]] = {
    "gated notes, 3 ms fades": (partial(notes, 50.0, 0.3, 0.003), 24),
    "gated noise, 10 ms fades": (partial(notes, 220.0, 0.3, 0.01), 24),
    "a solo sub in 16 bits": (partial(notes, 36.71, 1.5, 0.2), 16),
    "a solo sub in 24": (partial(notes, 36.71, 1.5, 0.2), 24),
    "partials that end at 12 kHz": (partial(partials, 12_000.0), 24),
    "partials that end at 16 kHz": (partial(partials, 16_000.0), 24),
    "a pulse with hard rests": (partial(notes, 110.0, 0.3, 0.0, pulse), 24),
    "a held chord": (partial(partials, 4_000.0), 24),
}


@pytest.mark.parametrize("name", MEANT)
def test_sounds_that_are_meant_so_stop_nobody(name: str, tmp_path: Path) -> None:
    make, bits = MEANT[name]
    found = examined(tmp_path, make(), subtype=f"PCM_{bits}", bits=bits)
    assert [finding.kind for finding in found.findings if finding.stops] == []
    pulse_told = {"clipping", "holes", "dc", "subsonic", "cut_start"}  # asked about, and true of it
    told = pulse_told if name == "a pulse with hard rests" else set()
    assert kinds(found) - {"short_word", "clicks"} <= told


def test_faults_do_not_hide_each_other(tmp_path: Path) -> None:
    """Two clicks 10 ms apart; a few louder samples over a clipped top; a stroke over a held one."""
    twice = clicked(demo(), 0.6)
    twice[:, 377_777 + 441] += 0.6
    assert one(examined(tmp_path, twice), "clicks").count == 2
    over = 0.7 * clipped(demo(), 6.0)
    over[:, [100_000, 200_000]] = 0.9
    assert "clipping" in kinds(examined(tmp_path, over))
    held = 0.7 * loud()
    held[:, 250_000:253_000] *= 1.4
    assert "limited" in kinds(examined(tmp_path, held))


def test_hum_is_found_in_the_only_rest(tmp_path: Path) -> None:
    """Which is a ninth of the file: too little for its quiet parts to tell."""
    rested = np.pad(np.tile(demo(), 2), ((0, 0), (3 * RATE_HZ, 0)))
    hum = one(examined(tmp_path, hummed(rested, -56.0, 50.0)), "hum")
    assert hum.says.startswith("hum at 50 Hz with ")
    assert "hum" not in kinds(examined(tmp_path, rested))


def test_what_is_good_is_said_as_it_is(tmp_path: Path) -> None:
    """No balance is within nothing, an over is not hidden in floats, and what is silent has nothing good."""
    over = demo() / np.abs(demo()).max() * 2.0
    good = examined(tmp_path, over, subtype="FLOAT", bits=0).good
    assert any(line.endswith(" dBTP, over full scale, but whole in floats") for line in good)
    leans = demo()[[0, 0]] * [[1.0], [0.998]]
    assert any("balance within 0.1 dB" in line for line in examined(tmp_path, leans).good)
    silent = examined(tmp_path, np.zeros((2, RATE_HZ)), subtype="FLOAT", bits=0)
    said = examined_text([silent])
    assert "44.1 kHz, 32 bit float, stereo" in said
    assert "good:" not in said


def test_no_coder_ends_over_24_khz(tmp_path: Path) -> None:
    noise = 0.05 * np.random.default_rng(8).standard_normal((2, 3 * 96_000))
    spectrum = np.fft.rfft(noise)
    spectrum[:, 3 * 28_000 :] *= 1e-3
    found = one(examined(tmp_path, np.fft.irfft(spectrum, noise.shape[1]), 96_000), "upsampled")
    assert found.says.startswith("the spectrum stops at 28.")
    assert "MP3" not in found.asks


@pytest.mark.parametrize("length_ms", [2.0, 40.0])
def test_a_hole_is_found_through_the_dither_of_16_bits(length_ms: float, tmp_path: Path) -> None:
    assert "holes" in kinds(examined(tmp_path, holed(demo(), length_ms), subtype="PCM_16", bits=16))


def test_a_channel_that_is_turned_over_for_a_part_is_told(tmp_path: Path) -> None:
    part = demo().copy()
    part[1, 5 * RATE_HZ :] *= -1.0
    assert "polarity" in kinds(examined(tmp_path, part))


@pytest.mark.parametrize(("level", "kind"), [(0.0, "silent"), (1e-5, "silent"), (1e30, "wild_sample")])
def test_what_is_no_mix_is_told_and_nothing_else(level: float, kind: str, tmp_path: Path) -> None:
    sound = np.zeros((2, RATE_HZ))
    sound[0, 5_000] = level
    found = examined(tmp_path, sound, subtype="FLOAT", bits=0)
    assert kinds(found) == {kind}
    assert not found.fit


@pytest.mark.parametrize("fade_ms", [5.0, 100.0])
def test_a_short_fade_is_an_end(fade_ms: float, tmp_path: Path) -> None:
    frames = round(fade_ms * RATE_HZ / 1_000.0)
    sound = demo()[:, : 10 * RATE_HZ].copy()
    sound[:, -frames:] *= np.linspace(1.0, 0.0, frames)
    assert "cut_end" not in kinds(examined(tmp_path, np.pad(sound, ((0, 0), (0, RATE_HZ)))))


def cut_off(sound: Block) -> Block:
    """With nothing left above 15.4 kHz."""
    spectrum = np.fft.rfft(sound)
    spectrum[:, round(0.7 * spectrum.shape[1]) :] *= 1e-3
    return np.fft.irfft(spectrum, sound.shape[1])


STOPPED: dict[str, tuple[Callable[[], Block], list[str]]] = {
    "nothing": (lambda: clicked(demo(), 0.6), []),
    "silence": (lambda: 0.0 * demo(), ["silent"]),
    "holes and clipping": (lambda: holed(clipped(demo(), 6.0), 12.0), ["holes", "clipping"]),
    "a turned channel": (lambda: demo().mean(axis=0) * np.array([[1.0], [-1.0]]), ["polarity"]),
    "a channel that is missing": (lambda: demo() * np.array([[1.0], [0.0]]), ["silent_channel"]),
    "a band cut off": (lambda: cut_off(loud()), ["coded_once"]),
}


@pytest.mark.parametrize("name", STOPPED)
def test_what_stops_the_work_is_the_same_when_it_is_asked_for_alone(name: str, tmp_path: Path) -> None:
    make, kinds_then = STOPPED[name]
    path = tmp_path / "song.wav"
    soundfile.write(path, make().T, RATE_HZ, "PCM_24")
    listened = listen(path)
    found = stops(path, listened.defects.meters)
    assert [one.kind for one in found] == kinds_then
    assert found == tuple(one for one in listened.intake.findings if one.stops)
