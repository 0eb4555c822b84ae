"""Room prove: the log that learns, and the thermometer that judges."""

from snugbay.prove.cut import PiecesCut, pieces_cut
from snugbay.prove.keep import learned_rates
from snugbay.prove.logger import LoggerTable, parse_logger, readings_from_logger
from snugbay.prove.names import check_element, check_pieces, hours_logged
from snugbay.prove.stage import plan_rest, prove
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
    "LoggerTable",
    "PiecesCut",
    "ProveAnswer",
    "Replan",
    "ToRead",
    "check_element",
    "check_pieces",
    "hours_logged",
    "learned_rates",
    "parse_logger",
    "pieces_cut",
    "plan_rest",
    "prove",
    "readings_from_logger",
]
