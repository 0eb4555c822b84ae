"""Blunders: found, named, told in words; nothing cried without cause; what nothing checks and what would."""

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.said import said

from snugbay.base import Run, Weight
from snugbay.job import Face, Reading, ReadingKind
from snugbay.job.outlines import BY_EYE, Length, Taped, polygon, rectangle, triangle
from snugbay.survey import Survey, SurveyOptions, adjust
from snugbay.survey.network import lay_out
from snugbay.survey.practice import bare_face, diagonals, outline, random_face, read, sides, state_of
from snugbay.survey.reliability import assess, critical, noncentrality
from snugbay.survey.solve import solve, weights
from snugbay.survey.studies import coverage, false_alarms, planted, practice_faces

OPTIONS = SurveyOptions()


def faced(readings: dict[str, Length], count: int = 4) -> Face:
    return replace(bare_face("N1", count), readings=polygon(readings).readings)


def braced(**changed: float) -> dict[str, Length]:
    """A pentagon with all its diagonals; ``AC=0.05`` makes A-C read 50 mm long."""
    corners = dict(zip("ABCDE", [(0, 0), (3, 0), (3, 2), (1.5, 2.8), (0, 2)], strict=True))
    names = [p + q for i, p in enumerate("ABCDE") for q in "ABCDE"[i + 1 :]]
    return {f"{n[0]}-{n[1]}": math.dist(corners[n[0]], corners[n[1]]) + changed.get(n, 0.0) for n in names}


def surveyed(readings: dict[str, Length], count: int) -> Survey:
    return adjust([faced(readings, count)], (), OPTIONS, Run()).value


@pytest.mark.parametrize("pair", ["AB", "AC", "BD", "CE"])
@pytest.mark.parametrize("error", [0.0254, -0.1, 0.3048])
def test_a_misread_length_is_named_with_what_it_should_read(pair: str, error: float) -> None:
    found = surveyed(braced(**{pair: error}), 5)
    assert len(found.suspects) == 1
    suspect = found.suspects[0]
    assert suspect.readings == (f"{pair[0]}-{pair[1]}",)
    assert suspect.error == pytest.approx(error, abs=1e-4)
    assert suspect.should_read[0][1] == pytest.approx(braced()[f"{pair[0]}-{pair[1]}"], abs=1e-4)
    assert f"Pull {pair[0]}-{pair[1]} again" in said(suspect)
    assert ("too long" if error > 0 else "too short") in said(suspect)
    assert suspect.moves > 0.0
    face = found.faces[0]
    wrong = next(r for r in face.readings if r.reading.name == suspect.readings[0])
    assert wrong.suspect
    assert wrong.aside
    # the shape is that of the sound readings
    assert face.area == pytest.approx(7.2, abs=1e-3)
    assert found.chi2 > found.chi2_limit


def test_two_misread_lengths_are_both_named() -> None:
    """Six corners and all diagonals: one after the other begins with a sound reading, both together are right."""
    rng = np.random.default_rng(6)
    face, truth = bare_face("N1", 6), outline(rng, 6, rough=0.1)
    made = read(face, truth, sides(face) + diagonals(face), None).face
    for one, two in ((0, 7), (3, 11), (6, 9), (8, 14), (2, 5)):
        values = {one: 0.05, two: -0.03}
        readings = tuple(replace(r, value=r.value + values.get(i, 0.0)) for i, r in enumerate(made.readings))
        found = adjust([replace(made, readings=readings)], (), OPTIONS, Run()).value
        assert {s.readings for s in found.suspects} == {(made.readings[i].name,) for i in (one, two)}
        assert {round(s.error, 4) for s in found.suspects} == {0.05, -0.03}


def test_pairs_that_cannot_be_told_apart_are_listed_as_pairs() -> None:
    """Two wrong of ten readings of a house-shaped pentagon: three pairs explain all, and none is left out."""
    found = surveyed(braced(AC=0.05, BE=-0.03), 5)
    assert len(found.suspects) == 1
    assert {"A-C", "B-E", "B-D", "C-E"} <= set(found.suspects[0].readings)
    assert "several are wrong" in said(found.suspects[0])
    assert found.suspects[0].should_read[0][1] == pytest.approx(braced()["A-C"], abs=1e-4)
    assert not any(r.aside for r in found.faces[0].readings)


def test_what_the_blunder_does_to_the_piece_is_the_move_of_a_corner() -> None:
    """How far the corner is out is the difference of the two shapes, laid on each other."""
    found = surveyed(braced(AC=0.05), 5)
    kept = adjust([faced(braced(AC=0.05), 5)], (), SurveyOptions(blunder_significance=1e-300), Run()).value
    one, two = (np.array(s.faces[0].points) for s in (found, kept))
    one, two = one - one.mean(axis=0), two - two.mean(axis=0)
    u, _, vt = np.linalg.svd(two.T @ one)
    moves = np.linalg.norm(two @ (u @ vt) - one, axis=1)
    assert found.suspects[0].moves == pytest.approx(moves.max(), rel=1e-3)
    assert found.suspects[0].corner == "ABCDE"[int(np.argmax(moves))]


def test_readings_that_cannot_be_told_apart_are_listed_together_and_kept() -> None:
    """One spare reading: each of the six explains the misfit alone."""
    found = surveyed({"A-B": 3, "B-C": 2, "C-D": 3, "D-A": 2, "A-C": 3.6056, "B-D": 3.65}, 4)
    assert len(found.suspects) == 1
    assert set(found.suspects[0].readings) == {"A-B", "B-C", "C-D", "D-A", "A-C", "B-D"}
    assert "cannot tell which" in said(found.suspects[0])
    assert not any(r.aside for r in found.faces[0].readings)


def test_large_blunders_are_judged_by_shapes_not_slopes() -> None:
    """A diagonal a metre too long on a thin face: only the readings whose removal really mends it are named."""
    found = surveyed({"A-B": 1.0, "B-C": 1.0, "C-A": 2.1, "C-D": 1.0, "D-A": 1.6, "B-D": 1.0}, 4)
    assert set(found.suspects[0].readings) == {"A-B", "B-C", "C-A"}


def test_a_corner_that_is_not_square_is_a_note_and_not_a_tape_to_pull() -> None:
    leaning = math.radians(84.0)
    d = (2 * math.cos(leaning), 2 * math.sin(leaning))
    shape = rectangle(
        3.0, 2.0, more={"B-D": math.dist((3, 0), d), "A-C": math.dist((0, 0), (3 + d[0], d[1])), "C-D": 3.0, "B-C": 2.0}
    )
    outcome = adjust([replace(bare_face("N1", 4), readings=shape.readings)], (), OPTIONS, Run())
    notes = [f for f in outcome.findings if f.code == "survey.out-of-square"]
    assert notes
    assert all(f.weight is Weight.NOTE for f in notes)
    assert not any(f.code == "survey.suspect" for f in outcome.findings)
    assert outcome.value.faces[0].area == pytest.approx(6 * math.sin(leaning), rel=1e-3)


def test_a_repeated_reading_that_disagrees_is_caught() -> None:
    face = faced({"A-B": 3, "B-C": 2, "C-D": 3, "D-A": 2, "A-C": 3.6056, "B-D": 3.6056})
    again = replace(face.readings[0], value=3.1, name="A-B, second time")
    found = adjust([replace(face, readings=(*face.readings, again))], (), OPTIONS, Run()).value
    assert found.suspects[0].readings == ("A-B, second time",)


def test_redundancy_and_least_blunder_are_those_of_the_formula() -> None:
    """Against the textbook matrices written out densely: R = I - A Q A' P, w = v / (s sqrt r), MDB = s d0 / sqrt r."""
    made = random_face(np.random.default_rng(8), 6, OPTIONS, spare=4)
    net = lay_out([made.face], (), OPTIONS)
    solution = solve(net, state_of(made.truth), weights(net))
    result = assess(net, solution, OPTIONS)
    A = solution.jacobian.toarray()
    P = np.diag(1.0 / net.sigma**2)
    R = np.eye(len(A)) - A @ np.linalg.inv(A.T @ P @ A) @ A.T @ P
    assert result.redundancy == pytest.approx(np.diagonal(R), abs=1e-9)
    assert result.redundancy.sum() == pytest.approx(result.freedom)
    assert result.w == pytest.approx(solution.misclosure / (net.sigma * np.sqrt(np.diagonal(R))), rel=1e-6)
    assert critical(OPTIONS) == pytest.approx(3.2905, abs=1e-4)  # normal table, 0.05 % in each tail
    assert noncentrality(OPTIONS) == pytest.approx(4.1321, abs=1e-3)  # Baarda: 4.13 at 0.1 % and 80 % (from memory)
    assert result.least == pytest.approx(net.sigma * noncentrality(OPTIONS) / np.sqrt(np.diagonal(R)), rel=1e-6)


def test_a_reading_set_aside_keeps_its_figures_as_if_put_back() -> None:
    made = random_face(np.random.default_rng(9), 5, OPTIONS, spare=4)
    net = lay_out([made.face], (), OPTIONS)
    start = state_of(made.truth)
    whole = assess(net, solve(net, start, weights(net)), OPTIONS)
    without = assess(net, solve(net, start, weights(net, frozenset([2]))), OPTIONS)
    assert without.redundancy[2] == pytest.approx(whole.redundancy[2], rel=1e-2)
    assert without.w[2] == pytest.approx(whole.w[2], rel=1e-2, abs=1e-2)
    assert without.blunder[2] == pytest.approx(whole.blunder[2], rel=1e-2, abs=1e-5)


def test_a_triangle_of_three_sides_is_unchecked_and_the_extra_reading_checks_it() -> None:
    face = replace(bare_face("G", 3), readings=triangle(3.0, 2.2, 2.0).readings)
    found = adjust([face], (), OPTIONS, Run()).value
    assert found.freedom == 0
    unchecked = found.unchecked[0]
    assert unchecked.readings == ("A-B", "B-C", "C-A")
    assert all(math.isinf(r.least_blunder) for r in found.faces[0].readings)
    assert unchecked.pull == "height of C over A-B"
    height = found.faces[0].points[2][1]
    extra = Reading(ReadingKind.OFFSET, ("A", "B", "C"), height, OPTIONS.height_sigma)
    then = adjust([replace(face, readings=(*face.readings, extra))], (), OPTIONS, Run()).value
    assert not then.unchecked
    assert "it checks A-B, B-C and C-A" in said(unchecked)


def test_the_gain_of_the_proposed_reading_is_the_shrinking_of_the_covariance() -> None:
    face = faced({"A-B": 3.0, "B-C": 2.0, "C-D": 3.1, "D-A": 2.1, "A-C": 3.6})
    found = adjust([face], (), OPTIONS, Run()).value
    unchecked = found.unchecked[0]
    assert unchecked.pull == "diagonal B-D"
    p = found.faces[0]
    value = math.dist(p.point("B"), p.point("D"))
    more = replace(
        face, readings=(*face.readings, Reading(ReadingKind.DISTANCE, ("B", "D"), value, OPTIONS.tape_sigma))
    )
    then = adjust([more], (), OPTIONS, Run()).value.faces[0]
    rows = [2, 4, 5, 6, 7]
    dets = [np.linalg.slogdet(np.array(f.covariance)[np.ix_(rows, rows)])[1] for f in (p, then)]
    assert unchecked.gain == pytest.approx(0.5 * (dets[0] - dets[1]), rel=1e-6)


def test_no_other_candidate_tells_more() -> None:
    """The proposal is the best of all sides and diagonals not taken, each tried by adjusting again."""
    rng = np.random.default_rng(2)
    face, truth = bare_face("F", 6), outline(rng, 6, rough=0.1)
    made = read(face, truth, sides(face) + diagonals(face)[:3], None).face
    found = adjust([made], (), OPTIONS, Run()).value
    best = found.unchecked[0]
    before = np.array(found.faces[0].covariance)
    rows = [2, *range(4, 12)]
    gains = {}
    for kind, corners in diagonals(face)[3:]:
        more = read(face, truth, [*sides(face), *diagonals(face)[:3], (kind, corners)], None).face
        after = np.array(adjust([more], (), OPTIONS, Run()).value.faces[0].covariance)
        dets = [np.linalg.slogdet(Q[np.ix_(rows, rows)])[1] for Q in (before, after)]
        gains[f"diagonal {'-'.join(corners)}"] = 0.5 * (dets[0] - dets[1])
    assert best.gain >= max(gains.values()) - 1e-6
    assert best.pull not in gains or gains[best.pull] == pytest.approx(best.gain, rel=1e-3)


def test_a_coarser_tape_than_stated_is_told_without_a_suspect() -> None:
    """Many readings each a little out: the global test speaks, no single one does."""
    rng = np.random.default_rng(5)
    readings: dict[str, Length] = {}
    for key, value in braced().items():
        assert isinstance(value, float)
        readings[key] = Taped(value + 0.0028 * float(rng.choice([-1.0, 1.0])), 0.0015)
    options = SurveyOptions(blunder_significance=1e-9)
    outcome = adjust([faced(readings, 5)], (), options, Run())
    assert outcome.value.chi2 > outcome.value.chi2_limit
    assert [f.code for f in outcome.findings] == ["survey.coarse"]


def test_by_eye_readings_are_never_worth_more_than_a_tape() -> None:
    shape = rectangle(3.0, 2.0, more={"A-C": 3.65})
    found = adjust([replace(bare_face("N1", 4), readings=shape.readings)], (), OPTIONS, Run()).value.faces[0]
    eye = [r for r in found.readings if r.reading.instrument == BY_EYE]
    tape = [r for r in found.readings if r.reading.instrument != BY_EYE]
    assert max(abs(r.residual) for r in tape) < 0.001
    assert max(abs(r.residual) for r in eye) > 0.01


@pytest.mark.slow
def test_ellipses_cover_alarms_are_rare_and_blunders_are_found() -> None:
    """Smaller than ``bench/survey_studies.py``; limits are the stated ones widened by three standard errors."""
    rng = np.random.default_rng(41)
    faces = practice_faces(rng, 60, OPTIONS)
    ellipses = coverage(faces, 1500, OPTIONS, rng)
    spread = 3.0 * math.sqrt(0.95 * 0.05 / ellipses.draws)  # corners of one draw are not independent
    assert 0.95 - spread < ellipses.share < 0.95 + spread
    alarms = false_alarms(faces, 2500, OPTIONS, rng)
    expected = OPTIONS.blunder_significance * alarms.tests
    assert abs(alarms.alarms - expected) < 0.2 * expected + 3.0 * math.sqrt(expected)
    strong, mild = (planted(faces, 250, times, OPTIONS, rng) for times in (5.0, 3.0))
    assert strong.named >= 0.95
    assert mild.named >= 0.80
    assert strong.alone > 0.7
