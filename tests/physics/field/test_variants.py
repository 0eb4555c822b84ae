"""The kinds of shared cases on fields and slabs with other sizes and materials, against finite volumes written here."""

from __future__ import annotations

import math
from itertools import pairwise, product

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.sparse import coo_matrix, diags_array
from scipy.sparse.linalg import cg, spsolve
from scipy.special import erf
from tests.physics.field.cases import a1_series, case_2d_corner, case_10211_a1, case_10211_a2

from snugbay.physics import transient
from snugbay.physics.field import (
    ISO_10211,
    AirBlock,
    Block,
    Facing,
    Films,
    Layer,
    Section,
    Solid,
    framed_part,
    junction_loss,
    mean_u,
    rectangle,
    solve_section,
    solve_solid,
)

Floats = NDArray[np.float64]


def volumes(edges: list[Floats], lam: Floats, film: dict[tuple[int, int], float]) -> float:
    """Heat flow for 1 K between the low and the high end of the axes in ``film``: cells with half resistances.

    film: (axis, 0 or 1) to surface resistance; only one axis, and everything else adiabatic.
    """
    shape = lam.shape
    widths = [np.diff(e) for e in edges]
    number = np.arange(lam.size).reshape(shape)
    rows, columns, values = [], [], []
    diagonal, load = np.zeros(lam.size), np.zeros(lam.size)
    faces = np.ones(shape)
    for axis in range(lam.ndim):
        w = widths[axis].reshape([-1 if k == axis else 1 for k in range(lam.ndim)])
        area = faces.copy()
        for other in range(lam.ndim):
            if other != axis:
                area = area * widths[other].reshape([-1 if k == other else 1 for k in range(lam.ndim)])
        half = w / (2 * lam)
        low, high = [np.take(half, range(i, shape[axis] - 1 + i), axis) for i in (0, 1)]
        c = np.take(area, range(shape[axis] - 1), axis) / (low + high)
        a, b = [np.take(number, range(i, shape[axis] - 1 + i), axis).ravel() for i in (0, 1)]
        rows += [a, b]
        columns += [b, a]
        values += [-c.ravel(), -c.ravel()]
        np.add.at(diagonal, a, c.ravel())
        np.add.at(diagonal, b, c.ravel())
        for end in (0, 1):
            if (axis, end) in film:
                at = (slice(None),) * axis + ((-1 if end else 0),)
                g = (area[at] / (half[at] + film[axis, end])).ravel()
                diagonal[number[at].ravel()] += g
                if end == 0:
                    load[number[at].ravel()] += g
    rows.append(np.arange(lam.size))
    columns.append(np.arange(lam.size))
    values.append(diagonal)
    matrix = coo_matrix((np.concatenate(values), (np.concatenate(rows), np.concatenate(columns)))).tocsc()
    if lam.ndim < 3:
        temps = spsolve(matrix, load)
    else:
        temps, failed = cg(matrix, load, rtol=1e-8, M=diags_array(1 / diagonal))
        assert not failed
    return float((load * (1 - temps)).sum())


def fine(marks: list[float], cells: int) -> Floats:
    return np.unique(np.concatenate([np.linspace(a, b, cells + 1) for a, b in pairwise(marks)]))


@pytest.mark.parametrize(
    ("half", "stud", "layers", "rsi", "rse"),
    [
        (0.3048, 0.01905, [(0.0127, 0.16, None), (0.1397, 0.036, 0.115), (0.0254, 0.029, None)], 0.13, 0.13),
        (0.2, 0.0225, [(0.018, 0.13, None), (0.1, 0.04, 0.13), (0.06, 0.023, 0.13), (0.012, 0.25, None)], 0.10, 0.10),
        (0.3, 0.03, [(0.05, 0.024, None), (0.2, 0.038, 0.18)], 0.17, 0.04),
    ],
)
def test_stud_walls(
    half: float, stud: float, layers: list[tuple[float, float, float | None]], rsi: float, rse: float
) -> None:
    # kind 2d-stud-ci
    rows = [Layer(d, lam, "", other, 2 * stud if other else 0.0) for d, lam, other in layers]
    u = mean_u(junction_loss(framed_part(rows, 2 * half, Films(rsi, rse))), 2 * half)
    ys = [0.0, *np.cumsum([d for d, _, _ in layers])]
    xs = [0.0, stud, 2 * stud, half]
    flows = []
    for n in (12, 24):
        x, y = fine(xs, n), fine(ys, n)
        mx, my = (x[1:] + x[:-1]) / 2, (y[1:] + y[:-1]) / 2
        k = np.searchsorted(ys, my) - 1
        lam = np.array([[(layers[j][2] or layers[j][1]) if a < stud else layers[j][1] for j in k] for a in mx])
        flows.append(volumes([x, y], lam, {(1, 0): rsi, (1, 1): rse}) / half)
    want = flows[1] + (flows[1] - flows[0]) / 3  # second order
    assert u == pytest.approx(want, abs=1e-4)


@pytest.mark.parametrize(("leg", "thick", "lam"), [(4.0, 0.5, 0.04), (3.0, 0.3, 1.7), (9.0, 1.0, 0.2)])
def test_corners_of_any_size(leg: float, thick: float, lam: float) -> None:
    # kind 2d-corner: excess 1 - 2 ln 2/pi of the conductivity, whatever the size
    case = case_2d_corner(leg, thick, lam)
    flow = solve_section(case.section, {"inside": 21.0, "outside": -4.0}).total_flow
    want = 25 * lam * (2 * leg / thick + 1 - 2 / math.pi * math.log(2))
    assert flow == pytest.approx(want, rel=5e-4)


@pytest.mark.parametrize(("width", "lam", "top", "cold"), [(0.4, 2.0, 20.0, 0.0), (3.0, 0.04, -10.0, 5.0)])
def test_half_column_of_any_size_and_temperature(width: float, lam: float, top: float, cold: float) -> None:
    # kind 10211-A1
    case = case_10211_a1(width, lam)
    result = solve_section(case.section, {"top": top, "cold": cold}, points=case.points)
    exact = np.array([a1_series(x / width, y / width) for x, y in case.points])
    want = cold + (top - cold) * exact / 20
    assert result.temperatures(case.points) == pytest.approx(want, abs=0.005 * abs(top - cold) / 20)


@pytest.mark.parametrize("angle", [0.0, 0.6, math.pi / 2])
def test_composite_turned_and_at_other_temperatures(angle: float) -> None:
    # kind 10211-A2: linear, and the same whichever way it lies
    case = case_10211_a2()
    published = np.array([7.064, 0.761, 7.897, 6.271, 0.827, 16.408, 16.334, 16.767, 18.334])
    turned = case.section.moved(angle, (0.2, -0.1))
    c, s = math.cos(angle), math.sin(angle)
    points = [(c * x - s * y + 0.2, s * x + c * y - 0.1) for x, y in case.points]
    result = solve_section(turned, {"outside": -15.0, "inside": 22.0}, points=points)
    assert result.total_flow == pytest.approx(9.4915 * 37 / 20, abs=0.1)
    assert result.temperatures(points) == pytest.approx(-15 + published * 37 / 20, abs=0.05)


@pytest.mark.parametrize(("bar", "plate", "thick"), [((0.12, 0.06), 0.5, 0.15)])
def test_plates_with_a_bar_through_them(bar: tuple[float, float], plate: float, thick: float) -> None:
    # kind 10211-A4 with the bar flush on both sides
    lam, core, film = 0.1, 20.0, 0.1
    (bx, by), h = bar, plate / 2
    blocks = (
        Block((-h, -h, 0), (h, h, thick), lam, "plate"),
        Block((-bx / 2, -by / 2, 0), (bx / 2, by / 2, thick), core, "bar"),
    )
    airs = (AirBlock((-h, -h, -1), (h, h, 0), "out", film), AirBlock((-h, -h, thick), (h, h, thick + 1), "in", film))
    got = solve_solid(Solid(blocks, airs), {"in": 1.0, "out": 0.0}, accuracy=ISO_10211).coupling("in", "out")
    flows = []
    for n in (4, 8):
        x, y = (fine([0, b / 4, b / 2, 0.75 * b, 1.5 * b, h], n) for b in bar)
        z = fine([0, thick / 2, thick], n)
        mid = [(e[1:] + e[:-1]) / 2 for e in (x, y, z)]
        inside = (mid[0][:, None, None] < bx / 2) & (mid[1][None, :, None] < by / 2) & (mid[2][None, None, :] > 0)
        flows.append(4 * volumes([x, y, z], np.where(inside, core, lam), {(2, 0): film, (2, 1): film}))
    assert got == pytest.approx(flows[1] + (flows[1] - flows[0]) / 3, rel=0.01)


def test_a_section_of_one_material_between_films_is_a_plain_wall() -> None:
    for width, depth, lam in product((0.1, 2.0), (0.02, 0.5), (0.024, 2.0)):
        facings = (Facing((0, 0), (width, 0), "a", 0.04), Facing((0, depth), (width, depth), "b", 0.13))
        flow = solve_section(Section((rectangle(0, 0, width, depth, lam),), facings), {"a": 0.0, "b": 10.0}).total_flow
        assert flow == pytest.approx(10 * width / (0.17 + depth / lam), rel=1e-8)


BODIES = [(0.12, 540.0, 1210.0), (1.8, 2400.0, 1000.0), (0.024, 32.0, 1400.0)]


@pytest.mark.parametrize(("lam", "rho", "c"), BODIES)
def test_semi_infinite_bodies(lam: float, rho: float, c: float) -> None:
    # kinds semi-inf-fixed, semi-inf-film: explicit differences in a deep bar
    alpha = lam / rho / c
    hours = np.array([0.5, 3.0])
    dx = 0.15 * math.sqrt(alpha * 3600)
    x = (np.arange(400) + 0.5) * dx
    dt = 0.4 * dx * dx / alpha
    for film in (None, 1 / 8.0):
        temps, now, at = np.full(400, 18.0), 0.0, []
        g = 1 / (dx / (2 * lam) + (film or 0.0))
        for end in hours * 3600:
            while now < end - 1e-9:
                step = min(dt, end - now)
                q = np.concatenate([[g * (-7.0 - temps[0])], lam / dx * -np.diff(temps), [0.0]])
                temps = temps + step / (rho * c * dx) * (q[:-1] - q[1:])
                now += step
            at.append(temps[:40].copy())
        kinds = {"alpha": alpha, "temp_start_c": 18.0}
        for t, seen in zip(hours * 3600, at, strict=True):
            if film is None:
                got = transient.semi_infinite_fixed(x[:40], t, temp_surface_c=-7.0, **kinds)
                exact = -7 + 25 * erf(x[:40] / (2 * math.sqrt(alpha * t)))
                assert got == pytest.approx(exact, abs=1e-9)
            else:
                got = transient.semi_infinite_film(
                    x[:40], t, conductivity=lam, alpha=alpha, film_coefficient=8.0, temp_start_c=18.0, temp_air_c=-7.0
                )
            assert got == pytest.approx(seen, abs=0.08)


@pytest.mark.parametrize(("half", "h"), [(0.006, 8.0), (0.05, 25.0), (0.15, 4.0)])
def test_slabs(half: float, h: float) -> None:
    # kind slab: the series summed with roots found here
    lam, rho, c = 0.13, 500.0, 1600.0
    bi, alpha = h * half / lam, lam / rho / c
    spans = [(k * math.pi, k * math.pi + math.pi / 2) for k in range(40)]
    roots = np.array([brentq(lambda z: z * math.sin(z) - bi * math.cos(z), a, b) for a, b in spans])
    weights = 4 * np.sin(roots) / (2 * roots + np.sin(2 * roots))
    kinds = {"half_thickness": half, "conductivity": lam, "alpha": alpha, "film_coefficient": h}
    for t in (600.0, 7200.0):
        for x in (0.0, half / 2, half):
            total = float((weights * np.exp(-(roots**2) * alpha * t / half**2) * np.cos(roots * x / half)).sum())
            got = transient.slab(x, t, temp_start_c=20.0, temp_air_c=-5.0, **kinds)
            assert got == pytest.approx(-5 + 25 * total, abs=0.02)
