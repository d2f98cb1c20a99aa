"""Tempo and beats of the mix, for drawing and for snapping to."""

from __future__ import annotations

from typing import Any

from arsis.audio import BLOCK_FRAMES
from arsis.io.read import SoundReader
from arsis.render.progress import Progress
from arsis.structure.features import FeatureStream
from arsis.structure.find import find_structure


def find_beats(mix: SoundReader, progress: Progress) -> dict[str, Any]:
    """`tempo_bpm` is None, and the lists are empty, where there is no steady beat."""
    info = mix.info
    features = FeatureStream(info.rate_hz, info.channels)
    mix.seek(0)
    done = 0
    while (block := mix.read(BLOCK_FRAMES)).shape[1]:
        features.add(block)
        done += block.shape[1]
        progress(done, info.frames)
    found = find_structure(features.result())
    return {
        "tempo_bpm": found.tempo_bpm,
        "beats_s": list(found.beats_s),
        "downbeats_s": list(found.downbeats_s),
    }
