"""Still air in a gap as a conductivity, so that a field can be solved through it."""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

STEFAN_BOLTZMANN = 5.670374419e-8
"""[W/(m²·K⁴)] CODATA 2018."""


class GapFlow(StrEnum):
    """Direction of the heat flow through a gap."""

    UP = "up"
    HORIZONTAL = "horizontal"
    DOWN = "down"


def still_air_conductance(
    depth: ArrayLike,
    *,
    emissivities: tuple[float, float] = (0.9, 0.9),
    flow: GapFlow = GapFlow.HORIZONTAL,
    mean_temp_c: ArrayLike = 10.0,
    width: ArrayLike = np.inf,
) -> tuple[Floats, Floats]:
    """Conductances of still air across a gap: by conduction and convection, and by radiation.

    Parameters
    ----------
    depth : array_like
        Size of the gap along the heat flow. [m]
    emissivities : tuple of two floats
        Of the two faces that the heat flows between, in (0, 1].
    flow : GapFlow
        Direction of the heat flow.
    mean_temp_c : array_like
        Mean temperature of the gap. [°C]
    width : array_like
        Size of the gap across the heat flow; infinite for a layer.

    Returns
    -------
    convective, radiative : ndarray
        [W/(m²·K)]

    Notes
    -----
    ha = max(a, 0.025/d) with a = 1.95 up, 1.25 horizontal, and 0.12 d^-0.44 down; hr = E·hr0·(1 + √(1+d²/b²) - d/b)/2
    with hr0 = 4σT³ and E = 1/(1/e1 + 1/e2 - 1). Valid for temperature differences up to 5 K.

    References
    ----------
    ISO 6946:2017, annex on airspaces (general formula, small airspaces); from memory.
    """
    d, b = np.asarray(depth, float), np.asarray(width, float)
    conduction = 0.025 / d
    floor = {GapFlow.UP: 1.95, GapFlow.HORIZONTAL: 1.25, GapFlow.DOWN: 0.0}[flow]
    convective = np.maximum(conduction, 0.12 * d**-0.44 if flow is GapFlow.DOWN else floor)
    exchange = 1 / (1 / emissivities[0] + 1 / emissivities[1] - 1)
    black = 4 * STEFAN_BOLTZMANN * (np.asarray(mean_temp_c, float) + 273.15) ** 3
    slender = d / b
    return np.asarray(convective), np.asarray(exchange * black * (1 + np.sqrt(1 + slender**2) - slender) / 2)


def still_air_conductivity(
    depth: float,
    *,
    emissivities: tuple[float, float] = (0.9, 0.9),
    flow: GapFlow = GapFlow.HORIZONTAL,
    mean_temp_c: float = 10.0,
    width: float = np.inf,
) -> float:
    """Equivalent conductivity of still air in a gap, along the heat flow.

    Parameters are those of `still_air_conductance`.

    Returns
    -------
    float
        d·(ha + hr). [W/(m·K)]

    References
    ----------
    ISO 6946:2017, annex on airspaces; ISO 10211:2017 on equivalent conductivity of air cavities.
    """
    convective, radiative = still_air_conductance(
        depth, emissivities=emissivities, flow=flow, mean_temp_c=mean_temp_c, width=width
    )
    return depth * float(convective + radiative)
