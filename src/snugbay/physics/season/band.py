"""A year's heating as a band: low, middle and high, from what is not known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from snugbay.base import OutOfRange, Run
from snugbay.physics._num import Array, arr, need
from snugbay.physics.climate.values import Climate
from snugbay.physics.season.fuel import Fuel
from snugbay.physics.season.monthly import FREE_HEAT_K, FREE_HEAT_SPREAD_K, heating, year_to_year_spread

DRAWS: Final = 2000
LOSS_SPREAD: Final = 0.15
"""Relative standard deviation of a reckoned loss. [-] (assumption)"""


@dataclass(frozen=True)
class Band:
    """A quantity with its spread.

    Attributes
    ----------
    p10, p50, p90 : float
        Tenth, middle and ninetieth percentile.
    """

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True)
class HeatingBand:
    """A year's heating of parts, before any change or saved by one.

    Attributes
    ----------
    kwh, money, carbon_kg : Band
        Useful heat [kWh], money [currency of the price], carbon dioxide [kg].
    """

    kwh: Band
    money: Band
    carbon_kg: Band


def _band(draws: Array) -> Band:
    p10, p50, p90 = np.quantile(draws, [0.1, 0.5, 0.9])
    return Band(float(p10), float(p50), float(p90))


def heating_band(
    climate: Climate,
    h_w_k: float,
    fuel: Fuel,
    price: float,
    run: Run,
    *,
    set_point_c: float = 20.0,
    set_point_sd_k: float = 1.0,
    free_heat_k: float = FREE_HEAT_K,
    free_heat_sd_k: float = FREE_HEAT_SPREAD_K,
    loss_sd: float = LOSS_SPREAD,
    price_sd: float = 0.10,
    draws: int = DRAWS,
) -> HeatingBand:
    """Spread of a year's heating through parts of a house.

    Parameters
    ----------
    climate : Climate
        Place.
    h_w_k : float
        Loss of the parts, or the loss that a measure takes away. [W/K]
    fuel : Fuel
        Its efficiency is drawn from its low, typical and high (triangular law).
    price : float
        Of one of the fuel's units.
    run : Run
        Gives the seed.
    set_point_c, set_point_sd_k : float
        Indoor temperature and its standard deviation. [°C], [K]
    free_heat_k, free_heat_sd_k : float
        Free heat of the house and its standard deviation. [K]
    loss_sd : float
        Relative standard deviation of the loss. [-]
    price_sd : float
        Relative standard deviation of the price. [-]
    draws : int
        Number of draws.

    Returns
    -------
    HeatingBand
        Of one coming year: the weather's own spread between years is in it.

    Raises
    ------
    OutOfRange
        If a spread is negative or there are no draws.
    """
    if draws < 1:
        raise OutOfRange("A band needs draws.")
    need(min(set_point_sd_k, free_heat_sd_k, loss_sd, price_sd) >= 0, "A spread is negative.")
    rng = run.rng("season band")
    z = rng.standard_normal((5, draws))
    set_point = set_point_c + set_point_sd_k * z[0]
    base = set_point - np.maximum(free_heat_k + free_heat_sd_k * z[1], 0.0)
    loss = h_w_k * np.exp(loss_sd * z[2] - 0.5 * loss_sd**2)
    weather = 1.0 + year_to_year_spread(climate, set_point_c - free_heat_k) * z[3]
    kwh = arr(heating(climate, loss, set_point_c=set_point, base_c=base).kwh) * weather
    low, mode, high = fuel.efficiency_low, fuel.efficiency, fuel.efficiency_high
    efficiency = rng.triangular(low, mode, high, draws) if high > low else np.full(draws, mode)
    bought = kwh / efficiency
    money = bought / fuel.kwh_per_unit * price * np.exp(price_sd * z[4] - 0.5 * price_sd**2)
    return HeatingBand(_band(kwh), _band(money), _band(bought * fuel.carbon_kg_per_kwh))
