"""A desk's server in a thread of the test's own process."""

from __future__ import annotations

import secrets
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import httpx
import uvicorn
from starlette.routing import Mount
from starlette.staticfiles import StaticFiles

from arsis.desk.app import make_app
from arsis.desk.desk import Desk
from arsis.desk.guard import Guard
from arsis.desk.serve import listening


@dataclass(frozen=True, slots=True)
class Served:
    """address: what the program prints, to be opened. origin: without the token."""

    desk: Desk
    origin: str
    address: str
    token: str

    def client(self) -> httpx.Client:
        """Asks as a script does."""
        return httpx.Client(base_url=self.origin, headers={"authorization": f"Bearer {self.token}"})


# What tests load into the page, such as the tap behind the player: it takes scripts from its own server only.
SCRIPTS = Mount("/tests", StaticFiles(directory=Path(__file__).parent))


@contextmanager
def serving(folder: Path) -> Iterator[Served]:
    """Serves the desk of a release folder on a free port of loopback."""
    desk = Desk(folder)
    with listening(None) as listener:
        port = listener.getsockname()[1]
        token = secrets.token_urlsafe(32)
        app = make_app(desk)
        app.routes.insert(0, SCRIPTS)
        config = uvicorn.Config(Guard(app, port, token), log_level="warning", timeout_graceful_shutdown=1)
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
        thread.start()
        try:
            origin = f"http://127.0.0.1:{port}"
            yield Served(desk, origin, f"{origin}/?token={token}", token)
        finally:
            server.should_exit = True
            thread.join()
