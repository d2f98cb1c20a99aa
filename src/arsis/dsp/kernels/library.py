"""Finds the shared library and declares its functions.

A kernel takes contiguous arrays and scalars, updates the state it is given and writes to the array
it is given. Dtype, dimensions, order and writability are checked at the call; ctypes lets go of the
interpreter lock meanwhile.
"""

from __future__ import annotations

import ctypes
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from arsis.errors import ArsisError

I64 = ctypes.c_int64
F64 = ctypes.c_double
F32 = ctypes.c_float
U64 = ctypes.c_uint64
I32 = ctypes.c_int32

_LANES = 8  # signals that travel together in a vector, at most (lanes.h)
# malloc.h, of glibc
_M_TRIM_THRESHOLD, _M_MMAP_THRESHOLD = -1, -3

# Taking a buffer's address as an array of no length costs a fifth of what numpy's own `ndpointer` does,
# which at a dozen kernels a block was a tenth of a whole print.
_ADDRESS = ctypes.c_char * 0


class _Pointer:
    """A kind of argument: a contiguous array of one dtype, with `ndim` dimensions or any number."""

    def __init__(self, dtype: Any, ndim: int | None, written: bool) -> None:
        self._dtype, self._ndim, self._written = np.dtype(dtype), ndim, written

    def address(self, array: NDArray[Any]) -> Any:
        """What ctypes is given. Raises TypeError for an array that the kernel cannot take."""
        if not isinstance(array, np.ndarray):
            raise TypeError(f"a kernel takes an array, not {type(array).__name__}")
        if array.dtype != self._dtype or (self._ndim is not None and array.ndim != self._ndim):
            raise TypeError(f"{array.dtype} of {array.ndim} dimensions where a kernel takes {self}")
        if not array.flags.c_contiguous:
            raise TypeError(f"an array that is not contiguous where a kernel takes {self}")
        if array.flags.writeable:
            return _ADDRESS.from_buffer(array)  # type: ignore[arg-type]  # numpy does not say so
        if self._written:
            raise TypeError(f"a read-only array where a kernel takes {self}")
        return ctypes.c_void_p(array.ctypes.data)

    def __str__(self) -> str:
        dimensions = "any number of" if self._ndim is None else self._ndim
        return f"{self._dtype} of {dimensions} dimensions, contiguous{', to write to' * self._written}"


def reads(dtype: Any = np.float64, ndim: int | None = None) -> Any:
    """A contiguous array that the kernel only reads."""
    return _Pointer(dtype, ndim, written=False)


def writes(dtype: Any = np.float64, ndim: int | None = None) -> Any:
    """A contiguous array that the kernel writes to."""
    return _Pointer(dtype, ndim, written=True)


def room(numbers: int) -> NDArray[np.float32]:
    """For a kernel to work in: so many complex numbers for every signal that travels together."""
    return np.empty(2 * _LANES * (numbers + 1), np.float32)


@cache
def _library() -> ctypes.CDLL:
    import arsis.dsp.kernels as home

    _keep_freed_memory()
    for folder in home.__path__:
        for name in ("libarsis_kernels.so", "libarsis_kernels.dylib", "arsis_kernels.dll"):
            path = Path(folder) / name
            if path.exists():
                return ctypes.CDLL(str(path))
    raise ArsisError("the kernel library is missing: install arsis with pip, which builds it")


def _keep_freed_memory() -> None:
    """Makes glibc keep the memory of freed blocks of sound for the next ones.

    It gives pieces over 128 KiB back to the system at once, and the next block's first touch of each page
    costs more than many a kernel. Said in so many words, because the workers of a cluster are started with
    the opposite in their environment, which makes them three times as slow. Other systems are not changed.
    """
    mallopt = getattr(ctypes.CDLL(None), "mallopt", None) if sys.platform == "linux" else None
    if mallopt is not None:
        mallopt(_M_MMAP_THRESHOLD, 16 << 20)
        mallopt(_M_TRIM_THRESHOLD, 32 << 20)


def kernel(name: str, *argtypes: Any, returns: Any = None) -> Callable[..., Any]:
    """The C function `name` with its argument types.

    Arrays are looked at before ctypes has them: what is raised inside its own look, a stop by Ctrl-C among
    it, would come out as a fault of an argument.
    """
    function: Any = _library()[name]  # its own: an attribute is shared by all who ask for it
    pointers = [one if isinstance(one, _Pointer) else None for one in argtypes]
    function.argtypes = [ctypes.c_void_p if isinstance(one, _Pointer) else one for one in argtypes]
    function.restype = returns

    def call(*arguments: Any) -> Any:
        given = zip(pointers, arguments, strict=True)
        return function(*[one if pointer is None else pointer.address(one) for pointer, one in given])

    return call
