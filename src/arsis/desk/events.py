"""News for the open pages: told from any thread, heard by each page over one event stream."""

from __future__ import annotations

import asyncio
import json
import secrets
from collections.abc import AsyncIterator
from threading import Lock
from typing import Any

from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from .answers import plain

# A comment is sent this often, so that a page that went away is noticed.
_ALIVE_S = 10.0
_MOST_WAITING = 1_000


class Events:
    """Fan-out of small messages. A page that does not keep up is let go: it comes back and reads anew."""

    def __init__(self) -> None:
        self.run = secrets.token_hex(8)
        self._lock = Lock()
        self._hearers: dict[asyncio.Queue[str | None], asyncio.AbstractEventLoop] = {}

    def send(self, name: str, value: dict[str, Any]) -> None:
        """Tells every page. May be called from any thread."""
        text = _written(name, value)
        with self._lock:
            hearers = list(self._hearers.items())
        for queue, loop in hearers:
            if not loop.is_closed():
                loop.call_soon_threadsafe(_put, queue, text)

    def close(self) -> None:
        """Ends every stream: the server waits for them when it stops."""
        with self._lock:
            hearers = list(self._hearers.items())
        for queue, loop in hearers:
            loop.call_soon_threadsafe(_end, queue)

    async def stream(self, request: Request) -> Response:
        """The event stream of one page."""
        return StreamingResponse(
            self._heard(), media_type="text/event-stream", headers={"cache-control": "no-store"}
        )

    async def _heard(self) -> AsyncIterator[str]:
        queue: asyncio.Queue[str | None] = asyncio.Queue(_MOST_WAITING)
        with self._lock:
            self._hearers[queue] = asyncio.get_running_loop()
        try:
            yield "retry: 500\n" + _written("hello", {"run": self.run})
            while True:
                try:
                    text = await asyncio.wait_for(queue.get(), _ALIVE_S)
                except TimeoutError:
                    text = ": still here\n\n"
                if text is None:
                    return
                yield text
        finally:
            with self._lock:
                del self._hearers[queue]


def _put(queue: asyncio.Queue[str | None], text: str) -> None:
    if not queue.full():
        queue.put_nowait(text)


def _end(queue: asyncio.Queue[str | None]) -> None:
    while queue.full():
        queue.get_nowait()
    queue.put_nowait(None)


def _written(name: str, value: dict[str, Any]) -> str:
    return f"event: {name}\ndata: {json.dumps(plain(value), allow_nan=False)}\n\n"
