"""Corners: who runs past, and the plane on which each board ends, for any angle between two faces.

In the section square to the join, face A lies along a ray at angle 0 and face B along a ray at the opening angle
theta, the air between them. A point at distance x from the edge and height z over face A lies at height
``x sin(theta) - z cos(theta)`` over face B. Boards are placed one after another; each new board ends on the plane that
the other face's boards placed so far make (their front, or the bare surface). So at an inside corner the first board
runs past and the later one stops short by the first one's thickness, and at an outside corner the later one grows by
the thickness of the first and covers its edge: one rule, any angle, no overlap and nothing left bare.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import atan2, cos, hypot, pi, sin, sqrt, tan

from snugbay.base import Finding, OutOfRange, Weight
from snugbay.base.facts import Angle, faces
from snugbay.job import Face, Join
from snugbay.pieces.rates import typical
from snugbay.pieces.stack import Slab
from snugbay.survey import AdjustedFace, Survey

LEAST_OPENING, GREATEST_OPENING = pi / 12, 2 * pi - pi / 12
"""Openings between two faces that can be boarded. [rad]"""

NEARLY_FLAT = 0.26
"""Below this sine of the opening the planes of two faces cross too far away to end a board on. [-]"""


class How(StrEnum):
    """How a board ends at a join."""

    PAST = "runs past"
    STOPS = "stops"
    MITRE = "mitre"
    ALONE = "alone"  # the other face has no boards


@dataclass(frozen=True)
class Ending:
    """The plane on which a board ends at a join: inset = at_surface + slope * height.

    Attributes
    ----------
    at_surface : float
        Inset from the edge in the plane of the face's surface; negative grows past the edge. [m]
    slope : float
        Inset gained per height over the surface. [-]
    how : How
        What the board does there.
    other : str
        Face it meets.
    captive : bool
        True where something solid stands beyond the edge (all inside corners).
    last : bool
        True where this board is the later of the two, and its edge is the one to seal.
    against_board : bool
        True where it meets a board, not a bare surface.
    overhang : float
        Inset gained per height by what stands there while the board is put in; positive where it leans over the
        board's edge, so that the board must be slid under it. [-]
    wedge : float
        Widening of the gap over the thickness where a slight bevel is cut square. [m]
    sigma : float
        Standard deviation of where what stands there meets the board's edge, in the plane of the face: the thickness of
        the boards, and the angle. [m]
    """

    at_surface: float
    slope: float
    how: How
    other: str
    captive: bool
    last: bool
    against_board: bool
    overhang: float = 0.0
    wedge: float = 0.0
    sigma: float = 0.0

    def inset(self, z: float) -> float:
        """Return the inset at a height over the surface. [m]"""
        return self.at_surface + self.slope * z


@dataclass(frozen=True)
class Opening:
    """The angle that boards at a join are cut to.

    Attributes
    ----------
    angle : float
        Opening on the boards' side. [rad]
    sigma : float
        Its standard deviation. [rad]
    findings : tuple of Finding
        A gauge that the faces contradict, or an angle that nobody read.
    """

    angle: float
    sigma: float
    findings: tuple[Finding, ...] = ()


def opening_of(join: Join, survey: Survey) -> Opening:
    """Return the angle to cut for: that of the folded faces, in which every gauge has its say. [rad]

    Only where the two faces do not touch along the join (5 cm) does the gauge rule.

    Raises
    ------
    OutOfRange
        If the opening is not between 15 and 345 degrees.
    """
    check = next(
        (c for c in survey.joins if (c.a, c.b) == (join.a, join.b) and (not join.name or c.name == join.name)), None
    )
    folded = _folded_angle(join, survey.face(join.a), survey.face(join.b))
    angle = join.opening if folded is None else folded
    if not LEAST_OPENING - 1e-9 <= angle <= GREATEST_OPENING + 1e-9:
        raise OutOfRange(
            f"An opening of {angle * 180 / pi:.0f} degrees between {join.a} and {join.b} cannot be boarded.",
            where=("joins", join.name or f"{join.a}/{join.b}"),
            hint="Openings lie between 15 and 345 degrees; measure the angle on the side of the boards.",
        )
    if check is None:
        return Opening(angle, 0.0)
    findings: tuple[Finding, ...] = ()
    if check.gauge_off:
        findings = (_bad_gauge(join, angle),)
    elif check.guessed:
        findings = (_guessed(join, angle, check.sigma),)
    return Opening(angle, check.sigma, findings)


BAD_GAUGE = "pieces.gauge"
GUESSED = "pieces.angle-guess"


def _bad_gauge(join: Join, angle: float) -> Finding:
    return Finding.of(
        "pieces.gauge",
        Weight.STOP,
        ("joins", join.name or f"{join.a}/{join.b}"),
        faces=faces((join.a, join.b)),
        gauge=Angle(join.opening),
        folded=Angle(angle),
    )


def _guessed(join: Join, angle: float, sigma: float) -> Finding:
    return Finding.of(
        "pieces.angle-guess",
        Weight.WARN,
        ("joins", join.name or f"{join.a}/{join.b}"),
        faces=faces((join.a, join.b)),
        angle=Angle(angle),
        sigma=Angle(sigma),
    )


def _folded_angle(join: Join, a: AdjustedFace, b: AdjustedFace) -> float | None:
    """Angle between two placed faces, None where they do not touch along the join (within 5 cm)."""
    if a.frame is None or b.frame is None:
        return None
    ends_a = [_in_space(a, c) for c in join.edge_a]
    ends_b = [_in_space(b, c) for c in join.edge_b]
    reach = max(_distance(ends_a[0], ends_b[1]), _distance(ends_a[1], ends_b[0]))
    if reach > 0.05:
        return None
    into_a, into_b = _into(a, join.edge_a), _into(b, join.edge_b)
    angle = atan2(_dot(into_b, a.frame.normal), _dot(into_b, into_a))
    return angle % (2 * pi)


def _in_space(face: AdjustedFace, corner: str) -> tuple[float, float, float]:
    assert face.frame is not None
    x, y = face.point(corner)
    f = face.frame
    return (
        f.origin[0] + x * f.ex[0] + y * f.ey[0],
        f.origin[1] + x * f.ex[1] + y * f.ey[1],
        f.origin[2] + x * f.ex[2] + y * f.ey[2],
    )


def _into(face: AdjustedFace, edge: tuple[str, str]) -> tuple[float, float, float]:
    assert face.frame is not None
    p, q = face.point(edge[0]), face.point(edge[1])
    length = ((q[0] - p[0]) ** 2 + (q[1] - p[1]) ** 2) ** 0.5
    nx, ny = -(q[1] - p[1]) / length, (q[0] - p[0]) / length
    ex, ey = face.frame.ex, face.frame.ey
    return (nx * ex[0] + ny * ey[0], nx * ex[1] + ny * ey[1], nx * ex[2] + ny * ey[2])


def _dot(a: tuple[float, float, float], b: tuple[float, float, float]) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _distance(a: tuple[float, float, float], b: tuple[float, float, float]) -> float:
    d = (a[0] - b[0], a[1] - b[1], a[2] - b[2])
    return sqrt(_dot(d, d))


def end_plane(
    theta: float,
    mitred: bool,
    own: Slab,
    other: tuple[Slab, ...],
    own_first: bool,
    other_face: Face,
) -> Ending:
    """Return the plane on which one slab ends at a join.

    Parameters
    ----------
    theta : float
        Opening between the two surfaces on the boards' side. [rad]
    mitred : bool
        Whether the join is mitred.
    own : Slab
        The slab that ends.
    other : tuple of Slab
        Layers of the other face; empty where it has no boards.
    own_first : bool
        Whether this slab is placed before the other face's slab of the same rank.
    other_face : Face
        The other face.
    """
    inside = theta < pi
    if own.surface_rank == 0:
        return _bay_ending(theta, own, own_first, other_face)
    boards = [s for s in other if s.surface_rank]
    if not boards:
        return _on_plane(theta, 0.0, own, How.ALONE, other_face.id, inside, last=True, against=False)
    mate = next((s for s in boards if s.surface_rank == own.surface_rank), None)
    if mitred and mate is not None:
        return _mitre(theta, own, mate, other_face.id, last=not own_first)
    if mitred and abs(sin(theta)) < NEARLY_FLAT:
        return Ending(0.0, 1 / tan(theta / 2), How.ALONE, other_face.id, False, True, False)
    placed = [
        s for s in boards if s.surface_rank < own.surface_rank or (s.surface_rank == own.surface_rank and not own_first)
    ]
    top = max((s.front for s in placed), default=0.0)
    later = mate is None or not own_first
    how = How.STOPS if (bool(placed) == inside) else How.PAST
    return _on_plane(theta, top, own, how, other_face.id, inside, last=later, against=bool(placed))


def end_sigma(theta: float, sigma: float, own: Slab, other: tuple[Slab, ...], ending: Ending) -> float:
    """Return how well it is known where what stands at a join meets the edge of a board. [m]

    Parameters
    ----------
    theta, sigma : float
        Opening and its standard deviation. [rad]
    own, other
        As for `end_plane`.
    ending : Ending
        The plane on which the board ends.

    Notes
    -----
    The inset of a plane at height t over the other face is t / sin(theta) + z cot(theta). So an error of the boards
    that it lies on counts 1 / sin(theta), one of the boards beneath (and of the board itself, where the plane leans
    over it) cot(theta), and one of the angle (t cos(theta) + z) / sin²(theta).
    """
    if not ending.captive or abs(sin(theta)) < NEARLY_FLAT:
        return 0.0
    thick = typical("thickness_sigma")
    on = sum(1 for s in other if s.surface_rank and s.surface_rank <= own.surface_rank) if ending.against_board else 0
    top = ending.at_surface * sin(theta) if ending.how is not How.MITRE else 0.0
    slope = abs(cos(theta) / sin(theta))
    beneath = max(own.surface_rank - 1, 0) + (1 if ending.overhang > 0 else 0)
    turn = max(abs(top * cos(theta) + z) for z in (own.back, own.front)) / sin(theta) ** 2
    return hypot(thick * sqrt(on) / abs(sin(theta)), thick * sqrt(beneath) * slope, turn * sigma)


def _on_plane(
    theta: float, top: float, own: Slab, how: How, other: str, inside: bool, *, last: bool, against: bool
) -> Ending:
    """End on the plane at height ``top`` over the other face."""
    if abs(sin(theta)) < NEARLY_FLAT:
        return Ending(0.0, 1 / tan(theta / 2), How.ALONE, other, inside, last, against)
    slope = cos(theta) / sin(theta)
    if abs(slope) * own.thickness <= typical("square_cut_wedge"):
        square = max(top / sin(theta) + slope * z for z in (own.back, own.front))
        return Ending(square, 0.0, how, other, inside, last, against, slope, abs(slope) * own.thickness)
    return Ending(top / sin(theta), slope, how, other, inside, last, against, slope)


def _mitre(theta: float, own: Slab, mate: Slab, other: str, *, last: bool) -> Ending:
    """End on the plane from where the two backs cross to where the two fronts cross."""
    bisector = 1 / tan(theta / 2)
    if abs(sin(theta)) < NEARLY_FLAT:
        return Ending(0.0, bisector, How.MITRE, other, theta < pi, last, True, bisector if last else 0.0)
    at_back = (mate.back + own.back * cos(theta)) / sin(theta)
    at_front = (mate.front + own.front * cos(theta)) / sin(theta)
    slope = (at_front - at_back) / own.thickness
    overhang = slope if last else cos(theta) / sin(theta)
    return Ending(at_back - slope * own.back, slope, How.MITRE, other, theta < pi, last, True, overhang)


def _bay_ending(theta: float, own: Slab, own_first: bool, other_face: Face) -> Ending:
    """Boards in bays end square at the edge, or where they would leave the solid or enter the other face's bays.

    Out of the bay, what leans over an inside corner sharper than square is in the way. Behind an outside corner the
    solid is narrower than two right angles: the board stays behind the other surface, and the face placed later also
    keeps clear of the other face's framing.
    """
    if theta <= pi + 1e-9 or abs(sin(theta)) < NEARLY_FLAT:
        overhang = cos(theta) / sin(theta) if theta < pi / 2 - 0.1 else 0.0
        return Ending(0.0, 0.0, How.ALONE, other_face.id, True, True, False, overhang)
    framing = other_face.framing
    depth = framing.depth if framing is not None and framing.exposed and not own_first else 0.0
    inset = (depth + max(0.0, -own.back * cos(theta))) / -sin(theta)
    return Ending(inset, 0.0, How.ALONE, other_face.id, True, True, False)
