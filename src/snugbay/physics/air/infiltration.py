"""Infiltration of a house taken as one zone: basic and enhanced model."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

import numpy as np

from snugbay.base import Finding, OutOfRange, Weight
from snugbay.base.facts import Number
from snugbay.physics._num import Array, Real, arr, need, not_negative, out
from snugbay.physics._tables import rows_of
from snugbay.physics.air.leaks import GRAVITY, RHO, flow_coefficient

Foundation = Literal["basement", "crawl"]
"""``basement`` also stands for a slab."""

SHELTER_NO_FLUE: Final = (1.0, 0.9, 0.7, 0.5, 0.3)
SHELTER_FLUE: Final = (1.1, 1.02, 0.86, 0.7, 0.54)
"""Shelter factors by shielding class 1 (none) to 5 (very heavy). [-] ASHRAE Fundamentals ch. 16, from memory."""


@cache
def _table(table: str, key: str) -> tuple[float, float, float]:
    for r in rows_of("physics", "infiltration.csv"):
        if r["table"] == table and r["key"] == key:
            return float(r["storeys_1"]), float(r["storeys_2"]), float(r["storeys_3"])
    raise OutOfRange(f"There is no row {key!r} in the table of the {table} model.")


def _by_storeys(table: str, key: str, storeys: Real) -> Array:
    s = arr(storeys)
    need(~((s < 1) | (s > 3)), "The model knows one to three storeys.", hint="Between whole numbers it interpolates.")
    return np.where(np.isnan(s), np.nan, np.interp(s, (1.0, 2.0, 3.0), _table(table, key)))


def _shielding(shielding: int) -> int:
    if shielding not in {1, 2, 3, 4, 5}:
        raise OutOfRange(f"There is no shielding class {shielding}.", hint="1 none, 3 moderate, 5 very heavy.")
    return shielding


def basic_coefficients(storeys: Real = 1.0, shielding: int = 3) -> tuple[Array, Array]:
    """Stack and wind coefficient of the basic model.

    Parameters
    ----------
    storeys : float or array
        1 to 3; one and a half is interpolated (ours). [-]
    shielding : int
        1 none, 2 light, 3 moderate (obstacles within two house heights), 4 heavy, 5 very heavy.

    Returns
    -------
    cs, cw : array
        [(L/s)²/(cm⁴·K)], [(L/s)²/(cm⁴·(m/s)²)]

    References
    ----------
    ASHRAE Handbook of Fundamentals ch. 16, from memory.
    """
    return out(_by_storeys("basic", "Cs", storeys)), out(_by_storeys("basic", f"Cw_{_shielding(shielding)}", storeys))


def infiltration_basic(
    leakage_area: Real,
    temp_difference: Real,
    wind: Real,
    *,
    storeys: Real = 1.0,
    shielding: int = 3,
    cs: Real | None = None,
    cw: Real | None = None,
) -> Array:
    """Infiltration by the basic model.

    Parameters
    ----------
    leakage_area : float or array
        Effective leakage area at 4 Pa. [m²]
    temp_difference : float or array
        Indoor less outdoor temperature; its size counts. [K]
    wind : float or array
        Wind at the weather station. [m/s]
    storeys, shielding
        As for `basic_coefficients`.
    cs, cw : float or array, optional
        Coefficients in place of the table's, in its units.

    Returns
    -------
    array
        Q = ELA·√(C_s·ΔT + C_w·U²). [m³/s]

    References
    ----------
    ASHRAE Handbook of Fundamentals ch. 16 (Sherman and Grimsrud 1980).
    """
    stack, gust = basic_coefficients(storeys, shielding)
    k_stack = stack if cs is None else cs
    k_wind = gust if cw is None else cw
    drive = arr(k_stack) * np.abs(arr(temp_difference)) + arr(k_wind) * not_negative("A wind speed", wind) ** 2
    return out(10.0 * not_negative("A leakage area", leakage_area) * np.sqrt(drive))


@dataclass(frozen=True)
class EnhancedCoefficients:
    """Coefficients of the enhanced model.

    Attributes
    ----------
    cs, cw : array
        Stack [(Pa/K)ⁿ] and wind [(Pa·s²/m²)ⁿ] coefficient.
    shelter : float
        Shelter factor s. [-]
    wind_multiplier : array
        G, wind at the eaves over wind at the station. [-]
    exponent : float
        n. [-]
    """

    cs: Array
    cw: Array
    shelter: float
    wind_multiplier: Array
    exponent: float


def enhanced_coefficients(
    storeys: Real = 1.0, *, flue: bool = False, foundation: Foundation = "basement", shielding: int = 3
) -> EnhancedCoefficients:
    """Coefficients of the enhanced model by the handbook's tables, which hold for n = 0.67.

    Parameters
    ----------
    storeys : float or array
        1 to 3.
    flue : bool
        Whether a chimney or flue opens into the house.
    foundation : {"basement", "crawl"}
        Basement or slab, or a vented crawl space.
    shielding : int
        Class 1 to 5.

    References
    ----------
    ASHRAE Handbook of Fundamentals ch. 16 (2001-2021), from memory; one-storey figures recomputed from the formulas.
    """
    if foundation not in {"basement", "crawl"}:
        raise OutOfRange(f"There is no foundation {foundation!r}.", hint="Use 'basement' (also slab) or 'crawl'.")
    kind = "flue" if flue else "no_flue"
    shelter = (SHELTER_FLUE if flue else SHELTER_NO_FLUE)[_shielding(shielding) - 1]
    return EnhancedCoefficients(
        out(_by_storeys("enhanced", f"Cs_{kind}", storeys)),
        out(_by_storeys("enhanced", f"Cw_{foundation}_{kind}", storeys)),
        shelter,
        out(_by_storeys("enhanced", "G", storeys)),
        0.67,
    )


def leak_distribution_coefficients(
    exponent: float,
    height: float,
    *,
    ceiling_floor_share: float = 0.5,
    ceiling_less_floor_share: float = 0.0,
    foundation: Foundation = "basement",
    shelter: float = 0.7,
    wind_multiplier: float = 0.48,
    inside_c: float = 20.0,
    rho: float = RHO,
) -> EnhancedCoefficients:
    """Coefficients of the enhanced model for any exponent, height and share of leaks, without a flue.

    Parameters
    ----------
    exponent : float
        n. [-]
    height : float
        Height of the eaves above the ground. [m]
    ceiling_floor_share : float
        R, leaks in ceiling and floor over all leaks. [-]
    ceiling_less_floor_share : float
        X, leaks in the ceiling less those in the floor over all leaks. [-]
    foundation : {"basement", "crawl"}
        As for `enhanced_coefficients`.
    shelter, wind_multiplier : float
        s and G. [-]
    inside_c, rho : float
        Indoor temperature [°C], density of air [kg/m³].

    Returns
    -------
    EnhancedCoefficients
        f_s = (1 + nR)/(n + 1)·(½ − ½·(X²/(2 − R))^(5/4))^(n+1), C_s = f_s·(ρgH/T_i)ⁿ; f_w = 0.19·(2 − n)·(1 − ((X +
        R)/2)^(3/2)), over a crawl space 0.19·(2 − n)·(1 − R(n/2 + 0.2))·(1 − |(X − (1 − R)/5)/(2 − R)|^(3/2)), C_w =
        f_w·(ρ/2)ⁿ.

    Raises
    ------
    OutOfRange
        If a share is impossible.

    References
    ----------
    Walker and Wilson 1998, HVAC&R Research 4(2), from memory; gives 0.0538 and 0.157 of the handbook's one storey.
    """
    n, r, x = exponent, ceiling_floor_share, ceiling_less_floor_share
    need(0.5 <= n <= 1.0, "A flow exponent is outside 0.5 to 1.")
    need(0.0 <= r <= 1.0 and abs(x) <= r, "The shares of leaks in ceiling and floor are impossible.")
    need(height > 0, "The height is not above zero.")
    f_s = (1 + n * r) / (n + 1) * (0.5 - 0.5 * (x * x / (2 - r)) ** 1.25) ** (n + 1)
    c_s = f_s * (rho * GRAVITY * height / (inside_c + 273.15)) ** n
    if foundation == "crawl":
        f_w = 0.19 * (2 - n) * (1 - r * (n / 2 + 0.2)) * (1 - abs((x - (1 - r) / 5) / (2 - r)) ** 1.5)
    else:
        f_w = 0.19 * (2 - n) * (1 - ((x + r) / 2) ** 1.5)
    return EnhancedCoefficients(out(c_s), out(f_w * (rho / 2) ** n), shelter, out(wind_multiplier), n)


def infiltration_enhanced(
    coefficient: Real, temp_difference: Real, wind: Real, coefficients: EnhancedCoefficients | None = None
) -> Array:
    """Infiltration by the enhanced model.

    Parameters
    ----------
    coefficient : float or array
        Flow coefficient c of the house. [m³/(s·Paⁿ)]
    temp_difference : float or array
        Indoor less outdoor temperature; its size counts. [K]
    wind : float or array
        Wind at the weather station. [m/s]
    coefficients : EnhancedCoefficients, optional
        One storey, no flue, moderate shielding if not given.

    Returns
    -------
    array
        Q = √(Q_s² + Q_w²), Q_s = c·C_s·ΔTⁿ, Q_w = c·C_w·(s·G·U)^(2n). [m³/s]

    References
    ----------
    ASHRAE Handbook of Fundamentals ch. 16, enhanced model.
    """
    k = coefficients or enhanced_coefficients()
    c = not_negative("A flow coefficient", coefficient)
    stack = c * arr(k.cs) * np.abs(arr(temp_difference)) ** k.exponent
    speed = k.shelter * arr(k.wind_multiplier) * not_negative("A wind speed", wind)
    gust = c * arr(k.cw) * speed ** (2.0 * k.exponent)
    return out(np.hypot(stack, gust))


def house_coefficient(leakage_area: Real, exponent: Real = 0.67) -> Array:
    """Flow coefficient of a house from its leakage area at 4 Pa [m²], for the enhanced model. [m³/(s·Paⁿ)]"""
    return flow_coefficient(leakage_area, exponent)


def check_infiltration(air_changes_per_hour: float) -> tuple[Finding, ...]:
    """Finding where the air change is so low that the house wants ventilation, or too high to be likely."""
    if air_changes_per_hour < 0.1:
        return (
            Finding.of(
                "air.tight",
                Weight.WARN,
                (),
                "common practice, no source",
                changes=Number(air_changes_per_hour),
            ),
        )
    if air_changes_per_hour > 3.0:
        return (Finding.of("air.very-leaky", Weight.WARN, (), changes=Number(air_changes_per_hour)),)
    return ()
