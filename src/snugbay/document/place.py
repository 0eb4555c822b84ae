"""The place of a job: climate, fuel and the house's figures, from the document's model to the job's value."""

from __future__ import annotations

from snugbay.base import InputError, SnugbayError
from snugbay.base.facts import Temperature, Volume
from snugbay.document.ledger import Ledger
from snugbay.document.models import PlaceDoc
from snugbay.job import Fuel, Month, Place
from snugbay.materials import fuel

COLDEST_ROOM, WARMEST_ROOM = 5.0, 35.0
"""Room temperatures that a heating season may have. [°C]"""
COLDEST_DESIGN, WARMEST_DESIGN = -60.0, 20.0
"""Outdoor temperatures that a heating system is designed for. [°C]"""
LEAST_CHANGES, MOST_CHANGES = 0.1, 60.0
"""Air changes at 50 Pa, from a sealed new house to a barn (from memory). [1/h]"""


def _check(doc: PlaceDoc, indoor: float | None, volume: float) -> None:
    if indoor is not None and not COLDEST_ROOM <= indoor <= WARMEST_ROOM:
        raise InputError(
            f"A room is not kept at {indoor:.0f} °C.", where=("indoor",), hint="Give the room's temperature in winter."
        )
    design = doc.design_temperature.value if doc.design_temperature else None
    if design is not None and not COLDEST_DESIGN <= design <= WARMEST_DESIGN:
        raise InputError(
            f"No heating is designed for {design:.0f} °C outdoors.",
            where=("design_temperature",),
            hint="Give the winter design temperature of your code, with its unit.",
        )
    changes = None if doc.blower_door_m3h is None else doc.blower_door_m3h / volume
    if changes is not None and not LEAST_CHANGES <= changes <= MOST_CHANGES:
        raise InputError(
            f"That is {changes:,.2g} air changes an hour at 50 Pa in {volume:.0f} m³, which no house has.",
            where=("blower_door_m3h",),
            hint="Give m³/h (1 cfm is 1.7 m³/h), and the house's own volume.",
        )


def place_of(doc: PlaceDoc, currency: str, ledger: Ledger) -> Place:
    """Return the place; raise `InputError` for figures that no house has."""
    try:
        row = fuel(doc.fuel, currency)
    except SnugbayError as error:
        raise error.at("fuel") from None
    said = f"{row.name}, {row.status}"
    heat = Fuel(
        row.key,
        ledger.take(doc.fuel_price, row.price, "place.fuel_price", said, f"{row.price} {currency}/kWh"),
        ledger.take(doc.efficiency, row.efficiency, "place.efficiency", said),
        ledger.take(doc.carbon, row.carbon, "place.carbon", said, f"{row.carbon} kg/kWh"),
    )
    indoor = doc.indoor.value if doc.indoor else None
    volume = ledger.take(doc.house_volume_m3, 350.0, "place.house_volume_m3", "assumption", Volume(350.0))
    _check(doc, indoor, volume)
    door = None if doc.blower_door_m3h is None else doc.blower_door_m3h / 3600
    return Place(
        climate=doc.climate,
        fuel=heat,
        months=tuple(Month(m.temperature.value, m.humidity / 100) for m in doc.months),
        weather_file=doc.weather_file,
        setpoint_c=ledger.take(indoor, 20.0, "place.indoor", "usual", Temperature(20.0)),
        humidity_class=ledger.take(doc.humidity_class, 3, "place.humidity_class", "ISO 13788, dwellings"),
        code_zone=doc.code_zone,
        design_temp_c=doc.design_temperature.value if doc.design_temperature else None,
        blower_door=door,
        house_volume=volume,
        storeys=ledger.take(doc.storeys, 1.5, "place.storeys", "assumption"),
        shielding=ledger.take(doc.shielding, 3, "place.shielding", "moderate"),
        currency=currency,
    )
