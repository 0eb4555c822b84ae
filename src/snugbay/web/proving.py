"""The seam to room prove: what the page asks it."""

from __future__ import annotations

from typing import Any

from snugbay.base import SnugbayError
from snugbay.flow import JobPlan
from snugbay.job import Job


def proof_of(job: Job, plan: JobPlan) -> dict[str, Any]:
    """Return what the log and the readings prove, or why nothing can be said."""
    try:
        from snugbay.flow import proved
    except ImportError:
        return {}
    try:
        return {"proof": proved(job, plan)}
    except SnugbayError as error:
        return {"proof_fault": error}
