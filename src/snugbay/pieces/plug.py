"""The plug: a removable bevelled panel for an opening."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi, tan

from snugbay.base import Finding, Weight
from snugbay.base.facts import FaceRef, Name
from snugbay.job import Face, Job, Opening, Units, ZoneKind
from snugbay.pieces.obstacles import Obstacle
from snugbay.pieces.plane import offset_outline, ring
from snugbay.pieces.rates import rate, typical
from snugbay.pieces.stack import Slab
from snugbay.pieces.values import Edge, EdgeKind, Piece, PieceKind
from snugbay.pieces.words import length, size
from snugbay.tape import tape_for

FLAT_SILL, ALL_FOUR = "flat sill", "all four"


def default_sill(face: Face) -> str:
    """Return how a plug stands: on a flat sill in a wall, wedged on all four edges in a floor or ceiling."""
    return FLAT_SILL if face.tilt > pi / 4 else ALL_FOUR


SAME = 0.02
"""An opening within this of the way in's width and height is the way in. [m]"""


def is_way_out(job: Job, face: Face, opening: Opening) -> bool:
    """Return whether an opening leads out of a crawl or eaves space and is as large as the way in.

    Whoever has worked in the space leaves through it, away from the warm side of the face.
    """
    alike = max(abs(opening.width - job.access.width), abs(opening.height - job.access.height)) <= SAME
    return alike and job.zone(face.warm).kind is ZoneKind.BUFFER


def goes_in_from(job: Job, face: Face, opening: Opening) -> str:
    """Return the zone from which a plug is put in: the warm one, or, on the way out, the one outside."""
    return face.cold if is_way_out(job, face, opening) else face.warm


def plug_findings(job: Job, face: Face) -> tuple[Finding, ...]:
    """Return a warning for each plug that shuts the only way out of a space."""
    found = []
    for opening in face.openings:
        if opening.plug and is_way_out(job, face, opening):
            inside, outside = job.zone(face.warm).title, job.zone(face.cold).title
            found.append(
                Finding.of(
                    "pieces.plug-way-out",
                    Weight.WARN,
                    ("faces", face.id, "openings", opening.name),
                    opening=Name(opening.name),
                    face=FaceRef(face.id),
                    inside=Name(inside),
                    outside=Name(outside),
                )
            )
    return tuple(found)


def plug_layers(job: Job, face: Face, thing: Obstacle, stack: Sequence[Slab], sill: str) -> list[tuple[Slab, Piece]]:
    """Return the plug of an opening, one panel for each layer, to be glued into one.

    Parameters
    ----------
    job : Job
        Its way in, its spaces, and units for the note.
    face : Face
        The face of the opening.
    thing : Obstacle
        The opening.
    stack : sequence of Slab
        Layers of the face's boards; the plug has the same.
    sill : str
        ``"flat sill"`` (three bevelled edges, the lower edge square and standing on the sill) or ``"all four"``.

    Notes
    -----
    The plug is pushed in from the warm side, from outside where it shuts the way out of a space (`goes_in_from`), and
    is larger there. On that side it clears the opening by half the plug
    clearance on each side; from there its edges taper. The gasket lies on a flat stop, not on the taper; the plug
    stops short of it by the gasket's squeezed thickness.
    """
    opening = thing.opening
    assert opening is not None
    taper, gap = tan(typical("plug_taper")), typical("plug_clearance") / 2
    low, high = min(s.back for s in stack), max(s.front for s in stack)
    side = goes_in_from(job, face, opening)
    from_front = face.board_side == side
    points = ring(thing.shape)
    bottom = min(range(len(points)), key=lambda k: points[k][1] + points[(k + 1) % len(points)][1])

    def outline(z: float) -> list[tuple[float, float]]:
        drawn = taper * ((high - z) if from_front else (z - low))
        insets = [0.0 if sill == FLAT_SILL and k == bottom else gap + drawn for k in range(len(points))]
        return offset_outline(points, insets)[0]

    note = _note(job, opening, outline(high), outline(low), sill, side)
    found = []
    for slab in stack:
        front = outline(slab.front)
        bevel = typical("plug_taper") * (-1.0 if from_front else 1.0)
        edges = tuple(
            Edge(
                EdgeKind.PLUG,
                0.0 if sill == FLAT_SILL and k == bottom else gap,
                0.0 if sill == FLAT_SILL and k == bottom else bevel,
                opening.name,
            )
            for k in range(len(points))
        )
        piece = Piece(
            "",
            face.id,
            slab.layer,
            "",
            slab.thickness,
            tuple(front),
            edges,
            kind=PieceKind.PLUG,
            depth=slab.back,
            note=note,
        )
        found.append((slab, piece))
    return found


def _note(
    job: Job, opening: Opening, front: list[tuple[float, float]], back: list[tuple[float, float]], sill: str, side: str
) -> str:
    """Return what the person who builds the plug needs to know."""
    units = job.units
    free, squeeze = typical("gasket_free"), typical("gasket_compression")
    tape = tape_for(units)
    squeezed = free * (1 - squeeze)
    share = 1 - tape.marks(squeezed) / tape.marks(free)  # of what the tape shows
    latches = 4 if max(opening.width, opening.height) > 0.61 else 2
    plate = typical("backer_plate")
    return (
        f"Plug for {opening.name}, {'three edges bevelled, flat sill' if sill == FLAT_SILL else 'all four bevelled'} "
        f"at {typical('plug_taper') * 180 / pi:.0f} degrees: front {_sides(front, units)}, back {_sides(back, units)}. "
        f"It goes in from {job.zone(side).title}, the larger side last; latches and handle there. "
        f"Gasket {length(free, units)} on a flat stop, squeezed to {length(squeezed, units)} "
        f"({share * 100:.0f} %; between {rate('gasket_compression').low * 100:.0f} and "
        f"{rate('gasket_compression').high * 100:.0f} %). {latches} latches. Handle bolted through two plywood backers "
        f"{size(plate, plate, units)}, 1/2 in thick, one on each face. Layers glued into one panel."
    )


def _sides(points: list[tuple[float, float]], units: Units) -> str:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return size(max(xs) - min(xs), max(ys) - min(ys), units)
