"""Where the house stands, what heats it, and its zones."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class ZoneKind(StrEnum):
    """What a zone is."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    GROUND = "ground"
    BUFFER = "buffer"


@dataclass(frozen=True)
class Zone:
    """A space with one air temperature.

    Attributes
    ----------
    id, title : str
        Short name and name for people.
    kind : ZoneKind
        Inside, outside, ground or buffer space.
    volume : float
        Air volume. [m³]
    air_changes : float
        Air changes with outdoors as found. [1/h]
    may_come_inside : bool
        True where the line may run round this buffer space.
    pipes : bool
        True where water pipes run in it.
    storage : bool
        True where things are kept in it (it then counts as occupied for fire cover).
    height : float
        Greatest height inside. [m]
    height_told : bool
        False where nobody stated it.
    """

    id: str
    title: str
    kind: ZoneKind
    volume: float = 0.0
    air_changes: float = 0.0
    may_come_inside: bool = False
    pipes: bool = False
    storage: bool = False
    height: float = 1.0
    height_told: bool = True


@dataclass(frozen=True)
class Fuel:
    """What heats the house.

    Attributes
    ----------
    name : str
        Fuel id in the fuels table: gas, oil, propane, electricity, heat pump, wood, pellets.
    price_kwh : float
        Price of a kWh of delivered energy, in the job's currency.
    efficiency : float
        Seasonal efficiency, or coefficient of performance. [-]
    carbon_kwh : float
        Carbon dioxide of a kWh delivered. [kg/kWh]
    """

    name: str
    price_kwh: float
    efficiency: float
    carbon_kwh: float


@dataclass(frozen=True)
class FuelUsed:
    """Fuel that a meter or a bill counted between two days, before the work.

    Attributes
    ----------
    first, last : str
        Days of the readings, ``"2025-10-01"``.
    kwh : float
        Delivered. [kWh]
    hot_water : bool
        True where the same fuel heats the hot water.
    """

    first: str
    last: str
    kwh: float
    hot_water: bool = False


@dataclass(frozen=True)
class Month:
    """One month of a climate that the user typed in.

    Attributes
    ----------
    temp_c : float
        Mean outdoor temperature. [°C]
    humidity : float
        Mean relative humidity, 0 to 1. [-]
    """

    temp_c: float
    humidity: float


@dataclass(frozen=True)
class Place:
    """Climate, indoor conditions, fuel.

    Attributes
    ----------
    climate : str
        Bundled place (``"Portland, ME"``), or empty where ``months`` are given.
    months : tuple of Month
        Twelve months, January first, or empty.
    weather_file : str
        Path of an EPW or TMY3 file, or empty (read at the edge, not here).
    setpoint_c : float
        Room temperature in the heating season. [°C]
    humidity_class : int
        Indoor humidity class 1 to 5 of ISO 13788.
    fuel : Fuel
        What heats the house.
    code_zone : str
        Climate zone of the local code as the user states it, or empty.
    design_temp_c : float or None
        Outdoor design temperature where the user states it. [°C]
    blower_door : float or None
        Measured air flow at 50 Pa. [m³/s]
    house_volume : float
        Heated volume. [m³]
    storeys : float
        Height of the house in storeys.
    shielding : int
        Shielding class 1 (none) to 5 (very heavy).
    currency : str
        ISO 4217 code.
    """

    climate: str
    fuel: Fuel
    months: tuple[Month, ...] = ()
    weather_file: str = ""
    setpoint_c: float = 20.0
    humidity_class: int = 3
    code_zone: str = ""
    design_temp_c: float | None = None
    blower_door: float | None = None
    house_volume: float = 350.0
    storeys: float = 1.5
    shielding: int = 3
    currency: str = "USD"
