"""The whole chain with PyAV, as the program a user would write: peer_av_chain.py IN OUT."""

from __future__ import annotations

import sys
from itertools import chain
from pathlib import Path

import av
from av.filter import Graph

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bench.treatment import Filter, faded, finished


def _line(
    graph: Graph, start: av.filter.FilterContext, filters: list[Filter], pad: int = 0
) -> av.filter.FilterContext:
    for name, arguments in filters:
        following = graph.add(name, arguments)
        start.link_to(following, output_idx=pad)
        start, pad = following, 0
    return start


def _graph(stream: av.AudioStream) -> Graph:
    graph = Graph()
    source = graph.add_abuffer(template=stream)
    split = _line(graph, source, [("aformat", "dblp"), ("asplit", "2")])
    sum_ = graph.add("amix", "inputs=2:normalize=0")
    for pad, name in enumerate("AB"):
        _line(graph, split, faded(name), pad).link_to(sum_, input_idx=pad)
    words = ("aformat", f"sample_fmts=s32:sample_rates={stream.rate}:channel_layouts=stereo")
    _line(graph, sum_, [*finished(stream.rate), words, ("abuffersink", "")])
    graph.configure()
    return graph


def main(source: str, target: str) -> None:
    with av.open(source) as mix, av.open(target, "w") as out:
        stream = mix.streams.audio[0]
        encoder = out.add_stream("pcm_s24le", rate=stream.rate, layout="stereo")
        graph = _graph(stream)
        for frame in chain(mix.decode(stream), [None]):
            graph.push(frame)
            _drain(graph, encoder, out)
        for packet in encoder.encode(None):
            out.mux(packet)


def _drain(graph: Graph, encoder: av.AudioStream, out: av.container.OutputContainer) -> None:
    while True:
        try:
            frame = graph.pull()
        except (av.error.BlockingIOError, av.error.EOFError):
            return
        for packet in encoder.encode(frame):
            out.mux(packet)


if __name__ == "__main__":
    main(*sys.argv[1:3])
