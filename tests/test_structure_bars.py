"""A slowing end is followed, on a small song as written."""

from __future__ import annotations

import numpy as np

from arsis.structure import FeatureStream, find_structure
from bench.form.play import RATE_HZ, perform, truth_of
from bench.form.score import FormScore, Music
from bench.form.scores import Form, beat_scores

SLOWING = FormScore(
    name="slowing",
    says="4/4, slower at the end",
    bpm=132.0,
    tonic="E",
    music={"A": Music("E A C#m B", "rock bass:pulse"), "B": Music("A E B F#m", "rock bass:halves")},
    form="verse/A8 chorus/B8 verse/A8 chorus/B8,rit=0.6",
)


def test_a_ritardando_at_the_end_is_followed() -> None:
    sound, truth = perform(SLOWING), truth_of(SLOWING)
    stream = FeatureStream(RATE_HZ, 2)
    stream.add(sound)
    found = find_structure(stream.result())
    beats = np.array(found.beats_s)
    last = np.array(truth.beats_s)[-8:]
    assert np.all(np.abs(beats[:, None] - last).min(axis=0) < 0.07)  # mir_eval's window for a beat
    form = Form((0.0,), truth.end_s, ("A",), beats_s=found.beats_s, downbeats_s=found.downbeats_s)
    scores = beat_scores((truth.beats_s,), truth.downbeats_s, form)
    assert scores.amlt >= 0.99
    assert scores.down_f >= 0.98
