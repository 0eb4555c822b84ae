"""Faces that are not flat: how far a corner stands out, what gap a flat board leaves, which seam would let it lie.

A flat board rests on the corners that stand out most. The plane that leaves the least gap at the worst corner is found
by linear programming; the gap is twice the least greatest distance of the corners from any plane.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from scipy import optimize

from snugbay.base import Fact, Finding, Said, Weight
from snugbay.base.facts import Angle, FaceRef, Length, Name, ReadingRef, names
from snugbay.job import Corner, Face, Reading, ReadingKind
from snugbay.survey.network import Floats, State, lay_out
from snugbay.survey.options import SurveyOptions
from snugbay.survey.reliability import critical
from snugbay.survey.results import Group
from snugbay.survey.solve import solve, weights
from snugbay.survey.start import crossings, signed_area

SEALANT = 0.00635
"""Gaps up to here take sealant, wider ones gun foam (1/4 in; common practice, no source). [m]"""
FOAM = 0.0381
"""Gaps up to here take gun foam, wider ones a piece of board or a seam (1 1/2 in; common practice, no source). [m]"""


@dataclass(frozen=True)
class Flatness:
    """How flat a face is.

    Attributes
    ----------
    out : float
        How far the corner that stands out most is off the plane that was read from. [m]
    corner : str
        That corner.
    gap : float
        Gap that a flat board leaves at the worst corner. [m]
    seam : tuple of str or None
        Corners between which a seam lets two boards lie flat; None for faces without such a diagonal.
    fold : float
        Angle between the two boards along the seam. [rad]
    """

    out: float
    corner: Corner
    gap: float
    seam: tuple[Corner, Corner] | None
    fold: float


def flatness(corners: tuple[Corner, ...], points: Floats) -> Flatness:
    """Return how flat a face is.

    Parameters
    ----------
    corners : tuple of str
        Corner names, counter-clockwise.
    points : shape (n, 3)
        Corners, z out of the plane towards the fitter. [m]
    """
    z = points[:, 2]
    worst = int(np.argmax(np.abs(z)))
    seam, fold = _seam(corners, points)
    return Flatness(float(abs(z[worst])), corners[worst], 2.0 * _least_greatest(points), seam, fold)


def _least_greatest(points: Floats) -> float:
    """Return the least greatest distance of points from a plane over x and y. [m]"""
    n = len(points)
    plane = np.concatenate([points[:, :2], np.ones((n, 1))], axis=1)
    above = np.concatenate([plane, -np.ones((n, 1))], axis=1)
    below = np.concatenate([-plane, -np.ones((n, 1))], axis=1)
    # off a near plane and scaled: the solver takes heights of a tenth of a micron for nothing
    rest = points[:, 2] - plane @ np.linalg.lstsq(plane, points[:, 2], rcond=None)[0]
    size = float(np.abs(rest).max()) or 1.0
    z = rest / size
    found = optimize.linprog(
        [0.0, 0.0, 0.0, 1.0],
        A_ub=np.concatenate([above, below]),
        b_ub=np.concatenate([z, -z]),
        bounds=[(None, None)] * 3 + [(0.0, None)],
        method="highs",
    )
    if not found.success or found.fun is None:
        raise ArithmeticError(f"No plane was found: {found.message}")
    return size * float(found.fun)


def _seam(corners: tuple[Corner, ...], points: Floats) -> tuple[tuple[Corner, Corner] | None, float]:
    """Return the shorter inner diagonal of a four-cornered face and the fold along it."""
    if len(corners) != 4:
        return None, 0.0
    best: tuple[float, tuple[Corner, Corner], float] | None = None
    for i, j in ((0, 2), (1, 3)):
        k, m = (i + 1) % 4, (i + 3) % 4
        one = np.cross(points[k] - points[i], points[j] - points[i])
        two = np.cross(points[j] - points[i], points[m] - points[i])
        if one[2] <= 0.0 or two[2] <= 0.0:
            continue
        cosine = float(one @ two) / float(np.linalg.norm(one) * np.linalg.norm(two))
        length = float(np.linalg.norm(points[j] - points[i]))
        if best is None or length < best[0]:
            best = (length, (corners[i], corners[j]), math.acos(min(1.0, cosine)))
    return (None, 0.0) if best is None else (best[1], best[2])


def twist_findings(group: Group, options: SurveyOptions) -> tuple[Finding, ...]:
    """Return a finding for each face that was measured as twisted, or whose diagonals say so."""
    out = []
    for f, face in enumerate(group.net.faces):
        if any(r.kind is ReadingKind.TWIST for r in face.readings):
            found = _measured(group, f, face, options)
        else:
            found = _suspected(group, f, face, options)
        if found is not None:
            out.append(found)
    return tuple(out)


def _measured(group: Group, f: int, face: Face, options: SurveyOptions) -> Finding | None:
    flat = flatness(face.corners, group.points[group.net.corners_of(f)])
    sigma = max(r.sigma for r in face.readings if r.kind is ReadingKind.TWIST)
    where = ("faces", face.id)
    corner, out = Name(flat.corner), Length(flat.out)
    if flat.out < critical(options) * sigma:
        facts: dict[str, Fact] = {"corner": corner, "out": out, "gap": Length(flat.gap)}
        return Finding.of("survey.flat-enough", Weight.NOTE, where, face=FaceRef(face.id), **facts)
    seam = None
    if flat.gap <= SEALANT:
        cure = Said.of("survey.said.sealant-fills")
    else:
        cure = Said.of("survey.said.foam-fills") if flat.gap <= FOAM else Said.of("survey.said.too-wide-for-foam")
        if flat.seam is not None:
            seam = Said.of("survey.said.seam-along", seam=ReadingRef("-".join(flat.seam)), fold=Angle(flat.fold))
    return Finding.of(
        "survey.twist",
        Weight.NOTE if flat.gap <= SEALANT else Weight.WARN,
        where,
        face=FaceRef(face.id),
        corner=corner,
        out=out,
        gap=Length(flat.gap),
        cure=cure,
        seam=seam,
    )


def _suspected(group: Group, f: int, face: Face, options: SurveyOptions) -> Finding | None:
    """Return a warning where sides and diagonals of a charged four-cornered face fit a twist that is small enough."""
    charged = any(group.net.rows[c.rows[0]].face == f and len(c.rows) > 1 for c in group.verdict.charges)
    if len(face.corners) != 4 or not charged:
        return None
    points = group.points[group.net.corners_of(f)].copy()
    ring = [complex(x, y) for x, y, _ in points]
    if signed_area(ring) <= 0.0 or crossings(ring):
        return None
    last = face.corners[3]
    size = float(np.abs(points).max())
    prior = Reading(ReadingKind.TWIST, (last,), 0.0, 0.03 * size, name="twist")
    net = lay_out([replace(face, readings=(*face.readings, prior))], (), options)
    points[3, 2] = 0.03 * size
    rest = solve(net, State(points, np.eye(3)[None], np.zeros((1, 3))), weights(net), options.most_iterations)
    out = float(abs(rest.state.points[3, 2]))
    freedom = max(1, len(net.rows) - net.unknowns)
    if rest.cost > critical(options) ** 2 * freedom or out < 0.005:
        return None
    return Finding.of(
        "survey.twist-or-slip",
        Weight.WARN,
        ("faces", face.id),
        face=FaceRef(face.id),
        corner=Name(last),
        out=Length(out),
        corners=names(face.corners),
    )
