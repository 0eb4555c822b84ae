"""Room prove: the log that learns, and the thermometer that judges."""

from snugbay.prove.stage import prove
from snugbay.prove.values import (
    ColdSeam,
    FaceProof,
    Forecast,
    Interval,
    LearnedFactor,
    ProveAnswer,
    Replan,
    ToRead,
)

__all__ = [
    "ColdSeam",
    "FaceProof",
    "Forecast",
    "Interval",
    "LearnedFactor",
    "ProveAnswer",
    "Replan",
    "ToRead",
    "prove",
]
