"""Room ways: each way to insulate a face, what it needs, gives, costs and takes."""

from snugbay.ways.found import as_found
from snugbay.ways.offer import options
from snugbay.ways.reading import all_ways, read_ways
from snugbay.ways.resources import rates_of
from snugbay.ways.table import Way
from snugbay.ways.values import AsFound, FaceAsFound, HourElement, Need, Option, WayTitle

__all__ = [
    "AsFound",
    "FaceAsFound",
    "HourElement",
    "Need",
    "Option",
    "Way",
    "WayTitle",
    "all_ways",
    "as_found",
    "options",
    "rates_of",
    "read_ways",
]
