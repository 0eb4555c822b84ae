"""Room pieces: faces to board pieces, with thickness, gaps, notches, seams and the way in."""

from snugbay.pieces.values import (
    BoardChoice,
    Edge,
    EdgeKind,
    Fitting,
    Piece,
    PieceKind,
    PieceSet,
    Proof,
    Seam,
    WayIn,
)

__all__ = [
    "BoardChoice",
    "Edge",
    "EdgeKind",
    "Fitting",
    "Piece",
    "PieceKind",
    "PieceSet",
    "Proof",
    "Seam",
    "WayIn",
]
