"""Room prove: the log that learns, and the thermometer that judges."""

from typing import TYPE_CHECKING

from snugbay.base.late import late

if TYPE_CHECKING:
    from snugbay.prove.cut import PiecesCut, pieces_cut
    from snugbay.prove.keep import learned_rates
    from snugbay.prove.logger import LoggerTable, parse_logger, readings_from_logger
    from snugbay.prove.names import check_element, check_pieces, hours_logged
    from snugbay.prove.onward import Followed, Now
    from snugbay.prove.stage import plan_rest, prove
    from snugbay.prove.values import (
        Closed,
        ColdSeam,
        FaceProof,
        Forecast,
        Interval,
        LearnedFactor,
        ProveAnswer,
        ToRead,
    )

__all__ = [
    "Closed",
    "ColdSeam",
    "FaceProof",
    "Followed",
    "Forecast",
    "Interval",
    "LearnedFactor",
    "LoggerTable",
    "Now",
    "PiecesCut",
    "ProveAnswer",
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

__getattr__ = late(
    __name__,
    {
        "cut": ("PiecesCut", "pieces_cut"),
        "keep": ("learned_rates",),
        "logger": ("LoggerTable", "parse_logger", "readings_from_logger"),
        "names": ("check_element", "check_pieces", "hours_logged"),
        "onward": ("Followed", "Now"),
        "stage": ("plan_rest", "prove"),
        "values": ("Closed", "ColdSeam", "FaceProof", "Forecast", "Interval", "LearnedFactor", "ProveAnswer", "ToRead"),
    },
)
