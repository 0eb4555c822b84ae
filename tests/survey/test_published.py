"""Adjustments published in textbooks, and independent solutions of them."""

import math

import numpy as np
import pytest
from scipy import optimize

from snugbay.base import Run
from snugbay.job import Face, Part, Reading, ReadingKind
from snugbay.survey import SurveyOptions, adjust

NO_TESTS = SurveyOptions(blunder_significance=1e-12)
"""The examples are about the adjustment: nothing is set aside."""


def distance(p: str, q: str, value: float, sigma: float) -> Reading:
    return Reading(ReadingKind.DISTANCE, (p, q), value, sigma)


def level_net(lengths: tuple[float, ...]) -> dict[str, float]:
    """Heights of A, B, C from a level net between two bench marks, as places along a plumb line.

    The net: bench marks X = 100.00 and Y = 107.50, seven observed differences of height. Differences are lengths
    between points on the line X-Y; a station reading of zero holds each point on it.
    """
    pairs = (("X", "A"), ("A", "Y"), ("Y", "C"), ("C", "X"), ("A", "B"), ("Y", "B"), ("B", "C"))
    observed = [(*pair, rise) for pair, rise in zip(pairs, (5.10, 2.34, 1.25, 6.13, 0.68, 3.00, 1.70), strict=True)]
    readings = [distance(p, q, v, 0.05 * math.sqrt(n)) for (p, q, v), n in zip(observed, lengths, strict=True)]
    readings.append(distance("X", "Y", 7.5, 1e-6))
    readings += [Reading(ReadingKind.OFFSET, ("X", "Y", c), 0.0, 1e-5) for c in "ABC"]
    face = Face("L", "net", Part.WALL, "i", "e", "e", 0.0, ("X", "Y", "A", "B", "C"), tuple(readings))
    found = adjust([face], (), NO_TESTS, Run()).value.face("L")
    return {c: 100.0 + found.point(c)[0] for c in "ABC"}


@pytest.mark.parametrize(
    ("lengths", "heights"),
    [
        # P. R. Wolf, C. D. Ghilani, Adjustment Computations, chapter on level nets (from memory): equal weights
        ((1.0,) * 7, {"A": 105.141, "B": 104.483, "C": 106.188}),
        # the same net with weights by the lengths of the lines in miles (from memory)
        ((4.0, 3.0, 2.0, 3.0, 2.0, 2.0, 2.0), {"A": 105.150, "B": 104.489, "C": 106.197}),
    ],
)
def test_level_net(lengths: tuple[float, ...], heights: dict[str, float]) -> None:
    found = level_net(lengths)
    J = np.array([[1, 0, 0], [-1, 0, 0], [0, 0, 1], [0, 0, -1], [-1, 1, 0], [0, 1, 0], [0, -1, 1]], dtype=float)
    seen = np.array([105.10, 2.34 - 107.5, 106.25, -106.13, -0.68, 104.5, 1.70])
    W = np.diag(1.0 / np.array(lengths))
    own = np.linalg.solve(J.T @ W @ J, J.T @ W @ seen)
    for k, name in enumerate("ABC"):
        assert round(found[name], 3) == heights[name]
        assert abs(found[name] - own[k]) < 2e-5


def test_trilateration_of_one_station_from_three() -> None:
    """Station U from three known ones by distances.

    Data of the trilateration example in P. R. Wolf, C. D. Ghilani, Adjustment Computations (from memory), in feet, a
    hundredth of the size; the solution is our own Gauss-Newton in numpy.
    """
    known = np.array([[865.40, 4527.15], [2432.55, 2047.25], [2865.22, 27.15]]) / 100.0
    seen = np.array([6049.00, 4736.83, 5446.49]) / 100.0
    u = np.array([60.0, 30.0])
    for _ in range(20):
        v = u - known
        r = np.hypot(*v.T)
        J = v / r[:, None]
        u = u + np.linalg.lstsq(J, seen - r, rcond=None)[0]
    assert np.round(100.0 * u, 2) == pytest.approx([6861.32, 3727.82])
    names = "CBA"  # known stations, counter-clockwise with U
    places = {"A": known[0], "B": known[1], "C": known[2]}
    pairs = (("A", "B"), ("B", "C"), ("A", "C"))
    readings = [distance(p, q, float(np.linalg.norm(places[p] - places[q])), 1e-6) for p, q in pairs]
    readings += [distance(n, "U", float(d), 0.0005) for n, d in zip("ABC", seen, strict=True)]
    face = Face("T", "net", Part.WALL, "i", "e", "e", 0.0, (*names, "U"), tuple(readings))
    options = SurveyOptions(blunder_significance=1e-12)
    found = adjust([face], (), options, Run()).value.face("T")
    for n in names:
        assert math.dist(found.point(n), found.point("U")) == pytest.approx(
            float(np.linalg.norm(places[n] - u)), abs=2e-5
        )
    residuals = {r.reading.corners: r.residual for r in found.readings[3:]}
    for n, want in zip("ABC", np.hypot(*(u - known).T) - seen, strict=True):
        assert residuals[(n, "U")] == pytest.approx(want, abs=2e-5)


def test_a_braced_quadrilateral_agrees_with_a_general_solver() -> None:
    """Six distances of a quadrilateral, against scipy on residuals written down afresh."""
    seen = {"AB": 3.001, "BC": 2.002, "CD": 2.998, "DA": 2.001, "AC": 3.607, "BD": 3.604}
    sigma = {"AB": 0.001, "BC": 0.002, "CD": 0.001, "DA": 0.002, "AC": 0.003, "BD": 0.0015}
    readings = tuple(distance(k[0], k[1], v, sigma[k]) for k, v in seen.items())
    face = Face("Q", "Q", Part.WALL, "i", "e", "e", 0.0, tuple("ABCD"), readings)

    def residuals(x: np.ndarray) -> np.ndarray:
        p = {"A": (0.0, 0.0), "B": (x[0], 0.0), "C": (x[1], x[2]), "D": (x[3], x[4])}
        return np.array([(math.dist(p[k[0]], p[k[1]]) - v) / sigma[k] for k, v in seen.items()])

    own = optimize.least_squares(residuals, [3, 3, 2, 0, 2], xtol=1e-15, ftol=1e-15, gtol=1e-15)
    outcome = adjust([face], (), NO_TESTS, Run())
    found = outcome.value.face("Q")
    xy = [found.points[1][0], *found.points[2], *found.points[3]]
    assert np.array(xy) == pytest.approx(own.x, abs=1e-8)
    assert outcome.value.chi2 == pytest.approx(2.0 * own.cost, rel=1e-8)
    J = np.asarray(own.jac)
    Q = np.linalg.inv(J.T @ J)
    rows = [2, 4, 5, 6, 7]
    assert np.array(found.covariance)[np.ix_(rows, rows)] == pytest.approx(Q, rel=1e-3, abs=1e-12)
    assert sum(r.redundancy for r in found.readings) == pytest.approx(1.0)
