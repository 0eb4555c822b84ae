"""Conductivity in use: mean temperature (polyiso in the cold) and age."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np

from snugbay.base import Finding, OutOfRange, UnknownName, Weight
from snugbay.base.facts import Count, Name, Share, Temperature
from snugbay.physics._num import Array, Real, arr, out, positive
from snugbay.physics._tables import rows_of
from snugbay.physics.heat.layers import interface_temperatures

LABEL_MEAN_C: Final = 23.89
"""Mean temperature of the label's test, 75 °F. [°C]"""

_STEPS: Final = 401


@dataclass(frozen=True)
class TemperatureLaw:
    """How a family of materials conducts at other temperatures and ages.

    Attributes
    ----------
    family : str
        Name.
    points : tuple of (float, float)
        Temperature [°C] and conductivity over that at the label's mean.
    factor_per_k : float
        Exponent where there is no curve. [1/K]
    lowest_c, highest_c : float
        Range in which it is known.
    aged_over_fresh : float
        Long-term over fresh conductivity. [-]
    """

    family: str
    points: tuple[tuple[float, float], ...]
    factor_per_k: float
    lowest_c: float
    highest_c: float
    aged_over_fresh: float


@cache
def temperature_laws() -> dict[str, TemperatureLaw]:
    """All families of the bundled table by name."""
    table = {}
    for r in rows_of("physics", "foam_temperature.csv"):
        pairs = (p.split(":") for p in r["curve"].split())
        points = tuple((float(t), float(ratio)) for t, ratio in pairs)
        table[r["family"]] = TemperatureLaw(
            r["family"],
            points,
            float(r["factor_per_k"] or 0.0),
            float(r["lowest_c"]),
            float(r["highest_c"]),
            float(r["aged_over_fresh"]),
        )
    return table


def _law(family: str) -> TemperatureLaw:
    table = temperature_laws()
    if family not in table:
        raise UnknownName(f"No law of temperature is known for {family!r}.", hint=f"Known: {', '.join(table)}.")
    return table[family]


def temperature_ratio(family: str, temp_c: Real) -> Array:
    """Conductivity at a temperature over that at the label's mean of 24 °C. [-]

    Parameters
    ----------
    family : str
        Family of `temperature_laws`.
    temp_c : float or array
        Temperature of the material. [°C] Outside the known range the end value holds; see `check_temperature`.

    Raises
    ------
    UnknownName
        If the family is not known.

    References
    ----------
    [ISO10456:2007] clause 7 for the exponential law; association tests for polyiso (see the table's remarks).
    """
    law, t = _law(family), arr(temp_c)
    held = np.minimum(np.maximum(t, law.lowest_c), law.highest_c)
    if law.points:
        x, y = zip(*law.points, strict=True)
        return out(np.where(np.isnan(t), np.nan, np.interp(held, x, y)))
    return out(np.exp(law.factor_per_k * (held - LABEL_MEAN_C)))


def ratio_between(family: str, warm_c: Real, cold_c: Real) -> Array:
    """Conductivity of a layer between two face temperatures over that at the label's mean. [-]

    The mean of the local ratio over the temperatures in the layer, which is exact for steady flow through one material.
    """
    hot, cold = np.broadcast_arrays(arr(warm_c), arr(cold_c))
    share = np.linspace(0.0, 1.0, _STEPS)
    t = cold[..., None] + (hot - cold)[..., None] * share
    return out(np.trapezoid(arr(temperature_ratio(family, t)), share, axis=-1))


def aged_conductivity(fresh: Real, family: str) -> Array:
    """Long-term conductivity of a foam from its fresh label value. [W/(m·K)] Unknown families raise ``UnknownName``."""
    return out(positive("A conductivity", fresh) * _law(family).aged_over_fresh)


@dataclass(frozen=True)
class InUse:
    """Resistances of layers at the temperatures they work at.

    Attributes
    ----------
    resistances : array, shape (m,)
        Of each layer. [m²·K/W]
    total : float
        With films. [m²·K/W]
    temperatures : array, shape (m + 3,)
        From room to outdoors, films included. [°C]
    findings : tuple of Finding
        Layers that lose much, or work outside the known range.
    """

    resistances: Array
    total: float
    temperatures: Array
    findings: tuple[Finding, ...] = ()


def resistances_in_use(
    layers_inside_to_outside: Sequence[tuple[float, str | None]],
    inside_c: float,
    outside_c: float,
    *,
    rsi: float = 0.13,
    rse: float = 0.04,
) -> InUse:
    """Resistance of each layer at its own temperature, found together with the temperatures.

    Parameters
    ----------
    layers_inside_to_outside : sequence of (R, family)
        Label resistance [m²·K/W] and family of `temperature_laws`, None for a layer that stays as it is.
    inside_c, outside_c : float
        Temperatures of the two sides. [°C]
    rsi, rse : float
        Surface resistances. [m²·K/W]

    Returns
    -------
    InUse

    Raises
    ------
    OutOfRange
        If there are no layers.
    UnknownName
        If a family is not known.
    """
    if not layers_inside_to_outside:
        raise OutOfRange("A part without layers has no resistance.")
    label = arr([r for r, _ in layers_inside_to_outside])
    now = label.copy()
    for _ in range(100):
        temps = interface_temperatures(np.concatenate([[rsi], now, [rse]]), inside_c, outside_c)
        ratios = arr(
            [
                1.0 if family is None else ratio_between(family, temps[i + 1], temps[i + 2])
                for i, (_, family) in enumerate(layers_inside_to_outside)
            ]
        )
        new = label / ratios
        moved = float(np.max(np.abs(new - now), initial=0.0))
        now = new
        if not moved > 1e-10:
            break
    temps = interface_temperatures(np.concatenate([[rsi], now, [rse]]), inside_c, outside_c)
    found: list[Finding] = []
    for i, (_, family) in enumerate(layers_inside_to_outside):
        if family is not None:
            found += _in_use_findings(i, family, float(label[i]), float(now[i]), temps[i + 1 : i + 3])
    return InUse(now, float(now.sum()) + rsi + rse, temps, tuple(found))


def _in_use_findings(i: int, family: str, label: float, now: float, faces: Array) -> list[Finding]:
    found = list(check_temperature(family, faces))
    if now < 0.9 * label:
        found.append(
            Finding.of(
                "heat.cold-foam",
                Weight.NOTE,
                (),
                "association tests, from memory, ±10 %",
                number=Count(i + 1),
                family=Name(family),
                works=Temperature(float(faces.mean())),
                share=Share(now / label),
            )
        )
    return found


def check_temperature(family: str, temp_c: Real) -> tuple[Finding, ...]:
    """Finding where a material works outside the temperatures for which its conductivity is known."""
    law, t = _law(family), arr(temp_c)
    if not bool(np.any((t < law.lowest_c) | (t > law.highest_c))):
        return ()
    return (
        Finding.of(
            "heat.foam-range",
            Weight.WARN,
            (),
            family=Name(family),
            lowest=Temperature(law.lowest_c),
            highest=Temperature(law.highest_c),
        ),
    )
