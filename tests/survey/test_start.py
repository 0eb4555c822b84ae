"""Starting shapes: from any sufficient readings, for hollow, needle-thin and collinear outlines, 3 to 24 corners."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.said import said

from snugbay.base import Run
from snugbay.job import Face, ReadingKind
from snugbay.job.outlines import Outline, polygon, rectangle, stations, triangle
from snugbay.survey import AdjustedFace, SurveyOptions, adjust
from snugbay.survey.network import lay_out
from snugbay.survey.practice import angles, bare_face, diagonals, outline, random_face, read, sides, state_of
from snugbay.survey.solve import solve, weights
from snugbay.survey.start import Circle, Line, crossings, meet, seen_over

OPTIONS = SurveyOptions()


def surveyed(shape: Outline) -> AdjustedFace:
    face = replace(bare_face("F", len(shape.corners)), corners=shape.corners, readings=shape.readings)
    return adjust([face], (), OPTIONS, Run()).value.faces[0]


def check_against_truth(face: Face, truth: np.ndarray) -> str:
    """Return "same" where the survey rests where a start from the truth rests, "told" where it says it may not."""
    outcome = adjust([face], (), OPTIONS, Run())
    net = lay_out([face], (), OPTIONS)
    rest = solve(net, state_of(truth), weights(net))
    assert outcome.value.chi2 <= rest.cost + 10.0, "a worse shape than the true one was taken"
    points = np.array(outcome.value.faces[0].points)
    if np.abs(points - rest.state.points[:, :2]).max() < 0.02 or outcome.value.suspects:
        return "same"
    assert any(f.code == "survey.two-shapes" for f in outcome.findings), "another shape fits, and nobody was told"
    return "told"


def test_sides_with_a_fan_of_diagonals_always_find_the_outline() -> None:
    rng = np.random.default_rng(7)
    told = 0
    for _ in range(60):
        count = int(rng.integers(3, 11))
        face = bare_face("F", count)
        truth = outline(rng, count, rough=float(rng.uniform(0.0, 0.3)))
        centre = face.corners[int(rng.integers(count))]
        fan = [d for d in diagonals(face) if centre in d[1]]
        told += check_against_truth(read(face, truth, sides(face) + fan, rng).face, truth) == "told"
    assert told < 20  # a fan alone cannot tell a corner pushed in from one pushed out


@pytest.mark.parametrize("count", [3, 5, 8, 12, 16, 20, 24])
def test_stations_give_any_number_of_corners(count: int) -> None:
    rng = np.random.default_rng(count)
    along = np.linspace(0.0, 4.0, count - 1) if count > 3 else np.array([2.0])
    heights = [(float(x), 1.2 + 0.2 * float(rng.uniform())) for x in along]
    face = surveyed(stations(4.0, heights))
    assert len(face.points) == len(heights) + 2
    for (x, h), point in zip(reversed(heights), face.points[2:], strict=True):
        assert point == pytest.approx((x, h), abs=1e-9)


def test_stations_on_a_line_are_legal() -> None:
    face = surveyed(stations(4.0, [(0.0, 1.0), (1.0, 1.0), (2.0, 1.0), (3.0, 1.0), (4.0, 1.0)]))
    assert face.area == pytest.approx(4.0)


def test_sides_and_angles_round_an_outline() -> None:
    rng = np.random.default_rng(4)
    for count in (4, 5, 7, 9):
        face, truth = bare_face("F", count), outline(rng, count, rough=0.25)
        made = read(face, truth, sides(face) + angles(face)[:-2], None)
        assert check_against_truth(made.face, truth) == "same"


def test_a_shape_that_no_construction_reaches_corner_by_corner() -> None:
    """Sides A-B and C-D, inside angles at A, B and C: no corner beyond the first two has two loci."""
    truth = np.array([[0.0, 0.0], [3.0, 0.1], [2.7, 1.9], [0.2, 1.6]])
    face = bare_face("F", 4)
    what = [(ReadingKind.DISTANCE, ("A", "B")), (ReadingKind.DISTANCE, ("C", "D")), *angles(face)[:3]]
    assert check_against_truth(read(face, truth, what, None).face, truth) == "same"


@settings(max_examples=25, deadline=None)
@given(st.floats(0.5, 3.0), st.floats(0.5, 3.0), st.floats(0.0, 0.0012))
def test_needle_triangles_do_not_fail(a: float, b: float, excess: float) -> None:
    """The long side may miss the two others by the noise of a tape, on either side of flat.

    The area is Heron's, and none where the three lengths close no triangle.
    """
    for long in (a + b - excess, a + b + excess):
        outcome = adjust([replace(bare_face("F", 3), readings=triangle(a, b, long).readings)], (), OPTIONS, Run())
        face = outcome.value.faces[0]
        half = (a + b + long) / 2
        heron = math.sqrt(max(half * (half - a) * (half - b) * (half - long), 0.0))
        assert abs(face.area) == pytest.approx(heron, abs=2e-3)
        Q = np.array(face.covariance)
        assert np.all(np.isfinite(Q))
        assert np.sqrt(np.diagonal(Q)).max() < 0.3


def test_a_flat_triangle_is_told_to_be_loose_sideways() -> None:
    """How far C stands off the line grows with the root of the tape's noise: sqrt(2 L sigma), not L sigma / h."""
    outcome = adjust([replace(bare_face("F", 3), readings=triangle(1.0, 1.0, 2.0).readings)], (), OPTIONS, Run())
    finding = next(f for f in outcome.findings if f.code == "survey.flat")
    assert 0.02 < finding.figure("sideways") < 0.1


def test_a_dart_is_found_where_a_reading_tells() -> None:
    truth = np.array([[0.0, 0.0], [2.0, -0.8], [0.6, 0.0], [2.0, 0.8]])
    face = bare_face("F", 4)
    for extra in (diagonals(face), [diagonals(face)[1], angles(face)[2]]):
        assert check_against_truth(read(face, truth, sides(face) + extra, None).face, truth) == "same"


def test_two_shapes_are_told_with_the_reading_that_tells_them_apart() -> None:
    """Sides and diagonal B-D fit a kite and a dart; the kite is taken."""
    shape = polygon({"A-B": 1.3, "B-C": 1.0, "C-D": 1.0, "D-A": 1.3, "B-D": 1.2})
    face = replace(bare_face("F", 4), readings=shape.readings)
    outcome = adjust([face], (), OPTIONS, Run())
    finding = next(f for f in outcome.findings if f.code == "survey.two-shapes")
    kite = math.sqrt(1.3**2 - 0.6**2) + 0.8
    dart = kite - 1.6
    assert f"{kite * 1000:.0f} mm in the one taken" in said(finding)
    assert f"{dart * 1000:.0f} mm in the other" in said(finding)
    assert "A-C" in said(finding)


def test_random_graphs_of_readings_up_to_24_corners() -> None:
    """Random sets of diagonals and angles, hollow outlines: nothing crashes, and nearly all are found or told."""
    rng = np.random.default_rng(12)
    good = 0
    for _ in range(40):
        made = random_face(
            rng,
            int(rng.integers(3, 25)),
            OPTIONS,
            spare=int(rng.integers(1, 6)),
            rough=float(rng.uniform(0.0, 0.5)),
            gauge_share=float(rng.choice([0.0, 0.3, 1.0])),
        )
        try:
            good += check_against_truth(made.face, made.truth) in {"same", "told"}
        except AssertionError:
            continue
    assert good >= 36


def test_a_rectangle_by_width_and_height_is_square_by_eye() -> None:
    bare = rectangle(3.0, 2.0, by_eye=False)
    face = replace(bare_face("F", 4), readings=bare.readings)
    outcome = adjust([face], (), OPTIONS, Run())
    found = outcome.value.faces[0]
    assert found.area == pytest.approx(6.0)
    assert [r.reading.instrument for r in found.readings[2:]] == ["by eye"] * 3
    assert any("square by eye only" in said(f) for f in outcome.findings)
    # one degree over 3 m: the far corner is known to centimetres, not to the tape's millimetre
    assert 0.02 < math.sqrt(found.covariance[5][5]) < 0.1


def test_loci_meet() -> None:
    assert meet(Circle(0j, 1.0), Circle(1 + 0j, 1.0)) == pytest.approx((0.5 + 0.75**0.5 * 1j, 0.5 - 0.75**0.5 * 1j))
    assert meet(Line(0j, 1 + 0j), Line(1 - 1j, 1j))[0] == pytest.approx(1 + 0j)
    assert len(meet(Circle(0j, 1.0), Line(2j, 1 + 0j))) == 1
    circle = seen_over(1 + 0j, 1j, math.pi / 2)
    assert circle is not None
    assert abs(circle.centre) == pytest.approx(2**-0.5)
    assert crossings([0j, 1 + 1j, 1 + 0j, 1j]) == 1
