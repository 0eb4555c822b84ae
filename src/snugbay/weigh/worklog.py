"""What the work log says: shares done, hours, materials used, pace."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from snugbay.job import Job, Log, LogEntry
from snugbay.ways import Option
from snugbay.weigh.values import Weighing

TRUST_HOURS = 4.0
"""Planned hours of finished work that weigh as much as what was thought before. [h] (assumption)"""


@dataclass(frozen=True)
class Progress:
    """Where the work stands.

    Attributes
    ----------
    share : Mapping of str to float
        Face to the share of its work that is done, only faces begun.
    hours : float
        Hours logged. [h]
    pace : float
        Hours logged over hours planned for what is done, drawn towards 1. [-]
    used : Mapping of str to float
        Item to units used.
    opened : Mapping of str to float
        Item to days since it was opened.
    """

    share: Mapping[str, float]
    hours: float
    pace: float
    used: Mapping[str, float]
    opened: Mapping[str, float]


def standing(log: Log) -> tuple[LogEntry, ...]:
    """Entries that stand: those that another one corrects are left out."""
    replaced = {e.replaces for e in log.entries if e.replaces is not None}
    return tuple(e for i, e in enumerate(log.entries) if i not in replaced)


def shares(entries: tuple[LogEntry, ...], options: Mapping[str, Option]) -> dict[str, float]:
    """Share done of each face: by the pieces named where there are pieces, else by the shares stated."""
    out: dict[str, float] = {}
    pieces: dict[str, set[str]] = {}
    for e in entries:
        if e.face:
            out[e.face] = out.get(e.face, 0.0) + e.share_done
            pieces.setdefault(e.face, set()).update(e.pieces)
    for face, names in pieces.items():
        total = options[face].pieces if face in options else 0
        if names and total:
            out[face] = max(out.get(face, 0.0), len(names) / total)
    return {f: min(s, 1.0) for f, s in out.items() if s > 0}


def progress(job: Job, weighing: Weighing, pace: float | None) -> Progress:
    """Read the log against the plan.

    Parameters
    ----------
    job : Job
        With its log.
    weighing : Weighing
        The plan that was followed.
    pace : float or None
        Pace as learned elsewhere; None reckons it from the log: the logarithm of hours logged over hours planned,
        weighted by planned hours done over themselves plus four.
    """
    chosen = {f: weighing.option(f, w) for f, w in weighing.plan.ways}
    entries = standing(job.log)
    share = shares(entries, chosen)
    logged = sum(e.hours for e in entries)
    on_faces = sum(e.hours for e in entries if e.face in share and share[e.face] > 0)
    planned = sum(chosen[f].hours_typical * s for f, s in share.items() if f in chosen)
    if pace is None:
        pace = 1.0
        if planned > 0 and on_faces > 0:
            trust = planned / (planned + TRUST_HOURS)
            pace = math.exp(trust * math.log(on_faces / planned))
    used: dict[str, float] = {}
    for item, amount in job.log.used:
        used[item] = used.get(item, 0.0) + amount
    return Progress(share, logged, pace, used, dict(job.log.opened_days_ago))
