"""Passes, kerf and minutes of a cut with a tool."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from snugbay.job import Tool
from snugbay.materials import Rates
from snugbay.tape import FOOT_M, INCH_M

_CUT = "time_model.cutting."
_RATES = {
    Tool.KNIFE: _CUT + "knife_pass_rate",
    Tool.RECIPROCATING: _CUT + "reciprocating_saw",
    Tool.JIGSAW: _CUT + "jigsaw_knife_blade",
    Tool.HAND_SAW: _CUT + "insulation_hand_saw",
    Tool.CIRCULAR: _CUT + "table_or_circular_saw",
}
_KERFS = {
    Tool.KNIFE: "knife",
    Tool.RECIPROCATING: "reciprocating_saw",
    Tool.JIGSAW: "jigsaw",
    Tool.HAND_SAW: "reciprocating_saw",
    Tool.CIRCULAR: "circular_or_table_saw",
}


@dataclass(frozen=True)
class Bench:
    """The tool at the bench and its rates.

    Attributes
    ----------
    tool : Tool
        What cuts.
    rates : Rates
        Rates with the user's own figures.
    thickness : float
        Of the board. [m]
    """

    tool: Tool
    rates: Rates
    thickness: float

    @property
    def kerf(self) -> float:
        """Width that the tool removes, typical; an insulation hand saw is taken as a reciprocating saw. [m]"""
        return self.rates[f"{_CUT}kerf.{_KERFS[self.tool]}"].typical * INCH_M

    @property
    def passes(self) -> int:
        """Passes through the board: by depth for a knife, one for saws."""
        if self.tool is not Tool.KNIFE:
            return 1
        return max(1, ceil(self.thickness / (self.rates[_CUT + "knife_pass_depth"].typical * INCH_M) - 1e-6))

    def per_metre(self) -> float:
        """Minutes to cut a metre, all passes. [min/m]"""
        return self.rates[_RATES[self.tool]].typical / FOOT_M * self.passes

    def set_up(self) -> float:
        """Minutes to set the straightedge and mark a line. [min]"""
        return self.rates[_CUT + "cut_setup"].typical + self.rates["time_model.marking.mark_line"].typical

    def minutes(self, length: float, kind: str, bevelled: bool) -> float:
        """Minutes of one cut: marking, set-up, cutting; more for bevels and where the tool has no run-out."""
        cutting = self.per_metre() * length * (self.rates[_CUT + "bevel_extra"].typical if bevelled else 1.0)
        inside = self.rates[_CUT + "curve_or_notch"].typical / 2 if kind in ("stopped", "plunge") else 0.0
        return self.set_up() + cutting + inside
