"""Who may speak to the desk; and what a page of a stranger gets in a real browser."""

from __future__ import annotations

import threading
from collections.abc import AsyncIterator, Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

import httpx
import pytest
from playwright.sync_api import Browser, Page
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from arsis.desk import guard as guarding
from arsis.desk.guard import HEADERS, MOST_BYTES, Guard
from tests.desk.asking import run
from tests.desk.served import Served

PORT, TOKEN = 8411, "T" * 43
HOST = f"127.0.0.1:{PORT}"
COOKIE = ("cookie", f"other=1; arsis_{PORT}={TOKEN}")
BEARER = ("authorization", f"Bearer {TOKEN}")
OWN = ("origin", f"http://{HOST}")


async def _size(request: Request) -> Response:
    return PlainTextResponse(str(len(await request.body())))


def guard() -> Guard:
    methods = ["GET", "POST", "PUT", "DELETE"]
    return Guard(Starlette(routes=[Route("/{path:path}", _size, methods=methods)]), PORT, TOKEN)


def ask(
    *headers: tuple[str, str],
    method: str = "GET",
    path: str = "/api/secret",
    body: bytes | AsyncIterator[bytes] = b"",
    to: Guard | None = None,
) -> httpx.Response:
    async def asked() -> httpx.Response:
        transport = httpx.ASGITransport(to or guard())
        async with httpx.AsyncClient(transport=transport, base_url=f"http://{HOST}") as client:
            return await client.request(method, path, headers=list(headers), content=body)

    return run(asked())


def host(name: str) -> tuple[str, str]:
    return ("host", name)


def site(name: str) -> tuple[str, str]:
    return ("sec-fetch-site", name)


@pytest.mark.parametrize(
    ("headers", "method", "status"),
    [
        ([], "GET", 403),
        ([COOKIE], "GET", 200),
        ([BEARER], "GET", 200),
        ([BEARER], "POST", 200),
        ([("authorization", "Bearer " + "U" * 43)], "GET", 403),
        ([("authorization", f"Basic {TOKEN}")], "GET", 403),
        ([("cookie", f"arsis_{PORT + 1}={TOKEN}")], "GET", 403),
        ([("cookie", f"arsis_{PORT}=x; arsis_{PORT}={TOKEN}")], "GET", 200),
        ([COOKIE, host(f"localhost:{PORT}")], "GET", 200),
        ([COOKIE, host(f"[::1]:{PORT}")], "GET", 200),
        ([COOKIE, host(f"strange.example:{PORT}")], "GET", 421),
        ([COOKIE, host("127.0.0.1:1")], "GET", 421),
        ([COOKIE, host("127.0.0.1")], "GET", 421),
        ([COOKIE, host("")], "GET", 421),
        ([COOKIE, host(HOST), host("strange.example")], "GET", 400),
        ([COOKIE, COOKIE], "GET", 400),
        ([COOKIE, site("same-origin")], "GET", 200),
        ([COOKIE, site("none")], "GET", 200),
        ([COOKIE, site("same-site")], "GET", 403),
        ([COOKIE, site("cross-site")], "GET", 403),
        ([COOKIE, ("origin", "http://strange.example")], "GET", 403),
        ([COOKIE], "PUT", 403),
        ([COOKIE, OWN], "PUT", 200),
        ([COOKIE, OWN, site("same-origin")], "POST", 200),
        ([COOKIE, site("same-origin")], "DELETE", 200),
        ([COOKIE, OWN, site("none")], "POST", 403),
        ([COOKIE, OWN, site("same-site")], "POST", 403),
        ([COOKIE, ("origin", f"http://127.0.0.1:{PORT + 1}")], "POST", 403),
        ([COOKIE, ("origin", "null")], "POST", 403),
    ],
)
def test_who_is_let_through(headers: list[tuple[str, str]], method: str, status: int) -> None:
    answered = ask(*headers, method=method)
    assert answered.status_code == status, answered.text
    for name, value in HEADERS:
        assert answered.headers[name.decode()] == value.decode() or name == b"cache-control"
    if status == 200:
        assert answered.headers["cache-control"] == "no-cache"
    else:
        assert answered.headers["cache-control"] == "no-store"
        assert set(answered.json()) == {"error", "faults"}


def test_a_request_without_a_host_is_refused() -> None:
    """HTTP/1.0 needs none; httpx always sends one."""
    sent: list[dict[str, object]] = []

    async def ask_without() -> None:
        async def receive() -> dict[str, object]:
            return {"type": "http.request", "body": b""}

        async def send(message: object) -> None:
            sent.append(message)  # type: ignore[arg-type]

        scope = {"type": "http", "method": "GET", "path": "/", "query_string": b"", "headers": []}
        await guard()(scope, receive, send)  # type: ignore[arg-type]

    run(ask_without())
    assert sent[0]["status"] == 421


def test_the_printed_address_gives_a_cookie_and_leads_to_one_without_the_token() -> None:
    answered = ask(path=f"/?token={TOKEN}")
    assert (answered.status_code, answered.headers["location"]) == (303, "/")
    assert answered.headers["set-cookie"] == f"arsis_{PORT}={TOKEN}; HttpOnly; SameSite=Strict; Path=/"
    assert answered.headers["cache-control"] == "no-store"
    for wrong in ("", "x", TOKEN + "T", "é"):
        answered = ask(path=f"/?token={wrong}")
        assert answered.status_code == 403
        assert "set-cookie" not in answered.headers


def test_a_ticket_opens_once() -> None:
    to = guard()
    ticket = to.ticket()
    assert ask(path=f"/?token={ticket}", to=to).status_code == 303
    assert ask(path=f"/?token={ticket}", to=to).status_code == 403


async def _pieces(count: int) -> AsyncIterator[bytes]:
    for _ in range(count):
        yield bytes(2**16)


@pytest.mark.parametrize(
    ("path", "method", "body", "status"),
    [
        ("/api/secret", "POST", bytes(MOST_BYTES), 200),
        ("/api/secret", "POST", bytes(MOST_BYTES + 1), 413),
        ("/api/secret", "POST", 17, 413),  # in pieces, without saying how large
        ("/api/secret", "POST", 16, 200),
        ("/api/references/a.wav", "PUT", bytes(MOST_BYTES + 1), 200),
        ("/api/references/a.wav", "PUT", 17, 200),
        ("/api/references/a.wav", "POST", bytes(MOST_BYTES + 1), 413),
    ],
)
def test_bodies_are_bounded(path: str, method: str, body: bytes | int, status: int) -> None:
    sent = _pieces(body) if isinstance(body, int) else body
    assert ask(BEARER, method=method, path=path, body=sent).status_code == status


def test_an_upload_that_says_it_is_too_large_is_refused_at_once() -> None:
    length = ("content-length", str(2**28 + 1))
    assert ask(BEARER, length, method="PUT", path="/api/references/a.wav").status_code == 413


class _Stranger(BaseHTTPRequestHandler):
    """A page of another program on this machine: the same site to a browser, so that cookies are sent."""

    def do_GET(self) -> None:
        self.send_response(200)
        self.send_header("content-type", "text/html")
        self.end_headers()
        self.wfile.write(b"<!doctype html><title>stranger</title><body>")

    def log_message(self, *said: object) -> None: ...


@pytest.fixture(scope="module")
def strange_origin() -> Iterator[str]:
    with ThreadingHTTPServer(("127.0.0.1", 0), _Stranger) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}/"
        server.shutdown()
        thread.join()


ATTEMPTS = {
    "fetch": "fetch(B + '/api/jobs', {mode: 'no-cors', credentials: 'include'}).then((r) => r.type)",
    "readable fetch": "fetch(B + '/api/jobs', {credentials: 'include'}).then((r) => r.text())",
    "post": """fetch(B + '/api/jobs', {method: 'POST', mode: 'no-cors', credentials: 'include',
        body: '{"kind": "record"}'}).then((r) => r.type)""",
    "events": """new Promise((done) => {
        const e = new EventSource(B + '/api/events', {withCredentials: true});
        e.addEventListener('hello', () => done('HEARD'));
        e.onerror = () => { e.close(); done('refused'); }; })""",
    **{
        tag: f"""new Promise((done) => {{ const e = document.createElement('{tag}'); e.src = B + '{source}';
        e.onload = e.onloadeddata = () => done('LOADED'); e.onerror = () => done('refused');
        document.body.append(e); }})"""
        for tag, source in (("img", "/mark.svg?1"), ("script", "/app.js?1"), ("audio", "/mark.svg?2"))
    },
    "iframe": """new Promise((done) => { const e = document.createElement('iframe'); e.src = B + '/';
        e.onload = () => { let seen; try { seen = e.contentDocument && e.contentDocument.title; }
        catch { seen = null; } done(seen === null ? 'refused' : 'SEEN ' + seen); };
        document.body.append(e); })""",
}


SAME_SITE = (403, "asked for by another page (same-site)")


@pytest.fixture
def refusals(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, str, int, str]]:
    """What the guard said no to: method, path, status, why. A browser keeps it from the page that asked."""
    told: list[tuple[str, str, int, str]] = []
    refuse = guarding._refuse

    async def told_too(scope: Any, receive: Any, send: Any, status: int, why: str) -> None:
        told.append((scope["method"], scope["path"], status, why))
        await refuse(scope, receive, send, status, why)

    monkeypatch.setattr(guarding, "_refuse", told_too)
    return told


def test_a_page_of_a_stranger_gets_nothing(
    desk: Served, page: Page, strange_origin: str, refusals: list[tuple[str, str, int, str]]
) -> None:
    """In the same browser, which sends the desk's cookie: what refuses is where the requests come from."""
    stranger = page.context.new_page()
    stranger.goto(strange_origin)
    for name, attempt in ATTEMPTS.items():
        before = len(refusals)
        got = stranger.evaluate(f"(B) => {attempt}.catch((fault) => 'refused')", desk.origin)
        assert got == "refused", name
        assert {refused[2:] for refused in refusals[before:]} == {
            (403, "asked for by another page (same-site)")
        }
    assert desk.desk.jobs.all() == []


def test_the_own_page_has_what_it_needs_and_no_more(page: Page) -> None:
    assert "token" not in page.url
    assert page.evaluate("document.cookie") == ""
    assert page.evaluate("fetch('/api/jobs').then((r) => r.status)") == 200
    heard = (
        "new Promise((done) => new EventSource('/api/events').addEventListener('hello', () => done(true)))"
    )
    assert page.evaluate(heard)
    worklet = "new OfflineAudioContext(1, 1, 48000).audioWorklet.addModule('/format.js').then(() => true)"
    assert page.evaluate(worklet)
    script = "document.createElement('script').text = '1'"
    for sink in ("document.body.innerHTML = '<b>x'", script, "trustedTypes.createPolicy('p', {})"):
        tried = f"() => {{ try {{ {sink}; return 'allowed'; }} catch {{ return 'refused'; }} }}"
        assert page.evaluate(tried) == "refused", sink


def test_a_strange_name_for_this_machine_is_refused(browser: Browser, desk: Served) -> None:
    """DNS rebinding: a stranger's name that now leads here. Chromium takes any name below localhost for this
    machine."""
    context = browser.new_context()
    address = desk.origin.replace("127.0.0.1", "strange.localhost")
    answered = context.new_page().goto(f"{address}/api/jobs")
    assert answered is not None
    assert answered.status == 421
    context.close()
