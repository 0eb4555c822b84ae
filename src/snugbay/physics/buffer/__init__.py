"""Buffer spaces: the temperatures of eaves, lofts and crawl spaces from a heat balance, steady and hourly."""

from snugbay.physics.buffer.figures import check_frost, heat_from, wind_stack_factor
from snugbay.physics.buffer.hourly import HourlyBalance, HourlyModel, hourly_model, run_hourly
from snugbay.physics.buffer.humidity import DeckYear, check_deck, deck_temperature, deck_year, mixed_vapour
from snugbay.physics.buffer.network import (
    DEFAULT_B,
    RHO_C_WH,
    Link,
    Network,
    air_conductance,
    b_factor,
    network,
    unheated_temperature,
)
from snugbay.physics.buffer.space import Roof, SpaceYear, compare_space, space_year
from snugbay.physics.buffer.steady import (
    Balance,
    Effective,
    effective,
    effective_u,
    free_matrix,
    free_temperatures,
    steady,
)

__all__ = [
    "DEFAULT_B",
    "RHO_C_WH",
    "Balance",
    "DeckYear",
    "Effective",
    "HourlyBalance",
    "HourlyModel",
    "Link",
    "Network",
    "Roof",
    "SpaceYear",
    "air_conductance",
    "b_factor",
    "check_deck",
    "check_frost",
    "compare_space",
    "deck_temperature",
    "deck_year",
    "effective",
    "effective_u",
    "free_matrix",
    "free_temperatures",
    "heat_from",
    "hourly_model",
    "mixed_vapour",
    "network",
    "run_hourly",
    "space_year",
    "steady",
    "unheated_temperature",
    "wind_stack_factor",
]
