"""Compiled functions: the one place that names the compiler. Import this module only where a big net is solved."""

from collections.abc import Callable
from typing import Any, TypeVar, cast

import numba  # pyright: ignore[reportMissingTypeStubs]
from llvmlite import ir  # pyright: ignore[reportMissingTypeStubs]
from numba.extending import intrinsic  # pyright: ignore[reportMissingTypeStubs, reportUnknownVariableType]

F = TypeVar("F", bound=Callable[..., Any])
_LIBRARY = cast(Any, numba)
_FAST = {"contract", "reassoc", "nsz", "arcp"}
"""What the compiler may do to arithmetic. Not among it: to assume that no number is NaN, which must be seen."""


def compiled(function: F) -> F:
    """Compile on first call, keep the machine code on disk."""
    return cast(F, _LIBRARY.njit(cache=True, error_model="numpy", fastmath=_FAST)(function))


def inlined(function: F) -> F:
    """The same for a small function, laid into its caller so that loops over it run several numbers at a time."""
    return cast(F, _LIBRARY.njit(cache=True, error_model="numpy", fastmath=_FAST, inline="always")(function))


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
