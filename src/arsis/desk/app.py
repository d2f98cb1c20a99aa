"""The desk's application: its routes put together, the page's files, one shape for faults."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from importlib.resources import files

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.routing import BaseRoute, Mount, Route
from starlette.staticfiles import StaticFiles

from arsis.errors import ArsisError

from . import routes_chain, routes_files, routes_jobs, routes_song, routes_sound
from .answers import on_arsis_error, on_http_error
from .desk import Desk

# Each part of the desk's service gives its own routes.
PARTS: tuple[Callable[[Desk], list[BaseRoute]], ...] = (
    routes_song.routes,
    routes_sound.routes,
    routes_chain.routes,
    routes_jobs.routes,
    routes_files.routes,
)


def make_app(desk: Desk) -> Starlette:
    """The application; closes the desk when it stops. `guard.Guard` goes around it."""

    @asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        yield
        desk.close()

    page = StaticFiles(directory=str(files("arsis.desk") / "static"), html=True)
    routes: list[BaseRoute] = [Route("/api/events", desk.events.stream)]
    for part in PARTS:
        routes += part(desk)
    return Starlette(
        routes=[*routes, Mount("/", page)],
        exception_handlers={ArsisError: on_arsis_error, HTTPException: on_http_error},
        lifespan=lifespan,
    )
