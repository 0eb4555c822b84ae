"""Every joint to seal, what it is sealed with, and how much that uses: the joints that the hours and the bill count."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from snugbay.fit.values import Sealing
from snugbay.materials import Rates
from snugbay.materials.items import item
from snugbay.pieces import EdgeKind, PieceSet
from snugbay.ways import Option
from snugbay.ways.joints import ITEMS, Joined, Means
from snugbay.ways.triple import total

CAN, PLUG = ITEMS[Means.FOAM], "plug-parts"


def _line(joint: Joined, rates: Rates, currency: str) -> Sealing:
    name = "taped seam" if joint.kind is EdgeKind.SEAM else joint.kind.value
    narrow = ", narrow" if joint.means is Means.SEALANT else ""
    thing = item(ITEMS[joint.means], currency, rates)
    amount = joint.amount.typical / thing.amount
    return Sealing(
        name + narrow, joint.face, joint.length, joint.width, joint.depth, joint.means.value, amount, thing.id
    )


def _gaskets(pieces: PieceSet) -> Iterable[Sealing]:
    """Gaskets of the plugs; their thickness, free and squeezed, is in the plug's own note."""
    plugs = [s for s in pieces.seams if s.kind is EdgeKind.PLUG and s.length > 0]
    for face in dict.fromkeys(s.face for s in plugs):
        length = sum(s.length for s in plugs if s.face == face)
        yield Sealing("plug gasket", face, length, 0.0, 0.0, "closed-cell gasket", 1.0, PLUG)


def sealing(done: Sequence[Option], pieces: PieceSet, rates: Rates, currency: str) -> tuple[Sealing, ...]:
    """Return the sealing list: one line for each face, kind of joint and what closes it, then the gaskets.

    Parameters
    ----------
    done : sequence of Option
        What is done, with the joints of its boards.
    pieces : PieceSet
        For the plugs.
    rates : Rates
        Rates with the user's own figures.
    currency : str
        Decides what is sold: cans differ.
    """
    lines = [_line(j, rates, currency) for o in done for j in o.joints]
    return (*lines, *_gaskets(pieces))


def cans(done: Sequence[Option], rates: Rates, currency: str) -> tuple[float, float, float]:
    """Gun cans for the joints that are foamed: low, typical, high (low use goes with a high yield)."""
    foam = total(j.amount for o in done for j in o.joints if j.means is Means.FOAM)
    one = item(CAN, currency, rates).amount
    return foam.low / one, foam.typical / one, foam.high / one
