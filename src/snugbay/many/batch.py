"""Many jobs at once: each planned in a worker process of its own, one fault never stops the others."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

import dask
from dask.delayed import delayed

from snugbay.base import Effort, Run, SnugbayError
from snugbay.document import read
from snugbay.document.beside import with_files
from snugbay.flow import JobPlan, whole_job


@dataclass(frozen=True)
class Request:
    """One job to plan.

    Attributes
    ----------
    name : str
        For the report, usually the file's path.
    text : str
        The job document.
    beside : Mapping of str to str
        Texts of the files that it names, by their names in it: a weather file, loggers' files.
    """

    name: str
    text: str
    beside: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Answer:
    """One job planned, or why not.

    Attributes
    ----------
    name : str
        Of the request.
    plan : JobPlan or None
        The plan.
    error : SnugbayError or None
        What is wrong with the job, where there is no plan.
    """

    name: str
    plan: JobPlan | None
    error: SnugbayError | None = None


def plan_one(request: Request, seed: int, effort: Effort) -> Answer:
    """Plan one job; its fault is part of the answer."""
    try:
        job = with_files(read(request.text), request.beside.__getitem__)
        return Answer(request.name, whole_job(job, Run(seed, effort)).value)
    except SnugbayError as error:
        return Answer(request.name, None, error)
    except Exception as error:
        what = f"Snugbay has a fault of its own: {type(error).__name__}: {error}."
        hint = "Plan this job by itself with SNUGBAY_TRACE=1 set to see where it happened."
        return Answer(request.name, None, SnugbayError(what, hint=hint, code="own-fault"))


def plan_many(
    requests: Iterable[Request], seed: int = 1, effort: Effort = Effort.NORMAL, workers: int = 2
) -> Iterator[Answer]:
    """Plan many jobs on Dask's process scheduler, in batches of the number of workers.

    Parameters
    ----------
    requests : iterable of Request
        Jobs.
    seed : int
        Seed of every job; the answers do not depend on the number of workers.
    effort : Effort
        Of every job.
    workers : int
        Worker processes.

    Yields
    ------
    Answer
        In the order of the requests.
    """
    waiting = list(requests)
    for start in range(0, len(waiting), workers):
        batch = [delayed(plan_one)(r, seed, effort) for r in waiting[start : start + workers]]
        yield from dask.compute(*batch, scheduler="processes", num_workers=workers)
