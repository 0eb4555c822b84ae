"""What boards set in place and not sealed are worth: air moves behind them."""

from __future__ import annotations

import numpy as np

from snugbay.physics.field import loose_board
from snugbay.ways.balance import season_drop, temperatures, zone_kinds
from snugbay.ways.buildup import Added, resistance
from snugbay.ways.found import Ground
from snugbay.ways.measure import Measured
from snugbay.ways.triple import Triple, of

MILLIMETRE = 0.001
LEAST_WAY = 0.05
"""Shortest way of the air behind a board. [m]"""


def season_sides_c(base: Ground, face: Measured) -> tuple[float, float]:
    """Mean temperature over the heating season on the warm and on the cold side of a face, as found. [°C]"""
    heat = {i: load.heat for i, load in base.loads.faces.items()}
    c = base.loads.conductance(base.by_id, heat)
    drop = temperatures(base.loads.net, c, season_drop(base.air))
    hours = base.air.heating_hours
    zones = base.loads.net.zones
    warm, cold = (base.air.setpoint_c - float(drop[zones.index(z)]) / hours for z in (face.face.warm, face.face.cold))
    return warm, cold


def loose_layer(base: Ground, face: Measured, layer: Added) -> Added:
    """Turn a sealed layer of board into one that stands off its back with open edges.

    Parameters
    ----------
    base : Ground
        Climate and the state as found: the temperatures that drive the air.
    face : Measured
        The face.
    layer : Added
        The board as if fixed and sealed.

    Returns
    -------
    Added
        Low with wide gaps and a deep channel, high with tight ones (rows ``ways.loose``); never more than sealed.

    References
    ----------
    The channel of `physics.field.loose_board`.
    """
    rates = base.rates
    gap, channel, wind = (of(rates[f"ways.loose.{k}"]) for k in ("gap_mm", "channel_mm", "wind_pa"))
    found = resistance(face, zone_kinds(base.job), rates, work=True)
    warm_c, cold_c = season_sides_c(base, face)
    back_c, side_c = (cold_c, warm_c) if face.from_inside else (warm_c, cold_c)
    up = face.span[1] * float(np.sin(face.face.tilt))

    def worth(r: float, gap_mm: float, channel_mm: float, wind_pa: float) -> float:
        one = loose_board(
            gap_low=gap_mm * MILLIMETRE,
            gap_high=gap_mm * MILLIMETRE,
            channel_depth=channel_mm * MILLIMETRE,
            height=up,
            length=max(face.span[1], LEAST_WAY),
            board_resistance=r,
            back_resistance=max(found.total - 0.13, 0.05),
            temp_warm_c=back_c,
            temp_cold_c=side_c,
            wind_pressure=wind_pa,
            gap_depth=layer.thickness,
        )
        return min(float(one.resistance_set), r)

    low, mid, high = (
        worth(layer.r_low, gap.high, channel.high, wind.high),
        worth(layer.r, gap.typical, channel.typical, wind.typical),
        worth(layer.r_high, gap.low, channel.low, wind.low),
    )
    kept = Triple(min(low, mid), mid, max(mid, high))
    return Added(kept.low, kept.typical, kept.high, layer.thickness, layer.between, layer.material)
