"""FFmpeg's filters inside this process, through PyAV, on frames that are ready in memory."""

from __future__ import annotations

from collections.abc import Sequence

import av
import numpy as np
from av.filter import Graph

from arsis.audio import Block

from .rows import Peer
from .timing import Cost, of_call
from .treatment import Filter

NAME = f"av {av.__version__} (libavfilter {av.library_versions['libavfilter'][0]})"


def frames_of(blocks: Sequence[Block], rate_hz: int) -> list[av.AudioFrame]:
    """Planar float64 frames, stereo."""
    frames = []
    for block in blocks:
        frame = av.AudioFrame.from_ndarray(block, format="dblp", layout="stereo")
        frame.sample_rate = rate_hz
        frames.append(frame)
    return frames


def run(frames: Sequence[av.AudioFrame], filters: Sequence[Filter], keep: bool = False) -> list[Block]:
    """Every frame through a line of filters; the results only where they are to be kept."""
    graph = Graph()
    link = graph.add_abuffer(sample_rate=frames[0].sample_rate, format="dblp", layout="stereo")
    for name, arguments in filters:
        following = graph.add(name, arguments) if arguments else graph.add(name)
        link.link_to(following)
        link = following
    sink = graph.add("abuffersink")
    link.link_to(sink)
    graph.configure()
    kept: list[Block] = []
    for frame in [*frames, None]:
        graph.push(frame)
        kept += _pulled(graph, keep)
    return kept


def peer(
    frames: Sequence[av.AudioFrame],
    filters: Sequence[Filter],
    base: Sequence[Filter],
    goal: float | None,
    does: str = "",
    name: str = NAME,
) -> Peer:
    """A line of filters as a peer, less what passing the same frames in its format costs."""

    def cost(line: Sequence[Filter]) -> Cost:
        return of_call(lambda: run(frames, line))

    return Peer(name, lambda: cost(filters), does, goal, lambda: cost(base))


def planar(frame: av.AudioFrame) -> Block:
    """A frame of packed or planar floats as (channels, frames)."""
    array = frame.to_ndarray()
    planes = array if frame.format.is_planar else array.reshape(-1, frame.layout.nb_channels).T
    return np.ascontiguousarray(planes, dtype=np.float64)


def _pulled(graph: Graph, keep: bool) -> list[Block]:
    found = []
    while True:
        try:
            frame = graph.pull()
        except (av.error.BlockingIOError, av.error.EOFError):
            return found
        if keep:
            found.append(planar(frame))
