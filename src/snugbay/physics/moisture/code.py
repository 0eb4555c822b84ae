"""Model-code tables on vapour: retarder classes, exterior insulation, unvented roofs."""

from __future__ import annotations

from typing import Literal

from snugbay.base import Finding, OutOfRange, Said, Weight, Where
from snugbay.base.facts import Name, Resistance, Share
from snugbay.physics._tables import Row, rows_of
from snugbay.physics.units import R_SI_PER_R_IP

Framing = Literal["2x4", "2x6"]


def zone_row(zone: str, *, where: Where = ("place", "zone")) -> Row:
    """Row of the code table for a zone written ``5``, ``5A``, ``4C``, ``1-3`` or ``4A,4B``.

    Zone 0 reads the row of zone 1. Only zone 4 distinguishes marine (``4C``).

    Raises
    ------
    OutOfRange
        If the zone is not one of 0 to 8 with an optional letter.
    """
    text = zone.strip().upper().replace(" ", "")
    for part in ("-", ","):
        if part in text:
            ends = text.split(part)
            rows = [zone_row(z, where=where) for z in ends]
            return rows[-1]
    digits, letter = text[:1], text[1:]
    if digits not in {*"012345678"} or not digits or letter not in {"", "A", "B", "C"}:
        raise OutOfRange(f"There is no climate zone {zone!r}.", where=where, hint="Write 5, 5A, 4C ...")
    key = "4C" if (digits, letter) == ("4", "C") else ("1" if digits == "0" else digits)
    return next(r for r in rows_of("physics", "code_moisture.csv") if r["zone"] == key)


def class3_exterior_r_ip(zone: str, framing: Framing = "2x4") -> float | None:
    """Least R of continuous insulation outside with which a class III retarder inside suffices.

    Parameters
    ----------
    zone : str
        Climate zone.
    framing : {"2x4", "2x6"}
        Depth of the framing.

    Returns
    -------
    float or None
        [h·ft²·°F/Btu]; None where the table asks nothing (zones 0 to 4A, 4B).

    References
    ----------
    IRC 2021 Table R702.7(3).
    """
    if framing not in {"2x4", "2x6"}:
        raise OutOfRange(f"The table knows no framing {framing!r}.", hint="Use 2x4 or 2x6.")
    text = zone_row(zone)[f"class3_{framing}"]
    return float(text) if text else None


def unvented_roof_r_ip(zone: str) -> float:
    """Least air-impermeable R at the deck of an unvented roof. [h·ft²·°F/Btu]

    References
    ----------
    IRC 2018/2021 Table R806.5; also: no class I on the ceiling side, and in zones 5 to 8 the foam itself class II.
    """
    return float(zone_row(zone)["unvented_roof"])


def unvented_roof_share(zone: str) -> float:
    """Share of the total R that the air-impermeable layer must have, implied by the table and its ceilings. [-]

    With more insulation than the table was made for, check the share and not only the R.
    """
    row = zone_row(zone)
    return float(row["unvented_roof"]) / float(row["share_of"])


def inside_retarder_allowed(zone: str, retarder: str) -> bool:
    """Whether a vapour retarder class may be used on the inside. IRC 2021 R702.7: I barred in 1-3, II in 1-2."""
    if retarder not in {"I", "II"}:
        return True
    return zone_row(zone)["inside_class_1" if retarder == "I" else "inside_class_2"] == "yes"


def retarder_needed(zone: str) -> bool:
    """Whether the code wants class I or II on the warm side unless the exterior insulation suffices for class III."""
    return zone_row(zone)["retarder_needed"] == "yes"


def check_unvented_roof(
    zone: str, impermeable_r_ip: float, total_r_ip: float, ceiling_class: str
) -> tuple[Finding, ...]:
    """Findings on an unvented roof against the model code.

    Parameters
    ----------
    zone : str
        Climate zone.
    impermeable_r_ip, total_r_ip : float
        R of the air-impermeable layer at the deck, and of the whole. [h·ft²·°F/Btu]
    ceiling_class : str
        Class of the innermost layer: ``I``, ``II``, ``III``, ``none``.

    Returns
    -------
    tuple of Finding
        Empty where the table, the share and the ceiling rule hold.
    """
    found = []
    least, share = unvented_roof_r_ip(zone), unvented_roof_share(zone)
    if impermeable_r_ip < least:
        found.append(
            Finding.of(
                "moisture.roof-foam-thin",
                Weight.STOP,
                (),
                "IRC 2021 Table R806.5",
                zone=Name(zone),
                least=Resistance(least * R_SI_PER_R_IP),
                here=Resistance(impermeable_r_ip * R_SI_PER_R_IP),
            )
        )
    elif impermeable_r_ip < share * total_r_ip * (1 - 1e-9):
        found.append(
            Finding.of(
                "moisture.roof-share-low",
                Weight.WARN,
                (),
                "IRC 2021 Table R806.5",
                part=Share(impermeable_r_ip / total_r_ip),
                share=Share(share),
                zone=Name(zone),
            )
        )
    if ceiling_class == "I":
        found.append(Finding.of("moisture.roof-class-1-inside", Weight.STOP, (), "IRC R806.5 item 2"))
    return tuple(found)


def check_retarder(zone: str, inside_class: str, exterior_r_ip: float, framing: Framing = "2x4") -> tuple[Finding, ...]:
    """Findings on the vapour retarder of a framed wall against the model code.

    Parameters
    ----------
    zone : str
        Climate zone.
    inside_class : str
        Class on the inside: ``I``, ``II``, ``III``, ``none``.
    exterior_r_ip : float
        Continuous insulation outside. [h·ft²·°F/Btu]
    framing : {"2x4", "2x6"}
        Depth of the framing.
    """
    found = []
    if not inside_retarder_allowed(zone, inside_class):
        found.append(
            Finding.of(
                "moisture.retarder-barred",
                Weight.STOP,
                (),
                "IRC 2021 R702.7",
                inside_class=Name(inside_class),
                zone=Name(zone),
            )
        )
    need = class3_exterior_r_ip(zone, framing)
    if retarder_needed(zone) and inside_class in {"III", "none"}:
        suffices = inside_class == "III" and need is not None and exterior_r_ip >= need
        if not suffices:
            found.append(
                Finding.of(
                    "moisture.retarder-missing",
                    Weight.WARN,
                    (),
                    "IRC 2021 R702.7, Table R702.7(3)",
                    zone=Name(zone),
                    or_else=None
                    if need is None
                    else Said.of(
                        "moisture.said.or-class-3",
                        least=Resistance(need * R_SI_PER_R_IP),
                        here=Resistance(exterior_r_ip * R_SI_PER_R_IP),
                    ),
                )
            )
    return tuple(found)
