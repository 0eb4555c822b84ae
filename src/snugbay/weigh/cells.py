"""Season heat through buffer spaces as a proved lower bound that is exact where it matters.

What the rooms lose through a buffer space is not linear in the conductances: insulating one side changes the
temperature of the space. With one conductance changed and all others held it is A + B·s/(s + r): concave where B is
positive. So the values at the corners of a box of conductances, mixed linearly, never lie above the true loss inside
the box (shown coordinate by coordinate), and are exact at the corners. Along a conductance where B may be negative (a
space warmed by the ground) the chord lies above the loss by no more than r·|B|·(1/√(a + r) − 1/√(b + r))², which is
taken off. Boxes are split where the program's answer lies, until its bound and the true loss agree: the temperatures
have then reached their fixed point, and the answer is proved best over all plans, not only near by.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np
from numpy.typing import NDArray

from snugbay.job import ZoneKind
from snugbay.ways.balance import ONE_DEGREE, Graph, free_matrix, loss_slope, season_loss_of, temperatures
from snugbay.weigh.evaluate import on_line
from snugbay.weigh.problem import FaceChoices, Problem

Floats = NDArray[np.float64]
CLOSE = 1e-9
SLICE = 2e-5
"""Half width of a slice as a share of the conductance."""
FIRST_SPLITS = (0.15, 0.4)
"""Where boxes of one conductance are split at the start, as shares of their range."""


@dataclass(frozen=True)
class Component:
    """Buffer spaces that faces join with each other, and all that touches them.

    Attributes
    ----------
    zones : tuple of int
        Their numbers.
    pairs : tuple of int
        Numbers of the pairs that touch them.
    net : Graph
        Graph of these spaces, the rooms, outdoors and the ground alone.
    configs : tuple of Config
        One for each choice of which of them come inside.
    """

    zones: tuple[int, ...]
    pairs: tuple[int, ...]
    net: Graph
    configs: tuple[Config, ...]


@dataclass(frozen=True)
class Config:
    """One choice of which spaces of a component come inside.

    Attributes
    ----------
    inside : tuple of int
        Numbers of the spaces inside the line.
    low, high : array, shape (pairs of the component,)
        Range of the conductance of each pair. [W/K]
    varies : tuple of int
        Places (among the component's pairs) of pairs with a range.
    """

    inside: tuple[int, ...]
    low: Floats
    high: Floats
    varies: tuple[int, ...]


@dataclass
class Box:
    """One box of conductances of a configuration, with the loss at its corners.

    Attributes
    ----------
    component, config : int
        Numbers.
    low, high : array, shape (varying pairs,)
        [W/K]
    corners : array, shape (corners, pairs of the component)
        [W/K]
    loss : array, shape (corners,)
        Bound on the loss at the corners: the loss itself, less what chords may lie above it. [kWh/a]
    exact : tuple of bool
        For each varying pair, whether the chord is proved to lie under the loss.
    """

    component: int
    config: int
    low: Floats
    high: Floats
    corners: Floats
    loss: Floats
    exact: tuple[bool, ...]


def _groups(net: Graph) -> list[tuple[int, ...]]:
    left = set(net.free)
    out = []
    while left:
        group, edge = set(), {min(left)}
        while edge:
            group |= edge
            edge = {b for i, j in net.pairs for a, b in ((i, j), (j, i)) if a in edge and b in left} - group
        out.append(tuple(sorted(group)))
        left -= group
    return out


def _sub_net(net: Graph, pairs: Sequence[int], zones: Sequence[int]) -> Graph:
    keep = [i for i, k in enumerate(net.kinds) if k is not ZoneKind.BUFFER or i in zones]
    place = {z: n for n, z in enumerate(keep)}
    return Graph(
        tuple(net.zones[z] for z in keep),
        tuple(net.kinds[z] for z in keep),
        tuple((place[net.pairs[p][0]], place[net.pairs[p][1]]) for p in pairs),
    )


def usable(p: Problem, face: FaceChoices, inside: Sequence[int]) -> NDArray[np.bool_]:
    """Options of a face that the rules leave when these spaces are inside. shape (options,)"""
    ok = np.ones(len(face.options), dtype=np.bool_)
    if face.must:
        return ok
    if not on_line(p, face, inside):
        return np.array([o.group == "as-found" for o in face.options])
    if p.air_barrier and face.airtight.any():
        ok &= face.airtight
    if p.deal and (face.deep & ok).any():
        ok &= face.deep
    return ok


def components(p: Problem) -> tuple[Component, ...]:
    """Split the graph into its groups of buffer spaces.

    Parameters
    ----------
    p : Problem
        The question.
    """
    out = []
    for zones in _groups(p.net):
        pairs = tuple(n for n, pair in enumerate(p.net.pairs) if set(pair) & set(zones))
        sub = _sub_net(p.net, pairs, zones)
        movable = [z for z in zones if z in p.movable]
        configs = []
        for flags in product((False, True), repeat=len(movable)):
            inside = tuple(z for z, f in zip(movable, flags, strict=True) if f)
            configs.append(_config(p, pairs, inside))
        out.append(Component(zones, pairs, sub, tuple(configs)))
    return tuple(out)


def _config(p: Problem, pairs: tuple[int, ...], inside: tuple[int, ...]) -> Config:
    low, high = p.base[list(pairs)].copy(), p.base[list(pairs)].copy()
    place = {pair: n for n, pair in enumerate(pairs)}
    for face in p.faces:
        if face.pair not in place or face.zones[0] == face.zones[1]:
            continue
        heat = face.heat[usable(p, face, inside)]
        low[place[face.pair]] += heat.min()
        high[place[face.pair]] += heat.max()
    varies = tuple(n for n in range(len(pairs)) if high[n] - low[n] > CLOSE)
    return Config(inside, low, high, varies)


def _corners(low: Floats, high: Floats, varies: Sequence[int]) -> Floats:
    base = low.copy()
    rows = []
    for flags in product((False, True), repeat=len(varies)):
        row = base.copy()
        for n, f in zip(varies, flags, strict=True):
            row[n] = high[n] if f else low[n]
        rows.append(row)
    return np.array(rows)


def _allowance(p: Problem, sub: Graph, corners: Floats, low: Floats, high: Floats, n: int) -> float:
    """What the chord along one conductance may lie above the loss, anywhere in a box. [kWh/a] 0 where it is concave.

    Notes
    -----
    The derivative of the loss by the conductance of a pair is the product of two potential differences across it: of
    the season's temperatures, and of the field that one degree in the rooms makes. Each is monotone along every
    conductance, so its sign and its extremes over the box are those at the corners. Seen from the pair the rest of the
    network has a conductance r, monotone too; the loss along it is A + B·s/(s + r), r·|B| = |product|·(s + r)².
    """
    i, j = sub.pairs[n]
    at = temperatures(sub, corners, p.drop)
    unit = temperatures(sub, corners, ONE_DEGREE)
    d_season, d_unit = at[..., j] - at[..., i], unit[..., i] - unit[..., j]
    slack = CLOSE * float(np.abs(at).max(initial=1.0))
    if ((d_season >= -slack).all() and (d_unit >= -CLOSE).all()) or (
        (d_season <= slack).all() and (d_unit <= CLOSE).all()
    ):
        return 0.0
    a, b = float(low[n]), float(high[n])
    first = corners[:, n] <= a + CLOSE
    opened = corners[first].copy()
    opened[:, n] = 0.0
    inverse = np.linalg.inv(free_matrix(sub, opened))
    place = {zone: k for k, zone in enumerate(sub.free)}
    e = np.zeros(len(place))
    for zone, sign in ((i, 1.0), (j, -1.0)):
        if zone in place:
            e[place[zone]] = sign
    r = 1.0 / np.einsum("i,kij,j->k", e, inverse, e)
    steep = np.abs(d_season[first]).max() * np.abs(d_unit[first]).max() / 1000.0
    bend = steep * (a + float(r.max())) ** 2
    return float(bend * (1.0 / np.sqrt(a + r.min()) - 1.0 / np.sqrt(b + r.min())) ** 2)


def box(p: Problem, parts: Sequence[Component], component: int, config: int, low: Floats, high: Floats) -> Box:
    """Make a box of a configuration; ``low`` and ``high`` have shape (varying pairs,)."""
    part = parts[component]
    choice = part.configs[config]
    full_low, full_high = choice.low.copy(), choice.high.copy()
    full_low[list(choice.varies)] = low
    full_high[list(choice.varies)] = high
    corners = _corners(full_low, full_high, choice.varies)
    loss = np.atleast_1d(season_loss_of(part.net, corners, p.drop))
    less = [_allowance(p, part.net, corners, full_low, full_high, n) for n in choice.varies]
    return Box(component, config, low, high, corners, loss - sum(less), tuple(k == 0.0 for k in less))


def first_boxes(p: Problem, parts: Sequence[Component]) -> list[Box]:
    """Boxes to start with: the whole range of each configuration, split a little where one conductance varies."""
    out = []
    for n, part in enumerate(parts):
        for m, choice in enumerate(part.configs):
            low, high = choice.low[list(choice.varies)], choice.high[list(choice.varies)]
            cuts = [FIRST_SPLITS if len(choice.varies) == 1 else ()] * len(choice.varies)
            edges = [[a, *(a + c * (b - a) for c in s), b] for a, b, s in zip(low, high, cuts, strict=True)]
            spans = [list(pairwise(e)) for e in edges]
            for pick in product(*spans):
                out.append(box(p, parts, n, m, np.array([a for a, _ in pick]), np.array([b for _, b in pick])))
    return out


def component_loss(p: Problem, part: Component, conductance: Floats) -> float:
    """True loss of the rooms through a component. [kWh/a]"""
    return float(season_loss_of(part.net, conductance[list(part.pairs)], p.drop))


def whole_box(p: Problem, parts: Sequence[Component], component: int, config: int) -> Box:
    """One box over the whole range of a configuration."""
    choice = parts[component].configs[config]
    place = list(choice.varies)
    return box(p, parts, component, config, choice.low[place], choice.high[place])


def slope(p: Problem, part: Component, conductance: Floats) -> Floats:
    """Derivative of the loss by the conductance of each pair of a component. [kWh/a per W/K], shape (its pairs,)"""
    return loss_slope(part.net, conductance[list(part.pairs)], p.drop)


def _worst(p: Problem, part: Component, old: Box, choice: Config, at: Floats) -> int:
    """Number of the varying pair along which the box promises too little most."""
    errors = []
    for n, place in enumerate(choice.varies):
        ends = np.stack([at, at, at])
        ends[0, place], ends[2, place] = old.low[n], old.high[n]
        first, mid, last = season_loss_of(part.net, ends, p.drop)
        width = old.high[n] - old.low[n]
        share = (at[place] - old.low[n]) / width if width > CLOSE else 0.0
        errors.append(abs(float(mid - (1 - share) * first - share * last)))
    return int(np.argmax(errors))


def split(p: Problem, parts: Sequence[Component], old: Box, at: Floats) -> list[Box]:
    """Split a box at a point, shape (pairs of the component,), along the pair where it errs most.

    Along conductances whose chord is not proved the point comes to lie in a slice so thin that the chord is as good
    as the loss.
    """
    choice = parts[old.component].configs[old.config]
    if not choice.varies:
        return [old]
    n = _worst(p, parts[old.component], old, choice, at)
    a, b, s = float(old.low[n]), float(old.high[n]), float(at[choice.varies[n]])
    thin = 0.0 if old.exact[n] else SLICE * s
    least = 1e-7 * max(b - a, 1e-6)
    edges = [a, *(e for e in dict.fromkeys((s - thin, s + thin)) if a + least < e < b - least), b]
    out = []
    for first, last in pairwise(edges):
        low, high = old.low.copy(), old.high.copy()
        low[n], high[n] = first, last
        out.append(box(p, parts, old.component, old.config, low, high))
    return out
