"""The job document, version 1: what a user writes."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from snugbay.document.fields import Doc, Number, RValue, Size, Slope, Tape, Temp, Truth, Whole
from snugbay.document.kept import LearnedDoc, LoggerDoc
from snugbay.document.outline import JoinDoc, Name, OutlineDoc
from snugbay.document.shapes import DetailFields, ShapeDoc
from snugbay.document.spaces import SpaceDoc
from snugbay.job import Hazard, Objective, Part, TemperatureKind, Tool

VERSION = 1


class MonthDoc(Doc):
    """One month of a typed-in climate."""

    temperature: Temp
    humidity: Number = Field(ge=1, le=100, description="Mean relative humidity. [%]")


class PlaceDoc(Doc):
    """Where the house stands and what heats it."""

    climate: str = Field("", description='A bundled place, "Portland, ME", or latitude and longitude, "48.8, -120.1".')
    months: list[MonthDoc] = Field(default_factory=list)
    weather_file: str = Field("", description="Path of an EPW or TMY3 file.")
    indoor: Temp | None = None
    humidity_class: Annotated[Whole, Field(ge=1, le=5)] | None = None
    fuel: str = Field("gas", description="One of the names under Fuels.")
    fuel_price: Number | None = Field(None, gt=0, le=10, description="Price of a kWh delivered.")
    efficiency: Number | None = Field(None, gt=0.2, le=8)
    carbon: Number | None = Field(None, ge=0, le=5, description="kg CO2 of a kWh delivered.")
    code_zone: Annotated[str, StringConstraints(pattern=r"^([0-8][ABC]?)?$")] = Field(
        "", description="0 to 8, with A, B, C."
    )
    design_temperature: Temp | None = None
    blower_door_m3h: Number | None = Field(None, gt=0, description="Air flow at 50 Pa. [m³/h]")
    house_volume_m3: Number | None = Field(None, gt=10)
    storeys: Annotated[Number, Field(ge=1, le=4)] | None = None
    shielding: Annotated[Whole, Field(ge=1, le=5)] | None = None
    currency: Literal["USD", "GBP", "EUR"] | None = None

    @model_validator(mode="after")
    def _climate(self) -> Self:
        if self.months and len(self.months) != 12:
            raise ValueError("give twelve months, January first, or none.")
        if sum(bool(x) for x in (self.climate, self.months, self.weather_file)) != 1:
            raise ValueError("give exactly one of climate, months, weather_file.")
        return self


class ZoneDoc(Doc):
    """A space with one air temperature."""

    id: Name
    title: str = ""
    kind: Literal["inside", "outside", "ground", "buffer"]
    volume_m3: Number = Field(0.0, ge=0)
    air_changes: Number | None = Field(None, ge=0, le=100, description="With outdoors, as found. [1/h]")
    may_come_inside: Truth = False
    pipes: Truth = False
    storage: Truth = False
    height: Size | None = None


class AccessDoc(Doc):
    """The smallest opening on the way in, and the cutting place."""

    width: Size
    height: Size
    clear_run: Size
    clear_height: Size | None = Field(None, description="Behind the opening, from the floor there.")
    sill: Tape | None = Field(None, description="Lower edge of the opening over the floor behind it.")
    wall_thickness: Tape | None = Field(None, description="Of the wall or ceiling round the opening, linings and all.")
    carry: Tape | None = None
    cut_inside: Truth = False


class FaceDoc(DetailFields):
    """A plane between two zones."""

    id: Name
    title: str = ""
    part: Part
    between: Annotated[list[str], Field(min_length=2, max_length=2, description="Warm zone, cold zone.")]
    board_side: str | None = None
    tilt: Slope | None = None
    overhead: Truth | None = None
    outline: OutlineDoc


class ChangeDoc(DetailFields):
    """Changes to a face that a shorthand made."""

    face: str
    title: str = ""


class SheetStockDoc(Doc):
    """A sheet that the shop sells or the shed holds."""

    board: str = Field(description="One of the names under Boards.")
    price: Number | None = Field(None, ge=0)
    on_hand: Annotated[Whole, Field(ge=0, le=1000)] = 0


class OffcutDoc(Doc):
    """A part sheet on hand."""

    board: str = Field(description="One of the names under Boards.")
    width: Size
    length: Size
    damaged: list[Annotated[list[Tape], Field(min_length=4, max_length=4)]] = Field(default_factory=list)
    name: str = ""


class PriceDoc(Doc):
    """A price or rate that the user states."""

    item: str
    typical: Number = Field(ge=0)
    low: Number | None = Field(None, ge=0)
    high: Number | None = Field(None, ge=0)

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        low = self.typical if self.low is None else self.low
        high = self.typical if self.high is None else self.high
        if not low <= self.typical <= high:
            raise ValueError("low, typical and high must not fall.")
        return self


class OnHandDoc(Doc):
    """Something in the shed, in its selling unit."""

    item: str
    amount: Number = Field(gt=0)


class StockDoc(Doc):
    """All that is on hand or can be bought."""

    sheets: list[SheetStockDoc] = Field(default_factory=list)
    offcuts: list[OffcutDoc] = Field(default_factory=list)
    on_hand: list[OnHandDoc] = Field(default_factory=list)
    prices: list[PriceDoc] = Field(default_factory=list)


class YouDoc(Doc):
    """The person who does the work."""

    hour_worth: Number | None = Field(None, ge=0, le=1000)
    hands: Annotated[Whole, Field(ge=1, le=2)] | None = None
    tools: list[Tool] = Field(default_factory=list)
    days: Number | None = Field(None, gt=0)
    hours_per_day: Number | None = Field(None, gt=0, le=16)
    skill: Literal["first time", "usual", "practised"] | None = None
    sprays: Truth | None = None


class WishesDoc(Doc):
    """What the plan must keep to and aim at."""

    objective: Objective | None = None
    years: Number | None = Field(None, gt=0, le=60)
    discount_percent: Number | None = Field(None, ge=0, le=20)
    budget: Number | None = Field(None, ge=0)
    hours: Number | None = Field(None, ge=0)
    air_barrier: Truth | None = None
    foil: Literal["room", "cold"] | None = None
    layers: Annotated[Whole, Field(ge=1, le=3)] | None = None
    target_r: RValue | None = None
    incentive: Number | None = Field(None, ge=0)
    never: list[str] = Field(default_factory=list)
    price_growth_percent: Number | None = Field(None, ge=-5, le=15)
    in_hands: Truth | None = None
    plug_edges: Literal["flat sill", "all four"] | None = None
    cover_strips: Tape | None = None


class LookRoundDoc(Doc):
    """What was seen before the first crawl."""

    seen: list[Hazard] = Field(default_factory=list)
    not_there: list[Hazard] = Field(default_factory=list)

    @model_validator(mode="after")
    def _one_answer(self) -> Self:
        both = [h.value for h in self.seen if h in self.not_there]
        if both:
            raise ValueError(f"{', '.join(both)} cannot be both seen and not there.")
        return self


class LogEntryDoc(Doc):
    """Work done."""

    hours: Number = Field(ge=0, le=100)
    element: str = "all"
    face: str = ""
    pieces: list[str] = Field(default_factory=list)
    share_done: Number = Field(0.0, ge=0, le=1)
    day: str = ""
    note: str = ""
    replaces: Annotated[Whole, Field(ge=0)] | None = None


class OpenedDoc(Doc):
    """Something opened, and how long ago."""

    item: str
    days_ago: Number = Field(ge=0)


class LogDoc(Doc):
    """The work log."""

    started: str = Field(
        "", description="Time at which `snugbay log JOB --start` started the clock; empty when stopped."
    )
    entries: list[LogEntryDoc] = Field(default_factory=list)
    used: list[OnHandDoc] = Field(default_factory=list)
    opened: list[OpenedDoc] = Field(default_factory=list)


Day = Annotated[str, StringConstraints(pattern=r"^\d{4}-\d{2}-\d{2}$")]
"""A day, year first."""


class FuelUsedDoc(Doc):
    """Fuel that a meter or a bill counted between two days, before the work: a year is worth most."""

    from_day: Day = Field(description='Day of the first reading, "2024-10-01".')
    to_day: Day
    kwh: Number = Field(gt=0, le=1e6, description="Delivered, in kWh: 29.3 a therm, 40.5 a US gallon of oil.")
    hot_water: Truth = Field(False, description="The same fuel heats the hot water.")

    @model_validator(mode="after")
    def _days(self) -> Self:
        try:
            days = (date.fromisoformat(self.to_day) - date.fromisoformat(self.from_day)).days
        except ValueError:
            raise ValueError("give days that there are, year first: 2024-10-01.") from None
        if not 7 <= days <= 3700:
            raise ValueError("the last day must come a week or more after the first, and no more than ten years.")
        return self


class TemperatureDoc(Doc):
    """One thermometer or heat-flux reading."""

    kind: TemperatureKind
    value: Temp | None = None
    flux_w_m2: Number | None = None
    when: Literal["before", "after"] = "before"
    set: str = ""
    face: str = ""
    zone: str = ""
    spot: str = "middle"
    side: Literal["warm", "cold"] = "warm"
    emissivity: Number = Field(0.92, gt=0, le=1)
    meter_emissivity: Number = Field(0.95, gt=0, le=1)
    reflected: Temp | None = None
    sigma_k: Number = Field(0.5, gt=0, le=20)
    sun: Truth = False
    steady_hours: Number = Field(3.0, ge=0)
    time: str = ""
    wind: Literal["calm", "windy"] | None = Field(
        None, description="Wind while the set was read; a windy and a calm night tell air from resistance."
    )

    @model_validator(mode="after")
    def _value(self) -> Self:
        flux = self.kind is TemperatureKind.HEAT_FLUX
        if flux != (self.flux_w_m2 is not None) or flux == (self.value is not None):
            raise ValueError("give value for a temperature, flux_w_m2 for a heat flux plate, never both.")
        return self


class JobDoc(Doc):
    """A whole job."""

    version: Literal[1] = 1
    name: Name
    title: str = ""
    units: Literal["ft-in", "mm"]
    place: PlaceDoc
    zones: list[ZoneDoc] = Field(default_factory=list, description="Spaces bring theirs; inside and outside come too.")
    access: AccessDoc | None = Field(None, description="A hatch put into a space is one.")
    spaces: list[SpaceDoc] = Field(default_factory=list)
    faces: list[FaceDoc] = Field(default_factory=list)
    shapes: list[ShapeDoc] = Field(default_factory=list)
    changes: list[ChangeDoc] = Field(default_factory=list)
    joins: list[JoinDoc] = Field(default_factory=list)
    stock: StockDoc = StockDoc()
    you: YouDoc = YouDoc()
    wishes: WishesDoc = WishesDoc()
    look_round: LookRoundDoc = LookRoundDoc()
    log: LogDoc = LogDoc()
    temperatures: list[TemperatureDoc] = Field(default_factory=list)
    fuel_used: list[FuelUsedDoc] = Field(default_factory=list, description="As found; narrows what the plan saves.")
    loggers: list[LoggerDoc] = Field(default_factory=list)
    learned: list[LearnedDoc] = Field(default_factory=list)
    own_ways: list[dict[str, Any]] = Field(default_factory=list)

    @model_validator(mode="after")
    def _some_faces(self) -> Self:
        if not self.faces and not self.shapes and not self.spaces:
            raise ValueError("a job needs at least one space, face or shape.")
        if not self.spaces and len(self.zones) < 2:
            raise ValueError("a job needs its zones: inside, outside, and every cold space between them.")
        if not self.spaces and self.access is None:
            raise ValueError("a job needs [access]: width, height and clear_run of the smallest opening on the way in.")
        return self
