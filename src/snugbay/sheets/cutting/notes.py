"""What a person must know of the cutting besides the sheets themselves."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from math import cos, degrees, radians

from snugbay.base import Finding, Weight
from snugbay.job import Tool
from snugbay.materials import Rates
from snugbay.sheets.cutting.minutes import INSIDE, kerf_of, reach, reach_id
from snugbay.sheets.cutting.patterns import LEAST, TINY, Pattern
from snugbay.sheets.values import Cut, Sheet
from snugbay.tape import Tape


def off_grid(found: Pattern) -> Finding:
    """Say of a piece that it has no pattern on marks."""
    return Finding(
        "sheets.off-grid",
        f"Piece {found.piece.id} has no pattern on the tape's marks; its marks are rounded where they are printed.",
        Weight.NOTE,
        ("pieces", found.piece.id),
    )


def strips(sheet: Sheet, rates: Rates) -> list[Finding]:
    """Name the strips of a sheet that break, and those that nobody cuts: with the kerf less than 1/8 in of board."""
    thin = {c.number for c in sheet.cuts if c.strip and c.strip + kerf_of(Tool(c.tool), rates) < LEAST - TINY}
    broken = ", ".join(str(c.number) for c in sheet.cuts if c.strip and c.number not in thin)
    return [*([_breaks(sheet, broken)] if broken else []), *_pared(sheet, [str(n) for n in sorted(thin)])]


def _pared(sheet: Sheet, cuts: Sequence[str]) -> list[Finding]:
    if not cuts:
        return []
    return [
        Finding(
            "sheets.thin-cut",
            f"Sheet {sheet.number}: less than 1/8 in (3 mm) of board is left to take off at cut {', '.join(cuts)}. "
            "No tool cuts that cleanly: rub it down with a sanding block, or leave it on if the piece goes in with it.",
            Weight.NOTE,
            ("sheets", str(sheet.number)),
        )
    ]


def _breaks(sheet: Sheet, cuts: str) -> Finding:
    return Finding(
        "sheets.thin-strip",
        f"Sheet {sheet.number}: a strip narrower than 1 in (25 mm) falls off at cut {cuts}. It breaks while it is cut; "
        "hold the straightedge on the piece, not on the strip.",
        Weight.NOTE,
        ("sheets", str(sheet.number)),
    )


def finished_by_hand(sheets: Sequence[Sheet], tools: Sequence[Tool]) -> list[Finding]:
    """Name the knife that a user needs besides a circular saw and has not listed."""
    if not tools or any(t is not Tool.CIRCULAR for t in tools):
        return []
    found = [f"{s.number}/{c.number}" for s in sheets for c in s.cuts if c.tool != Tool.CIRCULAR.value]
    if not found:
        return []
    return [
        Finding(
            "sheets.finish-by-hand",
            f"Cuts that end within the board are made with the long knife, not with the circular saw, which kicks back "
            f"there: {', '.join(found)} (sheet/cut).",
            Weight.NOTE,
            ("you", "tools"),
        )
    ]


def out_of_reach(sheets: Sequence[Sheet], tools: Sequence[Tool], rates: Rates, tape: Tape) -> list[Finding]:
    """Name the cuts through which the best liked tool does not reach, and what is done about it.

    Parameters
    ----------
    sheets : sequence of Sheet
        Numbered.
    tools : sequence of Tool
        At hand, best liked first.
    rates : Rates
        How deep each tool cuts (``cutting.reach``), the user's own figures first.
    tape : Tape
        Writes lengths.
    """
    liked = tools[0] if tools else Tool.KNIFE
    deep = reach(liked, rates)
    found: dict[tuple[float, float, str, bool], list[str]] = defaultdict(list)
    for sheet in sheets:
        for cut in sheet.cuts:
            if _way(sheet, cut) > deep + 1e-9 and not (liked is Tool.CIRCULAR and cut.kind in INSIDE):
                key = (sheet.thickness, round(degrees(abs(cut.bevel)) * 2) / 2, cut.tool, cut.turned)
                found[key].append(f"{sheet.number}/{cut.number}")
    return [_out_of_reach(key, cuts, liked, deep, tape) for key, cuts in sorted(found.items(), key=lambda f: f[0])]


def _way(sheet: Sheet, cut: Cut) -> float:
    """Length of the way through the board at a cut. [m]"""
    return sheet.thickness / cos(cut.bevel)


def _out_of_reach(
    key: tuple[float, float, str, bool], cuts: Sequence[str], liked: Tool, deep: float, tape: Tape
) -> Finding:
    thickness, angle, tool, turned = key
    what = f"a board of {_long(thickness, tape)}"
    if angle:
        slant = thickness / cos(radians(angle))
        what += f" at {angle:g}°, {_long(slant, tape)} of foam"
    says = f"The {liked.value} is taken to reach {_long(deep, tape)} deep, not through {what}"
    numbers = ", ".join(cuts)
    if turned:
        does = (
            f"cut from both sides: {numbers} (sheet/cut). Square the line over the edges to the back, cut half "
            "through, turn the board over and cut again"
        )
    elif tool == liked.value:
        does = f"nothing at hand reaches through: {numbers} (sheet/cut) want a longer blade"
    else:
        does = f"cut with the {tool}: {numbers} (sheet/cut)"
    return Finding(
        "sheets.tool-reach",
        f'{says}; {does}. If your blade is longer, state it in inches under stock.prices: item "{reach_id(liked)}".',
        Weight.WARN,
        ("you", "tools"),
    )


def _long(metres: float, tape: Tape) -> str:
    return tape.text(metres) + ("" if tape.unit == "in" else " mm")
