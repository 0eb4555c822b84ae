"""The one way functions of the search are compiled: kept on disk, free of the interpreter's lock, exact arithmetic."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar, cast

from numba import njit

F = TypeVar("F", bound=Callable[..., object])


def compiled(function: F) -> F:
    """Compile a function; its type stays what was written.

    No fast-math: sums are done in the order written, so that a seed gives the same layout everywhere.
    """
    return cast(F, njit(cache=True, nogil=True)(function))
