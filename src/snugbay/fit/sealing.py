"""Every joint to seal, what it is sealed with, and how much that uses."""

from __future__ import annotations

from collections import defaultdict

from snugbay.fit.values import Sealing
from snugbay.materials import Rates
from snugbay.materials.items import item
from snugbay.pieces import EdgeKind, PieceSet, Seam
from snugbay.tape import INCH_M

SEALANT, TAPE, CAN, PLUG = "sealant", "foil-tape", "gun-can", "plug-parts"


def can_volume(rates: Rates, currency: str) -> tuple[float, float, float]:
    """Foam placed where wanted from one gun can: low, typical, high. [m³]

    Notes
    -----
    Free-foamed volume of the can sold in that currency times the real yield in joints (rates table,
    ``gun_foam.real_yield_fraction``, an assumption).
    """
    volume = item(CAN, currency, rates).amount
    share = rates["gun_foam.real_yield_fraction"]
    return volume * share.low, volume * share.typical, volume * share.high


def smallest_foam_gap(rates: Rates) -> float:
    """Gap below which sealant is used instead of foam. [m]"""
    return rates["gun_foam.min_gap"].typical * INCH_M


def _line(kind: EdgeKind, face: str, seams: list[Seam], rates: Rates, currency: str) -> Sealing:
    length = sum(s.length for s in seams)
    volume = sum(s.length * s.width * s.depth for s in seams)
    width = sum(s.length * s.width for s in seams) / length
    depth = volume / (length * width) if width else max(s.depth for s in seams)
    if kind is EdgeKind.PLUG:
        # its thickness, free and squeezed, is in the plug's own note: the seam's is the play beside the panel
        return Sealing("plug gasket", face, length, 0.0, 0.0, "closed-cell gasket", 1.0, PLUG)
    if kind is EdgeKind.SEAM:
        rolls = length / item(TAPE, currency, rates).amount
        return Sealing("taped seam", face, length, width, depth, "foil tape", rolls, TAPE)
    if width < smallest_foam_gap(rates):
        tubes = length / item(SEALANT, currency, rates).amount
        return Sealing(f"{kind.value}, narrow", face, length, width, depth, "sealant", tubes, SEALANT)
    tins = volume / can_volume(rates, currency)[1]
    return Sealing(kind.value, face, length, width, depth, "gun foam", tins, CAN)


def sealing(pieces: PieceSet, rates: Rates, currency: str) -> tuple[Sealing, ...]:
    """Return the sealing list: one line for each face and kind of joint.

    Parameters
    ----------
    pieces : PieceSet
        Pieces with their seams.
    rates : Rates
        Rates with the user's own figures.
    currency : str
        Decides what is sold: cans differ.

    Notes
    -----
    Foam by volume: length x width x depth over the can's volume times its yield (rates table, ``gun_foam.formula``).
    Seams under the least foam gap get sealant; board-to-board seams get foil tape; corners are foamed.
    """
    groups: dict[tuple[str, EdgeKind], list[Seam]] = defaultdict(list)
    for seam in pieces.seams:
        if seam.length > 0 and seam.kind is not EdgeKind.FREE:
            groups[seam.face, seam.kind].append(seam)
    return tuple(_line(kind, face, seams, rates, currency) for (face, kind), seams in groups.items())


def cans(lines: tuple[Sealing, ...], rates: Rates, currency: str) -> tuple[float, float, float]:
    """Gun cans for the lines that are foamed: low, typical, high (low use goes with a high yield)."""
    volume = sum(s.length * s.width * s.depth for s in lines if s.item == CAN)
    low, typical, high = can_volume(rates, currency)
    return volume / high, volume / typical, volume / low
