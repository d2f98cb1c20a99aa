"""Asks a desk's application in process, without a server."""

from __future__ import annotations

import asyncio
from typing import Any

import httpx
from starlette.applications import Starlette


def ask(app: Starlette, method: str, path: str, json: Any = None) -> httpx.Response:
    """The application's answer to one request."""

    async def asked() -> httpx.Response:
        transport = httpx.ASGITransport(app=app)
        async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1") as client:
            return await client.request(method, path, json=json)

    return asyncio.run(asked())
