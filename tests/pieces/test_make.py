"""Pieces of plain faces: labels, seams, bays, gaps, the way in."""

import pytest
from tests.pieces.rooms import adjusted, face, job_of, room, survey_of, wall

from snugbay.base import InputError, NoFit, Run
from snugbay.job import Access, Framing
from snugbay.pieces import BoardChoice, EdgeKind, Fitting, make_pieces, prove_in_solids


def choice(face_id: str, *layers: tuple[float, Fitting]) -> BoardChoice:
    return BoardChoice(face_id, "polyiso-2in", layers, 1.2, 2.4)


def test_a_plain_wall_takes_whole_sheets_and_one_rip() -> None:
    job, survey = room({"W": wall(4.0, 2.4)})
    made = make_pieces(job, survey, (choice("W", (0.05, Fitting.ON_FACE)),), Run()).value
    assert [p.id for p in made.pieces] == ["W-1a", "W-1b", "W-1c", "W-1d"]
    widths = sorted(max(x for x, _ in p.outline) - min(x for x, _ in p.outline) for p in made.pieces)
    assert widths == pytest.approx([0.4, 1.2, 1.2, 1.2])
    tight = [s for s in made.seams if s.kind is EdgeKind.SEAM]
    assert len(tight) == 3
    assert sum(s.length for s in tight) == pytest.approx(7.2)
    assert all(w.passes for w in made.way_in)


def test_bays_keep_the_foam_gap_all_round() -> None:
    framing = Framing(0.4064, 0.0381, 0.089, "up", 0.01905)
    knee = face("K", 4, framing=framing, rough_edges=(("A", "B"), ("C", "D")))
    survey = survey_of([adjusted("K", wall(3 * 0.4064 + 0.0381, 1.2), 0.001)])
    job = job_of([knee])
    made = make_pieces(job, survey, (choice("K", (0.05, Fitting.IN_BAYS)),), Run()).value
    assert len(made.pieces) == 3
    assert {p.bay for p in made.pieces} == {"bay 1", "bay 2", "bay 3"}
    for piece in made.pieces:
        assert all(e.kind is EdgeKind.ROUGH and e.gap >= 0.00635 - 1e-9 for e in piece.edges)
        assert piece.depth == pytest.approx(-0.089)
        assert piece.fits >= 0.95
    proof = prove_in_solids(job, survey, made, Run())
    assert proof.overlaps == 0
    assert proof.narrowest_gap == pytest.approx(min(e.gap for p in made.pieces for e in p.edges), abs=1e-6)


def test_a_small_hatch_makes_more_seams_and_every_piece_passes() -> None:
    job, survey = room({"W": wall(3.6, 1.2)})
    narrow = job_of(job.faces, (), Access(0.37, 0.6, 1.0, 1.1))
    boards = (choice("W", (0.05, Fitting.ON_FACE)),)
    wide_set, narrow_set = (make_pieces(j, survey, boards, Run()).value for j in (job, narrow))
    assert len(narrow_set.pieces) > len(wide_set.pieces)
    assert all(w.passes for w in narrow_set.way_in)
    assert prove_in_solids(narrow, survey, narrow_set, Run()).coverage == pytest.approx(1.0)


def test_boards_too_thick_for_the_bay_do_not_fit() -> None:
    knee = face("K", 4, framing=Framing(0.4, 0.04, 0.089))
    survey = survey_of([adjusted("K", wall(2.0, 1.2))])
    with pytest.raises(NoFit, match="bays-too-shallow"):
        make_pieces(job_of([knee]), survey, (choice("K", (0.1, Fitting.IN_BAYS)),), Run())


def test_a_face_without_bays_has_none_to_fill() -> None:
    job, survey = room({"W": wall(2.0, 1.2)})
    with pytest.raises(InputError, match="no open bays"):
        make_pieces(job, survey, (choice("W", (0.05, Fitting.IN_BAYS)),), Run())


def test_no_seam_helps_where_the_way_in_is_a_slot() -> None:
    job, survey = room({"W": wall(2.0, 1.2)})
    slot = job_of(job.faces, (), Access(0.04, 0.04, 1.0, 1.0))
    with pytest.raises(NoFit, match="no-seams"):
        make_pieces(slot, survey, (choice("W", (0.05, Fitting.ON_FACE)),), Run())
