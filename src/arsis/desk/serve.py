"""Serves a release's desk on this machine until it is stopped."""

from __future__ import annotations

import os
import secrets
import socket
import sys
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from threading import Thread

import uvicorn

from arsis.errors import ArsisError

from .app import make_app
from .desk import Desk
from .events import Events
from .guard import Guard

HOME = "127.0.0.1"  # this machine alone; from another one an ssh tunnel leads here
_WAITING = 64


def serve(folder: Path, port: int | None, open_browser: bool, say: Callable[[str], None]) -> None:
    """Serves until Ctrl-C or SIGTERM. port: a free one when None. say: told the address, once.

    Raises ArsisError where the folder is no release or the port is taken.
    """
    desk = Desk(folder)
    try:
        with listening(port) as door:
            at = f"http://{HOME}:{door.getsockname()[1]}/?token="
            token = secrets.token_urlsafe(32)
            guard = Guard(make_app(desk), door.getsockname()[1], token)
            # Whoever comes before the server has started waits at the door.
            say(f"{at}{token}")
            if open_browser and _has_screen():
                Thread(target=webbrowser.open, args=(at + guard.ticket(),), daemon=True).start()
            _run(guard, door, desk.events)
    finally:
        desk.close()


def listening(port: int | None) -> socket.socket:
    """A socket at a port of this machine, a free one when None. Raises ArsisError where it is taken."""
    # Called TCP by name: only of such a socket does asyncio switch off the wait for more to send, which
    # would hold every second answer back for 40 ms.
    door = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    if os.name == "posix":  # elsewhere it would let two programs listen at one port
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        door.bind((HOME, port or 0))
        door.listen(_WAITING)
    except OSError as fault:
        door.close()
        reason = (fault.strerror or str(fault)).lower()
        raise ArsisError(f"--port {port}: {reason}; allowed: another one, or none for a free one") from fault
    return door


def _run(guard: Guard, door: socket.socket, events: Events) -> None:
    """Returns when it was stopped; what is still on its way to a page is given a second."""
    config = uvicorn.Config(
        guard,
        log_config=None,
        log_level="error",
        access_log=False,
        ws="none",
        server_header=False,
        timeout_graceful_shutdown=1,
    )
    # When all is put away, uvicorn raises the signal that stopped it once more.
    with suppress(KeyboardInterrupt):
        _Server(config, events).run(sockets=[door])


class _Server(uvicorn.Server):
    """Ends the event streams when it is stopped: a page would hold one for ever."""

    def __init__(self, config: uvicorn.Config, events: Events) -> None:
        super().__init__(config)
        self._events = events

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self._events.close()
        await super().shutdown(sockets)


def _has_screen() -> bool:
    """Whether a browser can be shown; where there is no screen, one in the terminal would take it over."""
    return not sys.platform.startswith("linux") or bool({"DISPLAY", "WAYLAND_DISPLAY"} & os.environ.keys())
