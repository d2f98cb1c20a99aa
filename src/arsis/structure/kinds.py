"""What kind of section each is likely to be, and its name. A guess: the letters are more to be trusted."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .boundaries import Cuts, is_rise
from .running import Array
from .units import Units

MOST_BRIDGES = 2  # more are a song that keeps moving on: its parts are better called just that
# What speaks for a chorus beside its energy, set on songs that are seen (docs/sections.md).
RETURN, MOST_RETURNS = 0.8, 4  # each time it comes, music in a row counted once
SHARE = 3.5  # of the song
ONE_RUN = 2.0  # what comes at one place only is seldom the chorus, though it be repeated there
OPENING = 3.0  # nor is the music with which a song begins
VERSE_FIRST = 1.2  # nor the first that comes back after something else
QUIET_DB = 9.0  # a section this far below the loudest is a break


def guess_kinds(units: Units, cuts: Cuts, labels: NDArray[np.int_]) -> tuple[str, ...]:
    """A kind for each section. Tuned on composed songs, the weights of a chorus on real ones too."""
    count = len(labels)
    if count < 2:
        return ("other",) * count
    lengths = np.diff(cuts)
    energy = _energy(units, cuts)
    loudness = _per_section(units.loudness[:, None], cuts)[:, 0]
    many = Counter(labels.tolist())
    chorus = _chorus(energy, lengths, labels)
    verse = _verse(energy, cuts, labels, chorus)
    kinds = []
    for section, label in enumerate(labels.tolist()):
        nexts = [labels[at + 1] == chorus for at in np.flatnonzero(labels == label) if at + 1 < count]
        if label == chorus:
            kinds.append("chorus")
        elif label == verse:
            kinds.append("verse")
        elif 0 < section < count - 1 and is_rise(units.loudness[cuts[section] : cuts[section + 1]]):
            kinds.append("build")
        elif many[label] > 1 and nexts and all(nexts):
            kinds.append("pre_chorus")
        elif loudness[section] < loudness.max() - QUIET_DB and 0 < section < count - 1:
            kinds.append("break")
        elif many[label] == 1 and 0.4 < cuts[section] / cuts[-1] < 0.92:
            kinds.append("bridge")
        else:
            kinds.append("interlude" if many[label] > 1 else "other")
    if kinds.count("bridge") > MOST_BRIDGES:
        kinds = ["other" if kind == "bridge" else kind for kind in kinds]
    return _ends(kinds, labels, lengths, energy)


def _ends(kinds: list[str], labels: NDArray[np.int_], lengths: Cuts, energy: Array) -> tuple[str, ...]:
    """The first and the last are intro and outro, unless a chorus or a verse as full as the others."""
    many = Counter(labels.tolist())
    for section, kind in ((0, "intro"), (len(kinds) - 1, "outro")):
        alike = labels == labels[section]
        mean = np.average(energy[alike], weights=lengths[alike])
        small = many[int(labels[section])] == 1 or lengths[section] <= 4 or energy[section] < mean - 0.7
        if kinds[section] not in ("chorus", "verse") or (kinds[section] == "verse" and small):
            kinds[section] = kind
    return tuple(kinds)


def _per_section(values: Array, cuts: Cuts) -> Array:
    return np.stack([values[start:stop].mean(axis=0) for start, stop in pairwise(cuts)])


def _energy(units: Units, cuts: Cuts) -> Array:
    """Loud, bright, wide, busy and full where voices lie, about unit scale, (sections,)."""
    lengths = np.diff(cuts)

    def weighed(values: Array) -> Array:
        mean = np.average(values, weights=lengths)
        deviation = np.sqrt(np.average((values - mean) ** 2, weights=lengths))
        return np.asarray((values - mean) / (deviation + 0.3))

    loudness = _per_section(units.loudness[:, None], cuts)[:, 0]
    bands = _per_section(units.bands, cuts)
    bright, middle = bands[:, 3:].mean(axis=1), bands[:, 2]
    width = _per_section(units.width, cuts).mean(axis=1)
    density = _per_section(units.density, cuts).sum(axis=1)
    timbre = 0.5 * weighed(bright) + 0.15 * weighed(middle)
    return weighed(loudness) + timbre + 0.45 * weighed(width) + 0.25 * weighed(density)


def _chorus(energy: Array, lengths: Cuts, labels: NDArray[np.int_]) -> int:
    """The label that is energetic, returns, and is much of the song; rather not its opening."""
    starts = np.concatenate([[0], np.cumsum(lengths)[:-1]]) / lengths.sum()
    runs = Counter(labels[np.append(True, np.diff(labels) != 0)].tolist())
    first = next((label for label in labels[1:].tolist() if runs[label] > 1), None)
    scores: dict[int, float] = {}
    for label in sorted(runs):
        here = labels == label
        score = np.average(energy[here], weights=lengths[here])
        score += RETURN * min(runs[label], MOST_RETURNS) + SHARE * lengths[here].sum() / lengths.sum()
        score -= ONE_RUN * (runs[label] == 1) + OPENING * (starts[here][0] < 0.04)
        scores[label] = float(score - VERSE_FIRST * (label == first))
    return max(scores, key=lambda label: scores[label])


def _verse(energy: Array, cuts: Cuts, labels: NDArray[np.int_], chorus: int) -> int | None:
    """The largest other label that comes back; else the largest other."""
    inner = set(labels[1:-1].tolist()) or set(labels.tolist())
    others = [label for label in sorted(inner) if label != chorus]
    again = [label for label in others if (labels == label).sum() > 1] or others
    lengths = np.diff(cuts)
    scores: dict[int, float] = {}
    for label in again:
        here = labels == label
        share = lengths[here].sum() / cuts[-1]
        first = cuts[:-1][here][0] / cuts[-1]
        mean = np.average(energy[here], weights=lengths[here])
        scores[label] = float(2.0 * share + 0.1 * here.sum() - 0.3 * first - 0.1 * mean)
    return max(scores, key=lambda label: scores[label]) if scores else None


def name_sections(kinds: tuple[str, ...]) -> tuple[str, ...]:
    """The kind in words, numbered where it comes more than once; verses and choruses always."""
    if len(kinds) == 1:
        return ("song",)
    many, seen = Counter(kinds), Counter[str]()
    names = []
    for kind in kinds:
        seen[kind] += 1
        word = {"pre_chorus": "pre-chorus", "other": "part"}.get(kind, kind)
        numbered = many[kind] > 1 or kind in ("verse", "chorus")
        names.append(f"{word} {seen[kind]}" if numbered else word)
    return tuple(names)
