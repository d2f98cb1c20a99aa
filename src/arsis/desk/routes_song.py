"""The release and its songs: each song's plan as the page has it, and everything that changes it."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import Any, TypeVar

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from arsis.errors import ArsisError, DocumentError, PlanError
from arsis.plan.codec import read_song
from arsis.plan.table import Table, as_table
from arsis.workflow.document import Document
from arsis.workflow.inside import check_inside
from arsis.workflow.places import titled
from arsis.workflow.revisions import Revision, diff

from .answers import answer, body_of
from .desk import Desk, SongDesk

# What a request asks of one song: the song, what the request holds, the parts of its path.
Act = Callable[[SongDesk, Table, dict[str, Any]], Table | None]
Value = TypeVar("Value")
_LONGEST = 200  # of a name for a step


def routes(desk: Desk) -> list[BaseRoute]:
    """The routes of documents, edits and revisions."""

    async def release(request: Request) -> Response:
        return answer(await run_in_threadpool(_release, desk))

    def on_song(path: str, act: Act, method: str = "POST") -> Route:
        async def endpoint(request: Request) -> Response:
            body = dict(request.query_params) if method == "GET" else await body_of(request)
            return answer(await run_in_threadpool(_done, desk, act, body, request.path_params))

        return Route(f"/api/songs/{{id}}{path}", endpoint, methods=[method])

    return [
        Route("/api/release", release),
        on_song("", lambda song, body, parts: None, "GET"),
        on_song("/edits", _edit),
        on_song("/undo", lambda song, body, parts: song.document.undo()),
        on_song("/redo", lambda song, body, parts: song.document.redo()),
        on_song("/take", _take),
        on_song("/revisions", _keep),
        on_song("/revisions/{number:int}/restore", _restore),
        on_song("/revisions/{number:int}/diff", _diff, "GET"),
    ]


def document_table(song: SongDesk) -> Table:
    """A song's document as the page has it."""
    document = song.document
    with document.held():
        mix, clash = document.mix, document.clash
        table = {
            "id": song.id,
            "version": document.version,
            "title": document.song.title,
            "plan": as_table(document.song),
            "undo": document.undo_label,
            "redo": document.redo_label,
            "fault": _faults(document.fault),
            "clash": None if clash is None else {"told": clash.told},
            "frames": None if mix is None else mix.frames,
            "rate_hz": None if mix is None else mix.rate_hz,
            "duration_s": None if mix is None else mix.duration_s,
        }
        return {**table, **_revisions(document), "sounds": song.hearing.sounds()}


def _revisions(document: Document) -> Table:
    """The kept states, and the one that the plan is as it stands, whatever has become of the mix."""
    kept: tuple[Revision, ...] = ()
    damage = None
    try:
        kept = document.revisions
    except ArsisError as error:
        damage = str(error)
    sha256 = hashlib.sha256(document.data).hexdigest()
    same = [one.number for one in kept if one.plan_sha256 == sha256]
    told = [{"number": one.number, "date": one.date, "note": one.note} for one in kept]
    return {"revisions": told, "revisions_fault": damage, "kept_as": same[-1] if same else None}


def _faults(error: DocumentError | None) -> list[Table] | None:
    if error is None:
        return None
    return [
        {"line": one.line, "key": one.key, "found": one.found, "allowed": one.allowed} for one in error.faults
    ]


def _release(desk: Desk) -> Table:
    release = desk.release()
    songs = []
    for song_id, path in desk.plans().items():
        title, fault = titled(song_id), None
        try:
            check_inside(desk.folder, path)
            title = read_song(path).title
        except ArsisError as error:
            fault = str(error)
        plan = path.relative_to(desk.folder).as_posix()
        songs.append({"id": song_id, "title": title, "plan": plan, "fault": fault})
    return {"title": release.title, "artist": release.artist, "folder": desk.folder.name, "songs": songs}


def _done(desk: Desk, act: Act, body: Table, parts: dict[str, Any]) -> Table:
    """What an act gives back, or the document as it is after it."""
    try:
        song = desk.song(parts["id"])
    except KeyError:
        raise HTTPException(404, f"the release has no song {parts['id']!r}") from None
    try:
        done = act(song, body, parts)
    except PlanError as error:
        raise HTTPException(409, str(error)) from None
    return document_table(song) if done is None else done


def _edit(song: SongDesk, body: Table, parts: dict[str, Any]) -> None:
    song.document.edit(
        _given(body, "edit", str),
        _given(body, "args", dict),
        _maybe(body, "gesture", str),
        _maybe(body, "label", str),
        _maybe(body, "seen", int),
    )


def _take(song: SongDesk, body: Table, parts: dict[str, Any]) -> Table:
    which = _given(body, "which", str)
    if which == "desk":
        said = song.document.take("desk")
    elif which == "disk":
        said = song.document.take("disk")
    else:
        raise HTTPException(422, f'which: found "{which[:_LONGEST]}"; allowed: "desk" or "disk"')
    return {**document_table(song), "said": said}


def _keep(song: SongDesk, body: Table, parts: dict[str, Any]) -> None:
    song.document.keep(_given(body, "note", str))


def _restore(song: SongDesk, body: Table, parts: dict[str, Any]) -> None:
    song.document.restore(parts["number"])


def _diff(song: SongDesk, query: Table, parts: dict[str, Any]) -> Table:
    other = query.get("with", "now")
    if other != "now" and not other.isdecimal():
        raise HTTPException(422, "with: a revision's number or `now`")
    return {"told": diff(song.document.plan_path, parts["number"], None if other == "now" else int(other))}


def _given(body: Table, key: str, kind: type[Value]) -> Value:
    value = _maybe(body, key, kind)
    if value is None:
        raise HTTPException(422, f"{key} is missing")
    return value


def _maybe(body: Table, key: str, kind: type[Value]) -> Value | None:
    value = body.get(key)
    if value is not None and (not isinstance(value, kind) or isinstance(value, bool)):
        raise HTTPException(422, f"{key} has to be {_IN_WORDS[kind]}")
    if key in ("gesture", "label") and isinstance(value, str) and len(value) > _LONGEST:
        raise HTTPException(422, f"{key} has more than {_LONGEST} characters")
    return value


_IN_WORDS: dict[type, str] = {str: "text", dict: "a JSON object", int: "a whole number"}
