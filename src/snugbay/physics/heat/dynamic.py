"""Heat that swings: a part under a daily wave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from snugbay.base import OutOfRange
from snugbay.physics._num import Array, Real, arr, need, out, positive

SolidLayer = tuple[Real, Real, Real, Real]
"""Thickness [m], conductivity [W/(m·K)], density [kg/m³], specific heat [J/(kg·K)]; or (R, 0, 0, 0) with conductivity 0
for a layer of resistance R without mass."""


@dataclass(frozen=True)
class Dynamic:
    """A part under a sine wave of temperature.

    Attributes
    ----------
    u : array
        Steady transmittance. [W/(m²·K)]
    y11, y22 : array
        Size of the thermal admittance of the inner and outer side. [W/(m²·K)]
    y12 : array
        Size of the periodic transmittance. [W/(m²·K)]
    decrement : array
        y12/u. [-]
    time_shift_h : array
        Lag of the inner heat flow behind the outer temperature. [h]
    kappa1, kappa2 : array
        Areal heat capacity of the inner and outer side. [J/(m²·K)]
    lead11_h, lead22_h : array
        Lead of the heat flow before the temperature of its own side. [h]
    """

    u: Array
    y11: Array
    y22: Array
    y12: Array
    decrement: Array
    time_shift_h: Array
    kappa1: Array
    kappa2: Array
    lead11_h: Array
    lead22_h: Array


def dynamic(
    layers_inside_to_outside: Sequence[SolidLayer], *, rsi: Real = 0.13, rse: Real = 0.04, period_h: Real = 24.0
) -> Dynamic:
    """Dynamic characteristics of layers in series.

    Parameters
    ----------
    layers_inside_to_outside : sequence
        (thickness, conductivity, density, specific heat) of each, numbers or arrays; (R, 0, 0, 0) for an air layer.
    rsi, rse : float or array
        Surface resistances. [m²·K/W]
    period_h : float or array
        Period of the wave. [h]

    Returns
    -------
    Dynamic

    Raises
    ------
    OutOfRange
        If there are no layers or a property is out of range.

    References
    ----------
    [ISO13786:2017] 7.2 to 7.5: Z = Z_se·Z_N…Z_1·Z_si; Y11 = −Z11/Z12, Y12 = −1/Z12, Y22 = −Z22/Z12; κ = T/(2π)·
    |(Z_mm − 1)/Z12|.
    """
    if not layers_inside_to_outside:
        raise OutOfRange("A part without layers has no dynamics.")
    period = positive("A period", period_h) * 3600.0
    z = _film(arr(rse))
    r_total = arr(rsi) + arr(rse)
    with np.errstate(invalid="ignore", divide="ignore"):  # what is not known stays unknown
        for layer in reversed(layers_inside_to_outside):
            matrix, r = _layer(layer, period)
            z = _times(z, matrix)
            r_total = r_total + r
        z11, z12, _, z22 = _times(z, _film(arr(rsi)))
        return _figures(z11, z12, z22, r_total, period)


def _figures(z11: Array, z12: Array, z22: Array, r_total: Array, period: Array) -> Dynamic:
    u = 1.0 / r_total
    y12 = -1.0 / z12
    shift = np.angle(y12) * period / (2.0 * np.pi) / 3600.0
    hours = period / 3600.0
    lag = np.mod(-shift, hours)
    return Dynamic(
        out(u),
        out(np.abs(z11 / z12)),
        out(np.abs(z22 / z12)),
        out(np.abs(y12)),
        out(np.abs(y12) / u),
        out(lag),
        out(period / (2.0 * np.pi) * np.abs((z11 - 1.0) / z12)),
        out(period / (2.0 * np.pi) * np.abs((z22 - 1.0) / z12)),
        out(np.angle(-z11 / z12) * hours / (2.0 * np.pi)),
        out(np.angle(-z22 / z12) * hours / (2.0 * np.pi)),
    )


Matrix = tuple["np.ndarray", "np.ndarray", "np.ndarray", "np.ndarray"]


def _film(r: Array) -> Matrix:
    one = np.ones_like(r, dtype=complex)
    return one, -r * one, 0.0 * one, one


def _layer(layer: SolidLayer, period: Array) -> tuple[Matrix, Array]:
    d, lam, rho, c = (arr(v) for v in layer)
    if not np.any(lam):
        need(~(d < 0), "A resistance is negative.")
        return _film(d), d
    for name, v in (("thickness", d), ("conductivity", lam), ("density", rho), ("specific heat", c)):
        need(~(v <= 0), f"A {name} is not above zero.")
    depth = np.sqrt(lam * period / (np.pi * rho * c))
    x = d / depth
    s = (1.0 + 1.0j) * x
    cosh, sinh = np.cosh(s), np.sinh(s)
    z12 = -depth / (lam * (1.0 + 1.0j)) * sinh
    z21 = -lam * (1.0 + 1.0j) / depth * sinh
    return (cosh, z12, z21, cosh), np.asarray(d / lam)


def _times(a: Matrix, b: Matrix) -> Matrix:
    return (
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
    )
