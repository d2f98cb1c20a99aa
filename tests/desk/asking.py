"""Asks a desk's application in process, without a server."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

import httpx
from starlette.applications import Starlette

Value = TypeVar("Value")


def run(asked: Coroutine[Any, Any, Value]) -> Value:
    """Runs a coroutine in a thread of its own: a browser that is open holds this one's event loop."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, asked).result()


def ask(app: Starlette, method: str, path: str, json: Any = None) -> httpx.Response:
    """The application's answer to one request."""

    async def asked() -> httpx.Response:
        transport = httpx.ASGITransport(app=app)
        async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1") as client:
            return await client.request(method, path, json=json)

    return run(asked())
