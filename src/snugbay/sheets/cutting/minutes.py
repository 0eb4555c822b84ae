"""Passes, kerf and minutes of a cut with a tool."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from snugbay.job import Tool
from snugbay.materials import Rates
from snugbay.tape import FOOT_M, INCH_M

_CUT = "time_model.cutting."
_MARK = "time_model.marking."
INSIDE = ("stopped", "plunge", "round")
"""Kinds of cut that end within the board."""
SIDES_OF_A_NOTCH = 3
NOTCH_SIDE = 12 * INCH_M
"""Longer cuts that end within the board are no sides of a notch: they take a straightedge (assumption). [m]"""
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
    finish : Tool
        What cuts where the tool must not: a circular saw never stops or plunges in a board.
    """

    tool: Tool
    rates: Rates
    thickness: float
    finish: Tool = Tool.KNIFE

    @property
    def kerf(self) -> float:
        """Width that the tool removes, typical; an insulation hand saw is taken as a reciprocating saw. [m]"""
        return self.kerf_of(self.tool)

    def kerf_of(self, tool: Tool) -> float:
        """Width that a tool removes, typical. [m]"""
        return self.rates[f"{_CUT}kerf.{_KERFS[tool]}"].typical * INCH_M

    def tool_for(self, kind: str) -> Tool:
        """Return what makes a cut of a kind."""
        return self.finish if self.tool is Tool.CIRCULAR and kind in INSIDE else self.tool

    def passes(self, tool: Tool) -> int:
        """Passes through the board: by depth for a knife, one for saws."""
        if tool is not Tool.KNIFE:
            return 1
        return max(1, ceil(self.thickness / (self.rates[_CUT + "knife_pass_depth"].typical * INCH_M) - 1e-6))

    def per_metre(self, tool: Tool | None = None) -> float:
        """Minutes to cut a metre, all passes; a knife's sharpening with it. [min/m]"""
        tool = tool or self.tool
        cutting = self.rates[_RATES[tool]].typical / FOOT_M * self.passes(tool)
        if tool is Tool.KNIFE:
            every = self.rates[_CUT + "blade_sharpen_every"].typical * FOOT_M
            cutting += self.rates[_CUT + "blade_sharpen"].typical / every
        return cutting

    def set_up(self) -> float:
        """Minutes to mark a line and set the straightedge; with a circular saw the dust is cleared too. [min]"""
        dust = self.rates[_CUT + "table_saw_dust_penalty"].typical if self.tool is Tool.CIRCULAR else 0.0
        return self.rates[_CUT + "cut_setup"].typical + self.rates[_MARK + "mark_line"].typical + dust

    def minutes(self, length: float, kind: str, *, bevelled: bool) -> float:
        """Minutes of one cut: marking, set-up, cutting.

        Parameters
        ----------
        length : float
            [m]
        kind : str
            Of the cut. A notch is marked and cut out at a rate of its own and has three sides: a short cut that stops
            or plunges takes a third of it, a long one half the cutting out on top of its set-up. A round cut is marked
            and cut out as one notch, and takes no set-up.
        bevelled : bool
            The angle is carried over to the board, and the cut is slower.
        """
        tool = self.tool_for(kind)
        cutting = self.per_metre(tool) * length * (self.rates[_CUT + "bevel_extra"].typical if bevelled else 1.0)
        angle = self.rates[_MARK + "bevel_transfer"].typical if bevelled else 0.0
        if kind not in INSIDE:
            return self.set_up() + angle + cutting
        cut_out = self.rates[_CUT + "curve_or_notch"].typical
        notch = self.rates[_MARK + "mark_corner_notch"].typical + cut_out
        if kind == "round":
            return notch + cutting
        side = notch / SIDES_OF_A_NOTCH if length <= NOTCH_SIDE else self.set_up() + cut_out / 2
        return side + angle + cutting


def finishing(tools: Sequence[Tool]) -> Tool:
    """Return the first tool of a list that may stop and plunge; a knife where there is none."""
    return next((t for t in tools if t is not Tool.CIRCULAR), Tool.KNIFE)
