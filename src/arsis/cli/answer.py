"""How a command answers: text or one JSON document, its exit status, and how errors end.

Results are frozen dataclasses of the workflow whose field names are the JSON keys.
"""

from __future__ import annotations

import json
import math
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import fields, is_dataclass
from pathlib import Path
from types import FrameType
from typing import Any

import click

from arsis.errors import ArsisError

AT_FAULT, WARNED = 2, 3
# As a shell reports what a signal ended: 128 and the signal's number (POSIX.1-2017, Shell, 2.8.2).
STOPPED, NOT_READ, ENDED = 130, 141, 143


def plain(value: Any) -> Any:
    """What JSON can carry: keys as the fields are named, null for what does not exist."""
    if is_dataclass(value) and not isinstance(value, type):
        return _table(value)
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, Path):
        return str(value)
    return value


def _table(value: Any) -> dict[str, Any]:
    """A dataclass by its fields; what is marked to stand beside the others is not nested."""
    table: dict[str, Any] = {}
    for field in fields(value):
        item = plain(getattr(value, field.name))
        table |= item if field.metadata.get("beside") else {field.name.rstrip("_"): item}
    return table


def answer(result: Any, as_json: bool, show: Callable[[Any], str]) -> None:
    """Prints `result` and ends the command with status 3 where it carries warnings."""
    if as_json:
        click.echo(json.dumps(plain(result), ensure_ascii=False, indent=2, allow_nan=False))
    else:
        click.echo(show(result))
    warnings = getattr(result, "warnings", ())
    for warning in warnings:
        click.echo(f"warning: {warning}", err=True)
    if warnings:
        sys.exit(WARNED)


@contextmanager
def progress(what: str) -> Iterator[Callable[[int, int], None]]:
    """A bar on a terminal, nothing in a pipe."""
    if not sys.stderr.isatty():
        yield lambda done, total: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)


class Commands(click.Group):
    """The edge of the program: a user's fault is one message and a status, never a traceback."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)  # in the order of the work, not of the alphabet

    def invoke(self, ctx: click.Context) -> Any:
        try:
            with _ended_kindly():
                return super().invoke(ctx)
        except ArsisError as fault:
            click.echo(f"arsis: {fault}", err=True)
            sys.exit(AT_FAULT)
        except KeyboardInterrupt as stop:
            said = getattr(stop, "__notes__", None) or ["the same command starts again"]
            click.echo(f"\nstopped: nothing half-written is left; {said[0]}", err=True)
            sys.exit(ENDED if isinstance(stop, _Ended) else STOPPED)
        except BrokenPipeError:
            # Whoever read has gone; what is still buffered must not be written at the end of the process.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            sys.exit(NOT_READ)
        except OSError as fault:
            where = f"{fault.filename}: " if fault.filename else ""
            click.echo(f"arsis: {where}{(fault.strerror or str(fault)).lower()}", err=True)
            sys.exit(AT_FAULT)


class _Ended(KeyboardInterrupt):
    """The system's polite way to stop a process: the work is put away as after Ctrl-C."""


@contextmanager
def _ended_kindly() -> Iterator[None]:
    def end(signum: int, frame: FrameType | None) -> None:
        raise _Ended

    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGTERM, end)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
