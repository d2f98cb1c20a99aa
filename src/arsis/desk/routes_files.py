"""Files in and out: what jobs made, by number; records to compare with, by a name made safe."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import AbstractContextManager, asynccontextmanager
from typing import TypeVar

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import FileResponse, Response
from starlette.routing import BaseRoute, Route

from arsis.deliver.order import DELIVERIES
from arsis.workflow.inside import check_inside
from arsis.workflow.profiles import list_profiles
from arsis.workflow.references import new_reference

from .answers import answer
from .desk import Desk
from .jobs import MadeFile
from .routes_jobs import find_job

Value = TypeVar("Value")

# A page made by a report is shown as a page of nobody's: it runs nothing and asks for nothing.
_SHOWN = "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'"


def routes(desk: Desk) -> list[BaseRoute]:
    async def download(request: Request) -> Response:
        made = await run_in_threadpool(_made, desk, request)
        headers = {"cache-control": "no-store"}
        if "show" in request.query_params and made.path.suffix == ".html":
            return FileResponse(
                made.path, headers={**headers, "content-security-policy": _SHOWN}, media_type="text/html"
            )
        return FileResponse(
            made.path, headers=headers, media_type="application/octet-stream", filename=made.path.name
        )

    async def upload(request: Request) -> Response:
        taking = new_reference(desk.folder, request.path_params["name"])
        try:
            async with _in_threads(taking) as (target, write):
                async for piece in request.stream():
                    write(piece)
        except ClientDisconnect:
            return Response(None, 400)  # nobody reads it
        for song in desk.open_songs():
            song.hearing.references_changed()
        return answer({"name": target.name}, 201)

    async def profiles(request: Request) -> Response:
        found = await run_in_threadpool(list_profiles, desk.folder)
        return answer(
            [
                {
                    "name": one.name,
                    "about": one.about,
                    "delivered": (desk.folder / DELIVERIES / one.name / "manifest.json").is_file(),
                }
                for one in found.profiles
            ]
        )

    return [
        Route("/api/jobs/{job}/files/{n:int}", download),
        Route("/api/references/{name}", upload, methods=["PUT"]),
        Route("/api/profiles", profiles),
    ]


@asynccontextmanager
async def _in_threads(context: AbstractContextManager[Value]) -> AsyncIterator[Value]:
    """A context whose beginning and end take their time."""
    value = await run_in_threadpool(context.__enter__)
    try:
        yield value
    except BaseException as fault:
        await run_in_threadpool(context.__exit__, type(fault), fault, fault.__traceback__)
        raise
    await run_in_threadpool(context.__exit__, None, None, None)


def _made(desk: Desk, request: Request) -> MadeFile:
    """The file that is asked for, as the job left it."""
    files, n = find_job(desk, request).files, int(request.path_params["n"])
    if n >= len(files):
        raise HTTPException(404, "the job made no such file")
    check_inside(desk.folder, files[n].path)
    if not files[n].is_there:
        raise HTTPException(410, f"{files[n].path.name} was written anew or removed since; make it again")
    return files[n]
