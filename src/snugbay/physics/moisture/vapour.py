"""Vapour retarders: permeance, equivalent air layer, classes."""

from __future__ import annotations

from typing import Final

import numpy as np

from snugbay.physics._num import Array, Real, arr, need, not_negative, out, positive
from snugbay.physics.units import PERM_INCH_SI, PERM_SI

DELTA_AIR: Final = 2.0e-10
"""Vapour permeability of still air. [kg/(m·s·Pa)] [ISO13788:2012]"""

CLASS_LIMITS: Final = ((0.1, "I"), (1.0, "II"), (10.0, "III"))
"""Greatest permeance of each class. [perm] IRC R702.7, IBC; ASTM E96 procedure A."""


def sd_from_perms(perms: Real) -> Array:
    """Equivalent air layer s_d of a permeance, infinite for 0 perm. [m]"""
    with np.errstate(divide="ignore"):
        return out(DELTA_AIR / (PERM_SI * not_negative("A permeance", perms)))


def perms_from_sd(sd: Real) -> Array:
    """Permeance of an equivalent air layer [m]. [perm]"""
    with np.errstate(divide="ignore"):
        return out(DELTA_AIR / (PERM_SI * not_negative("An equivalent air layer", sd)))


def sd_from_mu(mu: Real, thickness: Real) -> Array:
    """Equivalent air layer μ·d. [m]"""
    return out(not_negative("A resistance factor", mu) * not_negative("A thickness", thickness))


def mu_from_perm_inch(perm_inch: Real) -> Array:
    """Vapour resistance factor μ of a permeability in perm-inch. [-]"""
    with np.errstate(divide="ignore"):
        return out(DELTA_AIR / (PERM_INCH_SI * not_negative("A permeability", perm_inch)))


def perms_of_layer(perm_inch: Real, thickness: Real) -> Array:
    """Permeance of a layer of a permeability [perm-inch] and thickness [m]. [perm]"""
    return out(not_negative("A permeability", perm_inch) * 0.0254 / positive("A thickness", thickness))


def series_perms(perms: Real) -> Array:
    """Permeance of layers one behind the other, 1/Σ(1/M_i) over the last axis. [perm]

    Zero where a layer passes nothing.
    """
    m = not_negative("A permeance", np.atleast_1d(arr(perms)))
    with np.errstate(divide="ignore"):
        return out(1.0 / (1.0 / m).sum(axis=-1))


def retarder_class(perms: Real) -> str | list[str]:
    """Vapour retarder class: ``I``, ``II``, ``III`` or ``none``; a list for an array.

    Parameters
    ----------
    perms : float or array
        Permeance by the dry cup. [perm]

    Returns
    -------
    str or list of str
        ``unknown`` where the permeance is NaN.

    Raises
    ------
    OutOfRange
        If a permeance is negative.

    References
    ----------
    IRC R702.7, IBC 1404.3.
    """
    m = not_negative("A permeance", perms)
    if m.ndim == 0:
        return _class_of(float(m))
    return [_class_of(float(x)) for x in m.ravel()]


def _class_of(perms: float) -> str:
    if np.isnan(perms):
        return "unknown"
    # a limit reached through unit conversion must not fall on the wrong side by a rounding error
    return next((name for limit, name in CLASS_LIMITS if perms <= limit * (1 + 1e-9)), "none")


def vapour_flow(sd: Real, inside_pa: Real, outside_pa: Real) -> Array:
    """Vapour flow through layers in series without condensation, δ₀·(p_i − p_e)/Σs_d. [kg/(m²·s)]

    ``sd`` is the sum. [m]
    """
    total = arr(sd)
    need(~(total <= 0), "The equivalent air layers sum to zero.")
    return out(DELTA_AIR * (arr(inside_pa) - arr(outside_pa)) / total)
