"""Everything that can be heard of a song, as the engine makes it."""

from .hearing import Hearing, LetGo, Unknown
from .store import Chunk

__all__ = ["Chunk", "Hearing", "LetGo", "Unknown"]
