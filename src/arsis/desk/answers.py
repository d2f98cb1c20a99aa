"""How the desk answers: JSON without NaN, and one shape for every fault.

A fault is `{"error": message, "faults": [{"line", "key", "found", "allowed"}]}`; the message is for people.
"""

from __future__ import annotations

import json
import math
from collections.abc import Awaitable, Callable
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from arsis.errors import ArsisError, DocumentError, Fault

Route = Callable[[Request], Awaitable[Response]]


def answer(value: Any, status: int = 200) -> Response:
    """Anything of the program's as JSON; what is not finite is null, never stored by the browser."""
    return JSONResponse(plain(value), status, headers={"cache-control": "no-store"})


def plain(value: Any) -> Any:
    """Dataclasses, arrays and paths as JSON knows them. `pass_` is `pass`."""
    if is_dataclass(value) and not isinstance(value, type):
        return {one.name.rstrip("_"): plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, dict):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, np.ndarray):
        return plain(value.tolist())
    if isinstance(value, (list, tuple, set, frozenset)):
        return [plain(one) for one in value]
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return str(value) if isinstance(value, Path) else value


def fault(message: str, status: int, faults: tuple[Fault, ...] = ()) -> Response:
    """The one shape of a fault."""
    return answer({"error": message, "faults": [plain(one) for one in faults]}, status)


async def body_of(request: Request) -> dict[str, Any]:
    """The JSON object of a request; raises HTTPException where there is none."""
    try:
        value = json.loads(await request.body())
    except ValueError:
        raise HTTPException(400, "the request holds no JSON") from None
    if not isinstance(value, dict):
        raise HTTPException(400, "the request holds no JSON object")
    return value


def on_arsis_error(request: Request, error: Exception) -> Response:
    """What people can mend: the message as it is."""
    assert isinstance(error, ArsisError)
    return fault(str(error), 422, error.faults if isinstance(error, DocumentError) else ())


def on_http_error(request: Request, error: Exception) -> Response:
    """What the page asked wrongly."""
    assert isinstance(error, HTTPException)
    return fault(error.detail, error.status_code)
