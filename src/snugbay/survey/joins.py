"""How well faces meet along their joins: lengths of edges, closing of loops, and where a loop's error sits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from snugbay.base import Said
from snugbay.base.facts import Angle, Length, Name, faces
from snugbay.job import Join
from snugbay.survey.equations import misclosure
from snugbay.survey.fold import fold, hinged, tree_joins
from snugbay.survey.network import Floats, Network, RowKind
from snugbay.survey.results import Group
from snugbay.survey.values import JoinCheck

STRAINED = 4.0
"""A join whose share of the weighted sum of squares is above this is where a loop's error sits. [-]"""
HELD = math.radians(2.5)
"""An angle that nobody gauged and that is known worse than this is a guess. [rad]"""
TURNED = 0.0018
"""Turns of a join smaller than this (0.1 degrees) are not written out. [rad]"""


def join_checks(group: Group) -> tuple[JoinCheck, ...]:
    """Return how well the faces of a group meet along each join.

    Notes
    -----
    The adjusted faces are folded up one after the other with the angles as stated. A join that closes a loop puts its
    second face in a place of its own; the closing error is how far a corner of that face is from where the other way
    round the loop puts it. The adjustment then shares it out over joins and faces by their precision.
    """
    net = group.net
    wrong, _ = misclosure(net, group.verdict.final.state)
    joins = tuple(
        join if join.gauged else replace(join, opening=_opening(net, wrong, k)) for k, join in enumerate(net.joins)
    )
    raw = fold(net.faces, joins, group.points, net.first, net.root)
    hung = tree_joins(net.faces, net.joins, net.root)
    strain = _strain(net, wrong * group.verdict.final.weight)
    out = []
    for k, join in enumerate(net.joins):
        a, b = net.face_number(join.a), net.face_number(join.b)
        ends = [group.points[net.corner(a, n)] for n in join.edge_a]
        ends += [group.points[net.corner(b, n)] for n in join.edge_b]
        lengths = [float(np.linalg.norm(ends[i + 1] - ends[i])) for i in (0, 2)]
        closing, loop_said = 0.0, None
        if not hung[k]:
            other = hinged(raw[a], ends[0], ends[1], ends[2], ends[3], joins[k].opening)
            closing = max(float(np.linalg.norm(raw[b].at(p) - other.at(p))) for p in group.points[net.corners_of(b)])
            loop = loop_of(net, hung, k)
            worst = max(loop, key=lambda j: strain[j])
            there = None
            if strain[worst] > STRAINED:
                mine = worst == k
                there = Said.of("survey.said.at-this-join") if mine else _at(join_name(net.joins[worst]))
            round_it = faces([net.faces[f].id for f in _along(net, loop)])
            loop_said = Said.of("survey.said.closes", faces=round_it, closing=Length(closing), there=there)
        said = Said.of(
            "survey.loop",
            join=Name(join_name(join)),
            one=Length(lengths[0]),
            other=Length(lengths[1]),
            loop=loop_said,
            turn=_turn(net, wrong, k),
        )
        spread = _spread(group, k)
        out.append(
            JoinCheck(
                join.a,
                join.b,
                join_name(join),
                lengths[0] - lengths[1],
                closing,
                said,
                _opening(net, wrong, k),
                spread,
                _gauge_off(group, k),
                not join.gauged and spread > HELD,
            )
        )
    return tuple(out)


def _row(net: Network, k: int) -> int | None:
    """Return the row of a join's angle, None where the faces are only hung on each other."""
    return next((i for i, row in enumerate(net.rows) if row.join == k and row.kind is RowKind.OPEN), None)


def _opening(net: Network, wrong: Floats, k: int) -> float:
    i = _row(net, k)
    return net.joins[k].opening + (float(wrong[i]) if i is not None else 0.0)


def _spread(group: Group, k: int) -> float:
    """Return the standard deviation of a join's angle as folded. [rad]"""
    i = _row(group.net, k)
    if i is None:
        return group.net.joins[k].sigma
    result = group.verdict.reliability
    own = result.design[[i]].toarray()[0] * group.net.sigma[i]
    return float(np.sqrt(max(own @ result.covariance @ own, 0.0)))


def _gauge_off(group: Group, k: int) -> float:
    i = _row(group.net, k)
    charges = group.verdict.charges if i is not None and group.net.joins[k].gauged else ()
    return next((c.blunder[0] for c in charges if c.rows == (i,)), 0.0)


def join_name(join: Join) -> str:
    """Return a join's name for people."""
    return join.name or f"{join.a} {'-'.join(join.edge_a)} to {join.b} {'-'.join(join.edge_b)}"


def _strain(net: Network, weighted: Floats) -> list[float]:
    """Return each join's share of the weighted sum of squares. [-]"""
    out = [0.0] * len(net.joins)
    for i, row in enumerate(net.rows):
        if row.join >= 0:
            out[row.join] += float(weighted[i]) ** 2
    return out


def _at(name: str) -> Said:
    return Said.of("survey.said.at-join", join=Name(name))


def _turn(net: Network, wrong: Floats, k: int) -> Said | None:
    for i, row in enumerate(net.rows):
        if row.join == k and row.kind is RowKind.OPEN and abs(wrong[i]) > TURNED:
            turn = Angle(abs(float(wrong[i])))
            wider = wrong[i] > 0
            return Said.of("survey.said.wider", turn=turn) if wider else Said.of("survey.said.narrower", turn=turn)
    return None


def loop_of(net: Network, hung: Sequence[bool], k: int) -> tuple[int, ...]:
    """Return the joins of the loop that join ``k`` closes, itself last."""
    start, end = net.face_number(net.joins[k].a), net.face_number(net.joins[k].b)
    came: dict[int, tuple[int, int]] = {}
    seen, waiting = {start}, [start]
    while waiting and end not in seen:
        f = waiting.pop(0)
        for j, join in enumerate(net.joins):
            for one, two in ((join.a, join.b), (join.b, join.a)):
                g = net.face_number(two)
                if hung[j] and net.face_number(one) == f and g not in seen:
                    seen.add(g)
                    came[g] = (f, j)
                    waiting.append(g)
    loop, f = [k], end
    while f != start:
        f, j = came[f]
        loop.append(j)
    return tuple(reversed(loop))


def _along(net: Network, loop: Sequence[int]) -> list[int]:
    faces = [net.face_number(n) for j in loop for n in (net.joins[j].a, net.joins[j].b)]
    return list(dict.fromkeys(faces))
