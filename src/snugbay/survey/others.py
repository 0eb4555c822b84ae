"""Readings that fit two shapes: which one is taken, and the one reading that tells them apart."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import FaceRef, Length, ReadingRef
from snugbay.job import ReadingKind
from snugbay.survey.guess import APART, LIKELY, Shape, hollow_corners
from snugbay.survey.network import Floats, Network, State
from snugbay.survey.options import SurveyOptions
from snugbay.survey.shapes import Start, state_with
from snugbay.survey.solve import Solution, solve, weights


@dataclass(frozen=True)
class Other:
    """Another shape of one face that fits all readings: its corners, shape (n, 2). [m]"""

    face: int
    points: Floats


def weigh(net: Network, start: Start, options: SurveyOptions) -> tuple[State, tuple[Other, ...]]:
    """Return the state to adjust from, and the other shapes that fit the whole group nearly as well.

    Parameters
    ----------
    net : Network
        One group of joined faces.
    start : Start
        Chosen shapes, and others of single faces.
    options : SurveyOptions
        Most iterations.
    """
    if not start.others:
        return start.state, ()
    full = weights(net)
    best = solve(net, start.state, full, options.most_iterations)
    rivals: list[tuple[int, Solution]] = []
    for f, shape in start.others:
        rival = solve(net, state_with(net, _with(net, start.state, f, shape)), full, options.most_iterations)
        rivals.append((f, rival))
    for f, rival in rivals:
        if rival.cost < best.cost - LIKELY:
            best = rival
            rivals = [(g, r) for g, r in rivals if r is not rival and g != f]
    others = []
    for f, rival in rivals:
        a, b = (s.state.points[net.corners_of(f), :2] for s in (best, rival))
        if rival.cost <= best.cost + LIKELY and float(np.max(np.linalg.norm(a - b, axis=1))) > APART:
            others.append(Other(f, b))
    return best.state, tuple(others)


def _with(net: Network, state: State, f: int, shape: Shape) -> list[Shape]:
    shapes: list[Shape] = []
    for g, face in enumerate(net.faces):
        points = state.points[net.corners_of(g)]
        own = {name: complex(points[c, 0], points[c, 1]) for c, name in enumerate(face.corners)}
        shapes.append(shape if g == f else own)
    return shapes


def other_findings(net: Network, state: State, others: tuple[Other, ...]) -> tuple[Finding, ...]:
    """Return one warning for each face whose readings fit more than one shape."""
    out = []
    for f, group in itertools.groupby(others, key=lambda o: o.face):
        face = net.faces[f]
        here = state.points[net.corners_of(f), :2]
        other = next(group).points
        taken = {frozenset(r.corners) for r in face.readings if r.kind is ReadingKind.DISTANCE}
        best, told = 0.0, ("", 0.0, 0.0)
        for i, j in itertools.combinations(range(len(face.corners)), 2):
            if frozenset((face.corners[i], face.corners[j])) not in taken:
                one, two = (float(np.linalg.norm(p[i] - p[j])) for p in (here, other))
                if abs(one - two) > best:
                    best, told = abs(one - two), (f"{face.corners[i]}-{face.corners[j]}", one, two)
        hollow = [hollow_corners([complex(*p) for p in points]) for points in (here, other)]
        fewer = hollow[0] < hollow[1]
        why = Said.of("survey.said.fewer-hollows") if fewer else Said.of("survey.said.larger")
        tells = None
        if told[0]:
            tells = Said.of(
                "survey.said.tells-apart", reading=ReadingRef(told[0]), here=Length(told[1]), there=Length(told[2])
            )
        where = ("faces", face.id, "readings")
        out.append(Finding.of("survey.two-shapes", Weight.WARN, where, face=FaceRef(face.id), why=why, tells=tells))
    return tuple(out)
