"""Every joint to seal, what it is sealed with, and how much that uses."""

from __future__ import annotations

from collections import defaultdict

from snugbay.fit.values import Sealing
from snugbay.materials import Rate, Rates
from snugbay.pieces import EdgeKind, PieceSet, Seam

GALLON = 0.003785411784
"""US gallon. [m³]"""
INCH = 0.0254
ROLL_LENGTH = 150 * 0.3048
"""Foil tape is sold in rolls of 150 ft (rates table, tape.foil_tape_roll). [m]"""
CARTRIDGE_FEET = "adhesive_ft_per_cartridge.10.1 fl oz, 1/4 in bead"


def can_volume(rates: Rates) -> tuple[float, float, float]:
    """Foam placed where wanted from one gun can: low, typical, high. [m³]

    Notes
    -----
    Cured volume of a can [S22] times the real yield in joints (assumption), rates table ``gun_foam``.
    """
    volume = rates["gun_foam.can_volume_us"].typical * GALLON
    share = rates["gun_foam.real_yield_fraction"]
    return volume * share.low, volume * share.typical, volume * share.high


def smallest_foam_gap(rates: Rates) -> float:
    """Gap below which sealant is used instead of foam. [m]"""
    return rates["gun_foam.min_gap"].typical * INCH


def _line(kind: EdgeKind, face: str, seams: list[Seam], rates: Rates) -> Sealing:
    length = sum(s.length for s in seams)
    volume = sum(s.length * s.width * s.depth for s in seams)
    width = sum(s.length * s.width for s in seams) / length
    depth = volume / (length * width) if width else max(s.depth for s in seams)
    if kind is EdgeKind.PLUG:
        return Sealing("plug gasket", face, length, width, depth, "closed-cell gasket", length, "gasket-m")
    if kind is EdgeKind.SEAM:
        return Sealing("taped seam", face, length, width, depth, "foil tape", length / ROLL_LENGTH, "foil-tape")
    if width < smallest_foam_gap(rates):
        bead: Rate = rates[CARTRIDGE_FEET]
        tubes = length / (bead.typical * 12 * INCH)
        return Sealing(f"{kind.value}, narrow", face, length, width, depth, "sealant", tubes, "sealant")
    return Sealing(kind.value, face, length, width, depth, "gun foam", volume / can_volume(rates)[1], "gun-can")


def sealing(pieces: PieceSet, rates: Rates) -> tuple[Sealing, ...]:
    """Return the sealing list: one line for each face and kind of joint.

    Parameters
    ----------
    pieces : PieceSet
        Pieces with their seams.
    rates : Rates
        Rates with the user's own figures.

    Notes
    -----
    Foam by volume: length x width x depth over the can's volume times its yield (rates table, ``gun_foam.formula``).
    Seams under the least foam gap get sealant; board-to-board seams get foil tape; corners are foamed.
    """
    groups: dict[tuple[str, EdgeKind], list[Seam]] = defaultdict(list)
    for seam in pieces.seams:
        if seam.length > 0 and seam.kind is not EdgeKind.FREE:
            groups[seam.face, seam.kind].append(seam)
    return tuple(_line(kind, face, seams, rates) for (face, kind), seams in groups.items())


def cans(lines: tuple[Sealing, ...], rates: Rates) -> tuple[float, float, float]:
    """Gun cans for the lines that are foamed: low, typical, high (low use goes with a high yield)."""
    volume = sum(s.length * s.width * s.depth for s in lines if s.item == "gun-can")
    low, typical, high = can_volume(rates)
    return volume / high, volume / typical, volume / low
