"""Every pass of a plan over the same blocks of the mix, all equally late."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from arsis.audio import Block, silence
from arsis.plan.model import Pass
from arsis.process import ChainRunner, Runner

# The sound of a pass printed elsewhere, aligned to the mix: frames -> the next block of it.
PrintedSource = Callable[[int], Block]


class PassBank:
    """Runs each pass over the whole mix, so that filters and detectors are settled at every join.

    `push` gives one block a pass, all of one length, in place with the mix.
    """

    def __init__(
        self,
        passes: Mapping[str, Pass],
        rate_hz: int,
        channels: int,
        printed: Mapping[str, PrintedSource],
        pool: ThreadPoolExecutor | None = None,
    ) -> None:
        latest = max((ChainRunner(p.chain, rate_hz, channels).latency for p in passes.values()), default=0)
        self._runners: dict[str, Runner] = {
            name: ChainRunner(p.chain, rate_hz, channels, at_least_latency=latest)
            for name, p in passes.items()
        }
        self._printed, self._channels, self._pool = printed, channels, pool
        self._drop = self._latency = latest

    def push(self, block: Block) -> dict[str, Block]:
        inputs = {name: self._input(name, block) for name in self._runners}
        outputs = self._run(inputs)
        dropped = min(self._drop, block.shape[1])
        self._drop -= dropped
        return {name: np.ascontiguousarray(out[:, dropped:]) for name, out in outputs.items()}

    def flush(self) -> dict[str, Block]:
        tail = silence(self._channels, self._latency)
        return {
            name: out[:, self._drop :] for name, out in self._run(dict.fromkeys(self._runners, tail)).items()
        }

    def _input(self, name: str, block: Block) -> Block:
        source = self._printed.get(name)
        return block if source is None else source(block.shape[1])

    def _run(self, inputs: Mapping[str, Block]) -> dict[str, Block]:
        if self._pool is None or len(inputs) < 2:
            return {name: self._runners[name].process(block) for name, block in inputs.items()}
        jobs = {name: self._pool.submit(self._runners[name].process, block) for name, block in inputs.items()}
        return {name: job.result() for name, job in jobs.items()}
