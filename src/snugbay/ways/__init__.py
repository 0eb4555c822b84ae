"""Room ways: each way to insulate a face, what it needs, gives, costs and takes."""

from snugbay.ways.values import AsFound, FaceAsFound, HourElement, Need, Option, WayTitle

__all__ = ["AsFound", "FaceAsFound", "HourElement", "Need", "Option", "WayTitle"]
