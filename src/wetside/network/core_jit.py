"""Compiled functions: the one place that names the compiler. Import this module only where a big net is solved."""

import os
from collections.abc import Callable
from typing import Any, TypeVar, cast

import numba  # pyright: ignore[reportMissingTypeStubs]
from llvmlite import ir  # pyright: ignore[reportMissingTypeStubs]
from numba.extending import intrinsic  # pyright: ignore[reportMissingTypeStubs, reportUnknownVariableType]

from wetside import network

F = TypeVar("F", bound=Callable[..., Any])
_LIBRARY = cast(Any, numba)
_FAST = {"contract", "reassoc", "nsz", "arcp"}
"""What the compiler may do to arithmetic. Not among it: to assume that no number is NaN, which must be seen."""


def _stamp() -> tuple[float, int]:
    """Newest and total size of the modules here. Machine code on disk goes stale with any of them, for functions are
    compiled into those that call them; by itself the compiler looks at a function's own module only."""
    with os.scandir(network.__path__[0]) as found:
        sizes = [(entry.stat().st_mtime, entry.stat().st_size) for entry in found if entry.name.startswith(_MODULES)]
    return max(t for t, _ in sizes), sum(size for _, size in sizes)


_MODULES = ("core_", "elements.py", "friction.py", "heat.py", "hydraulics.py")
_STAMP = _stamp()


def _compile(function: F, **options: Any) -> F:
    made = _LIBRARY.njit(cache=True, error_model="numpy", fastmath=_FAST, **options)(function)
    file = getattr(getattr(made, "_cache", None), "_cache_file", None)
    if file is not None:
        file._source_stamp = _STAMP
    return cast(F, made)


def compiled(function: F) -> F:
    """Compile on first call, keep the machine code on disk."""
    return _compile(function)


def inlined(function: F) -> F:
    """The same for a small function, laid into its caller so that loops over it run several numbers at a time."""
    return _compile(function, inline="always")


def _bits(typingctx: Any, x: Any) -> Any:  # pyright: ignore[reportUnusedParameter]
    def make(context: Any, builder: Any, signature: Any, args: Any) -> Any:  # pyright: ignore[reportUnusedParameter]
        return builder.bitcast(args[0], cast(Any, ir).IntType(64))

    return _LIBRARY.types.int64(_LIBRARY.types.float64), make


def _double(typingctx: Any, x: Any) -> Any:  # pyright: ignore[reportUnusedParameter]
    def make(context: Any, builder: Any, signature: Any, args: Any) -> Any:  # pyright: ignore[reportUnusedParameter]
        return builder.bitcast(args[0], cast(Any, ir).DoubleType())

    return _LIBRARY.types.float64(_LIBRARY.types.int64), make


bits: Callable[[float], int] = cast(Any, intrinsic)(_bits)
"""The bits of a float as an integer."""
double: Callable[[int], float] = cast(Any, intrinsic)(_double)
"""The float with these bits."""


def direct(function: F, *args: Any) -> F:
    """A compiled function as it is for arguments of just these types, which it doesn't look at again.

    Half of what it takes to solve a house is that look. Call it with nothing else.
    """
    made = cast(Any, function)
    found = made.overloads.get(tuple(_LIBRARY.typeof(x) for x in args))
    return function if found is None else cast(F, found.entry_point)
