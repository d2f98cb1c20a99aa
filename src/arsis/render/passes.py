"""Every pass of a plan over the same blocks of the mix, all equally late."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from arsis.audio import Block, silence
from arsis.plan.model import Pass
from arsis.process import ChainRunner, Runner
from arsis.process.lead import Hand

# The sound of a pass printed elsewhere in the mix's time: (start, frames) -> the block there.
PrintedSource = Callable[[int, int], Block]


class PassBank:
    """Runs each pass over the whole mix, so that filters and detectors are settled at every join.

    `push` gives one block a pass, all of one length, in place with the mix; they run `latency` frames
    behind it.
    """

    def __init__(
        self,
        passes: Mapping[str, Pass],
        rate_hz: int,
        channels: int,
        printed: Mapping[str, PrintedSource],
        pool: ThreadPoolExecutor | None = None,
        hand: Hand | None = None,
        begin: int = 0,
    ) -> None:
        """begin: the frame of the mix that comes first; before it there was silence."""
        self._rate_hz, self._channels, self._hand = rate_hz, channels, hand
        # A printed pass whose sound is not there must never be the mix instead.
        self._printed = {name: printed[name] for name, p in passes.items() if p.print is not None}
        self._pool = pool
        self.latency = max(
            (ChainRunner(p.chain, rate_hz, channels).latency for p in passes.values()), default=0
        )
        self._runners = {name: self._runner(treatment) for name, treatment in passes.items()}
        self._drop = self.latency
        self._fed = begin

    def push(self, block: Block) -> dict[str, Block]:
        outputs = self._run({name: self._input(name, block, self._fed) for name in self._runners})
        self._fed += block.shape[1]
        dropped = min(self._drop, block.shape[1])
        self._drop -= dropped
        return {name: np.ascontiguousarray(out[:, dropped:]) for name, out in outputs.items()}

    def flush(self) -> dict[str, Block]:
        outputs = self._run(dict.fromkeys(self._runners, silence(self._channels, self.latency)))
        return {name: out[:, self._drop :] for name, out in outputs.items()}

    def _runner(self, treatment: Pass) -> Runner:
        return ChainRunner(
            treatment.chain,
            self._rate_hz,
            self._channels,
            at_least_latency=self.latency,
            hand=self._hand,
        )

    def _input(self, name: str, block: Block, start: int) -> Block:
        source = self._printed.get(name)
        return block if source is None else source(start, block.shape[1])

    def _run(self, inputs: Mapping[str, Block]) -> dict[str, Block]:
        if self._pool is None or len(inputs) < 2:
            return {name: self._runners[name].process(block) for name, block in inputs.items()}
        jobs = {name: self._pool.submit(self._runners[name].process, block) for name, block in inputs.items()}
        return {name: job.result() for name, job in jobs.items()}
