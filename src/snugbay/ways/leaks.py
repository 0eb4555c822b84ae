"""Leaks of a face as found, from its joints, surface, holes and openings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from snugbay.job import Part, Place, ZoneKind
from snugbay.materials import material
from snugbay.physics.air import leakage_of
from snugbay.ways.buildup import AIRTIGHT
from snugbay.ways.measure import Measured

JOINTS: Mapping[Part, str] = {
    Part.RIM: "floor_wall_joint",
    Part.KNEE_WALL: "ceiling_wall_joint",
    Part.FLOOR: "floor_wall_joint",
    Part.BOX_BACK: "ceiling_wall_joint",
    Part.BOX_BOTTOM: "ceiling_wall_joint",
    Part.BOX_SIDE: "ceiling_wall_joint",
    Part.BOX_TOP: "ceiling_wall_joint",
    Part.CHEEK: "ceiling_wall_joint",
    Part.SLOPE: "ceiling_wall_joint",
    Part.GABLE: "ceiling_wall_joint",
    Part.CEILING: "ceiling_wall_joint",
    Part.WALL: "ceiling_wall_joint",
    Part.CELLAR_WALL: "top_plate",
    Part.HATCH: "ceiling_wall_joint",
}
"""Kind of joint along the edges of each part; half of each edge is counted, the neighbour has the other half."""


def leak_as_found(face: Measured, kinds: Mapping[str, ZoneKind]) -> float:
    """Effective leakage area of a face as found. [m²]

    Parameters
    ----------
    face : Measured
        The face.
    kinds : mapping of str to ZoneKind
        Kind of each zone.

    Returns
    -------
    float
        At 4 Pa. Zero against the ground. Half the outline as joints of its part, the surface like a plain ceiling
        (tight where an airtight layer is there), each hole as a pipe, each opening as a small door without gasket.

    References
    ----------
    The component table of `physics.air` (orders of magnitude; a blower-door figure knows better).
    """
    if ZoneKind.GROUND in (kinds[face.face.cold], kinds[face.face.warm]):
        return 0.0
    tight = any(k.material in AIRTIGHT for k in face.face.layers)
    joints = float(leakage_of(JOINTS[face.face.part], 0.5 * face.perimeter))
    surface = float(leakage_of("ceiling", face.area, "tight" if tight else "typical"))
    holes = float(leakage_of("pipe_or_wire", len(face.face.holes)))
    return joints + surface + holes + opening_leak(face, sealed=False)


def joist_bays(faces: Sequence[Measured], face: Measured) -> int:
    """Joist bays that run under a knee wall, or end at the eaves of a slope: those of the floor in the same space."""
    if face.face.part not in {Part.KNEE_WALL, Part.SLOPE}:
        return 0
    space = face.face.board_side
    floors = [f for f in faces if f.face.part is Part.FLOOR and f.face.board_side == space and f.bays]
    if floors:
        return max(f.bays for f in floors)
    return face.bays if face.face.part is Part.KNEE_WALL and not face.from_inside else 0


def joist_leak(bays: int, *, blocked: bool) -> float:
    """Leakage area of the joist bays under a knee wall, open or blocked and sealed. [m²]"""
    return float(leakage_of("open_joist_bay", bays, "tight" if blocked else "typical"))


def tightness(place: Place, usual_ach50: float) -> float:
    """How leaky the house is beside one of its size for which the table of components holds. [-]

    Parameters
    ----------
    place : Place
        Blower-door figure, if there is one, and the volume it belongs to.
    usual_ach50 : float
        Air changes at 50 Pa of the houses that the components were measured in. [1/h]
    """
    if place.blower_door is None:
        return 1.0
    return 3600.0 * place.blower_door / place.house_volume / usual_ach50


def opening_leak(face: Measured, *, sealed: bool) -> float:
    """Leakage area of the doors and hatches of a face, without or with gaskets. [m²]

    Openings that no plug is wanted for (windows, niches with faces of their own) are not counted.
    """
    doors = sum(o.plug for o in face.face.openings)
    return float(leakage_of("attic_hatch", doors, "tight" if sealed else "typical"))


def airtight_as_found(face: Measured) -> bool:
    """Tell whether a face has a layer that could be the air barrier once its joints are sealed."""
    return any(k.material in AIRTIGHT or material(k.material).kind == "sheet" for k in face.face.layers)
