"""Room base: errors and their places, facts and findings, sources, and the run that every stage is handed."""

from snugbay.base.errors import (
    DataError,
    InputError,
    NoFit,
    NoPlan,
    OutOfRange,
    Problems,
    SnugbayError,
    Stopped,
    StoreError,
    SurveyError,
    UnknownName,
    UnreadableLength,
    Where,
    place_text,
)
from snugbay.base.facts import Fact, Facts, Said, Told
from snugbay.base.findings import Finding, Weight
from snugbay.base.run import Effort, Outcome, ProgressSink, Run, StopCheck, never_stop, no_progress

__all__ = [
    "DataError",
    "Effort",
    "Fact",
    "Facts",
    "Finding",
    "InputError",
    "NoFit",
    "NoPlan",
    "OutOfRange",
    "Outcome",
    "Problems",
    "ProgressSink",
    "Run",
    "Said",
    "SnugbayError",
    "StopCheck",
    "Stopped",
    "StoreError",
    "SurveyError",
    "Told",
    "UnknownName",
    "UnreadableLength",
    "Weight",
    "Where",
    "never_stop",
    "no_progress",
    "place_text",
]
