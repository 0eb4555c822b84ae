"""Solving a body: quadratic elements, conjugate gradients with the corner values solved directly as a first guess."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from snugbay.base import Finding, InputError, Run, SnugbayError, Stopped, Weight
from snugbay.base.facts import Share
from snugbay.physics.field.error import LEFT_SLOPE, RIGHT_SLOPE, SIMPSON
from snugbay.physics.field.exchange import Exchange, known_temps
from snugbay.physics.field.quadratic import MASS
from snugbay.physics.field.solid import Corner, Solid, check_solid
from snugbay.physics.field.solidnet import Nodes, SolidNet, face_nodes, first_solid_net, number_nodes, stiffness
from snugbay.physics.field.solve import Accuracy
from snugbay.physics.field.unit import factorised

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

SOLID_ACCURACY = Accuracy(flow=0.005, temp=0.01, max_unknowns=250_000)
"""Half of the 1 % of the flow that ISO 10211 asks for; the last halving moves no surface by more than 0.2 K in 20 K."""

RESIDUAL = 1e-9
"""Residual of the equations at which conjugate gradients end, share of the load."""

SMOOTH_STEPS = 3
"""Steps of the polynomial smoother before and after the corner values are solved for."""

SMOOTH_PART = 0.1
"""Lower end of the spectrum that the smoother works on, share of the largest eigenvalue."""

MOST_ITERATIONS = 2000
"""Iterations after which the equations are given up."""


@dataclass(frozen=True, eq=False)
class SolidFields:
    """Unit fields of a body on one net, as `UnitFields` of a section."""

    net: SolidNet
    nodes: Nodes
    shares: Floats
    exchange: Floats
    seen: Mapping[str, Ints]


@dataclass(frozen=True, eq=False)
class SolidResult(Exchange):
    """The steady field of a body.

    Attributes
    ----------
    solid : Solid
    temps_c : Mapping[str, float]
        Temperatures of the spaces. [°C]
    fields : SolidFields
        Unit fields.
    flow_change, temp_change : float
        Changes when all subdivisions were doubled, as in `FieldResult`.
    criterion_met : bool
        Whether both are within what was asked.
    unknowns : int
        Unknowns of the last net.
    findings : tuple of Finding
    """

    solid: Solid
    temps_c: Mapping[str, float]
    fields: SolidFields
    flow_change: float
    temp_change: float
    criterion_met: bool
    unknowns: int
    findings: tuple[Finding, ...] = ()

    @property
    def airs(self) -> tuple[str, ...]:
        """Names of the spaces."""
        return self.solid.names

    @property
    def exchange(self) -> Floats:
        """Flow into the body from space a when space b is 1 K warmer than all others. [W/K]"""
        return self.fields.exchange

    def at(self, temps_c: Mapping[str, float]) -> SolidResult:
        """Return the same body for other temperatures of the spaces. [°C]"""
        return replace(self, temps_c=known_temps(self.airs, temps_c))

    def surface_range(self, air: str) -> tuple[float, float]:
        """Lowest and highest temperature of the surface that a space sees. [°C]

        Raises
        ------
        UnknownName
        """
        self.index(air)
        temps = self.fields.shares[self.fields.seen[air]] @ self.temp_vector
        return float(temps.min()), float(temps.max())

    def temperatures(self, points: Sequence[Corner]) -> Floats:
        """Temperatures at points of the body, shape (points,). [°C]

        Raises
        ------
        InputError
            If a point lies outside the body.
        """
        return np.asarray(solid_shares_at(self.fields, points) @ self.temp_vector)

    def factor(self, air: str, colder: str) -> float:
        """Surface temperature factor of the coldest spot that a space sees, as in `FieldResult.factor`. [-]"""
        warm, cold = self.temps_c[self.airs[self.index(air)]], self.temps_c[self.airs[self.index(colder)]]
        return (self.surface_range(air)[0] - cold) / (warm - cold) if warm != cold else math.nan


def solve_solid(
    solid: Solid,
    temps_c: Mapping[str, float],
    *,
    points: Sequence[Corner] = (),
    accuracy: Accuracy = SOLID_ACCURACY,
    run: Run | None = None,
) -> SolidResult:
    """Steady heat conduction in a body of blocks.

    Parameters
    ----------
    solid : Solid
        Blocks of material and air.
    temps_c : Mapping[str, float]
        Temperature of each space; nan gives nan. [°C]
    points : sequence of Corner
        Points whose temperature must be settled as well as the surfaces. [m]
    accuracy : Accuracy
        When to stop.
    run : Run or None
        Progress and stop.

    Returns
    -------
    SolidResult

    Raises
    ------
    Problems, InputError
        If the body cannot be computed.
    UnknownName
        If the temperature of a space is missing.
    Stopped
        If stopped before the first solution.

    Notes
    -----
    As `solve_section`, with quadratic elements on boxes. The equations are solved by conjugate gradients; the
    preconditioner solves for the corner values directly and smooths the rest, which keeps the iterations few whatever
    the conductivities.

    References
    ----------
    ISO 10211:2017, numerical calculation.
    """
    check_solid(solid)
    known_temps(solid.names, temps_c)
    run = run or Run()
    if run.stop():
        raise Stopped("The field was stopped before its first solution.")
    return _refine(solid, temps_c, tuple(points), accuracy, run)


def _refine(
    solid: Solid, temps_c: Mapping[str, float], points: tuple[Corner, ...], wanted: Accuracy, run: Run
) -> SolidResult:
    fields = solid_fields(first_solid_net(solid))
    while True:
        double = solid_fields(fields.net.doubled())
        flow, temp = _change(fields, double, points)
        met = flow <= wanted.flow and temp <= wanted.temp
        step = fields.net.refined(solid_errors(fields))
        run.progress("solid field", min(0.9, wanted.flow / max(flow, 1e-12)))
        too_large = 8 * step.doubled().size > wanted.max_unknowns
        if met or too_large or run.stop():
            findings = () if met else (_coarse(flow, temp),)
            temps = known_temps(solid.names, temps_c)
            return SolidResult(solid, temps, double, flow, temp, met, len(double.shares), findings)
        fields = solid_fields(step)


def _coarse(flow: float, temp: float) -> Finding:
    return Finding.of("field.coarse", Weight.WARN, (), "ISO 10211:2017", why=None, flow=Share(flow), temp=Share(temp))


def _change(coarse: SolidFields, fine: SolidFields, points: tuple[Corner, ...]) -> tuple[float, float]:
    scale = float(np.abs(fine.exchange).max())
    flow = float(np.abs(fine.exchange - coarse.exchange).max()) / scale if scale > 0 else 0.0
    marks = [_marks(f, points) for f in (coarse, fine)]
    return flow, float(np.abs(marks[0] - marks[1]).max())


def _marks(fields: SolidFields, points: tuple[Corner, ...]) -> Floats:
    faces = [fields.shares[n] for n in fields.seen.values()]
    rows = [f.min(0) for f in faces] + [f.max(0) for f in faces]
    return np.vstack([*rows, solid_shares_at(fields, points)])


def solid_fields(net: SolidNet) -> SolidFields:
    """Solve for the unit fields of all spaces on one net.

    Raises
    ------
    InputError
        If a space named by an air block touches no material, or a part of the body touches nothing.
    """
    nodes = number_nodes(net)
    names = net.solid.names
    size = len(nodes.place)
    matrix, loads = stiffness(net, nodes), np.zeros((size, len(names)))
    held, seen = np.zeros((size, len(names))), {n: np.empty(0, np.intp) for n in names}
    for air, axis, below, cells in net.faces():
        face, area = face_nodes(net, nodes, axis, below, cells)
        column, film = names.index(air.air), air.film(axis, below)
        seen[air.air] = np.union1d(seen[air.air], face)
        if film > 0:
            matrix, load = _film(matrix, face, area / film)
            loads[:, column] += load
        else:
            held[face.ravel(), column] = 1.0
    _check_touched(matrix, seen)
    held = held / np.maximum(held.sum(1, keepdims=True), 1.0)
    shares = _solve(matrix, loads, held, nodes.coarse)
    films = np.diag(loads.sum(0)) - loads.T @ shares
    exchange = films + held.T @ (matrix @ shares - loads)
    return SolidFields(net, nodes, shares, np.asarray(exchange), seen)


def _film(matrix: Any, face: Ints, conductance: Floats) -> tuple[Any, Floats]:
    from scipy.sparse import coo_matrix

    square = np.kron(MASS, MASS)
    values = conductance[:, None] * square.ravel()[None]
    rows, columns = np.repeat(face, 9, axis=1).ravel(), np.tile(face, (1, 9)).ravel()
    load = np.bincount(face.ravel(), (conductance[:, None] * square.sum(1)[None]).ravel(), matrix.shape[0])
    film = coo_matrix((values.ravel(), (rows, columns)), shape=matrix.shape).tocsr()
    return matrix + film, np.asarray(load, float)


def _check_touched(matrix: Any, seen: Mapping[str, Ints]) -> None:
    from scipy.sparse.csgraph import connected_components

    for name, nodes in seen.items():
        if len(nodes) == 0:
            raise InputError(f"The air of {name} touches no material.", where=("airs",))
    count, label = connected_components(matrix, directed=False)
    if len(np.unique(label[np.concatenate(list(seen.values()))])) < count:
        raise InputError(
            "A part of the body touches nothing that settles its temperature.",
            where=("blocks",),
            hint="Join it to the rest or let it face a space.",
        )


def _solve(matrix: Any, loads: Floats, held: Floats, coarse: Any) -> Floats:
    free = held.sum(1) == 0
    shares = held.copy()
    rows = matrix[free]
    inner = rows[:, free].tocsr()
    precondition = _two_levels(inner, coarse[free])
    for column in range(loads.shape[1] - 1):
        right = loads[free, column] - rows[:, ~free] @ held[~free, column]
        shares[free, column] = _conjugate_gradients(inner, right, precondition)
    shares[free, -1] = 1.0 - shares[free, :-1].sum(1)
    return shares


def _two_levels(matrix: Any, coarse: Any) -> Any:
    """Return the preconditioner: smooth, solve for the corner values, smooth."""
    coarse = coarse[:, np.unique(coarse.indices)]
    small = factorised((coarse.T @ matrix @ coarse).tocsc())
    inverse = 1.0 / matrix.diagonal()
    largest = float((inverse * np.asarray(abs(matrix).sum(1)).ravel()).max())
    smooth = _chebyshev(matrix, inverse, largest)

    def apply(residual: Floats) -> Floats:
        guess = smooth(residual)
        guess = guess + coarse @ small.solve(coarse.T @ (residual - matrix @ guess))
        return np.asarray(guess + smooth(residual - matrix @ guess))

    return apply


def _chebyshev(matrix: Any, inverse: Floats, largest: float) -> Any:
    """Return a polynomial smoother for the upper part of the spectrum of the matrix scaled by its diagonal."""
    centre, half = largest * (1 + SMOOTH_PART) / 2, largest * (1 - SMOOTH_PART) / 2

    def smooth(residual: Floats) -> Floats:
        sigma = centre / half
        rho = 1 / sigma
        step = inverse * residual / centre
        guess = step
        for _ in range(SMOOTH_STEPS - 1):
            rest = residual - matrix @ guess
            rho, before = 1 / (2 * sigma - rho), rho
            step = rho * before * step + 2 * rho / half * (inverse * rest)
            guess = guess + step
        return np.asarray(guess)

    return smooth


def _conjugate_gradients(matrix: Any, right: Floats, precondition: Any) -> Floats:
    """Solve by preconditioned conjugate gradients to a residual of RESIDUAL."""
    x = np.zeros_like(right)
    r = right.copy()
    z = precondition(r)
    p, rz, goal = z, _dot(r, z), RESIDUAL**2 * _dot(right, right)
    for _ in range(MOST_ITERATIONS):
        if _dot(r, r) <= goal:
            return x
        q = matrix @ p
        alpha = rz / _dot(p, q)
        x, r = x + alpha * p, r - alpha * q
        z = precondition(r)
        rz, before = _dot(r, z), rz
        p = z + (rz / before) * p
    raise SnugbayError(
        "The equations of the field did not come to rest.",
        code="field.unsolved",
        hint="Very thin or very conductive blocks beside each other may be the reason.",
    )


def _dot(a: Floats, b: Floats) -> float:
    """Inner product without the linear algebra library, whose threads cost more than they bring here."""
    return float(np.einsum("i,i->", a, b))


def solid_errors(fields: SolidFields) -> tuple[Floats, Floats, Floats]:
    """Squared error indicators of the layers of cells along x, y, z, from jumps of the flux."""
    net = fields.net
    lam, widths = net.conductivity, net.widths
    nodal = np.zeros((*lam.shape, 3, 3, 3, fields.shares.shape[1]))
    nodal[np.nonzero(lam)] = fields.shares[fields.nodes.element].reshape(-1, 3, 3, 3, fields.shares.shape[1])
    x, y, z = (_layer_errors(nodal, lam, widths, axis) for axis in range(3))
    return x, y, z


def _layer_errors(nodal: Floats, lam: Floats, widths: tuple[Floats, Floats, Floats], axis: int) -> Floats:
    others = [k for k in range(3) if k != axis]
    values = np.transpose(nodal, (axis, *others, 3 + axis, *(3 + k for k in others), 6))
    lam = np.transpose(lam, (axis, *others))
    h, area = widths[axis], np.outer(widths[others[0]], widths[others[1]])
    steep = (lam / h[:, None, None])[..., None, None, None]
    out = np.einsum("k,xyzkbca->xyzbca", RIGHT_SLOPE, values) * steep
    into = np.einsum("k,xyzkbca->xyzbca", LEFT_SLOPE, values) * steep
    jump = out[:-1] - into[1:]
    squared = np.einsum("b,c,xyzbca,xyzbca->xyz", SIMPSON, SIMPSON, jump, jump) * area
    both = (lam[:-1] > 0) & (lam[1:] > 0)
    across = np.where(both, squared / np.where(both, lam[:-1] + lam[1:], 1.0), 0.0).sum((1, 2))
    layers = np.zeros(len(h))
    layers[:-1] += across * h[:-1]
    layers[1:] += across * h[1:]
    return layers


def solid_shares_at(fields: SolidFields, points: Sequence[Corner]) -> Floats:
    """Return the weighting factors of all spaces at points, shape (points, airs).

    Raises
    ------
    InputError
        If a point lies outside the body.
    """
    return np.array([_at(fields, p) for p in points]).reshape(len(points), fields.shares.shape[1])


def _at(fields: SolidFields, point: Corner) -> Floats:
    net = fields.net
    tiny = 1e-9 * net.solid.size
    spans = [
        np.nonzero((ln[:-1] <= c + tiny) & (ln[1:] >= c - tiny))[0] for ln, c in zip(net.lines, point, strict=True)
    ]
    candidates = [(i, j, k) for i in spans[0] for j in spans[1] for k in spans[2] if net.conductivity[i, j, k] > 0]
    if not candidates:
        raise InputError(f"The point {tuple(round(c, 4) for c in point)} m lies outside the body.", where=("points",))
    cell = candidates[0]
    order = np.count_nonzero(net.conductivity.ravel()[: np.ravel_multi_index(cell, net.conductivity.shape)])
    weights = np.ones(1)
    for line, c, i in zip(net.lines, point, cell, strict=True):
        t = min(max((c - line[i]) / (line[i + 1] - line[i]), 0.0), 1.0)
        weights = np.kron(weights, [(1 - t) * (1 - 2 * t), 4 * t * (1 - t), t * (2 * t - 1)])
    return np.asarray(weights @ fields.shares[fields.nodes.element[order]])
