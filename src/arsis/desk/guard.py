"""Who may speak to the desk: only the browser, or the script, that was given this run's token.

Every request passes: its Host, so that no strange name leads here (DNS rebinding); its token, as a cookie or
as `Authorization: Bearer`; with a cookie where it comes from, since browsers send cookies to every port of
a host and take pages on other ports of it for the same site; and the size of its body.
"""

from __future__ import annotations

import hmac
import secrets
from urllib.parse import parse_qs

from starlette.exceptions import HTTPException
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from .answers import fault

POLICY = "; ".join(
    [
        "default-src 'none'",
        *(f"{what}-src 'self'" for what in ("script", "style", "img", "connect", "worker")),
        "base-uri 'none'",
        "form-action 'none'",
        "frame-ancestors 'none'",
        "require-trusted-types-for 'script'",
        "trusted-types 'none'",
    ]
)
HEADERS = [
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"x-frame-options", b"DENY"),
    (b"cache-control", b"no-cache"),  # what another version of arsis served here is asked for anew
]
UPLOADS = "/api/references/"
MOST_BYTES, MOST_UPLOAD_BYTES = 2**20, 2**28
_SAFE = ("GET", "HEAD")
_UNSTORED = {"cache-control": "no-store"}
# What decides must be said once: of two, another reader of the request might take the other one.
_DECIDING = (b"host", b"origin", b"sec-fetch-site", b"authorization", b"cookie", b"content-length")


class Guard:
    """Lets a request through to the app, or answers it with the reason why not."""

    def __init__(self, app: ASGIApp, port: int, token: str) -> None:
        self._app, self._token = app, token
        self._hosts = {f"127.0.0.1:{port}", f"localhost:{port}", f"[::1]:{port}"}
        self._cookie = f"arsis_{port}"  # a host's cookies are sent to all its ports: each desk has its own
        self._tickets: set[str] = set()

    def ticket(self) -> str:
        """Stands for the token once, where others may read it: on the command line of a browser."""
        made = secrets.token_urlsafe(32)
        self._tickets.add(made)
        return made

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
        elif scope["type"] == "websocket":  # there is none here
            await send({"type": "websocket.close", "code": 1008})
        else:
            await self._answer(scope, receive, send)

    async def _answer(self, scope: Scope, receive: Receive, send: Send) -> None:
        names = [name for name, _ in scope["headers"]]
        for name in _DECIDING:
            if names.count(name) > 1:
                return await _refuse(scope, receive, send, 400, f"two headers {name.decode()}")
        headers = {name: value.decode("latin-1") for name, value in scope["headers"]}
        if headers.get(b"host", "").lower() not in self._hosts:
            return await _refuse(scope, receive, send, 421, "the desk is not called by this name")
        if scope["method"] == "GET" and scope["path"] == "/" and b"token=" in scope["query_string"]:
            return await self._let_in(scope, receive, send)
        refused = self._stranger(scope, headers)
        if refused:
            return await _refuse(scope, receive, send, 403, refused)
        most = _most_bytes(scope)
        said = headers.get(b"content-length", "0")
        if not said.isdecimal() or len(said) > 18 or int(said) > most:
            return await _refuse(scope, receive, send, 413, _too_large(most))
        await self._app(scope, _bounded(receive, most), _with_headers(send))

    async def _let_in(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The address that was printed: the token becomes a cookie, and is in no address from there on."""
        token = parse_qs(scope["query_string"].decode("latin-1")).get("token", [""])[0]
        if token in self._tickets:
            self._tickets.discard(token)
        elif not _same(token, self._token):
            return await _refuse(
                scope, receive, send, 403, "not the token of this run; open the address it printed"
            )
        cookie = f"{self._cookie}={self._token}; HttpOnly; SameSite=Strict; Path=/"
        headers = {"location": "/", "set-cookie": cookie, **_UNSTORED}
        await Response(None, 303, headers)(scope, receive, _with_headers(send))

    def _stranger(self, scope: Scope, headers: dict[bytes, str]) -> str:
        """Why this is none of ours; empty where it is."""
        kind, _, token = headers.get(b"authorization", "").partition(" ")
        if kind.lower() == "bearer" and _same(token, self._token):
            return ""  # no browser adds this by itself
        if not any(_same(one, self._token) for one in self._cookies(headers.get(b"cookie", ""))):
            return "open the address that `arsis desk` printed"
        site, origin = headers.get(b"sec-fetch-site"), headers.get(b"origin")
        is_safe = scope["method"] in _SAFE
        if site not in (None, "same-origin", "none") or (site == "none" and not is_safe):
            return f"asked for by another page ({site})"
        if origin is not None or (site is None and not is_safe):
            return "" if origin == f"http://{headers[b'host'].lower()}" else "asked for by another page"
        return ""

    def _cookies(self, line: str) -> list[str]:
        """All of our name: pages on other ports may have set some, too."""
        pairs = (part.strip().partition("=") for part in line.split(";"))
        return [value for name, _, value in pairs if name == self._cookie]


def _same(one: str, other: str) -> bool:
    return hmac.compare_digest(one.encode(), other.encode())


def _most_bytes(scope: Scope) -> int:
    is_upload = scope["method"] == "PUT" and scope["path"].startswith(UPLOADS)
    return MOST_UPLOAD_BYTES if is_upload else MOST_BYTES


def _too_large(most: int) -> str:
    return f"too large; allowed: up to {most // 2**20} MiB"


def _bounded(receive: Receive, most: int) -> Receive:
    """A body may come in pieces that do not say how large it is: the request ends where it is too large."""
    had = 0

    async def counted() -> Message:
        nonlocal had
        message = await receive()
        had += len(message.get("body", b""))
        if had > most:
            raise HTTPException(413, _too_large(most))
        return message

    return counted


def _with_headers(send: Send) -> Send:
    """Adds what an answer does not say itself."""

    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            own = list(message.get("headers", ()))
            named = {name.lower() for name, _ in own}
            message["headers"] = [*own, *(one for one in HEADERS if one[0] not in named)]
        await send(message)

    return sent


async def _refuse(scope: Scope, receive: Receive, send: Send, status: int, why: str) -> None:
    is_api = scope["path"].startswith("/api/")
    said = fault(why, status) if is_api else PlainTextResponse(f"arsis: {why}\n", status, _UNSTORED)
    await said(scope, receive, _with_headers(send))
