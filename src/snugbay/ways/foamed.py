"""Strips that are too narrow for boards: filled with gun foam, with its own resistance, hours and cans."""

from __future__ import annotations

import math

from snugbay.base import OutOfRange
from snugbay.materials import Rates, material
from snugbay.tape import INCH_M
from snugbay.ways.buildup import Added
from snugbay.ways.conditions import Conditions
from snugbay.ways.fillwork import Amount, FillWork
from snugbay.ways.measure import Measured
from snugbay.ways.triple import NOTHING, Triple, of
from snugbay.ways.values import HourElement

FOAM = "gun-foam"


def strip_size(area: float, perimeter: float) -> tuple[float, float]:
    """Length and width of the rectangle with this area [m²] and perimeter [m]; the square where there is none. [m]"""
    root = math.sqrt(max(perimeter**2 - 16.0 * area, 0.0))
    length = (perimeter + root) / 4.0
    return length, area / length


def foam_filling(face: Measured, depth: float, here: Conditions, rates: Rates, *, occupied: bool) -> FillWork:
    """Fill a whole face with gun foam.

    Parameters
    ----------
    face : Measured
        The strip.
    depth : float
        Of the foam. [m]
    here : Conditions
        Headroom, skill, rest.
    rates : Rates
        Gun foam: resistance, yield, passes (``gun_foam.max_gap_single_pass``), minutes a metre of joint.
    occupied : bool
        True where a cover goes over it: the foam is then trimmed flush.

    Raises
    ------
    OutOfRange
        If the materials table has no conductivity of the foam.
    """
    row = material(FOAM)
    if row.conductivity is None or row.conductivity_low is None or row.conductivity_high is None:
        raise OutOfRange(f"{FOAM!r} has no conductivity to insulate with.", where=("ways", FOAM))
    length, width = strip_size(face.area, face.perimeter)
    bead = rates["gun_foam.max_gap_single_pass"].typical * INCH_M
    passes = math.ceil(width / bead) * math.ceil(depth / bead)
    minutes = of(rates["time_model.sealing.gun_foam"]) * (length * passes)
    if occupied:
        minutes = minutes + of(rates["time_model.sealing.trim_cured_foam"]) * length
    setup = of(rates["time_model.sealing.gun_setup_and_purge"]).per(of(rates["time_model.session.length"]) * 60.0)
    hours = minutes * setup.plus(1.0) * here.inside * (1.0 / 60.0)
    got, volume = rates["gun_foam.real_yield_fraction"], face.area * depth
    layer = Added(
        depth / row.conductivity_high, depth / row.conductivity, depth / row.conductivity_low, depth, False, FOAM
    )
    note = f"a strip of {length:.2f} x {width:.3f} m foamed in {passes} passes"
    foam = Triple(volume / got.high, volume / got.typical, volume / got.low, got.assumed)
    return FillWork(
        (layer,),
        (HourElement("sealing", hours.low, hours.typical, hours.high, True, note, hours.assumed),),
        (Amount(FOAM, foam, "strips too narrow for boards"),),
        NOTHING,
    )
