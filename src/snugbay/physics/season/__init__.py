"""A year's energy: heating and cooling, money, carbon, comfort."""

from snugbay.physics.season.fuel import Fuel, carbon_kg, cost, delivered_kwh, fuel, fuels, units_bought
from snugbay.physics.season.monthly import (
    FREE_HEAT_K,
    SeasonHeat,
    base_temperature,
    cooling,
    heating,
    house_heating,
    loss_degree_days,
    season_heat,
    year_to_year_spread,
)

__all__ = [
    "FREE_HEAT_K",
    "Fuel",
    "SeasonHeat",
    "base_temperature",
    "carbon_kg",
    "cooling",
    "cost",
    "delivered_kwh",
    "fuel",
    "fuels",
    "heating",
    "house_heating",
    "loss_degree_days",
    "season_heat",
    "units_bought",
    "year_to_year_spread",
]
