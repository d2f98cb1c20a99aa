"""What is known of sounds that were heard from end to end: in memory, and on disk for the next time."""

from __future__ import annotations

from collections import OrderedDict
from threading import RLock
from typing import Any

from .cache import Cache
from .measured import Measured

_MOST_SOUNDS, _MOST_TABLES = 40, 100


class Kept:
    """By key. Safe for several threads."""

    def __init__(self, cache: Cache) -> None:
        self._cache, self._lock = cache, RLock()
        self._measured: OrderedDict[str, Measured] = OrderedDict()
        self._tables: OrderedDict[str, dict[str, Any]] = OrderedDict()

    def measured(self, key: str) -> Measured | None:
        with self._lock:
            found = self._measured.get(key) or self._cache.measured(key)
            if found is not None:
                self._remember(key, found)
            return found

    def keep(self, key: str, sound: Measured) -> None:
        with self._lock:
            self._remember(key, sound)
        self._cache.keep_measured(key, sound)

    def table(self, key: str) -> dict[str, Any] | None:
        with self._lock:
            found = self._tables.get(key) or self._cache.table(key)
            if found is not None:
                self._tables[key] = found
                self._tables.move_to_end(key)
                if len(self._tables) > _MOST_TABLES:
                    self._tables.popitem(last=False)
            return found

    def keep_table(self, key: str, table: dict[str, Any]) -> None:
        with self._lock:
            self._tables[key] = table
        self._cache.keep_table(key, table)

    def _remember(self, key: str, sound: Measured) -> None:
        self._measured[key] = sound
        self._measured.move_to_end(key)
        if len(self._measured) > _MOST_SOUNDS:
            self._measured.popitem(last=False)
