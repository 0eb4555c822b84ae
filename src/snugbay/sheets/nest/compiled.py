"""The one way functions of the search are compiled: kept on disk, free of the interpreter's lock, exact arithmetic."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from functools import cache
from importlib import resources
from typing import TypeVar, cast

import numba
from numba import njit

F = TypeVar("F", bound=Callable[..., object])


@cache
def stamp() -> str:
    """Digest of all source text of this package and the compiler's version.

    The compiler's own stamp of what it keeps on disk covers one file only; a function compiled into one of another file
    would live on there after a change.
    """
    digest = hashlib.sha256(numba.__version__.encode())
    here = resources.files(__package__)
    for entry in sorted(here.iterdir(), key=lambda e: e.name):
        if entry.name.endswith(".py"):
            digest.update(entry.name.encode() + b"\0" + entry.read_bytes())
    return digest.hexdigest()


def compiled(function: F) -> F:
    """Compile a function; its type stays what was written.

    No fast-math: sums are done in the order written, so that a seed gives the same layout everywhere. The function must
    make no arrays: without them the counting of references is left out, which took most of the time otherwise.
    """
    kept = njit(cache=True, nogil=True, _nrt=False)(function)
    index = getattr(getattr(kept, "_cache", None), "_cache_file", None)
    if index is not None and hasattr(index, "_source_stamp"):
        index._source_stamp = stamp()
        return cast(F, kept)
    return cast(F, njit(nogil=True, _nrt=False)(function))
