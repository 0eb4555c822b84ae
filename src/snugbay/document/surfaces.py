"""Plain faces, changes to faces and joins: from the document's models to the job's values."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from snugbay.base import InputError, SnugbayError
from snugbay.document.fabric import common_of, framing_of, layers_of, side_of, with_details
from snugbay.document.heights import UPRIGHT, Height
from snugbay.document.ledger import Ledger
from snugbay.document.models import ChangeDoc, FaceDoc
from snugbay.document.outline import JoinDoc
from snugbay.document.taping import outline
from snugbay.job import Face, Join, Part, Zone, ZoneKind
from snugbay.job.outlines import USUAL
from snugbay.job.runs import edges_between

PLUMB_PARTS = frozenset(
    {
        Part.KNEE_WALL,
        Part.WALL,
        Part.GABLE,
        Part.CHEEK,
        Part.BOX_SIDE,
        Part.BOX_BACK,
        Part.RIM,
        Part.CELLAR_WALL,
        Part.HATCH,
    }
)
OVERHEAD_PARTS = frozenset({Part.CEILING, Part.SLOPE, Part.BOX_BOTTOM})
WARMTH = {ZoneKind.INSIDE: 2, ZoneKind.BUFFER: 1, ZoneKind.GROUND: 0, ZoneKind.OUTSIDE: 0}
"""Zones by how warm they are in winter."""
FROM_THE_COLD = frozenset({Part.KNEE_WALL, Part.FLOOR, Part.BOX_SIDE, Part.BOX_TOP, Part.BOX_BOTTOM, Part.BOX_BACK})


def zone_pair(between: list[str], zones: tuple[Zone, ...]) -> tuple[Zone, Zone]:
    """Return the two zones that a face divides, warm one first; raise `InputError` where one is not there."""
    found = []
    for number, zone_id in enumerate(between):
        match = [z for z in zones if z.id == zone_id]
        if not match:
            names = ", ".join(z.id for z in zones)
            raise InputError(f"There is no zone {zone_id!r}.", where=("between", number), hint=f"Zones: {names}.")
        found.append(match[0])
    if found[0] is found[1]:
        raise InputError("A face divides two different zones.", where=("between",), hint="Warm zone first.")
    if WARMTH[found[0].kind] < WARMTH[found[1].kind]:
        warm, cold = found[1].id, found[0].id
        raise InputError(
            f"The colder zone {cold!r} stands first.",
            where=("between",),
            hint=f'The warm zone comes first: write between = ["{warm}", "{cold}"].',
        )
    return found[0], found[1]


def board_side(given: str | None, part: Part, zones: tuple[Zone, Zone], ledger: Ledger, where: str) -> str:
    """Return the side that boards are fitted from, the usual one noted where the document is silent."""
    warm, cold = zones
    if given is not None and given not in (warm.id, cold.id):
        raise InputError(
            f"{given!r} is neither side of this face.",
            where=("board_side",),
            hint=f"Write {warm.id!r} or {cold.id!r}.",
        )
    reachable = cold.kind is ZoneKind.BUFFER and part in FROM_THE_COLD
    return ledger.take(given, cold.id if reachable else warm.id, f"{where}.board_side", "usual for this part")


def face(doc: FaceDoc, zones: tuple[Zone, ...], ledger: Ledger, low: Mapping[str, Height]) -> Face:
    """Return one plain face; ``low`` has the working height of zones where a person does not stand."""
    where = f"faces.{doc.id}"
    pair = zone_pair(doc.between, zones)
    try:
        drawn = outline(doc.outline)
    except SnugbayError as error:
        raise error.at("outline") from None
    if doc.tilt is None and doc.part is Part.SLOPE:
        raise InputError(
            "A rafter slope needs its tilt.", where=("tilt",), hint="Write degrees from level or a pitch: 9/12."
        )
    usual = math.pi / 2 if doc.part in PLUMB_PARTS else 0.0
    tilt = ledger.take(
        None if doc.tilt is None else doc.tilt.value,
        usual,
        f"{where}.tilt",
        "usual for this part",
        f"{math.degrees(usual):.0f} degrees from level",
    )
    side = board_side(doc.board_side, doc.part, pair, ledger, where)
    substrate = "masonry" if doc.part is Part.CELLAR_WALL else "wood"
    c = common_of(doc, ledger, where, substrate, low.get(side, UPRIGHT))
    made = Face(
        id=doc.id,
        title=doc.title or doc.part.value,
        part=doc.part,
        warm=pair[0].id,
        cold=pair[1].id,
        board_side=side,
        tilt=tilt,
        corners=drawn.corners,
        readings=drawn.readings,
        overhead=doc.part in OVERHEAD_PARTS if doc.overhead is None else doc.overhead,
        layers=c.layers,
        framing=c.framing,
        substrate=c.substrate,
        depth=c.depth,
        headroom=c.headroom,
        headroom_told=c.headroom_told,
        vent_space=c.vent_space,
        in_front=c.in_front,
        old_insulation=c.old_insulation,
        must=c.must,
        never=c.never,
    )
    return with_details(made, doc, ledger, where)


def changed(made: Face, doc: ChangeDoc, ledger: Ledger) -> Face:
    """Return a shorthand's face with the user's changes laid over it."""
    where = f"changes.{doc.face}"
    return with_details(
        replace(
            made,
            title=doc.title or made.title,
            layers=layers_of(doc.layers) or made.layers,
            framing=framing_of(doc, ledger, where) or made.framing,
            substrate=doc.fasten_to or made.substrate,
            depth=made.depth if doc.depth is None else float(doc.depth),
            headroom=made.headroom if doc.headroom is None else float(doc.headroom),
            headroom_told=made.headroom_told or doc.headroom is not None,
            vent_space=made.vent_space if doc.vent_space is None else doc.vent_space,
            in_front=made.in_front if doc.in_front is None else doc.in_front,
            old_insulation=made.old_insulation if doc.old_insulation is None else doc.old_insulation,
            must=doc.must or made.must,
            never=tuple(doc.never) or made.never,
        ),
        doc,
        ledger,
        where,
    )


def join(doc: JoinDoc, faces: tuple[Face, ...], ledger: Ledger, number: int) -> Join:
    """Return a join; its angle becomes the angle of the open air on the boards' side."""
    ends = []
    for side, (face_id, edge_text) in (("a", doc.a), ("b", doc.b)):
        match = [f for f in faces if f.id == face_id]
        if not match:
            names = ", ".join(f.id for f in faces)
            raise InputError(f"There is no face {face_id!r}.", where=(side, 0), hint=f"Faces: {names}.")
        ends.append((face_id, side_of(edge_text, match[0], (side, 1))))
    (a, edge_a), (b, edge_b) = ends
    if a == b:
        raise InputError("A join needs two different faces.", where=("b", 0), hint="Name the other face.")
    if doc.runs_past not in ("", "mitre", a, b):
        raise InputError(
            f"{doc.runs_past!r} takes no part in this join.",
            where=("runs_past",),
            hint=f"Write {a!r}, {b!r}, or mitre.",
        )
    gauged = doc.angle.value if doc.angle is not None else None
    angle = ledger.take(gauged, math.pi / 2, f"joins[{number}].angle", "square", "90 degrees")
    if not math.radians(5) < angle < math.radians(355):
        raise InputError(
            "The angle of a join lies between 5 and 355 degrees.", where=("angle",), hint="Gauge the corner again."
        )
    opening = angle if doc.corner == "inside" else 2 * math.pi - angle
    sigma = USUAL.join if doc.angle is None else USUAL.angle
    return Join(
        a, edge_a, b, edge_b, opening, doc.runs_past, sigma, doc.name or f"{a} to {b}", gauged=doc.angle is not None
    )


def rough_where_unjoined(faces: tuple[Face, ...], joins: tuple[Join, ...], ledger: Ledger) -> tuple[Face, ...]:
    """Give every face whose rough edges nobody named a foam gap at the edges that no join reaches."""
    out = []
    for made in faces:
        if made.rough_edges:
            out.append(made)
            continue
        ends = [(j.a, j.edge_a) for j in joins] + [(j.b, j.edge_b) for j in joins]
        joined = {edge for own, side in ends if own == made.id for edge in edges_between(made, side)}
        edges = zip(made.corners, (*made.corners[1:], made.corners[0]), strict=True)
        rough = tuple(e for e in edges if e not in joined)
        if rough:
            names = ", ".join("-".join(e) for e in rough)
            ledger.note(f"{made.id}.rough_edges", names, "edges without a join meet rough framing: foam gap")
        out.append(replace(made, rough_edges=rough))
    return tuple(out)
