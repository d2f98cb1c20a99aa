"""Finds the shared library and declares its functions.

A kernel takes contiguous arrays and scalars, updates the state it is given and writes to the array
it is given. `ndpointer` checks dtype, dimensions, order and writability at the call; ctypes lets go
of the interpreter lock meanwhile.
"""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.ctypeslib import ndpointer

from arsis.errors import ArsisError

I64 = ctypes.c_int64
F64 = ctypes.c_double
F32 = ctypes.c_float
U64 = ctypes.c_uint64
I32 = ctypes.c_int32


def reads(dtype: Any = np.float64, ndim: int | None = None) -> Any:
    """A contiguous array that the kernel only reads."""
    return ndpointer(dtype=dtype, ndim=ndim, flags="C_CONTIGUOUS")


def writes(dtype: Any = np.float64, ndim: int | None = None) -> Any:
    """A contiguous array that the kernel writes to."""
    return ndpointer(dtype=dtype, ndim=ndim, flags=("C_CONTIGUOUS", "WRITEABLE"))


@cache
def _library() -> ctypes.CDLL:
    import arsis.dsp.kernels as home

    for folder in home.__path__:
        for name in ("libarsis_kernels.so", "libarsis_kernels.dylib", "arsis_kernels.dll"):
            path = Path(folder) / name
            if path.exists():
                return ctypes.CDLL(str(path))
    raise ArsisError("the kernel library is missing: install arsis with pip, which builds it")


def kernel(name: str, *argtypes: Any, returns: Any = None) -> Callable[..., Any]:
    """The C function `name` with its argument types."""
    function: Any = getattr(_library(), name)
    function.argtypes = argtypes
    function.restype = returns
    return function  # type: ignore[no-any-return]
