"""Notches, holes and openings: from readings a person can take to their place on the adjusted face, with tolerance."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from snugbay.base import Fact, Finding, Said, SurveyError, Weight
from snugbay.base.facts import Angle, FaceRef, Fault, Length, Name, ReadingRef
from snugbay.job import Corner, Face, Hole, Notch, Opening
from snugbay.job.outlines import Length as Read
from snugbay.job.outlines import Taped
from snugbay.survey.hot import hot_findings
from snugbay.survey.network import Floats
from snugbay.survey.options import SurveyOptions
from snugbay.survey.results import free_covariance
from snugbay.survey.values import AdjustedFace, Point

CIRCLE = 24
"""Corners of the outline that stands for a round hole."""


@dataclass(frozen=True)
class Placed:
    """An interruption on its adjusted face.

    Attributes
    ----------
    name : str
        As in the job.
    outline : tuple of Point
        Counter-clockwise in the plane of the face; a notch begins and ends on its edge. [m]
    sigma_along, sigma_square : float
        Standard deviation of its place along its edge and square to it, the face's own included. [m]
    hot : bool
        Foam and board keep clear.
    """

    name: str
    outline: tuple[Point, ...]
    sigma_along: float
    sigma_square: float
    hot: bool = False


def skewed_notch(
    name: str,
    edge: tuple[Corner, Corner],
    *,
    near: Read,
    far: Read,
    depth: Read,
    edge_length: float,
    width: Read | None = None,
    bevel: Read | None = None,
    sigma: float = 0.0015,
    hot: bool = False,
) -> tuple[Notch, tuple[Finding, ...]]:
    """Return the notch for a rafter or pipe that crosses an edge at an angle.

    Parameters
    ----------
    name : str
        What it goes round.
    edge : tuple of str
        The edge, from its first to its second corner, counter-clockwise.
    near, far : float or Taped
        Along the edge: from the first corner to the near side, from the second corner to the far side. [m]
    depth : float or Taped
        Square to the edge into the face. [m]
    edge_length : float
        Adjusted length of the edge. [m]
    width : float or Taped or None
        Width of the member square to its own sides. [m]
    bevel : float or Taped or None
        Lean of its sides from square to the edge, positive towards the second corner. [rad]
    sigma : float
        Standard deviation of the lengths. [m]
    hot : bool
        True for a flue or hot pipe.

    Returns
    -------
    Notch, tuple of Finding
        The notch as the job holds it, and what the readings say against each other.

    Raises
    ------
    SurveyError
        If the two distances leave no width, if the member is wider than its place on the edge, or if neither width nor
        bevel is given for a skew that then cannot be known.

    Notes
    -----
    The place on the edge is the edge less the two distances. A member of width b that leans by s covers b / cos s of
    the edge, so that width and bevel check each other; without a bevel the lean follows from the width, and its hand
    cannot be told: it is then taken towards the second corner, with a finding.
    """
    a, b = _value(near), _value(far)
    covered = edge_length - a - b
    where = ("notches", name)
    if covered <= 0.0 or a < 0.0 or b < 0.0:
        raise SurveyError(
            f"Notch {name!r}: its distances from both corners leave no width on edge {'-'.join(edge)}.",
            where=where,
            hint="Measure from the first corner to the near side and from the second corner to the far side.",
        )
    lean, findings = _lean(name, covered, width, bevel, sigma)
    # its width along the edge comes from two tapes
    both = math.hypot(*(_sigma(length, sigma) for length in (near, far)))
    return Notch(name, edge, a, covered, _value(depth), lean, both, hot), findings


def _lean(
    name: str, covered: float, width: Read | None, bevel: Read | None, sigma: float
) -> tuple[float, tuple[Finding, ...]]:
    where = ("notches", name)
    if bevel is not None:
        lean = _value(bevel)
        if not abs(lean) < math.radians(80.0):
            raise SurveyError(f"Notch {name!r} leans {math.degrees(lean):.0f}°.", where=where, hint="Less than 80°.")
        if width is None:
            return lean, ()
        off = covered * math.cos(lean) - _value(width)
        tolerance = 3.3 * sigma * math.sqrt(3.0)
        if abs(off) <= tolerance:
            return lean, ()
        facts: dict[str, Fact] = {"place": Length(covered * math.cos(lean)), "read": Length(_value(width))}
        return lean, (Finding.of("survey.notch", Weight.WARN, where, name=Name(name), **facts),)
    if width is None:
        raise SurveyError(
            f"Nothing says how notch {name!r} leans.",
            where=where,
            hint="Give its bevel, or its width square to itself.",
        )
    b = _value(width)
    if b > covered + 3.3 * sigma * math.sqrt(3.0):
        raise SurveyError.of(
            Said.of("survey.notch-wide", name=Name(name), width=Length(b), covered=Length(covered)),
            where=where,
            cure=Said.of("survey.said.measure-notch"),
        )
    lean = math.acos(min(1.0, b / covered))
    # the cosine falls by s²/2 only, so that a width shows no small lean
    least = math.sqrt(8.0 * sigma / covered)
    if lean <= least:
        return 0.0, (Finding.of("survey.notch-square", Weight.NOTE, where, name=Name(name), least=Angle(least)),)
    return lean, (Finding.of("survey.notch-hand", Weight.WARN, where, name=Name(name), lean=Angle(lean)),)


def _value(length: Read) -> float:
    return length.value if isinstance(length, Taped) else length


def _sigma(length: Read, usual: float) -> float:
    return length.sigma if isinstance(length, Taped) and length.sigma is not None else usual


def place_notch(face: AdjustedFace, notch: Notch) -> Placed:
    """Return a notch on its adjusted face: four points from the edge round its inner end and back.

    Parameters
    ----------
    face : AdjustedFace
        With the notch's edge.
    notch : Notch
        As read.

    Raises
    ------
    SurveyError
        If the notch does not fit on its edge.
    """
    start, ahead, left, length = _edge(face, notch.edge)
    if notch.distance < -3.0 * notch.sigma or notch.distance + notch.width > length + 3.0 * notch.sigma:
        raise SurveyError.of(
            Said.of(
                "survey.notch-off",
                name=Name(notch.name),
                end=Length(notch.distance + notch.width),
                edge=ReadingRef("-".join(notch.edge)),
                length=Length(length),
            ),
            where=("faces", face.id, "notches", notch.name),
            cure=Said.of("survey.said.from-first-corner"),
        )
    shift = notch.depth * math.tan(notch.skew)
    near, far = notch.distance, notch.distance + notch.width
    local = ((near, 0.0), (near + shift, notch.depth), (far + shift, notch.depth), (far, 0.0))
    points = tuple(_point(start + x * ahead + y * left) for x, y in local)
    along, square = _edge_sigma(face, notch.edge, notch.distance)
    return Placed(notch.name, points, math.hypot(notch.sigma, along), math.hypot(notch.sigma, square), notch.hot)


def place_hole(face: AdjustedFace, hole: Hole) -> Placed:
    """Return a hole on its adjusted face; a round one as a polygon that stands outside the circle.

    Raises
    ------
    SurveyError
        If its middle lies outside the face.
    """
    edge = (face.corners[0], face.corners[1])
    start, ahead, left, _ = _edge(face, edge)
    middle = start + hole.x * ahead + hole.y * left
    if not _inside(face, middle):
        raise SurveyError(
            f"Hole {hole.name!r} lies outside face {face.id}.",
            where=("faces", face.id, "holes", hole.name),
            hint="x runs from the first corner along the first edge, y square to it.",
        )
    if hole.round:
        radius = 0.5 * max(hole.width, hole.height) / math.cos(math.pi / CIRCLE)
        turns = 2.0 * np.pi * np.arange(CIRCLE) / CIRCLE
        local = [(radius * math.cos(t), radius * math.sin(t)) for t in turns]
    else:
        w, h = hole.width / 2.0, hole.height / 2.0
        local = [(-w, -h), (w, -h), (w, h), (-w, h)]
    points = tuple(_point(middle + x * ahead + y * left) for x, y in local)
    along, square = _edge_sigma(face, edge, hole.x)
    return Placed(hole.name, points, math.hypot(hole.sigma, along), math.hypot(hole.sigma, square), hole.hot)


def place_opening(face: AdjustedFace, opening: Opening) -> Placed:
    """Return an opening on its adjusted face.

    Raises
    ------
    SurveyError
        If its middle lies outside the face.
    """
    edge = (face.corners[0], face.corners[1])
    start, ahead, left, _ = _edge(face, edge)
    w, h = opening.width, opening.height
    if not _inside(face, start + (opening.x + w / 2.0) * ahead + (opening.y + h / 2.0) * left):
        raise SurveyError(
            f"Opening {opening.name!r} lies outside face {face.id}.",
            where=("faces", face.id, "openings", opening.name),
            hint="x runs from the first corner along the first edge, y square to it.",
        )
    local = ((0.0, 0.0), (w, 0.0), (w, h), (0.0, h))
    points = tuple(_point(start + (opening.x + x) * ahead + (opening.y + y) * left) for x, y in local)
    along, square = _edge_sigma(face, edge, opening.x)
    return Placed(opening.name, points, math.hypot(opening.sigma, along), math.hypot(opening.sigma, square))


def interruption_findings(face: Face, adjusted: AdjustedFace, options: SurveyOptions) -> tuple[Finding, ...]:
    """Return what is wrong with a face's notches, holes and openings on its adjusted outline, as findings."""
    out = list(hot_findings(face))
    items: tuple[Notch | Hole | Opening, ...] = (*face.notches, *face.holes, *face.openings)
    for item in items:
        try:
            placed = place(adjusted, item)
        except SurveyError as error:
            out.append(Finding.of("survey.interruption", Weight.WARN, error.where, fault=Fault.of(error)))
            continue
        worst = max(placed.sigma_along, placed.sigma_square)
        if worst > 3.0 * max(item.sigma, options.tape_sigma):
            facts: dict[str, Fact] = {"item": Name(item.name), "either_way": Length(2.0 * worst)}
            where = ("faces", face.id)
            out.append(Finding.of("survey.interruption-loose", Weight.NOTE, where, face=FaceRef(face.id), **facts))
    return tuple(out)


def place(face: AdjustedFace, item: Notch | Hole | Opening) -> Placed:
    """Return any interruption on its adjusted face; see `place_notch`, `place_hole`, `place_opening`."""
    if isinstance(item, Notch):
        return place_notch(face, item)
    if isinstance(item, Hole):
        return place_hole(face, item)
    return place_opening(face, item)


def _edge(face: AdjustedFace, edge: tuple[Corner, Corner]) -> tuple[Floats, Floats, Floats, float]:
    start, end = np.array(face.point(edge[0])), np.array(face.point(edge[1]))
    length = float(np.linalg.norm(end - start))
    ahead = (end - start) / max(length, 1e-12)
    return start, ahead, np.array([-ahead[1], ahead[0]]), length


def _edge_sigma(face: AdjustedFace, edge: tuple[Corner, Corner], along: float) -> tuple[float, float]:
    """Return how well a spot on an edge is known against the rest of the outline, along and square to it. [m]

    The spot moves with the edge; what counts is how it moves against the middle of the outline, rigid motion apart.
    """
    _, ahead, left, length = _edge(face, edge)
    n = len(face.corners)
    Q = free_covariance(face)
    share = min(max(along / max(length, 1e-12), 0.0), 1.0)
    out = []
    for direction in (ahead, left):
        row = np.zeros(2 * n)
        i, j = face.corners.index(edge[0]), face.corners.index(edge[1])
        # along the edge a tape runs from its first corner
        weight = (1.0, 0.0) if direction is ahead else (1.0 - share, share)
        row[2 * i : 2 * i + 2] += weight[0] * direction
        row[2 * j : 2 * j + 2] += weight[1] * direction
        out.append(math.sqrt(max(0.0, float(row @ Q @ row))))
    return out[0], out[1]


def _inside(face: AdjustedFace, point: Floats) -> bool:
    count = 0
    ring = face.points
    for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1], strict=True):
        if (y0 > point[1]) != (y1 > point[1]) and point[0] < x0 + (point[1] - y0) / (y1 - y0) * (x1 - x0):
            count += 1
    return count % 2 == 1


def _point(v: Floats) -> Point:
    return (float(v[0]), float(v[1]))
