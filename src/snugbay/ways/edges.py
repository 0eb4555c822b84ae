"""What corners add to the heat of a face: psi of a right-angled corner, from the two-dimensional field."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from snugbay.job import Job, Join, ZoneKind
from snugbay.physics import field
from snugbay.physics.heat import LayerR
from snugbay.survey import Survey
from snugbay.ways.buildup import Added, films, slices
from snugbay.ways.measure import Measured

RIGHT_WITHIN = math.radians(30.0)
"""Corners within this of a right angle are reckoned as one."""

LEAST_LAYER = 0.001
"""Thickness of layers that were given by their resistance alone. [m]"""


@dataclass(frozen=True)
class Corner:
    """A corner along one edge of a face.

    Attributes
    ----------
    length : float
        [m]
    open_angle : float
        pi/2 where the air on the boards' side lies in the corner, 3 pi/2 where it embraces it. [rad]
    """

    length: float
    open_angle: float


@dataclass(frozen=True)
class CornerLoss:
    """A corner of two parts alike.

    Attributes
    ----------
    psi : float
        What the corner adds to the two plane parts as measured. [W/(m·K)]
    factor : float
        Surface temperature factor of its coldest spot on the warm side. [-]
    """

    psi: float
    factor: float


def _opening(join: Join) -> float | None:
    """Return the right angle that a join's opening is nearest to, None where it is too far from one."""
    for right in (math.pi / 2, 3 * math.pi / 2):
        if abs(join.opening - right) <= RIGHT_WITHIN:
            return right
    return None


def corners(job: Job, survey: Survey) -> dict[str, tuple[Corner, ...]]:
    """Corners of each face with a neighbour between the same two spaces, worked from the same side.

    Parameters
    ----------
    job : Job
        Faces and joins.
    survey : Survey
        Adjusted shapes, for the lengths.

    Returns
    -------
    dict of str to tuple of Corner
        By face id. Joins more than 30° off a right angle, and those where three spaces meet, are left out.
    """
    found: dict[str, list[Corner]] = {f.id: [] for f in job.faces}
    ground = {z.id for z in job.zones if z.kind is ZoneKind.GROUND}
    for join in job.joins:
        a, b = job.face(join.a), job.face(join.b)
        same = {a.warm, a.cold} == {b.warm, b.cold} and a.warm != a.cold and a.board_side == b.board_side
        angle = _opening(join)
        if not same or angle is None or ground & {a.warm, a.cold}:
            continue
        shape = survey.face(join.a)
        length = math.dist(*(shape.point(c) for c in join.edge_a))
        for one in (a, b):
            found[one.id].append(Corner(length, angle))
    return {k: tuple(v) for k, v in found.items()}


def _plain(r: LayerR) -> float:
    """Resistance of a layer, framing and filling side by side taken together. [m²·K/W]"""
    if isinstance(r, tuple):
        return 1.0 / float(sum(share / part for share, part in r))
    return float(r)  # type: ignore[arg-type]


@lru_cache(maxsize=4096)
def corner_loss(rows: tuple[tuple[float, float], ...], warm: float, cold: float, cold_outside: bool) -> CornerLoss:
    """Solve a corner of two parts alike, both measured on the surface that lies in the corner.

    Parameters
    ----------
    rows : tuple of (thickness, resistance)
        From warm to cold. [m], [m²·K/W]
    warm, cold : float
        Surface resistances. [m²·K/W]
    cold_outside : bool
        True where the cold side embraces the corner.

    References
    ----------
    [ISO10211:2017] psi from the coupling of the field and the plane parts as measured.
    """
    layers = [field.Layer(d, d / r) for d, r in rows]
    made = field.corner(layers, field.Films(warm, cold), cold_outside=cold_outside)
    lost = field.junction_loss(made, accuracy=field.ISO_10211)
    return CornerLoss(lost.psi_inner if cold_outside else lost.psi_outer, lost.factor)


def measured_behind(lost: CornerLoss, rows: tuple[tuple[float, float], ...], films: float, offset: float) -> CornerLoss:
    """Return the corner as counted where both parts are measured on a surface that lies deeper.

    Parameters
    ----------
    lost : CornerLoss
        Measured on the surface in the corner.
    rows : tuple of (thickness, resistance)
        Its layers.
    films : float
        Both surface resistances. [m²·K/W]
    offset : float
        How much deeper. [m]
    """
    u = 1.0 / (films + sum(r for _, r in rows))
    return replace(lost, psi=lost.psi - 2.0 * u * offset)


def _two_digits(value: float) -> float:
    """Round to two significant digits: what psi does not feel, so that like parts share one field."""
    return float(f"{value:.2g}")


def corner_of(
    face: Measured,
    kinds: Mapping[str, ZoneKind],
    angle: float,
    added: tuple[Added, ...] = (),
    *,
    work: bool = False,
    warm_film: float | None = None,
) -> CornerLoss | None:
    """Solve the corner that a face makes with one like itself; None where it has no layers.

    Parameters
    ----------
    face, kinds, added, work
        As for `buildup.slices`.
    angle : float
        Of the open air on the boards' side, pi/2 or 3 pi/2. [rad]
    warm_film : float, optional
        Surface resistance on the warm side where mould is judged (0.25). [m²·K/W]
    """
    rows = tuple(
        (_two_digits(max(d, LEAST_LAYER)), _two_digits(_plain(r)))
        for d, r in slices(face, kinds, added, work=work)
        if _plain(r) > 0
    )
    if not rows:
        return None
    warm, cold = films(face, kinds, added)
    warm = warm_film or warm
    boards_in_corner = angle < math.pi
    boards_cold = not face.from_inside
    laid = sum(a.thickness for a in added if not a.between)
    offset = laid if boards_in_corner else sum(d for d, _ in rows) - laid
    lost = corner_loss(rows, warm, cold, boards_in_corner != boards_cold)
    return measured_behind(lost, rows, warm + cold, max(offset, 0.0))


def edge_heat(
    face: Measured,
    at: tuple[Corner, ...],
    kinds: Mapping[str, ZoneKind],
    added: tuple[Added, ...] = (),
    *,
    work: bool = False,
) -> float:
    """Conductance that the corners of a face add to its plane part. [W/K]

    Notes
    -----
    Each of the two faces of a corner brings half of the corner it would make with one like itself, so that what one
    face gets does not depend on what is chosen for the other. The lengths are those of the surface that was measured.
    """
    total = 0.0
    for one in at:
        lost = corner_of(face, kinds, one.open_angle, added, work=work)
        total += 0.5 * lost.psi * one.length if lost is not None else 0.0
    return total
