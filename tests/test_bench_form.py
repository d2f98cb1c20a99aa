"""The form corpus: what is written is what is played, and the scores know a right answer from a wrong one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bench.form.play import RATE_HZ, perform, timeline, truth_of
from bench.form.rivals import plain_novelty
from bench.form.score import FormScore, Music
from bench.form.scores import Form, form_scores
from bench.form.seen import SEEN
from bench.form.unseen import UNSEEN

SMALL = FormScore(
    name="small",
    says="two chords",
    bpm=120.0,
    tonic="C",
    music={"A": Music("C G", "soft bass:halves"), "B": Music("F C", "drive wall:hold", "67 0.5")},
    form="verse/A2 chorus/B3,cut=2 verse/A2,key=2",
)
SONGS = (*SEEN, *UNSEEN)


def test_the_corpus_spans_what_it_should() -> None:
    assert len({score.name for score in SONGS}) == len(SONGS) >= 24
    assert len(UNSEEN) >= len(SONGS) / 2
    lengths_s = [truth_of(score).end_s for score in SONGS]
    assert min(lengths_s) < 60.0
    assert max(lengths_s) > 450.0
    for half in (SEEN, UNSEEN):
        assert {(score.steps, score.beat) for score in half} >= {(16, 4), (12, 4), (12, 6), (20, 4), (14, 2)}
        assert any(score.free for score in half)
        assert any(score.drift and not score.free for score in half)
        assert any(score.fade_s for score in half)
        assert any(score.count_in for score in half)
        for word in ("cut=", "rit=", "rest", "key=", "bpm=", "pick"):
            assert any(word in score.form for score in half), word


@pytest.mark.parametrize("score", SONGS, ids=lambda score: score.name)
def test_every_song_is_written_well(score: FormScore) -> None:
    truth = truth_of(score)
    assert set(truth.letters) == set(score.music)
    assert all(step > 2.0 for step in np.diff([*truth.starts_s, truth.end_s]))
    if not score.free:
        assert set(truth.starts_s[1:]) <= set(truth.downbeats_s) <= set(truth.beats_s)


def test_truth_by_hand() -> None:
    """120 to the minute, bars of four but for the fifth, which has two beats; 0.25 s before the first."""
    truth = truth_of(SMALL)
    assert truth.starts_s == pytest.approx((0.0, 4.25, 9.25))
    assert truth.downbeats_s == pytest.approx((0.25, 2.25, 4.25, 6.25, 8.25, 9.25, 11.25))
    assert truth.end_s == pytest.approx(13.25 + 3.5)


def test_a_ritardando_slows_the_last_two_bars() -> None:
    line = timeline(replace(SMALL, form="verse/A4,rit=0.5"))
    steps = np.diff(line.times_s)
    assert steps[:32] == pytest.approx(0.125)
    assert (np.diff(steps[32:]) > 0.0).all()
    assert steps[-1] == pytest.approx(0.25)


def test_a_loud_section_starts_where_it_is_said_to() -> None:
    sound = perform(SMALL)
    truth = truth_of(SMALL)
    assert sound.shape == (2, round(truth.end_s * RATE_HZ))
    assert np.abs(sound).max() == pytest.approx(10.0 ** (-3.0 / 20.0))
    at = round(truth.starts_s[1] * RATE_HZ)
    before, after = (float((part**2).mean()) for part in (sound[:, at - 2205 : at], sound[:, at : at + 2205]))
    assert after > 3.0 * before
    assert np.array_equal(sound, perform(SMALL))
    novelty = plain_novelty(sound, RATE_HZ)
    assert novelty.end_s == pytest.approx(truth.end_s, abs=1e-4)


def test_scores_tell_right_from_wrong() -> None:
    true = Form((0.0, 10.0, 20.0, 30.0), 40.0, ("A", "B", "A", "B"), ("verse", "chorus", "verse", "chorus"))
    right = form_scores(true, true)
    assert (right.f05, right.f3, right.pairwise, right.chorus) == (1.0, 1.0, 1.0, 1.0)
    late = form_scores(true, replace(true, starts_s=(0.0, 11.0, 21.0, 31.0)))
    assert (late.f05, late.f3) == (0.0, 1.0)
    blind = form_scores(true, Form((0.0, 15.0, 25.0), 40.0, ("A",) * 3, ("verse",) * 3))
    assert (blind.f05, blind.f3, blind.chorus) == (0.0, 0.0, 0.0)
    assert blind.pairwise < 1.0
