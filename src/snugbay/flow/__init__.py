"""Room flow: the stages in order; `whole_job` and the partial calls that the doors use."""

from snugbay.flow.digest import job_digest, tables_digest
from snugbay.flow.measuring import Measured, measured, measured_so_far, only
from snugbay.flow.proof import followed, proved, to_read_unplanned, under_way, why_not_in
from snugbay.flow.relay import Bench, Rest, Supply, broken_before, cut_key, lay_rest, rest_of, supplies
from snugbay.flow.rest import RestPlan, replanned
from snugbay.flow.second_thoughts import asked_why_not
from snugbay.flow.values import JobPlan
from snugbay.flow.whole import cut, weighed, whole_job
from snugbay.ways import rates_of

__all__ = [
    "Bench",
    "JobPlan",
    "Measured",
    "Rest",
    "RestPlan",
    "Supply",
    "asked_why_not",
    "broken_before",
    "cut",
    "cut_key",
    "followed",
    "job_digest",
    "lay_rest",
    "measured",
    "measured_so_far",
    "only",
    "proved",
    "rates_of",
    "replanned",
    "rest_of",
    "supplies",
    "tables_digest",
    "to_read_unplanned",
    "under_way",
    "weighed",
    "whole_job",
    "why_not_in",
]
