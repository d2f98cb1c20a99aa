"""`attack_db` on attacks shaped by a known amount; the definition is arsis's own (docs/attack.md)."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from arsis.audio import Block
from arsis.demo import arrange
from arsis.demo.songs import SCORES
from arsis.measure.attack import HOPS_PER_SECOND, attack_db, onsets
from arsis.measure.loudness import LoudnessMeter
from arsis.units import seconds_to_frames
from tests.signals import noise
from tests.tolerances import ATTACK_DB, ATTACK_SHARE, LEVEL_DB, ONSET_S

Wave = np.ndarray
Stroke = Callable[[int, np.random.Generator, float], Wave]

RATE_HZ = 44_100
PERIOD_S = 0.5
HITS = 16


def hits(lift_db: float = 0.0, decay_s: float = 0.06, pad: float = 0.02) -> Block:
    """Decaying bursts of noise over a steady pad; the first 20 ms of each lifted, then 10 ms of return."""
    count = round(0.4 * RATE_HZ)
    t = np.arange(count) / RATE_HZ
    lift = np.interp(t, [0.020, 0.030], [lift_db, 0.0])
    burst = noise(count, 1, seed=5, rms=0.3)[0] * np.exp(-t / decay_s) * 10 ** (lift / 20)
    x = noise(round((HITS + 1) * PERIOD_S * RATE_HZ), 1, seed=9, rms=pad)
    for number in range(HITS):
        start = round((number + 0.5) * PERIOD_S * RATE_HZ)
        x[0, start : start + count] += burst
    return x


def powers(x: Block, rate_hz: int = RATE_HZ) -> np.ndarray:
    meter = LoudnessMeter(rate_hz, x.shape[0], HOPS_PER_SECOND)
    meter.add(np.ascontiguousarray(x))
    return meter.energies()


def attack(x: Block, rate_hz: int = RATE_HZ) -> float:
    found = attack_db(powers(x, rate_hz))
    assert found is not None
    return found


@pytest.mark.parametrize("lift_db", [-3.0, -2.0, -1.0, 1.0, 2.0, 3.0])
@pytest.mark.parametrize(("decay_s", "pad"), [(0.06, 0.02), (0.06, 0.05), (0.15, 0.02), (0.02, 0.01)])
def test_a_lifted_attack_reads_as_much_higher(lift_db: float, decay_s: float, pad: float) -> None:
    change = attack(hits(lift_db, decay_s, pad)) - attack(hits(0.0, decay_s, pad))
    assert change == pytest.approx(lift_db, abs=ATTACK_DB)


def played(song: str, lift_db: float, monkeypatch: pytest.MonkeyPatch) -> Block:
    """The first verse of a demo song, dry, the first 20 ms of every stroke on the drums lifted."""
    score = SCORES[song]

    def shaped(make: Stroke) -> Stroke:
        def lifted(rate_hz: int, rng: np.random.Generator, strength: float) -> Wave:
            wave = make(rate_hz, rng, strength)
            t = np.arange(wave.size) / rate_hz
            return np.asarray(wave * 10 ** (np.interp(t, [0.020, 0.030], [lift_db, 0.0]) / 20))

        return lifted

    part = next(part for part in score.parts if part.kind == "verse")
    with monkeypatch.context() as patch:
        for lane, make in arrange._DRUMS.items():
            patch.setitem(arrange._DRUMS, lane, shaped(make))
        session = arrange.Session(score, seconds_to_frames(part.bars * score.bar_s, score.rate_hz))
        session.part(part, 0.0)
    return session.music.sound + session.voice.sound


@pytest.mark.parametrize("song", SCORES)
def test_drums_lifted_within_a_song_read_higher_by_their_share(
    song: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What sounds with a stroke is not lifted, so a song's reading moves by less than its drums."""
    lifts_db = np.array([-3.0, -1.0, 1.0, 3.0])
    plain = attack(played(song, 0.0, monkeypatch), SCORES[song].rate_hz)
    readings = [attack(played(song, lift, monkeypatch), SCORES[song].rate_hz) for lift in lifts_db]
    share = (np.array(readings) - plain) / lifts_db
    assert share.min() > ATTACK_SHARE
    assert share.max() < 1.0


def test_onsets_are_where_the_hits_begin() -> None:
    expected = (np.arange(HITS) + 0.5) * PERIOD_S
    found = onsets(powers(hits())) / HOPS_PER_SECOND
    assert found.size == HITS
    np.testing.assert_allclose(found, expected, rtol=0, atol=ONSET_S)


@pytest.mark.parametrize("gain", [1e-3, 0.1, 7.0])
def test_gain_changes_nothing(gain: float) -> None:
    assert attack(gain * hits()) == pytest.approx(attack(hits()), abs=LEVEL_DB)


def test_shaved_peaks_read_lower_the_more_is_shaved() -> None:
    x = hits()
    readings = [
        attack(np.clip(x, -limit, limit)) for limit in np.abs(x).max() * np.array([1.0, 0.5, 0.35, 0.25])
    ]
    assert readings == sorted(readings, reverse=True)
    assert readings[0] - readings[-1] > 1.0


def test_saturated_hits_read_lower() -> None:
    assert attack(np.tanh(3.0 * hits())) < attack(hits()) - 1.0


@pytest.mark.parametrize("x", [np.zeros((1, RATE_HZ)), np.zeros((1, 10)), np.full((1, 4 * RATE_HZ), 0.5)])
def test_where_nothing_begins_there_is_no_attack(x: Block) -> None:
    assert attack_db(powers(x)[100:]) is None


def test_steady_noise_has_no_attack() -> None:
    assert attack_db(powers(noise(4 * RATE_HZ))[100:]) is None
