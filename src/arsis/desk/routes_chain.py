"""Chains: what can be set on them, what they do at each frequency, and what is measured of it."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from arsis.workflow.document import Document
from arsis.workflow.inside import check_song
from arsis.workflow.response import song_chain_response
from arsis.workflow.spectrum import pass_spectrum

from .answers import answer, body_of
from .declarations import declarations
from .desk import Desk

MOST_LINKS = 100  # of a chain that is drawn


def routes(desk: Desk) -> list[BaseRoute]:
    """Declarations, response and spectrum."""

    async def document(request: Request) -> Document:
        return await run_in_threadpool(_document, desk, request.path_params["id"])

    async def declared(request: Request) -> Response:
        return answer(declarations())

    async def response(request: Request) -> Response:
        song = await document(request)
        chain = (await body_of(request)).get("chain")
        if not isinstance(chain, list) or len(chain) > MOST_LINKS:
            raise HTTPException(400, f"chain: a list of at most {MOST_LINKS} tables is needed")
        return answer(await run_in_threadpool(song_chain_response, song.release, song.song, chain))

    async def spectrum(request: Request) -> Response:
        song = await document(request)
        name = request.query_params.get("pass")
        if name is None:
            raise HTTPException(400, "pass: the name of a pass is needed")
        return answer(await run_in_threadpool(pass_spectrum, song.release, song.song, name))

    return [
        Route("/api/declarations", declared),
        Route("/api/songs/{id}/response", response, methods=["POST"]),
        Route("/api/songs/{id}/spectrum", spectrum),
    ]


def _document(desk: Desk, song_id: str) -> Document:
    """The document of a song, whose files all lie inside the release."""
    try:
        document = desk.song(song_id).document
    except KeyError:
        raise HTTPException(404, f"the release has no song {song_id}") from None
    check_song(document.release, document.song)
    return document
