"""Room flow: the stages in order; `whole_job` and the partial calls that the doors use."""

from snugbay.flow.cuttable import readings_needed
from snugbay.flow.digest import job_digest, tables_digest
from snugbay.flow.measuring import Measured, measured, measured_so_far, only
from snugbay.flow.proof import followed, proof_of, proved, to_read_unplanned, under_way, why_not_in
from snugbay.flow.relay import Rest, broken_before, cut_key, lay_rest, rest_of, supplies
from snugbay.flow.rest import cut_so_far, question_changed, replanned
from snugbay.flow.second_thoughts import asked_why_not
from snugbay.flow.values import JobPlan, Onward, Supply
from snugbay.flow.whole import cut, weighed, whole_job
from snugbay.ways import rates_of

__all__ = [
    "JobPlan",
    "Measured",
    "Onward",
    "Rest",
    "Supply",
    "asked_why_not",
    "broken_before",
    "cut",
    "cut_key",
    "cut_so_far",
    "followed",
    "job_digest",
    "lay_rest",
    "measured",
    "measured_so_far",
    "only",
    "proof_of",
    "proved",
    "question_changed",
    "rates_of",
    "readings_needed",
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
