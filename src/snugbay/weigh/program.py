"""The mixed-integer program: faces, line, whole-unit purchases, shared work, buffer spaces."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from snugbay.job import ZoneKind
from snugbay.weigh.alike import shared_out
from snugbay.weigh.cells import Box, Component, slope
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.problem import FaceChoices, Pack, Problem, Resource, crew_of
from snugbay.weigh.solver import INF, Matrix

Floats = NDArray[np.float64]
Row = tuple[dict[int, float], float, float]
"""Coefficients by column, lower and upper bound."""


@dataclass(frozen=True)
class Columns:
    """Where the variables stand.

    Attributes
    ----------
    x : tuple of int
        First column of each face's options: how many faces get the option. Faces that are alike share their columns.
    z : Mapping of int to int
        Buffer space to the column "comes inside".
    line : Mapping of int to int
        Number of the first of alike faces to the column "is on the line", for faces between two spaces that may move.
    item : Mapping of str to int
        Item to the column of its units.
    gear, start, shared, crew, pay : Mapping of str to int
        Bought with a way, bought with the first unit of what it is used with, worked, hired; what is paid to the crew.
    boxes : tuple of int
        First column of each box: the box itself, then its corners.
    size : int
        Number of columns.
    """

    x: tuple[int, ...]
    z: Mapping[int, int]
    line: Mapping[int, int]
    item: Mapping[str, int]
    gear: Mapping[str, int]
    start: Mapping[str, int]
    shared: Mapping[str, int]
    crew: Mapping[str, int]
    pay: Mapping[str, int]
    boxes: tuple[int, ...]
    size: int


@dataclass(frozen=True)
class Program:
    """The program without its objective and limits.

    Attributes
    ----------
    matrix : Matrix
        Rows and bounds; the last three rows are cash, hours and season heat, without bounds.
    columns : Columns
        Where the variables stand.
    cash, hours, season : array, shape (columns,)
        What each column adds to cash [currency], hours [h], season heat [kWh].
    """

    matrix: Matrix
    columns: Columns
    cash: Floats
    hours: Floats
    season: Floats


class _Counter:
    def __init__(self) -> None:
        self.n = 0

    def take(self, count: int = 1) -> int:
        first = self.n
        self.n += count
        return first


def _warm_of(p: Problem, zone: int) -> int | None:
    """1 or 0 where it is settled whether a zone is warm, None where it may move."""
    if zone in p.movable:
        return None
    return int(p.net.kinds[zone] is ZoneKind.INSIDE)


def columns(p: Problem, boxes: Sequence[Box]) -> Columns:
    """Lay out the variables of a program."""
    n = _Counter()
    x = [0] * len(p.faces)
    for group in p.groups:
        first = n.take(len(p.faces[group[0]].options))
        for number in group:
            x[number] = first
    z = {zone: n.take() for zone in p.movable}
    ends = [(number, p.faces[number].zones) for number, _, _ in _once_each(p)]
    both = [i for i, (a, b) in ends if a in z and b in z and a != b]
    return Columns(
        tuple(x),
        z,
        {i: n.take() for i in both},
        {k.item: n.take() for r in p.resources for k in r.packs},
        {g: n.take() for g, _ in p.gear},
        {g: n.take() for g in p.starts},
        {s: n.take() for s, _ in p.shared},
        {c: n.take() for c, _ in p.crews},
        {c: n.take() for c, _ in p.crews},
        tuple(n.take(1 + len(b.loss)) for b in boxes),
        n.n,
    )


def _once_each(p: Problem) -> Iterator[tuple[int, FaceChoices, int]]:
    """First face of each group of alike ones: its number, the face, how many are like it."""
    for group in p.groups:
        yield group[0], p.faces[group[0]], len(group)


def _line_terms(p: Problem, c: Columns, face: FaceChoices, number: int) -> tuple[dict[int, float], float]:
    """Whether a face is on the line: coefficients and a constant that sum to 1 or 0."""
    a, b = (_warm_of(p, zone) for zone in face.zones)
    if face.zones[0] == face.zones[1]:
        return {}, 0.0
    if a is not None and b is not None:
        return {}, float(a != b)
    if a is None and b is None:
        return {c.line[number]: 1.0}, 0.0
    moving = face.zones[0] if a is None else face.zones[1]
    settled = b if a is None else a
    return ({c.z[moving]: -1.0}, 1.0) if settled else ({c.z[moving]: 1.0}, 0.0)


def _face_rows(p: Problem, c: Columns) -> list[Row]:
    rows: list[Row] = []
    for number, face, count in _once_each(p):
        own = range(c.x[number], c.x[number] + len(face.options))
        rows.append((dict.fromkeys(own, 1.0), count, count))
        one, share = _line_terms(p, c, face, number)
        terms, constant = {k: v * count for k, v in one.items()}, share * count
        treated = {col: 1.0 for col, o in zip(own, face.options, strict=True) if o.group != "as-found"}
        if treated and not face.must:
            rows.append(({**treated, **{k: -v for k, v in terms.items()}}, -INF, constant))
        wanted = np.ones(len(face.options), dtype=np.bool_)
        if p.air_barrier and face.airtight.any():
            wanted &= face.airtight
        if p.deal and (face.deep & wanted).any():
            wanted &= face.deep
        if not wanted.all() and not face.must:
            good = {col: 1.0 for col, ok in zip(own, wanted, strict=True) if ok}
            rows.append(({**good, **{k: -v for k, v in terms.items()}}, constant, INF))
        if number in c.line:
            line, za, zb = c.line[number], c.z[face.zones[0]], c.z[face.zones[1]]
            rows += [
                ({line: 1.0, za: -1.0, zb: -1.0}, -INF, 0.0),
                ({line: 1.0, za: 1.0, zb: 1.0}, -INF, 2.0),
                ({line: 1.0, za: -1.0, zb: 1.0}, 0.0, INF),
                ({line: 1.0, za: 1.0, zb: -1.0}, 0.0, INF),
            ]
    return rows


def _purchase_rows(p: Problem, c: Columns) -> list[Row]:
    rows: list[Row] = []
    for r in p.resources:
        row = {c.item[k.item]: k.amount for k in r.packs}
        for number, face, _ in _once_each(p):
            for i, need in enumerate(face.needs):
                if need.get(r.id):
                    row[c.x[number] + i] = -need[r.id]
        scale = 1.0 / max(k.amount for k in r.packs)
        rows.append(({k: v * scale for k, v in row.items()}, -r.on_hand * scale, INF))
        rows += [
            ({c.start[k.start]: most, c.item[k.item]: -1.0}, 0.0, INF)
            for k in r.packs
            if k.start and (most := _most_units(p, r, k)) > 0
        ]
    return rows


def _most_units(p: Problem, resource: Resource, pack: Pack) -> float:
    """Units of a pack beyond which no plan goes: all faces done in the thirstiest way."""
    need = sum(max((n.get(resource.id, 0.0) for n in f.needs), default=0.0) for f in p.faces)
    return float(np.ceil(need / pack.amount))


def _once_rows(p: Problem, c: Columns) -> list[Row]:
    rows: list[Row] = []
    for number, face, count in _once_each(p):
        users: dict[int, list[int]] = {}
        for i, o in enumerate(face.options):
            col = c.x[number] + i
            for g in o.gear:
                users.setdefault(c.gear[g], []).append(col)
            for s, _ in o.shared_hours:
                users.setdefault(c.shared[s], []).append(col)
            if crew_of(o):
                users.setdefault(c.crew[crew_of(o)], []).append(col)
        rows += [({once: float(count), **dict.fromkeys(cols, -1.0)}, 0.0, INF) for once, cols in users.items()]
    for crew, least in p.crews:
        scale = 1.0 / max(least, 1.0)
        row = {c.pay[crew]: scale}
        for number, face, _ in _once_each(p):
            for i, o in enumerate(face.options):
                if crew_of(o) == crew and face.charge[i]:
                    row[c.x[number] + i] = -float(face.charge[i]) * scale
        rows.append((row, 0.0, INF))
        rows.append(({c.pay[crew]: scale, c.crew[crew]: -least * scale}, 0.0, INF))
    return rows


def _box_rows(p: Problem, c: Columns, parts: Sequence[Component], boxes: Sequence[Box]) -> list[Row]:
    rows: list[Row] = []
    for n, part in enumerate(parts):
        own = [(b, col) for b, col in zip(boxes, c.boxes, strict=True) if b.component == n]
        rows.append(({col: 1.0 for _, col in own}, 1.0, 1.0))
        for zone in part.zones:
            if zone in c.z:
                inside = {col: 1.0 for b, col in own if zone in part.configs[b.config].inside}
                rows.append(({**inside, c.z[zone]: -1.0}, 0.0, 0.0))
        for b, col in own:
            rows.append(({col: -1.0, **{col + 1 + k: 1.0 for k in range(len(b.loss))}}, 0.0, 0.0))
        for place, pair in enumerate(part.pairs):
            row: dict[int, float] = {}
            for b, col in own:
                row.update({col + 1 + k: float(v) for k, v in enumerate(b.corners[:, place]) if v})
            for number, face, _ in _once_each(p):
                if face.pair == pair and face.zones[0] != face.zones[1]:
                    row.update({c.x[number] + i: -float(h) for i, h in enumerate(face.heat)})
            rows.append((row, float(p.base[pair]), float(p.base[pair])))
    return rows


def _direct_drop(p: Problem, face: FaceChoices) -> float | None:
    """Season difference over a face that touches no buffer space, seen from the rooms. [K·h]"""
    kinds = [p.net.kinds[z] for z in face.zones]
    if ZoneKind.BUFFER in kinds or ZoneKind.INSIDE not in kinds or face.zones[0] == face.zones[1]:
        return 0.0 if ZoneKind.BUFFER not in kinds else None
    other = kinds[1] if kinds[0] is ZoneKind.INSIDE else kinds[0]
    return p.drop[other]


def build(
    p: Problem,
    parts: Sequence[Component],
    boxes: Sequence[Box],
    extra: Sequence[Row] = (),
    *,
    inside: Sequence[int] | None = None,
    at: Floats | None = None,
) -> Program:
    """Build the program.

    Parameters
    ----------
    p : Problem
        The question.
    parts, boxes
        Buffer spaces and the boxes of their conductances.
    extra : sequence of Row
        Further rows.
    inside : sequence of int, optional
        Buffer spaces inside the line, where that is settled; ``boxes`` then holds only those of this line.
    at : array, shape (pairs,), optional
        Conductances at whose temperatures the season's heat is taken as linear; the boxes then give no heat. [W/K]
    """
    c = columns(p, boxes)
    cash, hours, season = np.zeros(c.size), np.zeros(c.size), np.zeros(c.size)
    low, high = np.zeros(c.size), np.full(c.size, INF)
    integer = np.zeros(c.size, dtype=np.bool_)
    for number, face, count in _once_each(p):
        own = slice(c.x[number], c.x[number] + len(face.options))
        high[own], integer[own] = count, True
        hours[own] = face.hours
        cash[own] = [float(ch) if not crew_of(o) else 0.0 for ch, o in zip(face.charge, face.options, strict=True)]
        drop = _direct_drop(p, face)
        if drop:
            season[own] = face.heat * drop / 1000.0
    for mapping in (c.z, c.gear, c.start, c.shared, c.crew):
        for col in mapping.values():
            high[col], integer[col] = 1.0, True
    for col in c.line.values():
        high[col] = 1.0
    if inside is not None:
        for zone, col in c.z.items():
            low[col] = high[col] = float(zone in inside)
    for r in p.resources:
        for k in r.packs:
            cash[c.item[k.item]], integer[c.item[k.item]] = k.price, True
            high[c.item[k.item]] = k.most
    for g, price in p.gear:
        cash[c.gear[g]] = price
    for g, price in p.starts.items():
        cash[c.start[g]] = price
    for s, h in p.shared:
        hours[c.shared[s]] = h
    for col in c.pay.values():
        cash[col] = 1.0
    for b, col in zip(boxes, c.boxes, strict=True):
        integer[col] = True
        high[col : col + 1 + len(b.loss)] = 1.0
        season[col + 1 : col + 1 + len(b.loss)] = b.loss if at is None else 0.0
    if at is not None:
        _linear_heat(p, c, parts, at, season)
    rows = [
        *_face_rows(p, c),
        *_purchase_rows(p, c),
        *_once_rows(p, c),
        *_box_rows(p, c, parts, boxes),
        *extra,
        *((_dense(v), -INF, INF) for v in (cash, hours, season)),
    ]
    return Program(_matrix(rows, low, high, integer), c, cash, hours, season)


def _linear_heat(p: Problem, c: Columns, parts: Sequence[Component], at: Floats, season: Floats) -> None:
    """Season heat of faces that touch a buffer space at fixed temperatures; what is constant is left out."""
    for part in parts:
        by_pair = dict(zip(part.pairs, slope(p, part, at), strict=True))
        for number, face, _ in _once_each(p):
            first = c.x[number]
            if face.pair in by_pair and face.zones[0] != face.zones[1]:
                season[first : first + len(face.options)] += face.heat * by_pair[face.pair]


def _dense(v: Floats) -> dict[int, float]:
    return {int(i): float(v[i]) for i in np.flatnonzero(v)}


def _matrix(rows: Sequence[Row], low: Floats, high: Floats, integer: NDArray[np.bool_]) -> Matrix:
    start = np.cumsum([0, *(len(r[0]) for r in rows)])
    index = np.fromiter((k for r in rows for k in r[0]), dtype=np.int32, count=int(start[-1]))
    value = np.fromiter((v for r in rows for v in r[0].values()), dtype=np.float64, count=int(start[-1]))
    a = csr_matrix((value, index, start.astype(np.int32)), shape=(len(rows), len(low)))
    return Matrix(a, np.array([r[1] for r in rows]), np.array([r[2] for r in rows]), low, high, integer)


def plan_of(p: Problem, c: Columns, x: Floats) -> Plan:
    """Read a plan off the columns."""
    picks = [0] * len(p.faces)
    for group in p.groups:
        first, options = c.x[group[0]], p.faces[group[0]].options
        counts = np.rint(x[first : first + len(options)]).astype(np.intp)
        for number, pick in shared_out(counts, group):
            picks[number] = pick
    return Plan(tuple(zone for zone, col in c.z.items() if x[col] > 0.5), tuple(picks))


Fewer = tuple[tuple[tuple[int, int], ...], float]
"""Faces (each the first of its group) with a way of theirs, and how many of them all at most are done so."""


def fewer(p: Problem, plan: Plan) -> tuple[Fewer, ...]:
    """Conditions of which at least one holds in every plan that is another than this one, and none in this one.

    Changing places among faces that are alike makes no other plan. The first condition is on all groups of alike faces
    that are done one way throughout; then follows one for each way of each group that is done in several ways.
    """
    plain: list[tuple[int, int]] = []
    faces = 0
    mixed: list[Fewer] = []
    for group in p.groups:
        counts = Counter(plan.picks[number] for number in group)
        if len(counts) == 1:
            plain.append((group[0], plan.picks[group[0]]))
            faces += len(group)
        else:
            mixed += [(((group[0], pick),), count - 1.0) for pick, count in counts.items()]
    return (*([(tuple(plain), faces - 1.0)] if plain else []), *mixed)


def fewer_row(c: Columns, condition: Fewer) -> Row:
    """Row of a condition."""
    ways, most = condition
    return {c.x[number] + pick: 1.0 for number, pick in ways}, -INF, most
