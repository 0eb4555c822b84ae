"""Model-code figures on insulation and roof ventilation."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from snugbay.base import OutOfRange, Where
from snugbay.physics._num import Array, Real, arr, not_negative, out
from snugbay.physics._tables import rows_of

Part = Literal["ceiling", "wood_wall", "floor", "crawl_wall"]


@dataclass(frozen=True)
class Prescribed:
    """One way to meet the prescriptive table.

    Attributes
    ----------
    cavity_r_ip, continuous_r_ip : float
        Insulation between framing, and continuous. [h·ft²·°F/Btu]
    """

    cavity_r_ip: float
    continuous_r_ip: float


def prescriptive_text(zone: str, part: Part, *, where: Where = ("place", "zone")) -> str:
    """Entry of the prescriptive table as printed, ``20 or 13+5ci or 0+15ci``.

    Parameters
    ----------
    zone : str
        Climate zone, ``5``, ``5A``, ``4C``.
    part : {"ceiling", "wood_wall", "floor", "crawl_wall"}
        Part of the house; a knee wall counts as a wall.

    Raises
    ------
    OutOfRange
        If the zone or the part is not in the table.

    References
    ----------
    IECC 2021 Table R402.1.3 (floor and crawl wall from memory).
    """
    if part not in {"ceiling", "wood_wall", "floor", "crawl_wall"}:
        raise OutOfRange(f"The table has no part {part!r}.", hint="ceiling, wood_wall, floor or crawl_wall.")
    text = zone.strip().upper()
    key = {"0": "0-1", "1": "0-1", "5": "5 and 4C", "7": "7-8", "8": "7-8"}.get(text[:1], text[:1])
    if text == "4C":
        key = "5 and 4C"
    ok = text[:1].isdigit() and text[1:] in {"", "A", "B", "C"}
    row = next((r for r in rows_of("physics", "code_insulation.csv") if r["zone"] == key), None) if ok else None
    if row is None:
        raise OutOfRange(f"There is no climate zone {zone!r}.", where=where, hint="Write 5, 5A, 4C ...")
    return row[part]


def prescriptive(zone: str, part: Part, *, where: Where = ("place", "zone")) -> tuple[Prescribed, ...]:
    """Ways to meet the prescriptive table, as numbers.

    Parameters
    ----------
    zone, part, where
        As for `prescriptive_text`.

    Returns
    -------
    tuple of Prescribed
        Any one of them will do. [h·ft²·°F/Btu]
    """
    ways = []
    for option in prescriptive_text(zone, part, where=where).split(" or "):
        cavity, continuous = 0.0, 0.0
        for term in option.split("+"):
            if term.endswith("ci"):
                continuous = float(term[:-2])
            else:
                cavity = float(term)
        ways.append(Prescribed(cavity, continuous))
    return tuple(ways)


def meets_prescriptive(zone: str, part: Part, cavity_r_ip: float, continuous_r_ip: float = 0.0) -> bool:
    """Whether nominal insulation meets one of the ways of the table. [h·ft²·°F/Btu]"""
    return any(cavity_r_ip >= w.cavity_r_ip and continuous_r_ip >= w.continuous_r_ip for w in prescriptive(zone, part))


def vent_area(attic_area: Real, *, ratio: float = 150.0) -> Array:
    """Net free ventilation area of a roof space.

    Parameters
    ----------
    attic_area : float or array
        Area of the space. [m²] (any unit: the answer has the same)
    ratio : float
        150, or 300 with a class I or II retarder on the warm side in zones 6 to 8 and 40 to 50 % of the vents high
        (within 3 ft of the ridge).

    Returns
    -------
    array
        area/ratio, in the unit of the input.

    References
    ----------
    IRC R806.2 (conditions of the current edition from memory).
    """
    return out(not_negative("An area", attic_area) / arr(ratio))


def vent_ratio(zone: str, retarder: str, high_share: float) -> float:
    """Ratio of roof-space area to vent area that the code allows, 300 where both conditions hold, else 150.

    Parameters
    ----------
    zone : str
        Climate zone.
    retarder : str
        Vapour retarder class on the warm side.
    high_share : float
        Share of the vent area that lies high, 0..1. [-]

    References
    ----------
    IRC R806.2, conditions from memory.
    """
    cold = zone.strip()[:1] in {"6", "7", "8"}
    return 300.0 if cold and retarder in {"I", "II"} and 0.4 <= high_share <= 0.5 else 150.0
