"""A desk's server in a thread of the test's own process."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import uvicorn
from starlette.routing import Mount
from starlette.staticfiles import StaticFiles

from arsis.desk.app import make_app
from arsis.desk.desk import Desk


@dataclass(frozen=True, slots=True)
class Served:
    """address: what the program prints, to be opened. origin: without the token."""

    desk: Desk
    origin: str
    address: str


# What tests load into the page, such as the tap behind the player: it takes scripts from its own server only.
SCRIPTS = Mount("/tests", StaticFiles(directory=Path(__file__).parent))


@contextmanager
def serving(folder: Path) -> Iterator[Served]:
    """Serves the desk of a release folder on a free port of loopback."""
    desk = Desk(folder)
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port = listener.getsockname()[1]
        app = make_app(desk)
        app.routes.insert(0, SCRIPTS)
        config = uvicorn.Config(app, log_level="warning", timeout_graceful_shutdown=1)
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
        thread.start()
        try:
            yield Served(desk, f"http://127.0.0.1:{port}", f"http://127.0.0.1:{port}/")
        finally:
            server.should_exit = True
            thread.join()
