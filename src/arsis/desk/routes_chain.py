"""Chains: what can be set on them, what they do at each frequency, and what is measured of it."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from arsis.workflow.inside import check_song
from arsis.workflow.response import song_chain_response

from .answers import answer, body_of
from .declarations import declarations
from .desk import Desk, SongDesk

MOST_LINKS = 100  # of a chain that is drawn


def routes(desk: Desk) -> list[BaseRoute]:
    """Declarations, response and spectrum."""

    async def opened(request: Request) -> SongDesk:
        return await run_in_threadpool(_inside, desk, request.path_params["id"])

    async def declared(request: Request) -> Response:
        return answer(declarations())

    async def response(request: Request) -> Response:
        plan = (await opened(request)).document
        chain = (await body_of(request)).get("chain")
        if not isinstance(chain, list) or len(chain) > MOST_LINKS:
            raise HTTPException(400, f"chain: a list of at most {MOST_LINKS} tables is needed")
        return answer(await run_in_threadpool(song_chain_response, plan.release, plan.song, chain))

    async def spectrum(request: Request) -> Response:
        song = await opened(request)
        owner = request.query_params.get("pass")  # the finish where there is none
        return answer(await run_in_threadpool(song.hearing.spectrum, song.document.song, owner))

    return [
        Route("/api/declarations", declared),
        Route("/api/songs/{id}/response", response, methods=["POST"]),
        Route("/api/songs/{id}/spectrum", spectrum),
    ]


def _inside(desk: Desk, song_id: str) -> SongDesk:
    """A song whose files all lie inside the release."""
    try:
        song = desk.song(song_id)
    except KeyError:
        raise HTTPException(404, f"the release has no song {song_id}") from None
    check_song(song.document.release, song.document.song)
    return song
