"""Room flow: the stages in order; `whole_job` and the partial calls that the doors use."""

from snugbay.flow.digest import job_digest, tables_digest
from snugbay.flow.proof import proved
from snugbay.flow.values import JobPlan
from snugbay.flow.whole import cut, measured, rates_of, weighed, whole_job

__all__ = ["JobPlan", "cut", "job_digest", "measured", "proved", "rates_of", "tables_digest", "weighed", "whole_job"]
