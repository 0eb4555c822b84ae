"""The promise for all boards of a row, against an independent judge; and the board that is cut last."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon
from tests.pieces.judging import THICK, cut_sigma_of, shares
from tests.pieces.rooms import adjusted, box_faces, face, job_of, names, room, survey_of

from snugbay.base import InputError, OutOfRange, Run
from snugbay.job import Access, Job
from snugbay.pieces import BoardChoice, Fitting, Piece, PieceSet, blank, make_pieces, pieces_that_go_in, scribed
from snugbay.pieces.rates import typical
from snugbay.survey import Survey

CUT = cut_sigma_of(typical("cut_sigma_knife"), THICK)
HATCH = Access(0.5588, 0.762, 2.0, 2.0)


def wall(points: list[tuple[float, float]], sigma: float, access: Access | None = None) -> tuple[Job, Survey]:
    rim = tuple((names(len(points))[k], names(len(points))[(k + 1) % len(points)]) for k in range(len(points)))
    job = job_of([face("N", len(points), rough_edges=rim)])
    job = replace(job, access=access) if access is not None else job
    return job, survey_of([adjusted("N", [(x, 0.0, y) for x, y in points], sigma)])


def boarded(job: Job, taped: Survey, sheet: tuple[float, float] = (1.22, 1.3), layers: int = 1) -> PieceSet:
    choice = BoardChoice("N", "polyiso-2in", ((THICK, Fitting.ON_FACE),) * layers, *sheet)
    return make_pieces(job, taped, (choice,), Run()).value


LONG = [(0.0, 0.0), (9.0, 0.0), (9.0, 1.2), (0.0, 1.2)]
LEANING = [(0.0, 0.0), (6.0, 0.0), (5.0, 2.2), (1.0, 2.0)]


@pytest.mark.parametrize(("points", "sigma", "layers"), [(LONG, 0.003, 1), (LEANING, 0.004, 2)])
def test_what_is_promised_of_a_row_is_seen(points: list[tuple[float, float]], sigma: float, layers: int) -> None:
    """300 draws: the share that goes in is within 1.3 % of the promise at one standard deviation."""
    job, taped = wall(points, sigma)
    made = boarded(job, taped, layers=layers)
    assert made.promise is not None
    seen, _ = shares(job, taped, made, CUT, 300, 5)
    assert made.promise.all_go_in == pytest.approx(seen, abs=0.035)
    assert len(made.pieces) > 5


def test_a_row_behind_a_hatch_is_reckoned_with_all_its_boards() -> None:
    """A hatch makes more boards than sheets do; each of them brings its own errors, so the gap grows."""
    gaps = []
    for access in (None, HATCH):
        job, taped = wall(LONG, 0.003, access)
        made = boarded(job, taped, (1.22, 2.44))
        gaps.append((len(made.pieces), max(e.gap for p in made.pieces for e in p.edges)))
        assert made.promise is not None
        assert made.promise.all_go_in > 0.94
    assert gaps[1][0] > gaps[0][0]
    assert gaps[1][1] > gaps[0][1]


def between_walls() -> tuple[Job, Survey, PieceSet]:
    """A long floor between four finished walls, where nothing is foamed: its row adds up to more than a tight fit."""
    job, taped = room({k: v for k, v in box_faces(9.0, 1.2, 2.3, False).items() if k != "top"}, sigma=0.002)
    choice = BoardChoice("bottom", "polyiso-2in", ((THICK, Fitting.ON_FACE),), 1.22, 1.3)
    return job, taped, make_pieces(job, taped, (choice,), Run()).value


def last_of(made: PieceSet) -> Piece:
    return next(p for p in made.pieces if p.scribe is not None)


def test_the_last_board_between_walls_is_cut_to_what_is_left() -> None:
    job, taped, made = between_walls()
    piece = last_of(made)
    assert made.pieces[-1] is piece
    assert piece.scribe is not None
    assert max(e.gap for p in made.pieces for e in p.edges) < 0.007
    assert made.promise is not None
    assert made.promise.all_go_in > 0.9
    grown = Polygon(blank(piece).outline).area - Polygon(piece.outline).area
    assert grown == pytest.approx(piece.scribe.allowance * 1.2, rel=0.05)
    choice = BoardChoice("bottom", "polyiso-2in", ((THICK, Fitting.ON_FACE),), 1.22, 1.3)
    told = last_of(pieces_that_go_in(job, taped, (choice,), Run()).value)
    assert told.note.startswith("Fit it last.")


MADE = between_walls()[2]


@settings(max_examples=40, deadline=None, derandomize=True)
@given(more=st.floats(-0.02, 0.01), skew=st.floats(-0.004, 0.004))
def test_the_reading_cuts_the_last_board_to_the_mark(more: float, skew: float) -> None:
    """Cut by the reading, the board is as wide as what is left, less what it is cut less; other edges stay."""
    piece = last_of(MADE)
    scribe = piece.scribe
    assert scribe is not None
    left = (scribe.left[0] + more, scribe.left[1] + more + skew)
    made = scribed(piece, left)
    n = len(piece.outline)
    kept = [k for k in range(n) if k not in (scribe.edge, (scribe.edge + 1) % n)]
    assert all(made.outline[k] == piece.outline[k] for k in kept)
    wide = np.hypot(*(np.array(made.outline[scribe.edge]) - np.array(made.outline[scribe.edge - 1])))
    opposite = piece.edges[(scribe.edge + 2) % n].gap
    assert wide == pytest.approx(left[0] - scribe.less - opposite, abs=2e-4)
    assert made.scribe is None


def test_readings_that_cannot_be_are_refused() -> None:
    piece = last_of(MADE)
    assert piece.scribe is not None
    far = piece.scribe.left[0] + piece.scribe.allowance + 0.05
    with pytest.raises(OutOfRange, match="more than its blank has"):
        scribed(piece, (far, far))
    with pytest.raises(OutOfRange, match="too little"):
        scribed(piece, (0.02, 0.02))
    with pytest.raises(InputError):
        scribed(MADE.pieces[0], (0.5, 0.5))
