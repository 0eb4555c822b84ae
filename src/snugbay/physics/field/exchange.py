"""What every solved field tells about the flows between the spaces that it faces."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from snugbay.base import UnknownName

Floats = NDArray[np.float64]


class Exchange:
    """Flows and coupling coefficients of a solved field; per metre of length in a plane field, whole in a solid one."""

    temps_c: Mapping[str, float]

    @property
    @abstractmethod
    def airs(self) -> tuple[str, ...]:
        """Names of the spaces."""

    @property
    @abstractmethod
    def exchange(self) -> Floats:
        """Flow into the body from space a when space b is 1 K warmer than all others, shape (airs, airs)."""

    @property
    def temp_vector(self) -> Floats:
        """Temperatures of the spaces in the order of `airs`, shape (airs,). [°C]"""
        return np.array([self.temps_c[a] for a in self.airs], float)

    @property
    def flows(self) -> Mapping[str, float]:
        """Heat flow into the body from each space. [W/m in a plane field, W in a solid one]"""
        inflow = self.exchange @ self.temp_vector
        return MappingProxyType(dict(zip(self.airs, (float(q) for q in inflow), strict=True)))

    @property
    def total_flow(self) -> float:
        """Heat that passes through the body: the sum of all inflows. [W/m or W]"""
        inflow = self.exchange @ self.temp_vector
        return float(np.where(inflow > 0, inflow, 0 * inflow).sum())

    @property
    def balance_error(self) -> float:
        """Sum of all flows as a share of the heat that passes; the balance of the whole body. [-]"""
        inflow = self.exchange @ self.temp_vector
        scale = float(np.abs(inflow).sum()) / 2
        return float(inflow.sum()) / scale if scale != 0 else float(inflow.sum())

    def coupling(self, one: str, other: str) -> float:
        """Thermal coupling coefficient between two spaces: L2D of a plane field, L3D of a solid one.

        Parameters
        ----------
        one, other : str
            Names of the spaces.

        Returns
        -------
        float
            [W/(m·K) or W/K]

        References
        ----------
        ISO 10211:2017, thermal coupling coefficients from a numerical calculation.
        """
        i, j = self.index(one), self.index(other)
        return float(-(self.exchange[i, j] + self.exchange[j, i]) / 2)

    def index(self, air: str) -> int:
        """Return the place of a space in `airs`.

        Raises
        ------
        UnknownName
            If the body does not face that space.
        """
        if air not in self.airs:
            raise UnknownName(
                f"The body does not face a space called {air!r}.", hint=f"It faces: {', '.join(self.airs)}."
            )
        return self.airs.index(air)


def known_temps(airs: tuple[str, ...], temps_c: Mapping[str, float]) -> Mapping[str, float]:
    """Return the temperatures of the spaces that a body faces. [°C]

    Raises
    ------
    UnknownName
        If one is missing.
    """
    missing = [a for a in airs if a not in temps_c]
    if missing:
        raise UnknownName(
            f"No temperature is given for {', '.join(missing)}.",
            where=("temps",),
            hint=f"The body faces: {', '.join(airs)}.",
        )
    return MappingProxyType({a: float(temps_c[a]) for a in airs})
