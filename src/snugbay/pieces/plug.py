"""The plug: a removable bevelled panel for an opening."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi, tan

from snugbay.job import Face, Opening, Units
from snugbay.pieces.obstacles import Obstacle
from snugbay.pieces.plane import offset_outline, ring
from snugbay.pieces.rates import rate, typical
from snugbay.pieces.stack import Slab
from snugbay.pieces.values import Edge, EdgeKind, Piece, PieceKind
from snugbay.pieces.words import length, size

FLAT_SILL, ALL_FOUR = "flat sill", "all four"


def default_sill(face: Face) -> str:
    """Return how a plug stands: on a flat sill in a wall, wedged on all four edges in a floor or ceiling."""
    return FLAT_SILL if face.tilt > pi / 4 else ALL_FOUR


def plug_layers(
    face: Face, thing: Obstacle, stack: Sequence[Slab], sill: str, units: Units
) -> list[tuple[Slab, Piece]]:
    """Return the plug of an opening, one panel for each layer, to be glued into one.

    Parameters
    ----------
    face : Face
        The face of the opening.
    thing : Obstacle
        The opening.
    stack : sequence of Slab
        Layers of the face's boards; the plug has the same.
    sill : str
        ``"flat sill"`` (three bevelled edges, the lower edge square and standing on the sill) or ``"all four"``.
    units : Units
        For the note.

    Notes
    -----
    The plug is pushed in from the warm side, where it is larger. There it clears the opening by half the plug
    clearance on each side; from there its edges taper. The gasket lies on a flat stop, not on the taper; the plug
    stops short of it by the gasket's squeezed thickness.
    """
    opening = thing.opening
    assert opening is not None
    taper, gap = tan(typical("plug_taper")), typical("plug_clearance") / 2
    low, high = min(s.back for s in stack), max(s.front for s in stack)
    from_front = face.board_side == face.warm
    points = ring(thing.shape)
    bottom = min(range(len(points)), key=lambda k: points[k][1] + points[(k + 1) % len(points)][1])

    def outline(z: float) -> list[tuple[float, float]]:
        drawn = taper * ((high - z) if from_front else (z - low))
        insets = [0.0 if sill == FLAT_SILL and k == bottom else gap + drawn for k in range(len(points))]
        return offset_outline(points, insets)[0]

    note = _note(opening, outline(high), outline(low), sill, units)
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
    opening: Opening, front: list[tuple[float, float]], back: list[tuple[float, float]], sill: str, units: Units
) -> str:
    """Return what the person who builds the plug needs to know."""
    free, squeeze = typical("gasket_free"), typical("gasket_compression")
    latches = 4 if max(opening.width, opening.height) > 0.61 else 2
    plate = typical("backer_plate")
    return (
        f"Plug for {opening.name}, {'three edges bevelled, flat sill' if sill == FLAT_SILL else 'all four bevelled'} "
        f"at {typical('plug_taper') * 180 / pi:.0f} degrees: front {_sides(front, units)}, back {_sides(back, units)}. "
        f"Gasket {length(free, units)} on a flat stop, squeezed to {length(free * (1 - squeeze), units)} "
        f"({squeeze * 100:.0f} %; between {rate('gasket_compression').low * 100:.0f} and "
        f"{rate('gasket_compression').high * 100:.0f} %). {latches} latches. Handle bolted through two plywood backers "
        f"{size(plate, plate, units)}, 1/2 in thick, one on each face. Layers glued into one panel."
    )


def _sides(points: list[tuple[float, float]], units: Units) -> str:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return size(max(xs) - min(xs), max(ys) - min(ys), units)
