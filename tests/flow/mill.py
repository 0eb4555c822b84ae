"""The cellar of the mill, planned once for the tests that follow a plan."""

from __future__ import annotations

from functools import cache

from snugbay.base import Effort, Run
from snugbay.document import example, read
from snugbay.flow import JobPlan, whole_job

RUN = Run(seed=1, effort=Effort.QUICK)


@cache
def cellar() -> JobPlan:
    return whole_job(read(example("mill-cellar")), RUN).value
