"""What is heard of a song is what arsis prints, to the sample; before it is known to be, it says so."""

from __future__ import annotations

import hashlib
import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from arsis.errors import PlanError
from arsis.measure.loudness import LoudnessMeter, section_lufs
from arsis.plan.codec import read_song
from arsis.plan.model import Pass, Song
from arsis.settings import Bell, Compressor, Gain
from arsis.workflow.hearing import ChunkStore, Hearing, LetGoError, UnknownError
from arsis.workflow.hearing import catalogue as catalogue_module
from arsis.workflow.print import print_song
from arsis.workflow.revisions import keep

from .releases import RATE_HZ, SECONDS, SmallRelease, music, write

Sound = NDArray[np.float32]
WAIT_S = 60.0


class Told:
    """Keeps the news, and waits for one."""

    def __init__(self) -> None:
        self.news: list[tuple[str, dict[str, Any]]] = []
        self._change = threading.Condition()

    def __call__(self, name: str, value: dict[str, Any]) -> None:
        with self._change:
            self.news.append((name, value))
            self._change.notify_all()

    def wait(self, name: str, **having: Any) -> dict[str, Any]:
        """The first of a name with such values."""

        def found() -> dict[str, Any] | None:
            fits = (v for n, v in self.news if n == name and having.items() <= v.items())
            return next(fits, None)

        with self._change:
            assert self._change.wait_for(lambda: found() is not None, WAIT_S), (name, having, self.news)
            value = found()
        assert value is not None
        return value


@contextmanager
def hearing(release: SmallRelease, store: ChunkStore | None = None) -> Iterator[tuple[Hearing, Told]]:
    told = Told()
    heard = Hearing(release.plan, read_song(release.plan), told, store=store)
    try:
        yield heard, told
    finally:
        heard.close()


def entry(heard: Hearing, sound_id: str) -> dict[str, Any]:
    return next(one for one in heard.sounds()["sounds"] if one["id"] == sound_id)


def chunks(heard: Hearing, sound_id: str) -> tuple[Sound, bool]:
    """A whole sound from its chunks, and whether all of them are exact."""
    one = entry(heard, sound_id)
    got = [heard.chunk(one["key"], i) for i in range(-(-one["frames"] // RATE_HZ))]
    assert all(hashlib.sha256(chunk.data).hexdigest() == chunk.sha256 for chunk in got)
    sound = np.concatenate([np.frombuffer(chunk.data, "<f4").reshape(2, -1) for chunk in got], axis=1)
    return sound, all(chunk.exact for chunk in got)


def printed(release: SmallRelease, folder: Path, **how: Any) -> Sound:
    """What the command prints, as libsndfile reads it, in float32."""
    out = folder / "printed.wav"
    print_song(release.plan, out=out, **how)
    return soundfile.read(out, dtype="float32")[0].T


def bent(song: Song, *more: Any) -> Song:
    """Pass B with something more in it."""
    treatment = song.pass_["B"]
    return replace(song, pass_={**song.pass_, "B": replace(treatment, chain=(*treatment.chain, *more))})


def test_every_exact_chunk_is_what_arsis_prints_bit_for_bit(release: SmallRelease, tmp_path: Path) -> None:
    with hearing(release) as (heard, told):
        told.wait("exact", id="pass:B")
        for sound_id, want in {
            "mix": soundfile.read(release.mix, dtype="float32")[0].T,
            "print": printed(release, tmp_path),
            "pass:B": printed(release, tmp_path, pass_name="B"),
            "pass:C": printed(release, tmp_path, pass_name="C"),
        }.items():
            sound, exact = chunks(heard, sound_id)
            assert exact, sound_id
            assert np.array_equal(sound.view(np.int32), want.view(np.int32)), sound_id


def test_a_kept_state_is_heard_as_it_was_printed(release: SmallRelease, tmp_path: Path) -> None:
    want = printed(release, tmp_path)
    keep(release.plan, "weight as it was")
    release.change("gain_db = 0.7", "gain_db = 2.7")
    with hearing(release) as (heard, told):
        told.wait("exact", id="revision:1")
        assert entry(heard, "revision:1")["label"] == "revision 1: weight as it was"
        sound, exact = chunks(heard, "revision:1")
        assert exact
        assert np.array_equal(sound, want)
        assert not np.array_equal(chunks(heard, "print")[0], want)


def test_a_change_is_heard_at_once_and_known_to_be_exact_later(release: SmallRelease, tmp_path: Path) -> None:
    with hearing(release) as (heard, told):
        told.wait("shape", version=1)
        before = entry(heard, "print")["key"]
        changed = bent(read_song(release.plan), Bell(freq_hz=300.0, gain_db=2.0))
        heard.turn_to(changed, 2)
        key = entry(heard, "print")["key"]
        assert key != before
        early = heard.chunk(key, 2)
        assert not early.exact
        assert told.wait("exact", id="print", key=key)["changed"] == []
        assert told.wait("shape", version=2)
        late = heard.chunk(key, 2)
        assert late.exact
        assert late.data == early.data
        release.change("q = 0.7 },", 'q = 0.7 },\n  { kind = "bell", freq_hz = 300.0, gain_db = 2.0 },')
        assert np.array_equal(chunks(heard, "print")[0], printed(release, tmp_path))
        heard.turn_to(read_song(release.plan), 3)
        assert entry(heard, "print")["key"] == key  # the same sound, however it came about
        assert heard.chunk(before, 2).exact  # and what it was before is known still


def test_chunks_that_were_given_otherwise_are_told(release: SmallRelease, monkeypatch: Any) -> None:
    """With no warm-up to speak of, a compressor that remembers for long is heard a little off at first."""
    monkeypatch.setattr("arsis.render.stretch.LEAST_S", 0.0)
    monkeypatch.setattr("arsis.render.stretch.MOST_S", 0.0)
    slow = Compressor(threshold_dbfs=-40.0, ratio=4.0, release_ms=5_000.0, attack_ms=500.0)
    with hearing(release) as (heard, told):
        told.wait("shape", version=1)
        heard.turn_to(bent(read_song(release.plan), slow), 2)
        key = entry(heard, "print")["key"]
        early = heard.chunk(key, 3)
        assert told.wait("exact", id="print", key=key)["changed"] == [3]
        late = heard.chunk(key, 3)
        assert late.exact
        assert late.sha256 != early.sha256


def test_what_was_let_go_from_memory_is_made_again_and_shown_to_be_exact(release: SmallRelease) -> None:
    chunk_bytes = 2 * 4 * RATE_HZ
    with hearing(release, ChunkStore(most_bytes=2 * chunk_bytes)) as (heard, told):
        told.wait("shape", version=1)
        sound, exact = chunks(heard, "print")
        again, exact_again = chunks(heard, "print")
    assert exact
    assert exact_again
    assert np.array_equal(sound, again)


def test_unknown_sounds_and_those_let_go_are_told_apart(release: SmallRelease, monkeypatch: Any) -> None:
    monkeypatch.setattr(catalogue_module, "_MOST_KNOWN", 6)
    with hearing(release) as (heard, _):
        first = entry(heard, "print")["key"]
        with pytest.raises(UnknownError):
            heard.chunk("0" * 24, 0)
        with pytest.raises(UnknownError):
            heard.chunk(first, 99)
        for number in range(4):
            heard.turn_to(bent(read_song(release.plan), Gain(gain_db=0.1 * (number + 1))), number + 2)
        with pytest.raises(LetGoError):
            heard.chunk(first, 0)


def test_names_and_notes_make_no_other_sound(release: SmallRelease) -> None:
    with hearing(release) as (heard, _):
        song, key = read_song(release.plan), entry(heard, "print")["key"]
        renamed = {("Z" if name == "A" else name): replace(one, note="x") for name, one in song.pass_.items()}
        sections = tuple(
            replace(one, name=f"{one.name}!", pass_="Z" if one.pass_ == "A" else one.pass_)
            for one in song.section
        )
        heard.turn_to(replace(song, pass_=renamed, section=sections), 2)
        assert entry(heard, "print")["key"] == key
        neutral = {**renamed, "Z": Pass(chain=(Gain(gain_db=0.0),))}
        heard.turn_to(replace(song, pass_=neutral, section=sections), 3)
        assert entry(heard, "print")["key"] == key


def test_a_plan_that_does_not_fit_leaves_the_last_one_heard(release: SmallRelease) -> None:
    with hearing(release) as (heard, told):
        key = entry(heard, "print")["key"]
        song = read_song(release.plan)
        late = replace(
            song, section=(*song.section, replace(song.section[-1], name="too late", start_s=99.0))
        )
        heard.turn_to(late, 2)
        assert entry(heard, "print")["key"] == key
        assert "past the end" in heard.sounds()["fault"]
        assert "past the end" in told.wait("notice")["text"]
        heard.turn_to(song, 3)
        assert heard.sounds()["fault"] is None


def test_a_reference_is_heard_at_the_songs_rate(release: SmallRelease) -> None:
    """A tone at another rate is the tone; at the same rate the file's own words are heard."""
    t = np.arange(3 * 48_000) / 48_000
    tone = np.tile(0.25 * np.sin(2 * np.pi * 1_000.0 * t), (2, 1))
    write(release.folder / "references" / "tone.wav", tone, rate_hz=48_000)
    own = write(release.folder / "references" / "own.wav", tone[:, :50_000])
    (release.folder / "references" / "broken.wav").write_bytes(b"RIFF")
    with hearing(release) as (heard, told):
        told.wait("exact", id="reference:tone.wav")
        told.wait("exact", id="reference:own.wav")
        sound, exact = chunks(heard, "reference:tone.wav")
        assert exact
        assert sound.shape == (2, 3 * RATE_HZ)
        want = 0.25 * np.sin(2 * np.pi * 1_000.0 * np.arange(sound.shape[1]) / RATE_HZ)
        assert np.abs(sound - want)[:, 2_000:-2_000].max() < 2e-6
        assert np.array_equal(
            chunks(heard, "reference:own.wav")[0], soundfile.read(own, dtype="float32")[0].T
        )
        assert not any("broken" in one["id"] for one in heard.sounds()["sounds"])
        other = write(release.folder / "references" / "other.wav", tone[:, :9_000])
        heard.look()
        assert entry(heard, f"reference:{other.name}")["frames"] == 9_000


def test_matched_levels_are_those_of_what_is_heard(release: SmallRelease) -> None:
    """After the trims, mix, print and pass have one loudness over a range, by a meter of the whole sounds."""
    with hearing(release) as (heard, told):
        told.wait("exact", id="pass:B")
        for span in ((2.0, 4.0), (0.0, SECONDS)):
            trims = heard.levels(*span)["gain_db"]
            assert max(trims.values()) == 0.0
            levels = []
            for sound_id in ("mix", "print", "pass:B"):
                sound, _ = chunks(heard, sound_id)
                meter = LoudnessMeter(RATE_HZ, 2)
                meter.add(sound.astype(np.float64) * 10.0 ** (trims[sound_id] / 20.0))
                levels.append(section_lufs(meter.energies(), *(round(100 * s) for s in span)))
            assert np.ptp(levels) < 1e-6
        heard.turn_to(bent(read_song(release.plan), Gain(gain_db=1.0)), 2)
        assert set(heard.levels()["earlier"]) == {"print", "pass:B"}


def test_what_was_measured_is_known_when_the_song_is_opened_again(release: SmallRelease) -> None:
    with hearing(release) as (heard, told):
        told.wait("beats")
        told.wait("exact", id="pass:B")
        shape, peaks, beats = heard.shape, heard.peaks("print"), heard.beats
        series = heard.series("print")
    with hearing(release) as (heard, told):
        assert heard.shape == shape
        assert heard.beats == beats
        assert heard.peaks("print") == peaks
        again = heard.series("print")
        assert series is not None
        assert again is not None
        assert all(np.array_equal(series[name], again[name], equal_nan=True) for name in series)
        assert chunks(heard, "print")[1]  # shown to be exact without the whole being rendered
        assert not any(name == "exact" for name, _ in told.news)


def test_a_damaged_cache_is_as_none(release: SmallRelease) -> None:
    with hearing(release) as (heard, told):
        told.wait("beats")
        shape = heard.shape
    for path in (release.folder / ".arsis" / "desk").iterdir():
        path.write_bytes(path.read_bytes()[:-9])
    with hearing(release) as (heard, told):
        told.wait("shape", version=1)
        told.wait("beats")
        assert heard.shape == shape


def test_the_outline_never_draws_a_peak_too_small(release: SmallRelease) -> None:
    with hearing(release) as (heard, told):
        told.wait("exact", id="print")
        data = heard.peaks("print")
        sound, _ = chunks(heard, "print")
    assert data is not None
    magic, channels, levels = data[:4], *np.frombuffer(data[4:8], "<u2")
    rate, finest, factor, frames = np.frombuffer(data[8:24], "<u4")
    counts = np.frombuffer(data[32 : 32 + 4 * int(levels)], "<u4")
    assert (magic, channels, levels, rate, finest, factor) == (b"arPK", 2, 5, RATE_HZ, 128, 4)
    assert frames == sound.shape[1]
    bins = np.frombuffer(data[32 + 4 * int(levels) :], "<i2")
    at = 0
    for level, count in enumerate(counts):
        for channel in sound:
            both = bins[at : at + 2 * count].reshape(-1, 2)
            at += 2 * int(count)
            for number in range(0, int(count), 7):
                part = channel[number * 128 * 4**level : (number + 1) * 128 * 4**level] * 32_767.0
                assert both[number, 0] <= part.min() < both[number, 0] + 1.0
                assert both[number, 1] - 1.0 < part.max() <= both[number, 1]
    assert at == bins.size


def test_a_mix_that_is_replaced_is_told_and_not_heard(release: SmallRelease) -> None:
    with hearing(release) as (heard, told):
        before, _ = chunks(heard, "mix")
        new = release.mix.with_name("new.wav")
        write(new, np.zeros((2, RATE_HZ)))
        new.replace(release.mix)
        heard.look()
        heard.look()
        assert told.wait("mix")["told"] == "small-hours.wav is another file now"
        assert heard.sounds()["replaced"] == "small-hours.wav is another file now"
        assert np.array_equal(chunks(heard, "mix")[0], before)


def test_a_mix_that_is_written_over_is_never_taken_for_what_it_was(release: SmallRelease) -> None:
    with hearing(release) as (heard, told):
        told.wait("exact", id="print")
        key = entry(heard, "mix")["key"]
        os.utime(release.mix)  # the same file still, though it looks like another
        heard.look()
        heard.look()
        assert heard.chunk(key, 1).exact
        write(release.mix, np.zeros((2, round(SECONDS * RATE_HZ))))
        with pytest.raises(PlanError, match="written over"):
            heard.chunk(key, 2)
        heard.turn_to(bent(read_song(release.plan), Gain(gain_db=0.5)), 2)
        assert told.wait("notice")["text"].startswith(str(release.mix))
        heard.look()
        heard.look()
        assert told.wait("mix")
        changed = entry(heard, "print")["key"]
    assert not (release.folder / ".arsis" / "desk" / f"{changed}.npz").exists()


def test_a_print_from_elsewhere_that_is_replaced_is_another_sound(release: SmallRelease) -> None:
    with hearing(release) as (heard, _):
        key = entry(heard, "print")["key"]
        late = np.concatenate([np.zeros((2, 11)), 0.9 * music()], axis=1)
        write(release.outboard, late)
        heard.look()
        assert entry(heard, "print")["key"] != key


def test_the_entrance_near_a_place_is_the_attack_there(release: SmallRelease) -> None:
    with hearing(release) as (heard, _):
        found = heard.entrance("refrain 1", 2.03)
        assert abs(found.at_s - 2.03) <= 0.06
        assert found.dip_db is not None
        assert found.dip_db <= 0.0
