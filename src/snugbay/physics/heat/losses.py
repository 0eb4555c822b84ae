"""Transmission of several faces with their edges and spots."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from snugbay.physics._num import Array, Real, arr, not_negative, out


def transmission(
    faces: Sequence[tuple[Real, Real]],
    edges: Sequence[tuple[Real, Real]] = (),
    spots: Sequence[Real] = (),
) -> Array:
    """Heat transmitted per kelvin, ΣU·A + Σψ·L + Σχ.

    Parameters
    ----------
    faces : sequence of (area, transmittance)
        [m²], [W/(m²·K)]
    edges : sequence of (length, psi)
        Lengths [m] and linear transmittances [W/(m·K)], negative ones allowed; of the same system of dimensions as the
        areas.
    spots : sequence of float or array
        Point transmittances. [W/K]

    Returns
    -------
    array
        [W/K]

    References
    ----------
    [ISO13789:2017] 7.2, equation 2.
    """
    total = np.zeros(())
    for area, u in faces:
        total = np.asarray(total + not_negative("An area", area) * not_negative("A transmittance", u))
    for length, psi in edges:
        total = np.asarray(total + not_negative("A length", length) * arr(psi))
    for chi in spots:
        total = np.asarray(total + arr(chi))
    return out(total)
