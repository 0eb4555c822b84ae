"""Room job: the job as frozen values. No file formats here; `document` turns TOML into these and back."""

from snugbay.job.hot import HotThing
from snugbay.job.naming import short_list
from snugbay.job.people import Access, Log, LogEntry, Logger, Temperature, TemperatureKind, Tool, You
from snugbay.job.place import Fuel, FuelUsed, Month, Place, Zone, ZoneKind
from snugbay.job.stock import Offcut, PriceOverride, SheetStock, Stock
from snugbay.job.surfaces import (
    Corner,
    Face,
    Framing,
    Hole,
    Host,
    Join,
    Layer,
    Notch,
    Opening,
    Part,
    Reading,
    ReadingKind,
)
from snugbay.job.whole import Default, Hazard, Job, Objective, Units, Wishes

__all__ = [
    "Access",
    "Corner",
    "Default",
    "Face",
    "Framing",
    "Fuel",
    "FuelUsed",
    "Hazard",
    "Hole",
    "Host",
    "HotThing",
    "Job",
    "Join",
    "Layer",
    "Log",
    "LogEntry",
    "Logger",
    "Month",
    "Notch",
    "Objective",
    "Offcut",
    "Opening",
    "Part",
    "Place",
    "PriceOverride",
    "Reading",
    "ReadingKind",
    "SheetStock",
    "Stock",
    "Temperature",
    "TemperatureKind",
    "Tool",
    "Units",
    "Wishes",
    "You",
    "Zone",
    "ZoneKind",
    "short_list",
]
