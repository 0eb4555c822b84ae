"""Buffer spaces: the temperatures of eaves, lofts and crawl spaces from a heat balance, steady and hourly."""

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
from snugbay.physics.buffer.steady import Balance, Effective, effective, effective_u, steady

__all__ = [
    "DEFAULT_B",
    "RHO_C_WH",
    "Balance",
    "Effective",
    "Link",
    "Network",
    "air_conductance",
    "b_factor",
    "effective",
    "effective_u",
    "network",
    "steady",
    "unheated_temperature",
]
