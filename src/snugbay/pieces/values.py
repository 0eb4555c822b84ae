"""Pieces as they are cut and placed."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from snugbay.base import Finding, Said, Told
from snugbay.base.facts import Count, Range, Share, names
from snugbay.survey import Point


class Fitting(StrEnum):
    """Where a board lies."""

    IN_BAYS = "in bays"
    OVER = "over framing"
    ON_FACE = "on the face"


class PieceKind(StrEnum):
    """What a piece is."""

    BOARD = "board"
    STRIP = "filler strip"
    COVER = "cover strip"
    PLUG = "plug"


class EdgeKind(StrEnum):
    """What the edge of a piece meets."""

    ROUGH = "foam gap"  # rough framing: gap filled with can foam
    SEAM = "tight seam"  # another piece in the same face, taped
    CORNER = "corner"  # another face's board at a join
    FREE = "free"  # nothing
    PLUG = "plug gap"  # gasket


@dataclass(frozen=True)
class Edge:
    """One edge of a piece, from outline point i to i + 1.

    Attributes
    ----------
    kind : EdgeKind
        What it meets.
    gap : float
        Gap left at this edge, in the plane of the face; square to a bevelled edge it is gap x cos(bevel). [m]
    bevel : float
        Angle of the cut from square; positive where the back face is the larger one. [rad]
    neighbour : str
        Piece, face or framing it meets, for people.
    wedge : float
        How much wider the gap is at the back or the front than ``gap`` says, where a bevel is cut square and the
        wedge is foamed. [m]
    """

    kind: EdgeKind
    gap: float = 0.0
    bevel: float = 0.0
    neighbour: str = ""
    wedge: float = 0.0


@dataclass(frozen=True)
class Scribe:
    """How a board is cut last, to what its row leaves.

    Attributes
    ----------
    edge : int
        Number of the edge that stays open.
    left : (float, float)
        What is expected to be left at the start and the end of that edge, square to it, up to what stands beyond. [m]
    spread : float
        Standard deviation of what is left. [m]
    allowance : float
        How much further out the blank is cut at that edge. [m]
    less : float
        How much less than what is left the board is cut. [m]
    """

    edge: int
    left: tuple[float, float]
    spread: float
    allowance: float
    less: float


@dataclass(frozen=True)
class Piece:
    """One piece to cut.

    Attributes
    ----------
    id : str
        Label written on it, ``"N1-2b"``.
    face : str
        Face id.
    layer : int
        1 lies against the surface, 2 over it, ...
    material : str
        Key in the boards table.
    thickness : float
        [m]
    outline : tuple of Point
        Outline of the front (the side the fitter sees) in the plane of the face, counter-clockwise. [m]
    edges : tuple of Edge
        One for each outline edge.
    holes : tuple of tuple of Point
        Holes, clockwise. [m]
    slits : tuple of (Point, Point)
        Slits from an edge to a hole, so that the piece goes round a pipe. [m]
    kind : PieceKind
        Board, strip, cover, plug.
    up : Point
        Unit vector "up" in the plane of the face.
    front : str
        Which side of the board is the front: ``"foil to the room"``, ``"print to the cold side"``, ...
    depth : float
        Distance of its back from the surface of the face (layers under it, or depth into the bay negative). [m]
    fits : float
        Probability that it goes in without trimming. [-]
    bay : str
        Bay it goes in, or empty.
    note : str
        For the person who cuts it.
    scribe : Scribe or None
        Where the board is cut last, to what is left; ``outline`` is then what is expected, and `blank` what is sawn.
    """

    id: str
    face: str
    layer: int
    material: str
    thickness: float
    outline: tuple[Point, ...]
    edges: tuple[Edge, ...]
    holes: tuple[tuple[Point, ...], ...] = ()
    slits: tuple[tuple[Point, Point], ...] = ()
    kind: PieceKind = PieceKind.BOARD
    up: Point = (0.0, 1.0)
    front: str = "foil to the room"
    depth: float = 0.0
    fits: float = 1.0
    bay: str = ""
    note: str = ""
    scribe: Scribe | None = None

    @property
    def area(self) -> float:
        """Area of the front, holes not taken off. [m²]"""
        points = self.outline
        return 0.5 * abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, (*points[1:], points[0]), strict=True)))


@dataclass(frozen=True)
class Seam:
    """A joint to be sealed.

    Attributes
    ----------
    face : str
        Face id.
    layer : int
        Layer.
    kind : EdgeKind
        Foam gap, tight seam, corner, plug gap.
    length, width, depth : float
        [m]
    between : tuple of str
        Piece labels, or a piece label and what it meets.
    ends : tuple of (Point, Point)
        In the plane of the face. [m]
    """

    face: str
    layer: int
    kind: EdgeKind
    length: float
    width: float
    depth: float
    between: tuple[str, str]
    ends: tuple[Point, Point]


@dataclass(frozen=True)
class BoardChoice:
    """Which boards a face gets: the question that `pieces` answers.

    Attributes
    ----------
    face : str
        Face id.
    material : str
        Key in the boards table.
    layers : tuple of (float, Fitting)
        Thickness [m] and where it lies, surface first.
    sheet_width, sheet_length : float
        Sheet that pieces must come out of. [m]
    covers : float
        Thickness of cover strips over framing edges, where no layer lies over the framing; 0 for none. [m]
    plug : str
        ``"flat sill"`` (three bevelled edges), ``"all four"``, or empty for the usual one of the face.
    in_hands : bool
        True where no piece may be larger or heavier than the hands on the job can place at the face's headroom.
    """

    face: str
    material: str
    layers: tuple[tuple[float, Fitting], ...]
    sheet_width: float
    sheet_length: float
    covers: float = 0.0
    plug: str = ""
    in_hands: bool = False


@dataclass(frozen=True)
class WayIn:
    """Whether a piece passes the opening and turns behind it.

    Attributes
    ----------
    piece : str
        Label.
    passes : bool
        Verdict.
    how : str
        In words: flat, on edge, tilted by so much; or why not.
    """

    piece: str
    passes: bool
    how: Told


@dataclass(frozen=True)
class Proof:
    """The check in solids.

    Attributes
    ----------
    pieces : int
        Count.
    overlaps : int
        Pairs that overlap.
    coverage : float
        Share of the area meant for board that board covers: openings, notches, holes and framing between bays are not
        meant for board; gaps for foam are, and are missing from it. [0..1]
    narrowest_gap : float
        [m]
    all_pass_the_way_in : bool
        Every piece can be brought in.
    text : str
        In words.
    bare : float
        Share of the area meant for board that is neither board nor a gap left on purpose. [0..1]
    all_reach_place : bool
        Every piece can be moved to its place past what is fitted before it.
    findings : tuple of Finding
        Which pieces overlap, leave a bare spot, or cannot be put in.
    order : tuple of str
        Labels in an order in which the pieces were found to go in past each other.
    """

    pieces: int
    overlaps: int
    coverage: float
    narrowest_gap: float
    all_pass_the_way_in: bool
    said: Said
    bare: float = 0.0
    all_reach_place: bool = True
    findings: tuple[Finding, ...] = ()
    order: tuple[str, ...] = ()


@dataclass(frozen=True)
class Tried:
    """What the trial of every board's way to its place found.

    Attributes
    ----------
    order : tuple of str
        Labels in the order in which the pieces go in.
    stuck : tuple of str
        Those for which no motion was found.
    """

    order: tuple[str, ...]
    stuck: tuple[str, ...]


@dataclass(frozen=True)
class Promise:
    """Whether the boards of the whole job go in as cut.

    Attributes
    ----------
    all_go_in : float
        Probability that no board has to be trimmed. [-]
    trims : float
        Boards to be trimmed, on average. [-]
    least, most : int
        Boards to be trimmed where any are: one time in ten fewer, one time in ten more.
    where : tuple of str
        The boards most likely to be trimmed.
    """

    all_go_in: float
    trims: float
    least: int
    most: int
    where: tuple[str, ...]

    @property
    def said(self) -> Said:
        """As a phrase."""
        chance = Share(self.all_go_in)
        if self.most < 1 or not self.where:
            return Said.of("pieces.promise", chance=chance, trims=None)
        number = Count(self.most)
        trims = Said.of(
            "pieces.said.if-not",
            number=number if self.least == self.most else Range(Count(self.least), number),
            most=number,
            where=names(self.where, "comma"),
        )
        return Said.of("pieces.promise", chance=chance, trims=trims)


@dataclass(frozen=True)
class PieceSet:
    """All pieces of the chosen boards.

    Attributes
    ----------
    pieces : tuple of Piece
        In fitting order within a face.
    seams : tuple of Seam
        Every joint to seal.
    way_in : tuple of WayIn
        One for each piece.
    proof : Proof or None
        The check in solids, where it was run.
    findings : tuple of Finding
        What the user must know.
    promise : Promise or None
        Whether all boards go in as cut; None where pieces are only made to price them.
    tried : Tried or None
        How these very pieces go in past each other; None where nobody tried.
    """

    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...]
    way_in: tuple[WayIn, ...]
    proof: Proof | None = None
    findings: tuple[Finding, ...] = ()
    promise: Promise | None = None
    tried: Tried | None = None
