"""Jobs that are planned, for the commands that follow a plan: each document is planned once."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from snugbay.base import Effort, Run
from snugbay.document import example, read
from snugbay.document.snapshot import snapshot_of, snapshot_path, snapshot_text
from snugbay.flow import whole_job

MILL = example("mill-cellar")


@cache
def kept_text(document: str) -> str:
    """The plan of a document, as it is kept."""
    return snapshot_text(snapshot_of(whole_job(read(document), Run(1, Effort.QUICK)).value, document))


def planned_job(folder: Path, document: str = MILL) -> Path:
    """Write a document and its plan into a folder."""
    job = folder / "job.toml"
    job.write_text(document)
    snapshot_path(job).write_text(kept_text(document))
    return job
