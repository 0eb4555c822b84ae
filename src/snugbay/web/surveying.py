"""How a document's quantities are printed, and what its survey depends on."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from typing import Any

from snugbay.job import Job
from snugbay.web.printing import Printer


def printer_of(job: Job | None, data: Mapping[str, Any]) -> Printer:
    """Return how a job's quantities are printed."""
    if job is not None:
        return Printer(job.units.value, job.place.currency)
    units = "ft-in" if data.get("units") == "ft-in" else "mm"
    return Printer(units, "USD" if units == "ft-in" else "EUR")


def faces_key(job: Job | None) -> Hashable:
    """Return what a survey depends on."""
    return None if job is None else (job.units, job.faces, job.joins, job.hosts, job.zones, job.defaults)
