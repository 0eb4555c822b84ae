"""Small invented houses for the tests of ways and weigh: rectangles measured exactly."""

from __future__ import annotations

from math import pi

from snugbay.job import (
    Access,
    Face,
    Framing,
    Fuel,
    Job,
    Layer,
    Month,
    Part,
    Place,
    Stock,
    Units,
    Wishes,
    You,
    Zone,
    ZoneKind,
)
from snugbay.survey import AdjustedFace, Survey

MONTHS = tuple(
    Month(t, rh)
    for t, rh in zip(
        (-4.3, -3.3, 0.9, 6.9, 12.6, 17.7, 21.2, 20.5, 16.6, 10.3, 4.4, -1.2),
        (0.7, 0.68, 0.67, 0.66, 0.68, 0.72, 0.72, 0.74, 0.75, 0.73, 0.73, 0.72),
        strict=True,
    )
)
OIL = Fuel("oil", 0.0914, 0.82, 0.25)
ROOMS = Zone("rooms", "Rooms", ZoneKind.INSIDE)
OUT = Zone("out", "Outdoors", ZoneKind.OUTSIDE)
GROUND = Zone("ground", "Ground", ZoneKind.GROUND)
EAVES = Zone("eaves", "Eaves", ZoneKind.BUFFER, volume=6.0, air_changes=4.0, may_come_inside=True)
HATCH = Access(0.56, 0.76, 1.5, 1.0, 8.0)
OPEN = Access(2.0, 2.0, 5.0, 2.4, 5.0)
GYPSUM = Layer("gypsum", 0.0127)
DECK = (Layer("board-sheathing", 0.019), Layer("asphalt-shingle", 0.006))
STUDS = Framing(0.4064, 0.038, 0.089, first=0.2)
RAFTERS = Framing(0.4064, 0.038, 0.14, first=0.2)


def face(face_id: str, part: Part, warm: str, cold: str, side: str, **more: object) -> Face:
    given = {"tilt": pi / 2, "layers": (GYPSUM,), "headroom": 2.0, **more}
    return Face(face_id, face_id, part, warm, cold, side, corners=("A", "B", "C", "D"), readings=(), **given)  # type: ignore[arg-type]


def slope(face_id: str, **more: object) -> Face:
    given = {"tilt": 0.66, "overhead": True, "layers": DECK, "framing": RAFTERS, **more}
    return face(face_id, Part.SLOPE, "eaves", "out", "eaves", **given)


def rectangle(face_id: str, width: float, height: float) -> AdjustedFace:
    points = ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))
    nothing = tuple(tuple(0.0 for _ in range(8)) for _ in range(8))
    return AdjustedFace(face_id, ("A", "B", "C", "D"), points, nothing, (), width * height)


def surveyed(**sizes: tuple[float, float]) -> Survey:
    return Survey(tuple(rectangle(f, *s) for f, s in sizes.items()), (), (), (), 0.0, 1.0, 0)


def job(*faces: Face, **more: object) -> Job:
    given: dict[str, object] = {
        "units": Units.FT_IN,
        "place": Place("", OIL, MONTHS),
        "zones": (ROOMS, OUT, EAVES, GROUND),
        "access": OPEN,
        "joins": (),
        "stock": Stock(),
        "you": You(20.0),
        "wishes": Wishes(),
        **more,
    }
    return Job("test", "Test", faces=faces, **given)  # type: ignore[arg-type]


def eaves_job(**more: object) -> tuple[Job, Survey]:
    """Knee wall and floor on one line, rafters and a gable on the other."""
    faces = (
        face("K", Part.KNEE_WALL, "rooms", "eaves", "eaves", framing=STUDS, headroom=0.9),
        face("F", Part.FLOOR, "rooms", "eaves", "eaves", tilt=0.0, framing=RAFTERS, headroom=0.7),
        face(
            "S",
            Part.SLOPE,
            "eaves",
            "out",
            "eaves",
            tilt=0.66,
            overhead=True,
            layers=DECK,
            framing=RAFTERS,
            headroom=0.6,
        ),
        face("G", Part.GABLE, "eaves", "out", "eaves", layers=DECK, framing=STUDS, headroom=0.7),
    )
    sizes = {"K": (4.2, 1.15), "F": (4.2, 1.5), "S": (4.2, 1.9), "G": (1.5, 0.6)}
    return job(*faces, **{"access": HATCH, **more}), surveyed(**sizes)
