"""Figures that come in pieces as a stream is heard, kept without a piece's overhead for every block."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

# So many pieces wait before they become one: joining is then rare and the waiting ones are few.
_MOST_PIECES = 256


class Series:
    """Grows at the end. `empty` says dtype and the shape of one figure: zero of them."""

    def __init__(self, empty: NDArray[Any]) -> None:
        self._whole = empty
        self._pieces: list[NDArray[Any]] = []

    def append(self, piece: NDArray[Any]) -> None:
        if len(piece):
            self._pieces.append(piece)
        if len(self._pieces) >= _MOST_PIECES:
            self._whole, self._pieces = self.whole(), []

    def whole(self) -> NDArray[Any]:
        """All figures so far, along the first axis."""
        return np.concatenate([self._whole, *self._pieces])
