"""What a person must know of the cutting besides the sheets themselves."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from math import cos, degrees, radians

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import Angle, Count, Length, Name, PieceRef, names
from snugbay.job import Tool
from snugbay.materials import Rates
from snugbay.sheets.cutting.minutes import INSIDE, kerf_of, reach, reach_id
from snugbay.sheets.cutting.patterns import LEAST, TINY, Pattern
from snugbay.sheets.values import Cut, Sheet
from snugbay.tape import INCH_M


def off_grid(found: Pattern) -> Finding:
    """Say of a piece that it has no pattern on marks."""
    return Finding.of("sheets.off-grid", Weight.NOTE, ("pieces", found.piece.id), piece=PieceRef(found.piece.id))


def strips(sheet: Sheet, rates: Rates) -> list[Finding]:
    """Name the strips of a sheet that break, and those that nobody cuts: with the kerf less than 1/8 in of board."""
    thin = {c.number for c in sheet.cuts if c.strip and c.strip + kerf_of(Tool(c.tool), rates) < LEAST - TINY}
    broken = ", ".join(str(c.number) for c in sheet.cuts if c.strip and c.number not in thin)
    return [*([_breaks(sheet, broken)] if broken else []), *_pared(sheet, [str(n) for n in sorted(thin)])]


def _pared(sheet: Sheet, cuts: Sequence[str]) -> list[Finding]:
    if not cuts:
        return []
    return [
        Finding.of(
            "sheets.thin-cut",
            Weight.NOTE,
            ("sheets", str(sheet.number)),
            number=Count(sheet.number),
            cuts=names(cuts, "comma"),
            least=Length(LEAST),
        )
    ]


def _breaks(sheet: Sheet, cuts: str) -> Finding:
    return Finding.of(
        "sheets.thin-strip",
        Weight.NOTE,
        ("sheets", str(sheet.number)),
        number=Count(sheet.number),
        cuts=Name(cuts),
        narrow=Length(INCH_M),
    )


def finished_by_hand(sheets: Sequence[Sheet], tools: Sequence[Tool]) -> list[Finding]:
    """Name the knife that a user needs besides a circular saw and has not listed."""
    if not tools or any(t is not Tool.CIRCULAR for t in tools):
        return []
    found = [f"{s.number}/{c.number}" for s in sheets for c in s.cuts if c.tool != Tool.CIRCULAR.value]
    if not found:
        return []
    return [Finding.of("sheets.finish-by-hand", Weight.NOTE, ("you", "tools"), cuts=names(found, "comma"))]


def out_of_reach(sheets: Sequence[Sheet], tools: Sequence[Tool], rates: Rates) -> list[Finding]:
    """Name the cuts through which the best liked tool does not reach, and what is done about it.

    Parameters
    ----------
    sheets : sequence of Sheet
        Numbered.
    tools : sequence of Tool
        At hand, best liked first.
    rates : Rates
        How deep each tool cuts (``cutting.reach``), the user's own figures first.
    """
    liked = tools[0] if tools else Tool.KNIFE
    deep = reach(liked, rates)
    found: dict[tuple[float, float, str, bool], list[str]] = defaultdict(list)
    for sheet in sheets:
        for cut in sheet.cuts:
            if _way(sheet, cut) > deep + 1e-9 and not (liked is Tool.CIRCULAR and cut.kind in INSIDE):
                key = (sheet.thickness, round(degrees(abs(cut.bevel)) * 2) / 2, cut.tool, cut.turned)
                found[key].append(f"{sheet.number}/{cut.number}")
    return [_out_of_reach(key, cuts, liked, deep) for key, cuts in sorted(found.items(), key=lambda f: f[0])]


def _way(sheet: Sheet, cut: Cut) -> float:
    """Length of the way through the board at a cut. [m]"""
    return sheet.thickness / cos(cut.bevel)


def _out_of_reach(key: tuple[float, float, str, bool], cuts: Sequence[str], liked: Tool, deep: float) -> Finding:
    thickness, angle, tool, turned = key
    numbers = names(cuts, "comma")
    if turned:
        does = Said.of("sheets.said.from-both-sides", cuts=numbers)
    elif tool == liked.value:
        does = Said.of("sheets.said.longer-blade", cuts=numbers)
    else:
        does = Said.of("sheets.said.with-tool", tool=Name(tool), cuts=numbers)
    slant = None
    if angle:
        way = Length(thickness / cos(radians(angle)))
        slant = Said.of("sheets.said.at-an-angle", angle=Angle(radians(angle)), way=way)
    return Finding.of(
        "sheets.tool-reach",
        Weight.WARN,
        ("you", "tools"),
        tool=Name(liked.value),
        reach=Length(deep),
        thickness=Length(thickness),
        slant=slant,
        does=does,
        item=Name(reach_id(liked)),
    )
