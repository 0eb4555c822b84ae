"""Passes, kerf and minutes of a cut with a tool."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, cos, sqrt

from snugbay.job import Tool
from snugbay.materials import Rates
from snugbay.sheets.cutting.lines import Saw
from snugbay.tape import FOOT_M, INCH_M

_CUT = "time_model.cutting."
_MARK = "time_model.marking."
_OVERRUN = "cutting.overrun."
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

_REACHES = {
    Tool.KNIFE: "knife",
    Tool.RECIPROCATING: "reciprocating_saw",
    Tool.JIGSAW: "jigsaw",
    Tool.HAND_SAW: "insulation_hand_saw",
    Tool.CIRCULAR: "circular_saw",
}


def reach_id(tool: Tool) -> str:
    """Id of the rate that says how deep a tool cuts. [in]"""
    return f"cutting.reach.{_REACHES[tool]}"


def reach(tool: Tool, rates: Rates) -> float:
    """Thickness that a tool reaches through from one side, typical. [m]"""
    return rates[reach_id(tool)].typical * INCH_M


def overrun(rates: Rates) -> float:
    """Past its mark that a leaning blade cuts, typical. [m]"""
    return rates[_OVERRUN + "hand"].typical * INCH_M


def sweep(tool: Tool, rates: Rates, thickness: float) -> float:
    """How far beyond the edge where its cut ends a circular saw's blade reaches at the board's face, typical. [m]

    Half the chord of the blade at the depth of the board, or of half of it where it cuts from both sides.
    """
    if tool is not Tool.CIRCULAR:
        return 0.0
    radius = rates[_OVERRUN + "blade"].typical * INCH_M
    deep = thickness if thickness <= reach(tool, rates) + 1e-9 else thickness / 2
    return sqrt(max(radius**2 - max(radius - deep, 0.0) ** 2, 0.0))


def kerf_of(tool: Tool, rates: Rates) -> float:
    """Return the width that a tool removes. [m]"""
    return rates[f"{_CUT}kerf.{_KERFS[tool]}"].typical * INCH_M


def bench_tool(tools: Sequence[Tool], thickness: float, rates: Rates) -> Tool:
    """Return what cuts a board: the first tool that reaches through it, else the first that does so from both sides.

    Where none does, a knife: it is within everybody's means.
    """
    for sides in (1, 2):
        for tool in tools:
            if thickness <= sides * reach(tool, rates) + 1e-9:
                return tool
    return Tool.KNIFE


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
    others : tuple of Tool
        The other tools at hand, for cuts through which the tool does not reach.
    """

    tool: Tool
    rates: Rates
    thickness: float
    finish: Tool = Tool.KNIFE
    others: tuple[Tool, ...] = ()

    @property
    def kerf(self) -> float:
        """Width that the tool removes, typical; an insulation hand saw is taken as a reciprocating saw. [m]"""
        return self.kerf_of(self.tool)

    def kerf_of(self, tool: Tool) -> float:
        """Width that a tool removes, typical. [m]"""
        return kerf_of(tool, self.rates)

    @property
    def saw(self) -> Saw:
        """What the tool takes of the board, and the one that makes the cuts that stop."""
        inside = self.kerf_of(self.tool_for("plunge"))
        return Saw(self.kerf, inside, overrun(self.rates), sweep(self.tool, self.rates, self.thickness), self.thickness)

    def through(self, bevel: float = 0.0) -> float:
        """Length of the way through the board, slanting at a bevel. [m]"""
        return self.thickness / cos(bevel)

    def reaches(self, tool: Tool, bevel: float = 0.0) -> bool:
        """Answer whether a tool reaches through the board from one side."""
        return self.through(bevel) <= reach(tool, self.rates) + 1e-9

    def tool_for(self, kind: str, bevel: float = 0.0) -> Tool:
        """Return what makes a cut: the tool, else one at hand that takes no more kerf, that may and reaches through.

        Where none does, a square cut that runs out at both ends is made from both sides, any other with a knife.
        """
        inside = kind in INSIDE
        hand = (self.tool, self.finish, *self.others) if inside else (self.tool, *self.others)
        for tool in (t for t in hand if not (inside and t is Tool.CIRCULAR)):
            if self.reaches(tool, bevel) and self.kerf_of(tool) <= self.kerf + 1e-9:
                return tool
        both = abs(bevel) < 1e-6 and not inside and self.through() <= 2 * reach(self.tool, self.rates) + 1e-9
        return self.tool if both else Tool.KNIFE

    def turned(self, tool: Tool, bevel: float = 0.0) -> bool:
        """True where a tool cuts from both sides, the board turned over in between."""
        return tool is not Tool.KNIFE and not self.reaches(tool, bevel)

    def passes(self, tool: Tool, bevel: float = 0.0) -> int:
        """Passes through the board: by depth for a knife, slanting at a bevel; for saws one from each side."""
        if tool is not Tool.KNIFE:
            return 2 if self.turned(tool, bevel) else 1
        depth = self.rates[_CUT + "knife_pass_depth"].typical * INCH_M
        return max(1, ceil(self.through(bevel) / depth - 1e-6))

    def per_metre(self, tool: Tool | None = None) -> float:
        """Minutes to cut a metre, all passes; a knife's sharpening with it. [min/m]"""
        tool = tool or self.tool
        cutting = self.rates[_RATES[tool]].typical / FOOT_M * self.passes(tool)
        if tool is Tool.KNIFE:
            every = self.rates[_CUT + "blade_sharpen_every"].typical * FOOT_M
            cutting += self.rates[_CUT + "blade_sharpen"].typical / every
        return cutting

    def set_up(self, tool: Tool | None = None) -> float:
        """Minutes to mark a line and set the straightedge; with a circular saw the dust is cleared too. [min]"""
        tool = tool or self.tool
        dust = self.rates[_CUT + "table_saw_dust_penalty"].typical if tool is Tool.CIRCULAR else 0.0
        return self.rates[_CUT + "cut_setup"].typical + self.rates[_MARK + "mark_line"].typical + dust

    def minutes(self, length: float, kind: str, *, bevelled: bool, tool: Tool | None = None) -> float:
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
        tool : Tool or None
            What makes it, if that is another than for a square cut of its kind.
        """
        tool = tool or self.tool_for(kind)
        cutting = self.per_metre(tool) * length * (self.rates[_CUT + "bevel_extra"].typical if bevelled else 1.0)
        angle = self.rates[_MARK + "bevel_transfer"].typical if bevelled else 0.0
        if kind not in INSIDE:
            return self.set_up(tool) * (2 if self.turned(tool) else 1) + angle + cutting
        cut_out = self.rates[_CUT + "curve_or_notch"].typical
        notch = self.rates[_MARK + "mark_corner_notch"].typical + cut_out
        if kind == "round":
            return notch + cutting
        side = notch / SIDES_OF_A_NOTCH if length <= NOTCH_SIDE else self.set_up(tool) + cut_out / 2
        return side + angle + cutting


def finishing(tools: Sequence[Tool]) -> Tool:
    """Return the first tool of a list that may stop and plunge; a knife where there is none."""
    return next((t for t in tools if t is not Tool.CIRCULAR), Tool.KNIFE)
