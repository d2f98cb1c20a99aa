"""What sounds in several kinds of section, and how each kind treats it.

Every moment is taken for a sum of sounds, the same in all kinds, heard through its kind's treatment:

    power(moment, band) = sum over sounds of share(moment, sound) * sound(sound, band) * treatment(kind, band)

Non-negative factors that lower the generalised Kullback-Leibler divergence (Lee and Seung, "Algorithms for
non-negative matrix factorization", NIPS 2001, multiplicative updates), the treatment updated as a third
factor and held to what a mixer's hand does: a smooth curve over the tone, one width, one attack. What sounds
in one kind only finds sounds of its own and leaves the treatment alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .scale import FIRST, FIRST_HZ, OCTAVES, SIDE, SIDE_HZ, TONE, TONE_HZ, Floats

Singles = NDArray[np.float32]
Indices = NDArray[np.int64]

SOUNDS = 32  # few find too much treatment, many too little: a probe tells how much
# Many short runs, of which the median is taken: by few long ones more is seen, but chance decides more of it.
SEEDS = range(8)
ROUNDS, FREE_ROUNDS = 60, 10  # the sounds settle a little before the treatment may move
STEP = 0.7  # of a whole update of the treatment: more of it swings
# Each round the treatment goes back by so much: where nothing that both kinds have holds it, it rests.
REST = 0.02
BUMP_OCTAVES = 0.75  # the treatment's curve is a sum of bumps so far apart: a bell of Q 1.4 and wider
LOUD_SHARE = 0.1  # how loud a sound gets in a kind: the mean of this share of its loudest moments
TINY = np.float32(1e-6)
_DB = 10.0 / np.log(10.0)


@dataclass(frozen=True, slots=True)
class Treatment:
    """One run's view of one kind: tone_db over TONE_HZ about its own mean; the rest against all kinds' mean.

    energy, loud: of every sound in this kind.
    """

    tone_db: Floats
    width_db: float
    energy: Singles
    loud: Singles


def treatments(powers: Singles, kind: Indices, kinds: int) -> tuple[tuple[Treatment, ...], ...]:
    """Run by run, the treatment of each kind. powers: (moments, SIZE); kind: (moments,), 0 to kinds − 1."""
    scaled = powers / np.maximum(powers.mean(axis=0), np.float32(1e-30))
    return tuple(_run(scaled, kind, kinds, seed) for seed in SEEDS)


def _run(powers: Singles, kind: Indices, kinds: int, seed: int) -> tuple[Treatment, ...]:
    rng = np.random.default_rng(seed)
    moments = len(powers)
    share = (rng.random((moments, SOUNDS)) + 0.1).astype(np.float32)
    sound = powers[rng.choice(moments, SOUNDS, replace=moments < SOUNDS)] + np.float32(0.1)
    hand = np.ones((kinds, powers.shape[1]), np.float32)
    places = [np.flatnonzero(kind == one) for one in range(kinds)]
    sums = [powers[place].sum(axis=0) for place in places]
    held = [_Held(np.zeros(TONE_HZ.size), 0.0, 0.0)] * kinds
    for turn in range(ROUNDS):
        each = hand[kind]
        ratio = _ratio(powers, share, sound, each)
        share *= (ratio @ sound.T) / (hand @ sound.T + TINY)[kind]
        ratio = _ratio(powers, share, sound, each)
        shares = np.stack([share[place].sum(axis=0) for place in places])
        sound *= (share.T @ ratio) / (shares.T @ hand + TINY)
        if turn >= FREE_ROUNDS:
            wanted = [
                np.log(hand[one]) + STEP * np.log((sums[one] + TINY) / (made * hand[one] + TINY))
                for one, made in enumerate(shares @ sound)
            ]
            middle = np.mean(wanted, axis=0)
            held = [_held((1.0 - REST) * (one - middle)) for one in wanted]
            hand = np.exp(np.stack([one.curve for one in held])).astype(np.float32)
    return tuple(
        _treatment(held[one], share[place], (sound * hand[one]).sum(axis=1))
        for one, place in enumerate(places)
    )


def _ratio(powers: Singles, share: Singles, sound: Singles, each: Singles) -> Singles:
    made = (share @ sound) * each + TINY
    np.divide(powers, made, out=made)
    made *= each
    return made


def _treatment(held: _Held, share: Singles, weight: Singles) -> Treatment:
    loud = np.sort(share, axis=0)[int((1.0 - LOUD_SHARE) * len(share)) :].mean(axis=0)
    return Treatment(
        tone_db=_DB * held.tone,
        width_db=_DB * held.width,
        energy=share.mean(axis=0) * weight,
        loud=loud,
    )


@dataclass(frozen=True, slots=True)
class _Held:
    """A treatment as a hand can make it, in nepers of power."""

    tone: Floats
    width: float
    attack: float

    @property
    def curve(self) -> Floats:
        return np.concatenate(
            [
                self.tone,
                _tone_at(self.tone, SIDE_HZ) + self.width,
                _tone_at(self.tone, FIRST_HZ) + self.attack,
            ]
        )


def _held(wanted: Floats) -> _Held:
    """The nearest such treatment to what the bands ask for. Level is left to the shares."""
    tone = _SMOOTH @ wanted[TONE]
    width = float(np.mean(wanted[SIDE] - _tone_at(tone, SIDE_HZ)))
    attack = float(np.mean(wanted[FIRST] - _tone_at(tone, FIRST_HZ)))
    return _Held(tone - np.average(tone, weights=OCTAVES), width, attack)


def _tone_at(tone: Floats, freq_hz: Floats) -> Floats:
    return np.asarray(np.interp(np.log(freq_hz), np.log(TONE_HZ), tone))


def _smooth() -> Floats:
    """Projects a curve over TONE_HZ on raised-cosine bumps; what is smooth already stays as it is."""
    place = np.log2(TONE_HZ / TONE_HZ[0])
    centres = np.arange(-BUMP_OCTAVES, place[-1] + 2.0 * BUMP_OCTAVES, BUMP_OCTAVES)
    away = np.clip((place[:, None] - centres) / (2.0 * BUMP_OCTAVES), -1.0, 1.0)
    bumps = 0.5 + 0.5 * np.cos(np.pi * away)
    weight = np.sqrt(OCTAVES)
    return np.asarray(bumps @ np.linalg.pinv(bumps * weight[:, None]) * weight)


_SMOOTH = _smooth()
