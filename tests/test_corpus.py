"""The bench's corpus: every score can be played, and what is said of a song is so."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from arsis.demo import arrange
from arsis.demo.arrange import LEAD_IN_S
from arsis.demo.score import BASS, STEPS_A_BEAT, STRENGTH, chord_classes, hits, sung
from arsis.demo.songs import DemoSong
from bench.corpus import AFTER, FRESH, LAST, NEW, NEXT, SCORES, SEEN, UNSEEN, corpus_song, write_corpus

SHORTEST = min(SCORES, key=lambda name: SCORES[name].bar_s * sum(part.bars for part in SCORES[name].parts))
FULL_SCALE = 1 << 23


@pytest.fixture(scope="module")
def song() -> DemoSong:
    return corpus_song(SHORTEST)


def test_every_song_is_in_one_list() -> None:
    assert sorted((*SEEN, *UNSEEN, *FRESH, *NEW, *LAST, *NEXT, *AFTER)) == sorted(SCORES)
    assert all(name == score.name for name, score in SCORES.items())


@pytest.mark.parametrize("name", SCORES)
def test_every_score_can_be_played(name: str) -> None:
    """Every lane has a player, every letter and chord a meaning, every tune room in its section."""
    score = SCORES[name]
    assert len({part.name for part in score.parts}) == len(score.parts)
    assert len({part.kind for part in score.parts}) >= 2
    for part in score.parts:
        assert all(chord_classes(chord) for chord in part.chords.split())
        beats = part.bars * score.steps / STEPS_A_BEAT
        assert max((note.beat + note.beats for note in sung(part.melody)), default=0.0) <= beats
        assert all(note.syllable[-1] in "aeiou" for note in sung(part.melody))
        for lane, pattern in (*part.lanes.items(), *part.fill.items()):
            guest = score.guests.get(lane)
            assert guest or lane in arrange._SEATS, lane
            letters = BASS if lane == "bass" or (guest and guest.low) else STRENGTH
            played = (hit for bar in range(part.bars) for hit in hits(pattern, bar, score.steps))
            assert all(hit.letter in letters for hit in played), lane


@pytest.mark.parametrize("name", SCORES)
def test_a_song_is_as_long_as_a_bench_has_time_for(name: str) -> None:
    score = SCORES[name]
    assert 75.0 < LEAD_IN_S + score.bar_s * sum(part.bars for part in score.parts) + 4.0 < 180.0


def test_a_song_has_its_sections_on_bars(song: DemoSong) -> None:
    """On the frame that the composed bars come to; and the sound is a mix's."""
    score, bar = SCORES[SHORTEST], 0
    for part, found in zip(score.parts, song.sections, strict=True):
        assert (found.name, found.kind) == (part.name, part.kind)
        frame = round((LEAD_IN_S + bar * score.steps * 15.0 / score.tempo_bpm) * song.rate_hz) if bar else 0
        assert round(found.start_s * song.rate_hz) == frame
        bar += part.bars
    assert song.mix.dtype == np.int32
    assert song.mix.shape[0] == 2
    assert 20.0 * np.log10(np.abs(song.mix).max() / FULL_SCALE) == pytest.approx(score.peak_dbfs, abs=0.01)


def test_files_are_made_once(tmp_path: Path, song: DemoSong, monkeypatch: pytest.MonkeyPatch) -> None:
    """24-bit words as made, read by libsndfile; a second call makes nothing."""
    monkeypatch.setattr("bench.corpus.corpus_song", {SHORTEST: song}.pop)
    path = write_corpus(tmp_path / "mixes", [SHORTEST])[SHORTEST]
    assert soundfile.info(path).subtype == "PCM_24"
    np.testing.assert_array_equal((soundfile.read(path, dtype="int32")[0] >> 8).T, song.mix)
    assert write_corpus(tmp_path / "mixes", [SHORTEST]) == {SHORTEST: path}
