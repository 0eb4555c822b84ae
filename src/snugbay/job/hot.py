"""Hot things that pass through a face, by the trade's words."""

from __future__ import annotations

from enum import StrEnum


class HotThing(StrEnum):
    """What it is that must not be covered; how far boards keep off it is a table of the survey."""

    FACTORY_FLUE = "factory-made metal flue"
    TYPE_B_VENT = "type-B vent"
    SINGLE_WALL = "single-wall flue pipe"
    MASONRY = "masonry chimney"
    LIGHT = "recessed light"
    FAN_HEATER = "fan heater"
    TRANSFORMER = "transformer"
    PIPE = "hot pipe"
