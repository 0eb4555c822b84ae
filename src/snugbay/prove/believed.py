"""What is held of a face before its readings: resistance as found where it is read, films, what the plan adds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from snugbay.job import Job, Part, ZoneKind
from snugbay.prove.backwards import Believed
from snugbay.prove.tables import figure
from snugbay.ways.balance import zone_kinds
from snugbay.ways.buildup import films, resistance
from snugbay.ways.found import Ground
from snugbay.weigh import AS_FOUND, Weighing

NICHES = frozenset({Part.BOX_SIDE, Part.BOX_TOP, Part.BOX_BOTTOM, Part.BOX_BACK})
"""Parts of niches, where the air of the room stands still."""


def planned_added(weighing: Weighing, face: str) -> float:
    """Resistance that the plan adds to a face. [m²·K/W] Zero where it leaves the face as found."""
    way = dict(weighing.plan.ways).get(face, AS_FOUND)
    if way == AS_FOUND:
        return 0.0
    option = next((o for o in weighing.options if (o.face, o.way) == (face, way)), None)
    found = next((f.r for f in weighing.as_found.faces if f.face == face), None)
    return max(option.r_typical - found, 0.0) if option is not None and found is not None else 0.0


def believed(base: Ground, weighing: Weighing, face: str) -> Believed:
    """Say what is held of a face before its readings.

    Parameters
    ----------
    base : Ground
        Measured faces and rates.
    weighing : Weighing
        The plan.
    face : str
        Face id.

    Notes
    -----
    The middle of a framed face is read between the framing, so the resistance as found is taken there, without the
    share of the framing.
    """
    own, kinds = base.by_id[face], zone_kinds(base.job)
    between = replace(own, framing_share=0.0)
    bare = resistance(between, kinds, base.rates).total - sum(films(between, kinds))
    room = "niche" if own.face.part in NICHES and kinds[own.face.warm] is ZoneKind.INSIDE else "room"
    if kinds[own.face.warm] is not ZoneKind.INSIDE:
        room = "sheltered"
    cold = "weather" if kinds[own.face.cold] is ZoneKind.OUTSIDE and not own.face.vent_space else "sheltered"
    return Believed(
        max(bare, figure("readings", "build", "least_resistance")),
        planned_added(weighing, face),
        (figure("readings", "films", room), figure("readings", "films", f"{room}_spread")),
        (figure("readings", "films", cold), figure("readings", "films", f"{cold}_spread")),
        figure("readings", "build", "found_spread"),
    )


def places(
    job: Job, weighing: Weighing, setpoint_c: float, design_c: float
) -> Mapping[tuple[str, str], tuple[float, float]]:
    """Place of each buffer space's air between outdoors (0) and the rooms (1), before and after, with its spread.

    From the plan's heat balance on a design day.
    """
    spread = figure("readings", "errors", "space_share")
    kinds = zone_kinds(job)
    out: dict[tuple[str, str], tuple[float, float]] = {}
    for zone, before, after in weighing.zone_design_c:
        if kinds.get(zone) is ZoneKind.BUFFER and setpoint_c > design_c:
            for when, temp in (("before", before), ("after", after)):
                out[when, zone] = ((temp - design_c) / (setpoint_c - design_c), spread)
    return out
