"""Room pieces: faces to board pieces, with thickness, gaps, notches, seams and the way in."""

from snugbay.pieces.going_in import pieces_that_go_in
from snugbay.pieces.make import make_pieces, pieces_for_face
from snugbay.pieces.prove import prove_in_solids
from snugbay.pieces.putting_in import surfaces
from snugbay.pieces.rates import FitRate, rate, rates
from snugbay.pieces.room import Room, room_before
from snugbay.pieces.scribing import blank, scribed
from snugbay.pieces.solids import solid
from snugbay.pieces.values import (
    BoardChoice,
    Edge,
    EdgeKind,
    Fitting,
    Piece,
    PieceKind,
    PieceSet,
    Promise,
    Proof,
    Scribe,
    Seam,
    WayIn,
)
from snugbay.pieces.wayin import Motion, Verdict, way_in
from snugbay.pieces.wide_gap import WIDE_GAP

__all__ = [
    "WIDE_GAP",
    "BoardChoice",
    "Edge",
    "EdgeKind",
    "FitRate",
    "Fitting",
    "Motion",
    "Piece",
    "PieceKind",
    "PieceSet",
    "Promise",
    "Proof",
    "Room",
    "Scribe",
    "Seam",
    "Verdict",
    "WayIn",
    "blank",
    "make_pieces",
    "pieces_for_face",
    "pieces_that_go_in",
    "prove_in_solids",
    "rate",
    "rates",
    "room_before",
    "scribed",
    "solid",
    "surfaces",
    "way_in",
]
