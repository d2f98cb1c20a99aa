"""Everything that can be heard of a song, as the engine makes it."""

from .hearing import Hearing, LetGoError, UnknownError
from .sounds import Moves
from .store import Chunk, ChunkStore

__all__ = ["Chunk", "ChunkStore", "Hearing", "LetGoError", "Moves", "UnknownError"]
