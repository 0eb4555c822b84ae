"""Faces, their readings, what interrupts them, and how they join.

A face is drawn as seen by a person standing where the board will go: x to the right, y up the face (up the slope, or
away from the viewer on a floor), corners counter-clockwise. No drawing is ever mirrored.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from snugbay.job.hot import HotThing

Corner = str
"""A corner of an outline, named with letters: ``"A"``."""


class Part(StrEnum):
    """What part of the house a face is, in the trade's words."""

    KNEE_WALL = "knee wall"
    WALL = "wall"
    FLOOR = "floor"
    CEILING = "ceiling"
    SLOPE = "rafter slope"
    GABLE = "gable"
    CHEEK = "dormer cheek"
    BOX_SIDE = "box side"
    BOX_TOP = "box top"
    BOX_BOTTOM = "box bottom"
    BOX_BACK = "box back"
    RIM = "rim joist"
    CELLAR_WALL = "cellar wall"
    HATCH = "hatch"


class ReadingKind(StrEnum):
    """What a reading measures; ``corners`` of the reading say where."""

    DISTANCE = "distance"  # corners (P, Q): straight line P to Q, a side or a diagonal [m]
    ANGLE = "angle"  # corners (P, Q, R): inside angle at Q between Q-P and Q-R [rad]
    ALONG = "along"  # corners (P, Q, R): distance along the line P-Q from P to the foot of R [m]
    OFFSET = "offset"  # corners (P, Q, R): distance of R square to the line P-Q, to its left positive [m]
    LEAN = "lean"  # corners (P, Q): angle of P-Q from the face's up direction, clockwise positive [rad]
    TWIST = "twist"  # corners (P,): distance of the corner out of the plane of the face, towards the viewer [m]


@dataclass(frozen=True)
class Reading:
    """One reading of tape, gauge or level.

    Attributes
    ----------
    kind : ReadingKind
        What is measured.
    corners : tuple of str
        Where, see `ReadingKind`.
    value : float
        What was read. [m or rad]
    sigma : float
        Standard deviation of the instrument for this reading. [m or rad]
    written : str
        The reading as the user wrote it.
    name : str
        Short name for people: ``"A-B"``, ``"station 3 height"``, ``"square at B"``.
    instrument : str
        Precision class of the instrument.
    field : tuple of str or int
        Where the user wrote it, from the face's or the shorthand's table on: ``("front",)``; empty where the eye or
        the program put it there.
    assumed : bool
        True where nobody measured it: the eye says so, it is usual, or it is a guess. It holds what no reading holds,
        yields to readings, and is never taken for a slip.
    """

    kind: ReadingKind
    corners: tuple[Corner, ...]
    value: float
    sigma: float
    written: str = ""
    name: str = ""
    instrument: str = "tape"
    field: tuple[str | int, ...] = ()
    assumed: bool = False


@dataclass(frozen=True)
class Layer:
    """One existing layer, or a layer that a way adds.

    Attributes
    ----------
    material : str
        Key in the materials table.
    thickness : float
        Thickness. [m]
    between_framing : bool
        True where the framing of the face runs through this layer.
    resistance : float or None
        Stated resistance that overrides the table. [m²·K/W]
    """

    material: str
    thickness: float
    between_framing: bool = False
    resistance: float | None = None


@dataclass(frozen=True)
class Framing:
    """Studs, rafters or joists of a face.

    Attributes
    ----------
    spacing : float
        Centre to centre. [m]
    width : float
        Width of one member seen in the face. [m]
    depth : float
        Depth of the member square to the face. [m]
    direction : str
        ``"up"`` (members run along y of the face) or ``"across"`` (along x).
    first : float
        Centre of the first member from the left (or lower) end of the face. [m]
    exposed : bool
        True where the bays are open to the side the board comes from.
    """

    spacing: float
    width: float
    depth: float
    direction: str = "up"
    first: float = 0.0
    exposed: bool = True


@dataclass(frozen=True)
class Notch:
    """A piece out of an edge: a rafter, pipe or tie that crosses it.

    Attributes
    ----------
    name : str
        What it goes round.
    edge : tuple of str
        The edge, from its first to its second corner, counter-clockwise.
    distance : float
        From the first corner along the edge to the near side of the notch. [m]
    width : float
        Along the edge. [m]
    depth : float
        Square to the edge into the face. [m]
    skew : float
        Lean of the notch sides from square to the edge, positive towards the second corner. [rad]
    sigma : float
        Standard deviation of these readings. [m]
    hot : bool
        True for a flue or hot pipe: foam and board keep clear.
    hot_thing : HotThing or None
        What a hot thing is; None where nobody said.
    on_label : float or None
        Distance that its own label or plate asks for. [m]
    """

    name: str
    edge: tuple[Corner, Corner]
    distance: float
    width: float
    depth: float
    skew: float = 0.0
    sigma: float = 0.0015
    hot: bool = False
    hot_thing: HotThing | None = None
    on_label: float | None = None


@dataclass(frozen=True)
class Hole:
    """A hole inside a face: a pipe, a cable, a duct, a light.

    Attributes
    ----------
    name : str
        What passes through.
    x, y : float
        Centre, from the first corner along the first edge and square to it. [m]
    width, height : float
        Size; equal to the diameter for a round hole. [m]
    round : bool
        Round or rectangular.
    sigma : float
        Standard deviation of these readings. [m]
    hot : bool
        True for a flue or a lamp that must not be covered.
    hot_thing : HotThing or None
        What a hot thing is; None where nobody said.
    on_label : float or None
        Distance that its own label or plate asks for. [m]
    """

    name: str
    x: float
    y: float
    width: float
    height: float
    round: bool = True
    sigma: float = 0.0015
    hot: bool = False
    hot_thing: HotThing | None = None
    on_label: float | None = None


@dataclass(frozen=True)
class Opening:
    """A door, hatch or window in a face; a hatch may get a plug.

    Attributes
    ----------
    name : str
        What it is.
    x, y : float
        Lower left corner, from the first corner along the first edge and square to it. [m]
    width, height : float
        Clear size. [m]
    plug : bool
        True where a removable bevelled plug is wanted.
    sigma : float
        Standard deviation of these readings. [m]
    """

    name: str
    x: float
    y: float
    width: float
    height: float
    plug: bool = False
    sigma: float = 0.0015


@dataclass(frozen=True)
class Face:
    """A plane between two zones, measured from the side where the board will go.

    Attributes
    ----------
    id : str
        Short name, ``"N1"``.
    title : str
        Name for people.
    part : Part
        What part of the house it is.
    warm, cold : str
        Zone ids on the side nearer to the room and on the side nearer to outdoors.
    board_side : str
        Zone id of the side the board is fitted from; equal to ``warm`` or ``cold``.
    tilt : float
        Angle of the surface from level: 0 floor or ceiling, pi/2 plumb wall, the pitch for a slope. [rad]
    overhead : bool
        True where the fitter looks up at the face (ceilings, slopes from below).
    corners : tuple of str
        Corner names, counter-clockwise.
    readings : tuple of Reading
        All readings of the outline.
    layers : tuple of Layer
        What is there now, warm side first.
    framing : Framing or None
        Studs, rafters or joists.
    substrate : str
        What there is to fasten to: wood, masonry, gypsum, metal, none.
    depth : float or None
        Depth available for insulation; None where nothing limits it. [m]
    headroom : float
        Working height where the fitter is. [m]
    headroom_told : bool
        False where nobody stated it: the faces round the space then tell, and ``headroom`` holds where they do not.
    vent_space : bool
        True where a ventilated gap under the deck must stay.
    in_front : str
        What stands built in before it on the warm side: ``"drawers"``, ``"cupboard"`` (closed doors), ``"open niche"``;
        empty for nothing.
    rough_edges : tuple of tuple of str
        Edges that meet rough framing and get a foam gap.
    notches, holes, openings
        What interrupts the face.
    old_insulation : bool
        True where old insulation must come out first.
    must : str
        Way id the user insists on, or empty.
    never : tuple of str
        Way ids the user rules out.
    from_shorthand : str
        Name of the shorthand this face came from, or empty.
    measures : tuple of Reading
        Of a face of a space: every length that can be read of it, by its name for people, with what it should come to.
    """

    id: str
    title: str
    part: Part
    warm: str
    cold: str
    board_side: str
    tilt: float
    corners: tuple[Corner, ...]
    readings: tuple[Reading, ...]
    overhead: bool = False
    layers: tuple[Layer, ...] = ()
    framing: Framing | None = None
    substrate: str = "wood"
    depth: float | None = None
    headroom: float = 2.0
    headroom_told: bool = True
    vent_space: bool = False
    in_front: str = ""
    rough_edges: tuple[tuple[Corner, Corner], ...] = ()
    notches: tuple[Notch, ...] = ()
    holes: tuple[Hole, ...] = ()
    openings: tuple[Opening, ...] = ()
    old_insulation: bool = False
    must: str = ""
    never: tuple[str, ...] = ()
    from_shorthand: str = ""
    measures: tuple[Reading, ...] = ()


@dataclass(frozen=True)
class Host:
    """A box stands in an opening of another face.

    Attributes
    ----------
    root : str
        Face id of the box's back; it lies parallel to the host.
    faces : tuple of str
        All faces of the box.
    face, opening : str
        Host face id and the name of its opening that the box fills; the back's first corner stands over the opening's
        lower left corner.
    standoff : float
        Distance of the back from the host face, on the boards' side. [m]
    """

    root: str
    faces: tuple[str, ...]
    face: str
    opening: str
    standoff: float


@dataclass(frozen=True)
class Join:
    """An edge of one face meets an edge of another.

    Attributes
    ----------
    a, b : str
        Face ids.
    edge_a, edge_b : tuple of str
        The edges, each in its own face's counter-clockwise order; the two run in opposite directions along the join.
    opening : float
        Angle of the open air between the two surfaces on the boards' side: pi/2 inside corner of a square room,
        3 pi/2 outside corner of a box seen from outside it. [rad]
    runs_past : str
        Face id whose board runs past the other's, ``"mitre"``, or empty for Snugbay's own choice.
    sigma : float
        Standard deviation of the angle. [rad]
    name : str
        Name for people.
    gauged : bool
        False where nobody read the angle: ``opening`` is then a guess, and gives way to what the faces themselves say.
    """

    a: str
    edge_a: tuple[Corner, Corner]
    b: str
    edge_b: tuple[Corner, Corner]
    opening: float
    runs_past: str = ""
    sigma: float = 0.009
    name: str = ""
    gauged: bool = True
