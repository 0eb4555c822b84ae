"""What each joint between boards is closed with, how much and how long: one reckoning for offers, steps and list."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from snugbay.job import Job
from snugbay.materials import Rates
from snugbay.materials.items import item
from snugbay.pieces import EdgeKind, Seam
from snugbay.tape import INCH_M
from snugbay.ways.triple import Triple, of, total

CLOSED = (EdgeKind.ROUGH, EdgeKind.CORNER)
"""Joints that are filled; those between boards of one face are taped."""
BEAD = 0.25
"""Width of the bead of sealant that `adhesive_ft_per_cartridge` is stated for. [in]"""
BEAD_RATE = "adhesive_ft_per_cartridge.10.1 fl oz, 1/4 in bead"


PLAY = 1e-4
"""Widths this near to a limit are taken to keep it. [m]"""


class Means(StrEnum):
    """What closes a joint."""

    FOAM = "gun foam"
    SEALANT = "sealant"
    TAPE = "foil tape"


ITEMS = {Means.FOAM: "gun-can", Means.SEALANT: "sealant", Means.TAPE: "foil-tape"}
"""Item in whose units the amount of each is stated."""


@dataclass(frozen=True)
class Joined:
    """Joints of one face that are closed with the same.

    Attributes
    ----------
    face : str
        Face id.
    kind : EdgeKind
        Of the joints.
    means : Means
        What they are closed with.
    length, width, depth : float
        Length of all; mean width and depth. [m]
    amount : Triple
        What it takes, in the measure of the item: free-foamed volume [m³], joint of a 1/4 in bead [m], tape [m].
    minutes : Triple
        At the joint, trimming with it; without set-up and the working conditions. [min]
    """

    face: str
    kind: EdgeKind
    means: Means
    length: float
    width: float
    depth: float
    amount: Triple
    minutes: Triple


@dataclass(frozen=True)
class Sealer:
    """Who closes joints, with what it costs.

    Attributes
    ----------
    rates : Rates
        Rates with the user's own figures.
    can, cartridge : (amount, price)
        What one holds, in the measure of the item, and its price.
    minute : float
        Worth of an own minute. [currency]
    """

    rates: Rates
    can: tuple[float, float]
    cartridge: tuple[float, float]
    minute: float

    def _foam(self, seam: Seam, *, covered: bool) -> tuple[Triple, Triple]:
        """Amount and minutes of a joint that is foamed; a nozzle leaves a bead no narrower than the least foam gap."""
        rates = self.rates
        width = max(seam.width, rates["gun_foam.min_gap"].low * INCH_M)
        volume = seam.length * width * seam.depth
        got = of(rates["gun_foam.real_yield_fraction"])
        minutes = of(rates["time_model.sealing.gun_foam"])
        if covered:
            minutes = minutes + of(rates["time_model.sealing.trim_cured_foam"])
        return Triple(volume, volume, volume).per(got), minutes * seam.length

    def _sealant(self, seam: Seam) -> tuple[Triple, Triple]:
        """Amount and minutes of a joint that gets sealant: a square bead as wide as the gap, 1/4 in at the least."""
        share = max(seam.width / (BEAD * INCH_M), 1.0) ** 2
        stated, plain = of(self.rates[BEAD_RATE]), self.rates[BEAD_RATE].typical
        per_cartridge = Triple(stated.low / plain, 1.0, stated.high / plain, stated.assumed)
        length = seam.length * share
        return (
            Triple(length, length, length).per(per_cartridge),
            of(self.rates["time_model.sealing.sealant_bead"]) * seam.length,
        )

    def means(self, seam: Seam, *, covered: bool) -> Means:
        """Choose by money and time for the joint as it is.

        Parameters
        ----------
        seam : Seam
            The joint.
        covered : bool
            True where something goes over it: cured foam is then trimmed flush.

        Notes
        -----
        Sealant where no nozzle goes in, foam where sealant would fall in; in between what costs less.
        """
        if seam.kind is EdgeKind.SEAM:
            return Means.TAPE
        if seam.width < self.rates["gun_foam.min_gap"].low * INCH_M - PLAY:
            return Means.SEALANT
        if seam.width > self.rates["ways.joint.sealant_widest"].typical * INCH_M + PLAY:
            return Means.FOAM
        foam, sealant = self._foam(seam, covered=covered), self._sealant(seam)
        by_foam, by_sealant = (
            amount.typical / holds * price + minutes.typical * self.minute
            for (amount, minutes), (holds, price) in ((foam, self.can), (sealant, self.cartridge))
        )
        return Means.FOAM if by_foam <= by_sealant else Means.SEALANT

    def close(self, seams: Iterable[Seam], *, occupied: bool, foamed: bool = True) -> tuple[Joined, ...]:
        """Close the joints of one face or of several.

        Parameters
        ----------
        seams : iterable of Seam
            Joints; plugs and free edges are left out.
        occupied : bool
            True where a cover goes over the boards.
        foamed : bool
            False where the edges are filled otherwise (from a kit): joints between boards are taped still.

        Returns
        -------
        tuple of Joined
            One for each face, kind of joint and means, in the order in which they first come.
        """
        kept = [s for s in seams if s.length > 0 and (s.kind is EdgeKind.SEAM or (foamed and s.kind in CLOSED))]
        top: dict[str, int] = {}
        for s in kept:
            top[s.face] = max(top.get(s.face, 0), s.layer)
        groups: dict[tuple[str, EdgeKind, Means], list[Seam]] = {}
        covered: dict[int, bool] = {}
        for s in kept:
            under = covered[id(s)] = occupied or s.layer < top[s.face]
            groups.setdefault((s.face, s.kind, self.means(s, covered=under)), []).append(s)
        return tuple(self._joined(*key, own, [covered[id(s)] for s in own]) for key, own in groups.items())

    def _joined(
        self, face: str, kind: EdgeKind, means: Means, seams: Sequence[Seam], covered: Sequence[bool]
    ) -> Joined:
        length = sum(s.length for s in seams)
        width = sum(s.length * s.width for s in seams) / length
        volume = sum(s.length * s.width * s.depth for s in seams)
        depth = volume / (length * width) if width else max(s.depth for s in seams)
        if means is Means.TAPE:
            rate = of(self.rates["time_model.sealing.foil_tape"])
            waste = of(self.rates["ways.joint.tape_waste_pct"]) * 0.01
            return Joined(face, kind, means, length, width, depth, waste.plus(1.0) * length, rate * length)
        both = [
            self._foam(s, covered=c) if means is Means.FOAM else self._sealant(s)
            for s, c in zip(seams, covered, strict=True)
        ]
        amount, minutes = total(a for a, _ in both), total(m for _, m in both)
        return Joined(face, kind, means, length, width, depth, amount, minutes)


def sealer(job: Job, rates: Rates) -> Sealer:
    """Return who closes the joints of a job."""
    can, tube = (item(ITEMS[m], job.place.currency, rates) for m in (Means.FOAM, Means.SEALANT))
    return Sealer(rates, (can.amount, can.price.typical), (tube.amount, tube.price.typical), job.you.hour_worth / 60.0)
