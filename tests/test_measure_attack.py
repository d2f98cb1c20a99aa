"""`attack_db` on attacks shaped by a known amount; the definition is arsis's own (docs/attack.md)."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from arsis.audio import Block
from arsis.demo import arrange
from arsis.demo.songs import SCORES
from arsis.measure.attack import HOPS_PER_SECOND, attack_db, onsets, strong_onsets
from arsis.measure.loudness import LoudnessMeter
from arsis.render.contour import contour
from arsis.render.run import Way
from arsis.render.words import Word
from arsis.settings import Compressor
from arsis.units import seconds_to_frames
from tests.render_plans import song
from tests.renders import make_print, source
from tests.signals import noise
from tests.tolerances import ATTACK_DB, ATTACK_SHARE, LEVEL_DB, ONSET_S, SHAPED_MIX_SHARE

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


def played(name: str, lift_db: float, monkeypatch: pytest.MonkeyPatch) -> Block:
    """The first verse of a demo song, dry, the first 20 ms of every stroke on the drums lifted."""
    score = SCORES[name]

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


@pytest.fixture(scope="module")
def verses() -> dict[str, Block]:
    with pytest.MonkeyPatch.context() as patch:
        return {name: played(name, 0.0, patch) for name in SCORES}


@pytest.mark.parametrize("name", SCORES)
def test_drums_lifted_within_a_song_read_higher_by_their_share(
    name: str, monkeypatch: pytest.MonkeyPatch, verses: dict[str, Block]
) -> None:
    """What sounds with a stroke is not lifted, so a song's reading moves by less than its drums."""
    lifts_db = np.array([-3.0, -1.0, 1.0, 3.0])
    plain = attack(verses[name], SCORES[name].rate_hz)
    readings = [attack(played(name, lift, monkeypatch), SCORES[name].rate_hz) for lift in lifts_db]
    share = (np.array(readings) - plain) / lifts_db
    assert share.min() > ATTACK_SHARE
    assert share.max() < 1.0


@pytest.mark.parametrize("name", SCORES)
@pytest.mark.parametrize("lift_db", [-3.0, -1.0, 1.0, 3.0])
def test_a_song_whose_attacks_are_shaped_reads_so_at_the_onsets_of_the_mix(
    name: str, lift_db: float, verses: dict[str, Block]
) -> None:
    """20 ms of the whole mix from each onset, both ways: sought anew, -3 dB would read as -0.6 to -2."""
    rate_hz, x = SCORES[name].rate_hz, verses[name]
    mix = powers(x, rate_hz)
    gain_db = np.zeros(x.shape[1])
    for start in onsets(mix) * rate_hz // HOPS_PER_SECOND:
        gain_db[start : start + rate_hz // 50] = lift_db
    shaped = powers(x * 10 ** (gain_db / 20), rate_hz)
    before, after = attack_db(mix), attack_db(shaped, strong_onsets(mix))
    assert before is not None
    assert after is not None
    assert after - before == pytest.approx(lift_db, abs=SHAPED_MIX_SHARE * abs(lift_db))


def test_a_contour_hears_the_print_at_the_onsets_of_its_mix(verses: dict[str, Block]) -> None:
    rate_hz, x = SCORES["ebb-clock"].rate_hz, verses["ebb-clock"]
    words = np.round(0.5 * x / np.abs(x).max() * 2**23) * 2.0**-23
    softened = song([0.0], "A", {"A": (Compressor(threshold_dbfs=-30.0, ratio=4.0, attack_ms=1.0),)})
    said = contour(source(softened, words, rate_hz), Way(Word(24), rate_hz)).sections[0]
    mix, treated = powers(words, rate_hz), powers(make_print(source(softened, words, rate_hz)).sound, rate_hz)
    assert said.mix.attack_db == attack_db(mix)
    assert said.print.attack_db == attack_db(treated, strong_onsets(mix))
    assert said.print.attack_db != attack_db(treated)


def test_a_silent_print_of_a_mix_with_onsets_has_no_attack() -> None:
    mix = powers(hits())
    assert attack_db(0.0 * mix, strong_onsets(mix)) is None
    assert attack_db(mix[: mix.size // 2], strong_onsets(mix)) is not None


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
