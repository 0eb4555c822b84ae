"""Identity of an answer: digest of input, options, seed, program and table versions."""

from __future__ import annotations

import dataclasses
import hashlib
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable

from snugbay import __version__
from snugbay.base import Run
from snugbay.job import Job


def _walk(folder: Traversable) -> list[tuple[str, Traversable]]:
    found: list[tuple[str, Traversable]] = []
    for entry in sorted(folder.iterdir(), key=lambda e: e.name):
        if entry.is_dir():
            found.extend((f"{entry.name}/{name}", leaf) for name, leaf in _walk(entry))
        elif entry.name.endswith((".csv", ".toml", ".gz")):
            found.append((entry.name, entry))
    return found


@cache
def tables_digest() -> str:
    """Digest of all bundled data tables, 16 hex digits."""
    digest = hashlib.sha256()
    for name, leaf in _walk(files("snugbay").joinpath("data")):
        digest.update(name.encode())
        digest.update(leaf.read_bytes())
    return digest.hexdigest()[:16]


def job_digest(job: Job, run: Run) -> str:
    """Digest of a job and the options of a run, 16 hex digits.

    Notes
    -----
    The list of defaults used does not count: a default written out gives the same answer.
    """
    bare = dataclasses.replace(job, defaults=())
    text = f"{bare!r}|{run.seed}|{run.effort.value}|{__version__}|{tables_digest()}"
    return hashlib.sha256(text.encode()).hexdigest()[:16]
