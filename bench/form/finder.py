"""The finder on a file, as in `arsis sections`. A program, too: `python -m bench.form.finder FILE TIMES`."""

from __future__ import annotations

import sys
from pathlib import Path

from arsis.audio import BLOCK_FRAMES, Block
from arsis.io.read import open_sound
from arsis.structure import FeatureStream, Structure, find_structure


def found_in(path: Path, times: int = 1) -> Structure:
    """What the finder says of a file, or of a song that is the file `times` over."""
    with open_sound(path) as file:
        stream = FeatureStream(file.info.rate_hz, file.info.channels)
        for _ in range(times):
            file.seek(0)
            while (block := file.read(BLOCK_FRAMES)).shape[1]:
                stream.add(block)

        def read(start: int, frames: int) -> Block:
            file.seek(start % file.info.frames)
            return file.read(frames)

        return find_structure(stream.result(), read)


if __name__ == "__main__":
    found_in(Path(sys.argv[1]), int(sys.argv[2]))
