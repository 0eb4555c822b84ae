"""Whether a way fits a face, and why not."""

from __future__ import annotations

import math

from snugbay.base import Said, Told
from snugbay.base.facts import Length
from snugbay.job import Face, Hazard, Job, Part, ZoneKind
from snugbay.materials import Rates
from snugbay.ways.buildup import open_depth
from snugbay.ways.conditions import Conditions
from snugbay.ways.fillwork import fitting_products, usable_depth
from snugbay.ways.measure import Measured
from snugbay.ways.table import Way

STEEP = math.radians(75.0)
"""Faces steeper than this count as walls."""
SHALLOW = 0.02
"""Bays shallower than this count as none. [m]"""

FLAT = math.radians(10.0)
"""A corner that opens by more than this past flat drops away. [rad]"""

AS_FOUND = "as-found"


def matches(way: str, pattern: str) -> bool:
    """Tell whether a way id is the one named or one of its kinds (``"kit"`` stands for ``"kit/2in"``)."""
    return way == pattern or way.startswith(f"{pattern}/")


def surface_of(face: Measured) -> str:
    """floor, ceiling, slope or wall, as a person meets it."""
    if face.level:
        return "ceiling" if face.face.overhead else "floor"
    return "slope" if face.face.tilt < STEEP else "wall"


def _hot(face: Face) -> list[str]:
    return [n.name for n in face.notches if n.hot] + [h.name for h in face.holes if h.hot]


def ruled_out(job: Job, face: Face, way: str) -> list[str]:
    """Reasons that the job itself gives."""
    out = []
    if any(matches(way, n) for n in face.never):
        out.append("you ruled it out for this face")
    if any(matches(way, n) for n in job.wishes.ways_never):
        out.append("you ruled it out for the whole job")
    return out


def why_not(job: Job, face: Measured, way: Way, here: Conditions, rates: Rates) -> tuple[Told, ...]:
    """Reasons why a way does not fit a face; empty where it fits.

    Parameters
    ----------
    job : Job
        Hazards, wishes, health.
    face : Measured
        The face.
    way : Way
        The way.
    here : Conditions
        Whether anybody can work there.
    rates : Rates
        Rates.
    """
    out: list[Told] = [*ruled_out(job, face.face, way.id)]
    limits = way.limits
    surface = surface_of(face)
    if surface not in limits.surfaces:
        out.append(f"it does not stay on a {surface}")
    side = "warm" if face.from_inside else "cold"
    if side not in limits.sides:
        out.append(f"it cannot be fitted from the {side} side")
    if limits.by_hand and not here.reachable:
        least = Length(15 * 0.0254)
        out.append(Said.of("ways.said.too-low", height=Length(here.height), least=least))
    out += _framing(face, way, rates)
    out += _spilling(job, face, way)
    out += _hazards(job, face, way)
    sprays_by_hand = any(f.sprayed and not _hired(f.price_bf) for f in (way.fill, way.second) if f is not None)
    kit_edges = way.boards is not None and way.boards.edges == "kit foam"
    if (sprays_by_hand or kit_edges) and not job.you.sprays:
        out.append("no spraying by own hand: asthma, allergies or skin trouble")
    if way.boards is not None and len(way.boards.layers) > job.wishes.layers:
        out.append(f"you want at most {job.wishes.layers} layers of board")
    if way.boards is not None and face.face.substrate == "none" and way.boards.edges != "none":
        out.append("there is nothing to fasten boards to")
    return tuple(out)


def _hired(price: object) -> bool:
    return price != (0.0, 0.0, 0.0)


def _spilling(job: Job, face: Measured, way: Way) -> list[str]:
    """Loose fill lies only where every edge meets something that rises: over an edge that drops away it spills.

    Notes
    -----
    Edges that drop away are those joined at an outside corner, and all of a box's top. Edges without a join count as
    held: eaves and hatches get dams first.
    """
    if way.fill is None or way.fill.place != "floor" or surface_of(face) != "floor":
        return []
    ends = [(j, (j.a, j.edge_a)) for j in job.joins] + [(j, (j.b, j.edge_b)) for j in job.joins]
    drops = sorted("-".join(edge) for j, (of, edge) in ends if of == face.id and j.opening > math.pi + FLAT)
    if not drops and face.face.part is not Part.BOX_TOP:
        return []
    where = f"over {', '.join(drops)}" if drops else "over the edges of the box"
    return [f"loose fill would spill {where}: nothing rises there to hold it"]


def _framing(face: Measured, way: Way, rates: Rates) -> list[Told]:
    framing = face.face.framing
    exposed = framing is not None and framing.exposed
    depth = open_depth(face)
    match way.limits.needs:
        case "open bays" if not exposed or depth < SHALLOW:
            return ["there are no open bays"]
        case "framing" if not exposed:
            return ["there is no framing to screw to"]
        case "closed bays" if framing is None or framing.exposed:
            return ["there are no closed bays"]
        case "no open bays" if exposed and depth >= SHALLOW:
            return ["the bays are open: boards go in them or over the framing"]
        case "closed bays" if any(k.between_framing and k.material != "air" for k in face.face.layers):
            return ["the bays are filled already"]
        case _:
            pass
    for rule in (way.fill, way.second):
        if rule is not None and not fitting_products(rule, face, rates):
            least = min(p.thickness for p in rule.products)
            room = min(d for d in (usable_depth(face, rates), face.face.depth or math.inf) if d is not None)
            return [Said.of("ways.said.needs-depth", least=Length(least), room=Length(room))]
    if way.second is not None and way.fill is not None:
        both = min(p.thickness for p in way.fill.products) + min(p.thickness for p in way.second.products)
        if both > usable_depth(face, rates) + 1e-3:
            return [Said.of("ways.said.needs-bay", both=Length(both), room=Length(usable_depth(face, rates)))]
    return []


def _hazards(job: Job, face: Measured, way: Way) -> list[Told]:
    out: list[Told] = []
    hot = _hot(face.face)
    if hot and not way.limits.hot:
        out.append(f"{' and '.join(hot)} must stay clear, and it cannot be held off")
    if not way.limits.wet and Hazard.WET in job.hazards:
        out.append("wood or lining is wet: it must be dry first (under 19 %)")
    wires = {Hazard.KNOB_AND_TUBE, Hazard.BAD_WIRING} & set(job.hazards)
    if wires and way.limits.envelops and face.face.framing is not None:
        out.append(
            f"{', '.join(sorted(h.value for h in wires))}: wires must not be wrapped before an electrician clears it"
        )
    lights = Hazard.DOWNLIGHTS in job.hazards
    if lights and not way.limits.hot and surface_of(face) in {"floor", "ceiling"}:
        out.append(Said.of("ways.said.recessed-lights", clear=Length(0.0762)))
    return out


def board_depth(face: Measured, in_bays: float, over: float, rates: Rates) -> list[Told]:
    """Reasons of depth against boards of given thickness in the bays and over. [m]"""
    out: list[Told] = []
    usable = usable_depth(face, rates)
    if in_bays > usable + 1e-4:
        vent = Said.of("ways.said.space-stays-free") if face.face.vent_space else None
        out.append(Said.of("ways.said.in-bays", boards=Length(in_bays), bays=Length(usable), vent=vent))
    room = face.face.depth
    if room is not None and in_bays + over > room + 1e-4:
        out.append(Said.of("ways.said.where-free", boards=Length(in_bays + over), room=Length(room)))
    return out


def occupied(job: Job, face: Measured) -> bool:
    """Tell whether the boards' side is a room, or a space where things are kept: foam then needs a thermal barrier."""
    zone = job.zone(face.face.board_side)
    return zone.kind is ZoneKind.INSIDE or zone.storage
