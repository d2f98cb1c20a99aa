"""Jobs by request: begun, listed, stopped."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from .answers import answer, body_of
from .desk import Desk
from .jobs import Job, shown
from .orders import release_work, song_work


def routes(desk: Desk) -> list[BaseRoute]:
    async def on_song(request: Request) -> Response:
        wish = await body_of(request)
        song_id = request.path_params["song"]

        def begin() -> Job:
            plan = desk.plans().get(song_id)
            if plan is None:
                raise HTTPException(404, f"the release has no song {song_id}")
            kind = str(wish.pop("kind", ""))
            work = song_work(
                desk.folder, plan, kind, wish, lambda moves: desk.song(song_id).hearing.offer(moves)
            )
            return desk.jobs.begin(kind, song_id, work)

        return answer(shown(await run_in_threadpool(begin)), 202)

    async def on_release(request: Request) -> Response:
        wish = await body_of(request)

        def begin() -> Job:
            kind = str(wish.pop("kind", ""))
            return desk.jobs.begin(kind, None, release_work(desk.folder, kind, wish))

        return answer(shown(await run_in_threadpool(begin)), 202)

    async def listed(request: Request) -> Response:
        return answer([shown(job) for job in desk.jobs.all()])

    async def cancel(request: Request) -> Response:
        job = find_job(desk, request)
        desk.jobs.cancel(job)
        return answer(shown(job))

    return [
        Route("/api/songs/{song}/jobs", on_song, methods=["POST"]),
        Route("/api/jobs", on_release, methods=["POST"]),
        Route("/api/jobs", listed),
        Route("/api/jobs/{job}", cancel, methods=["DELETE"]),
    ]


def find_job(desk: Desk, request: Request) -> Job:
    """The job that a request names. Raises HTTPException where there is none."""
    job = desk.jobs.find(request.path_params["job"])
    if job is None:
        raise HTTPException(404, "there is no such job; the last ones only are remembered")
    return job
