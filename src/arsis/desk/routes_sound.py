"""What can be heard of a song, as the page asks for it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from arsis.workflow.hearing import Chunk, Hearing, LetGoError, UnknownError

from .answers import answer, body_of
from .desk import Desk

# A chunk's address holds all that makes its samples, so an exact one never becomes another.
_FOR_EVER = "private, immutable, max-age=31536000"


def routes(desk: Desk) -> list[BaseRoute]:
    """The routes of this part."""
    asked = _Asked(desk)
    song = "/api/songs/{song}"
    return [
        Route(f"{song}/sounds", asked.sounds),
        Route("/api/sounds/{song}/{key}/{number:int}", asked.chunk),
        Route(f"{song}/shape", asked.shape),
        Route(f"{song}/series/{{sound:path}}", asked.series),
        Route(f"{song}/peaks/{{sound:path}}", asked.peaks),
        Route(f"{song}/levels", asked.levels),
        Route(f"{song}/beats", asked.beats),
        Route(f"{song}/join", asked.join),
        Route(f"{song}/moves/{{move}}", asked.drop, methods=["POST"]),
        Route(f"{song}/reopen", asked.reopen, methods=["POST"]),
    ]


class _Asked:
    """One answer for each question. All of them run where they may wait."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    async def sounds(self, request: Request) -> Response:
        return await self._told(request, lambda hearing: hearing.sounds())

    async def chunk(self, request: Request) -> Response:
        key, number = request.path_params["key"], request.path_params["number"]
        chunk: Chunk = await self._of(request, lambda hearing: hearing.chunk(key, number))
        headers = {
            "x-exact": "1" if chunk.exact else "0",
            "x-sha256": chunk.sha256,
            "cache-control": _FOR_EVER if chunk.exact else "no-store",
        }
        return Response(chunk.data, headers=headers, media_type="application/octet-stream")

    async def shape(self, request: Request) -> Response:
        found = await self._of(request, lambda hearing: hearing.shape)
        if found is None:
            return answer({"measured": False}, 202)
        version, table = found
        return answer({"version": version, "measured": True, **table})

    async def series(self, request: Request) -> Response:
        sound = request.path_params["sound"]
        return _or_not_yet(await self._of(request, lambda hearing: hearing.series(sound)))

    async def peaks(self, request: Request) -> Response:
        sound = request.path_params["sound"]
        found = await self._of(request, lambda hearing: hearing.peaks(sound))
        if found is None:
            return answer({"measured": False}, 202)
        return Response(found, headers={"cache-control": "no-store"}, media_type="application/octet-stream")

    async def levels(self, request: Request) -> Response:
        start_s, end_s = _seconds(request, "start_s"), _seconds(request, "end_s")
        return await self._told(request, lambda hearing: hearing.levels(start_s, end_s))

    async def beats(self, request: Request) -> Response:
        return _or_not_yet(await self._of(request, lambda hearing: hearing.beats))

    async def join(self, request: Request) -> Response:
        section, at_s = request.query_params.get("section"), _seconds(request, "at_s")
        if section is None or at_s is None:
            raise HTTPException(400, "a join is asked for with section and at_s")
        return await self._told(request, lambda hearing: hearing.entrance(section, at_s))

    async def drop(self, request: Request) -> Response:
        """Puts an advised move aside, or takes it up again."""
        dropped = (await body_of(request)).get("dropped")
        if not isinstance(dropped, bool):
            raise HTTPException(422, "dropped: allowed: true or false")
        move = request.path_params["move"]
        await self._of(request, lambda hearing: hearing.drop(move, dropped))
        return await self.sounds(request)

    async def reopen(self, request: Request) -> Response:
        """Reads the song's mix anew."""
        song_id = request.path_params["song"]
        self._check(song_id)
        await run_in_threadpool(self._desk.reopen, song_id)
        return await self.sounds(request)

    async def _told(self, request: Request, ask: Callable[[Hearing], Any]) -> Response:
        return answer(await self._of(request, ask))

    async def _of(self, request: Request, ask: Callable[[Hearing], Any]) -> Any:
        song_id = request.path_params["song"]

        def asked() -> Any:
            self._check(song_id)
            return ask(self._desk.song(song_id).hearing)

        try:
            return await run_in_threadpool(asked)
        except UnknownError:
            raise HTTPException(404, "there is no such sound") from None
        except LetGoError:
            raise HTTPException(410, "this sound is not kept any more") from None

    def _check(self, song_id: str) -> None:
        """Raises HTTPException where the release has no such song."""
        try:
            self._desk.song(song_id)
        except KeyError:
            raise HTTPException(404, f"there is no song {song_id!r} in this release") from None


def _or_not_yet(found: Any) -> Response:
    return answer({"measured": False}, 202) if found is None else answer(found)


def _seconds(request: Request, name: str) -> float | None:
    """A number of the query; raises HTTPException for what is none."""
    text = request.query_params.get(name)
    try:
        return None if text is None else float(text)
    except ValueError:
        raise HTTPException(400, f"{name} is {text!r}; it is a number of seconds") from None
