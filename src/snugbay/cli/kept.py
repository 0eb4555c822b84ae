"""The plan that is kept beside a job document: found, and held against the document as it stands now."""

from __future__ import annotations

from pathlib import Path

from snugbay.base import InputError, StoreError
from snugbay.document.changes import Change, changed, question_of, told, touched
from snugbay.document.snapshot import Snapshot, read_snapshot, snapshot_path

LARGEST = 200_000_000
"""No plan is longer. [bytes]"""


def kept_plan(job: Path) -> Snapshot | None:
    """Return the plan that is kept beside a job document; None where there is none.

    Raises
    ------
    StoreError
        If it is damaged, or kept by a newer Snugbay.
    """
    path = snapshot_path(job)
    try:
        if path.stat().st_size > LARGEST:
            raise StoreError(f"{path} is too long for a plan.", hint="Plan the job again.", code="store.damaged")
        return read_snapshot(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return None
    except (OSError, UnicodeDecodeError) as error:
        raise StoreError(f"{path} cannot be read: {error}.", hint="Plan the job again.", code="store.damaged") from None


def unplanned(job: Path) -> str:
    """Return what to say where a job has no plan yet."""
    return f"No plan is kept beside the job: run snugbay plan {job} first."


def followed_plan(job: Path) -> Snapshot:
    """Return the plan that is kept beside a job document; raises `InputError` where there is none."""
    kept = kept_plan(job)
    if kept is None:
        raise InputError("No plan is kept beside the job.", hint=f"Run snugbay plan {job} first.", code="plan.none")
    return kept


def changes_since(kept: Snapshot, text: str) -> tuple[Change, ...]:
    """Return what changed in the document since the plan was printed, log and readings apart."""
    return changed(question_of(kept.document), question_of(text)) if kept.document else ()


def change_lines(kept: Snapshot, text: str) -> list[str]:
    """Say what changed since the plan was printed, and what of it still holds; nothing where nothing changed."""
    job = kept.plan.job
    origin = {f.id: f.from_shorthand or f.id for f in job.faces}
    joined: dict[str, list[str]] = {f: [] for f in origin}
    for join in job.joins:
        joined[join.a].append(join.b)
        joined[join.b].append(join.a)
    found = changes_since(kept, text)
    return told(found, touched(found, origin, joined), tuple(origin))
