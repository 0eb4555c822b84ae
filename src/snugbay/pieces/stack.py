"""The layers of a board choice as slabs at their heights over the surface."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.base import InputError, NoFit, OutOfRange, Said
from snugbay.base.facts import FaceRef, Length
from snugbay.job import Face
from snugbay.pieces.rates import typical
from snugbay.pieces.values import BoardChoice, Fitting


@dataclass(frozen=True)
class Slab:
    """One layer of boards of one face.

    Attributes
    ----------
    layer : int
        Number of the layer, 1 against the surface.
    thickness : float
        [m]
    fitting : Fitting
        Where it lies.
    back, front : float
        Heights over the surface of the face; over exposed framing the surface is the framing's near side. [m]
    surface_rank : int
        1, 2, ... among the layers in front of the surface; 0 in the bays.
    covers : bool
        True for the strips over framing edges, which take the place of a layer.
    """

    layer: int
    thickness: float
    fitting: Fitting
    back: float
    front: float
    surface_rank: int
    covers: bool = False


def slabs(face: Face, choice: BoardChoice) -> tuple[Slab, ...]:
    """Place the layers of a choice over (or in the bays of) a face.

    Boards in bays lie against the far side of the bay, or leave the ventilated space there where the face must keep
    one. Boards over framing and on the face start at the surface, the near side of exposed framing.

    Raises
    ------
    OutOfRange
        If a thickness or the sheet is not positive.
    InputError
        If boards are to go in bays that the face does not have.
    NoFit
        If the boards in the bays are thicker than the bays are deep, or the boards in front exceed the face's depth.
    """
    where = ("faces", face.id)
    if not choice.layers or min(t for t, _ in choice.layers) <= 0:
        raise OutOfRange("Every layer of boards needs a thickness above 0.", where=where)
    if min(choice.sheet_width, choice.sheet_length) <= 0:
        raise OutOfRange("The sheet needs a width and a length above 0.", where=where)
    inside = sum(t for t, f in choice.layers if f is Fitting.IN_BAYS)
    vent = typical("vent_space") if face.vent_space else 0.0
    level = 0.0
    if inside:
        if face.framing is None or not face.framing.exposed:
            raise InputError(
                f"Face {face.id} has no open bays for boards.",
                where=where,
                hint="Lay the boards over the framing, or give the face its framing with open bays.",
            )
        level = vent - face.framing.depth
        if inside + vent > face.framing.depth + 1e-9:
            raise NoFit.of(
                Said.of(
                    "pieces.bays-too-shallow",
                    boards=Length(inside),
                    bays=Length(face.framing.depth),
                    air=Said.of("pieces.said.keep-air", vent=Length(vent)) if vent else None,
                ),
                where=where,
                cure=Said.of("pieces.said.rest-over-framing"),
            )
    found: list[Slab] = []
    height, rank = 0.0, 0
    for number, (thickness, fitting) in enumerate(choice.layers, 1):
        if fitting is Fitting.IN_BAYS:
            found.append(Slab(number, thickness, fitting, level, level + thickness, 0))
            level += thickness
        else:
            rank += 1
            found.append(Slab(number, thickness, fitting, height, height + thickness, rank))
            height += thickness
    if choice.covers > 0.0:
        if not inside or height > 0.0:
            raise InputError(
                f"Cover strips on {face.id} need boards in the bays and none over the framing.",
                where=where,
                hint="Leave the cover strips out: boards over the framing cover its edges already.",
            )
        found.append(Slab(len(found) + 1, choice.covers, Fitting.OVER, 0.0, choice.covers, 1, True))
        height = choice.covers
    if face.depth is not None and height + inside > face.depth + 1e-9:
        boards, depth = Length(height + inside), Length(face.depth)
        raise NoFit.of(
            Said.of("pieces.too-deep", boards=boards, depth=depth, face=FaceRef(face.id)),
            where=(*where, "depth"),
            cure=Said.of("pieces.said.fewer-layers"),
        )
    return tuple(found)


def height(stack: tuple[Slab, ...]) -> float:
    """Return the height of the boards in front of the surface. [m]"""
    return max((s.front for s in stack if s.surface_rank), default=0.0)
