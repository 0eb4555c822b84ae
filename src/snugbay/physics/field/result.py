"""What a solved section tells: flows, exchange between the spaces, temperatures inside and at the surfaces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from snugbay.base import Finding
from snugbay.physics.field.exchange import Exchange, known_temps
from snugbay.physics.field.probe import shares_at
from snugbay.physics.field.section import Point, Section
from snugbay.physics.field.unit import UnitFields

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Surface:
    """Temperatures of the surface that one space sees.

    Attributes
    ----------
    air : str
        The space.
    lowest_c, highest_c : float
        Extremes over the surface. [°C]
    lowest_at, highest_at : Point
        Where. [m]
    """

    air: str
    lowest_c: float
    highest_c: float
    lowest_at: Point
    highest_at: Point


@dataclass(frozen=True, eq=False)
class FieldResult(Exchange):
    """The steady field of a section; everything per metre of length across the section.

    Attributes
    ----------
    section : Section
        What was solved.
    temps_c : Mapping[str, float]
        Temperatures of the spaces. [°C]
    fields : UnitFields
        Unit fields; the field for other temperatures needs no new solution, see `at`.
    flow_change : float
        Change of the exchange when all subdivisions were doubled, share of the largest exchange; nan where surfaces
        of two fixed temperatures touch, since the flow has no limit there.
    temp_change : float
        Change of surface and asked temperatures by the same doubling, share of the temperature difference.
    criterion_met : bool
        Whether both changes are within what was asked.
    unknowns : int
        Unknowns of the last net.
    nets : int
        Nets solved on the way.
    findings : tuple of Finding
        What the user must know.
    """

    section: Section
    temps_c: Mapping[str, float]
    fields: UnitFields
    flow_change: float
    temp_change: float
    criterion_met: bool
    unknowns: int
    nets: int
    findings: tuple[Finding, ...] = ()

    @property
    def airs(self) -> tuple[str, ...]:
        """Names of the spaces."""
        return self.section.airs

    @property
    def exchange(self) -> Floats:
        """Flow into the section from space a when space b is 1 K warmer than all others, per metre. [W/(m·K)]"""
        return self.fields.exchange

    def at(self, temps_c: Mapping[str, float]) -> FieldResult:
        """Return the same section for other temperatures of the spaces. [°C]"""
        return replace(self, temps_c=known_temps(self.airs, temps_c))

    def shares(self, points: Sequence[Point]) -> Floats:
        """Weighting factors of the spaces at points: T = shares · temperatures.

        Parameters
        ----------
        points : sequence of Point
            Points of the section, edges included. [m]

        Returns
        -------
        ndarray, shape (points, airs)
            Rows sum to 1. [-]

        Raises
        ------
        InputError
            If a point lies outside the section.
        """
        return shares_at(self.fields, points)

    def temperatures(self, points: Sequence[Point]) -> Floats:
        """Temperatures at points of the section, shape (points,). [°C]

        Raises
        ------
        InputError
            If a point lies outside the section.
        """
        return np.asarray(self.shares(points) @ self.temp_vector)

    def surface(self, air: str) -> Surface:
        """Extremes of the surface temperature that a space sees.

        Raises
        ------
        UnknownName
            If the section does not face that space.
        """
        self.index(air)
        pairs = zip(self.section.facings, self.fields.facing_nodes, strict=True)
        nodes = np.unique(np.concatenate([n for f, n in pairs if f.air == air]))
        temps = self.fields.shares[nodes] @ self.temp_vector
        where = self.fields.basis.doflocs[:, nodes]
        low, high = int(np.argmin(temps)), int(np.argmax(temps))
        return Surface(air, float(temps[low]), float(temps[high]), _point(where[:, low]), _point(where[:, high]))

    def factor(self, air: str, colder: str) -> float:
        """Surface temperature factor of the coldest spot that a space sees.

        Parameters
        ----------
        air : str
            The warm space.
        colder : str
            The cold one.

        Returns
        -------
        float
            fRsi = (lowest surface temperature - cold) / (warm - cold) [-]; nan where both are equally warm.

        References
        ----------
        ISO 10211:2017 and ISO 13788:2012 5.4; use Rsi 0.25 m²·K/W where mould is judged.
        """
        warm, cold = self.temps_c[self.airs[self.index(air)]], self.temps_c[self.airs[self.index(colder)]]
        if warm == cold:
            return float("nan")
        return (self.surface(air).lowest_c - cold) / (warm - cold)

    def picture(self) -> tuple[Floats, NDArray[np.intp], Floats]:
        """Return corners (n, 2) [m], elements (m, 3 or 4) as corner numbers, and corner temperatures (n,) [°C]."""
        basis = self.fields.basis
        temps = self.fields.shares[basis.corner_dofs] @ self.temp_vector
        return np.asarray(basis.points.T), np.asarray(basis.elements.T), np.asarray(temps)


def psi_value(coupling: float, parts: ArrayLike) -> float:
    """Linear thermal transmittance of a junction.

    Parameters
    ----------
    coupling : float
        L2D between the two spaces. [W/(m·K)]
    parts : array_like, shape (n, 2)
        Thermal transmittance [W/(m²·K)] and length [m] of each plane part that the same loss is also counted for;
        the lengths decide whether the result is for inner or outer dimensions.

    Returns
    -------
    float
        psi = L2D - sum of U·l. [W/(m·K)]

    References
    ----------
    ISO 10211:2017, determination of the linear thermal transmittance.
    """
    rows = np.asarray(parts, float).reshape(-1, 2)
    return float(coupling - (rows[:, 0] * rows[:, 1]).sum())


def _point(column: Floats) -> Point:
    return (float(column[0]), float(column[1]))
