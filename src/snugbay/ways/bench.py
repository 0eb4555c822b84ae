"""Minutes at the cutting place: the sheets' own reckoning, asked for what is counted before boards are laid."""

from __future__ import annotations

from dataclasses import dataclass, replace

from snugbay.job import Job, Tool
from snugbay.materials import Rate, Rates
from snugbay.sheets.cutting.minutes import Bench, bench_tool, finishing
from snugbay.ways.boardset import Cutting
from snugbay.ways.triple import Triple

COLUMNS = ("low", "typical", "high")
_MORE_IS_LESS = frozenset({"time_model.cutting.knife_pass_depth", "time_model.cutting.blade_sharpen_every"})
"""Rates of which a high figure makes few minutes."""


@dataclass(frozen=True)
class Column(Rates):
    """Rates with one of their three figures in the place of the typical one, for what reckons with that alone.

    Attributes
    ----------
    pick : str
        ``"low"``, ``"typical"`` or ``"high"``, of the time that things take; how deep a tool reaches stays typical.
    """

    pick: str = "typical"

    def __getitem__(self, rate_id: str) -> Rate:
        """Return a rate; raise `UnknownName` with close names otherwise."""
        rate = super().__getitem__(rate_id)
        if not rate_id.startswith("time_model."):
            return rate
        turned = {"low": "high", "high": "low"}.get(self.pick, self.pick)
        return replace(rate, typical=getattr(rate, turned if rate_id in _MORE_IS_LESS else self.pick))


@dataclass(frozen=True)
class BenchTime:
    """Minutes at the cutting place, without the worker's skill. [min]

    Attributes
    ----------
    marking : Triple
        Lines, notches, angles.
    cutting : Triple
        Set-up of the straightedge, cuts, notches, sharpening, dust.
    """

    marking: Triple
    cutting: Triple

    @property
    def whole(self) -> Triple:
        """All of it. [min]"""
        return self.marking + self.cutting


def _bench(job: Job, thickness: float, rates: Rates) -> Bench:
    tools = job.you.tools or (Tool.KNIFE,)
    return Bench(bench_tool(tools, thickness, rates), rates, thickness, finishing(tools), tools)


def _counted(job: Job, cut: Cutting, thickness: float, rates: Rates) -> tuple[float, float]:
    """Minutes of marking and of both together, by one column of the rates."""
    bench = _bench(job, thickness, rates)
    sides = 2 if bench.turned(bench.tool) else 1
    bevelled = min(cut.bevels / cut.cuts, 1.0) if cut.cuts else 0.0
    slower = 1.0 + bevelled * (rates["time_model.cutting.bevel_extra"].typical - 1.0)
    short = bench.minutes(0.0, "stopped", bevelled=False)
    inside = bench.tool_for("stopped")
    marking = (
        rates["time_model.marking.mark_line"].typical * cut.cuts * sides
        + rates["time_model.marking.mark_corner_notch"].typical * cut.notches
        + rates["time_model.marking.bevel_transfer"].typical * cut.bevels
    )
    whole = (
        bench.set_up() * cut.cuts * sides
        + bench.per_metre() * cut.cut_length * slower
        + 3.0 * short * cut.notches
        + bench.per_metre(inside) * cut.notch_length
        + rates["time_model.marking.bevel_transfer"].typical * cut.bevels
    )
    return marking, whole


def bench_time(job: Job, cut: Cutting, thickness: float, rates: Rates) -> BenchTime:
    """Reckon the minutes at the cutting place.

    Parameters
    ----------
    job : Job
        Tools.
    cut : Cutting
        What is cut. Where it was laid on sheets already its typical minutes are the sheets' own, cut by cut, and the
        counts tell only how far they may be out.
    thickness : float
        Of the board. [m]
    rates : Rates
        Rates with the user's own figures.
    """
    columns = [Column(rates.own, c) for c in COLUMNS]
    found = [_counted(job, cut, thickness, c) for c in columns]
    low, middle, high = ((m, w - m) for m, w in found)
    marking, cutting = (Triple(a, b, c, True) for a, b, c in zip(low, middle, high, strict=True))
    if cut.laid is None or found[1][1] <= 0:
        return BenchTime(marking, cutting)
    scale = cut.laid / found[1][1]
    return BenchTime(marking * scale, cutting * scale)
