"""Room flow: the stages in order; `whole_job` and the partial calls that the doors use."""

from snugbay.flow.digest import job_digest, tables_digest
from snugbay.flow.proof import planned_pieces, proved
from snugbay.flow.second_thoughts import asked_why_not, replanned
from snugbay.flow.values import JobPlan
from snugbay.flow.whole import cut, measured, weighed, whole_job
from snugbay.ways import rates_of

__all__ = [
    "JobPlan",
    "asked_why_not",
    "cut",
    "job_digest",
    "measured",
    "planned_pieces",
    "proved",
    "rates_of",
    "replanned",
    "tables_digest",
    "weighed",
    "whole_job",
]
