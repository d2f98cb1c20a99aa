"""Takes groups of equal strokes apart that sound over one another.

What a mix has of a group is one sound, laid at each of its strokes, as loud as each was played. Group by
group the sound is the mean over its strokes of what is left of the mix when all other groups are taken out;
a few rounds of that come near the least squares over all groups at once (backfitting: J. H. Friedman and
W. Stuetzle, "Projection pursuit regression", Journal of the American Statistical Association, 1981). Few
rounds, and none of them whole: groups that nearly always sound together would otherwise drift apart.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .find import Group
from .sound import Sound
from .waves import BEFORE_S, LATE_S, MID, Indices, Singles, Waves, cut, shape

LONG_S = 0.34  # of each stroke so much is taken out of the others: notes ring on
ROUNDS, STEP = 3, 0.7  # in more rounds, groups that often sound together were told worse
LOUDNESS = (0.5, 2.0)  # no stroke of a group is played softer or harder than this, beside its mean
FIRST_S, NEARER_S = 0.06, 0.0005  # strokes are laid in step by their first part, by so much in a round
MOVED_S = 2.0 * LATE_S  # no stroke comes to lie so far from its onset, found late and then laid in step


@dataclass(frozen=True, slots=True)
class _Layer:
    """starts: frame at which each stroke begins. loud: of each, beside the mean. wave: (2, frames)."""

    starts: Indices
    loud: Singles
    wave: Singles


def taken_apart(sound: Sound, starts: Indices, found: tuple[Group, ...], frames: int) -> tuple[Waves, ...]:
    """Of each group its strokes, free of the other groups. starts: of all strokes."""
    if not found:
        return ()
    long, moved = round(LONG_S * sound.rate_hz), round(MOVED_S * sound.rate_hz)
    first = int(starts.min()) - moved
    rest = sound.mid_side[:, first : int(starts.max()) + long + moved].copy()
    window = shape(long, round(BEFORE_S * sound.rate_hz))
    layers = [_silent(sound.rate_hz, starts - first, group, long) for group in found]
    for _ in range(ROUNDS):
        for place, layer in enumerate(layers):
            layers[place] = _again(rest, layer, window, sound.rate_hz)
    return tuple(Waves(sound.rate_hz, _strokes(rest, layer)[:, :, :frames]) for layer in layers)


def _silent(rate_hz: int, starts: Indices, group: Group, long: int) -> _Layer:
    return _Layer(
        starts=starts[group.members] + group.late(rate_hz),
        loud=np.ones(len(group.members), np.float32),
        wave=np.zeros((2, long), np.float32),
    )


def _again(rest: Singles, layer: _Layer, window: Singles, rate_hz: int) -> _Layer:
    """The layer once more, with `rest` following it."""
    strokes = _strokes(rest, layer) * window
    wave = np.tensordot(layer.loud, strokes, 1) / np.dot(layer.loud, layer.loud)
    power = float(np.vdot(wave, wave))
    loud = np.clip(np.tensordot(strokes, wave, 2) / max(power, 1e-20), *LOUDNESS)
    mean = loud.mean()
    made = _Layer(
        layer.starts + _late(strokes[:, MID], wave[MID], round(FIRST_S * rate_hz), round(NEARER_S * rate_hz)),
        loud / mean,
        layer.wave + np.float32(STEP) * (mean * wave - layer.wave),
    )
    _add(rest, layer, 1.0)
    _add(rest, made, -1.0)
    return made


def _late(strokes: Singles, wave: Singles, first: int, most: int) -> Indices:
    """Frames by which each stroke sounds later than the wave; none where it is not within `most`.

    The generalised cross-correlation, half whitened, so that the lows do not decide alone (C. H. Knapp and
    G. C. Carter, "The generalized correlation method for estimation of time delay", 1976).
    """
    size = 1 << (first + most).bit_length()
    here, there = (np.fft.rfft(np.diff(part[..., :first]), size) for part in (strokes, wave))
    both = np.conj(there) * here
    alike = np.fft.irfft(both / np.sqrt(np.abs(both) + np.float32(1e-20)), size, axis=1)
    late = np.concatenate([alike[:, -most:], alike[:, : most + 1]], axis=1).argmax(axis=1) - most
    return np.where(np.abs(late) < most, late, 0)


def _strokes(rest: Singles, layer: _Layer) -> Singles:
    """(strokes, 2, frames): what is left of the mix, and the layer's own."""
    left = cut(rest, layer.starts, layer.wave.shape[1])
    return np.asarray(left + layer.loud[:, np.newaxis, np.newaxis] * layer.wave)


def _add(rest: Singles, layer: _Layer, sign: float) -> None:
    long = layer.wave.shape[1]
    for start, loud in zip(layer.starts, layer.loud, strict=True):
        rest[:, start : start + long] += np.float32(sign * loud) * layer.wave
