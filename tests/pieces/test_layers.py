"""Layers: staggered seams, who is fitted first, which side is the front, sizes of the sheet."""

from dataclasses import replace

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon
from tests.pieces.rooms import WIDE_OPEN, Corners, adjusted, box_faces, face, job_of, room, survey_of, wall

from snugbay.base import Effort, InputError, OutOfRange, Run, Stopped
from snugbay.job import Access, Framing, Hole, Notch, Opening, Stock, Tool, Wishes
from snugbay.materials import Rates
from snugbay.pieces import BoardChoice, EdgeKind, Fitting, Piece, make_pieces, pieces_for_face, prove_in_solids, rate
from snugbay.pieces.seams import least_offset
from snugbay.pieces.words import label
from snugbay.sheets import plan_sheets
from snugbay.tape import Tape

TWO = ((0.05, Fitting.ON_FACE), (0.05, Fitting.ON_FACE))


def seams(pieces: tuple[Piece, ...], layer: int) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    found = []
    for p in pieces:
        ring = [*p.outline, p.outline[0]]
        found += [(ring[k], ring[k + 1]) for k, e in enumerate(p.edges) if e.kind is EdgeKind.SEAM and p.layer == layer]
    return found


def in_quarter_turns(shape: Polygon, width: float, length: float) -> bool:
    """Sheets are marked along their edges: a piece that fits only at another angle cannot be laid."""
    x0, y0, x1, y1 = shape.bounds
    return bool(min(x1 - x0, y1 - y0) <= width + 1e-6 and max(x1 - x0, y1 - y0) <= length + 1e-6)


@pytest.mark.parametrize(("front", "top"), [(49.0, 61.375), (48.75, 60.0), (54.0, 60.5), (49.0, 96.6), (60.0, 72.0)])
@pytest.mark.parametrize("left", [True, False])
def test_a_cheek_just_larger_than_a_sheet_gets_a_seam(front: float, top: float, left: bool) -> None:
    """It fitted the sheet at an angle only, got no seam, and no layout could hold it: the whole job had no answer."""
    inch = 0.0254
    wide, high = top * inch, front * inch
    peak = (0.0, 0.0, 0.0) if left else (wide, 0.0, 0.0)
    corners = [(wide, 0.0, high), (0.0, 0.0, high), peak]
    one = face("CL", 3)
    survey = survey_of([adjusted("CL", corners, 0.002)])
    choice = BoardChoice("CL", "polyiso-2in", ((0.0508, Fitting.ON_FACE),), 48 * inch, 96 * inch)
    made = make_pieces(job_of([one], (), WIDE_OPEN), survey, (choice,), Run()).value.pieces
    assert len(made) >= 2
    assert all(in_quarter_turns(Polygon(p.outline), 48 * inch, 96 * inch) for p in made)
    laid = plan_sheets(made, Stock(), (Tool.KNIFE,), Rates(), Tape("in", 16), Run(seed=1, effort=Effort.QUICK)).value
    assert sorted(q.piece for s in laid.sheets for q in s.placements) == sorted(p.id for p in made)


@pytest.mark.parametrize(("width", "height"), [(4.0, 2.4), (6.5, 1.2), (3.3, 3.3), (12.0, 2.3)])
def test_seams_of_the_second_layer_are_staggered(width: float, height: float) -> None:
    """Fitting practice, section 1: 6 in at least, 12 in usual."""
    job, survey = room({"W": wall(width, height)})
    made = make_pieces(job, survey, (BoardChoice("W", "polyiso-2in", TWO, 1.2, 2.4),), Run())
    first, second = seams(made.value.pieces, 1), seams(made.value.pieces, 2)
    assert first
    assert second
    assert least_offset(second, first) >= rate("stagger").low - 1e-9
    assert not [f for f in made.findings if f.code == "pieces.stagger"]


def test_a_stagger_that_cannot_be_kept_is_reported() -> None:
    """Where the way in lets pass only strips of 25 cm, some seam of the second layer is near one of the first."""
    job, survey = room({"W": wall(3.0, 0.5)})
    job = replace(job, access=Access(0.1, 0.27, 5.0, 2.0))
    made = make_pieces(job, survey, (BoardChoice("W", "polyiso-2in", TWO, 0.25, 0.5),), Run())
    assert "pieces.stagger" in [f.code for f in made.findings]


def test_seams_over_framing_fall_on_members() -> None:
    one = face("K", 4, framing=Framing(0.4064, 0.0381, 0.09, "up", 0.2))
    survey = survey_of([adjusted("K", wall(5.0, 2.3))])
    choice = BoardChoice("K", "polyiso-2in", ((0.05, Fitting.OVER),), 1.22, 2.44)
    pieces = make_pieces(job_of([one]), survey, (choice,), Run()).value.pieces
    upright = {round(p[0], 6) for p, q in seams(pieces, 1) if abs(p[0] - q[0]) < 1e-6}
    assert upright
    for x in upright:
        assert min(abs(x - (0.2 + 0.4064 * k)) for k in range(13)) < 1e-6


@pytest.mark.parametrize(
    ("board_side", "foil", "front"),
    [
        ("room", "room", "foil to the room"),
        ("room", "cold", "print to the room"),
        ("out", "room", "print to the cold side"),
        ("out", "cold", "foil to the cold side"),
    ],
)
def test_the_front_is_the_side_that_the_fitter_sees(board_side: str, foil: str, front: str) -> None:
    job = job_of([face("W", 4, board_side=board_side)])
    job = replace(job, wishes=Wishes(foil=foil))
    survey = survey_of([adjusted("W", wall(1.0, 1.0))])
    made = make_pieces(job, survey, (BoardChoice("W", "polyiso-2in", TWO, 1.2, 2.4),), Run())
    assert {p.front for p in made.value.pieces} == {front}
    assert any("Foil to the" in line for line in made.provenance)


def test_outlines_are_never_mirrored() -> None:
    """Counter-clockwise as seen from the boards' side, also on the faces of a box seen from outside."""
    for outside in (True, False):
        faces = box_faces(1.5, 1.2, 1.0, outside)
        job, survey = room(faces)
        choices = tuple(BoardChoice(f, "polyiso-2in", TWO, 1.2, 2.4) for f in faces)
        for piece in make_pieces(job, survey, choices, Run()).value.pieces:
            assert Polygon(piece.outline).exterior.is_ccw


def test_up_is_plumb_up_in_the_face() -> None:
    turned = adjusted("W", [(0, 0, 0), (0, 0, 1.0), (-1.0, 0, 1.0), (-1.0, 0, 0)])
    job = job_of([face("W", 4)])
    (piece,) = make_pieces(
        job, survey_of([turned]), (BoardChoice("W", "polyiso-2in", TWO[:1], 2, 2),), Run()
    ).value.pieces
    assert piece.up == pytest.approx((1.0, 0.0))


def test_labels_leave_out_letters_that_read_as_figures() -> None:
    names = [label("N1", 2, k) for k in range(30)]
    assert names[:9] == ["N1-2a", "N1-2b", "N1-2c", "N1-2d", "N1-2e", "N1-2f", "N1-2g", "N1-2h", "N1-2j"]
    assert len(set(names)) == 30
    assert not any(c in name[4:] for name in names for c in "ilo")


def test_neighbours_shape_corners_but_get_no_pieces() -> None:
    faces = box_faces(1.5, 1.2, 1.0, True)
    job, survey = room(faces)
    choices = [BoardChoice(f, "polyiso-2in", TWO[:1], 3, 3) for f in faces]
    whole = make_pieces(job, survey, tuple(choices), Run()).value.pieces
    alone = pieces_for_face(job, survey, choices[3], Run(), tuple(choices)).pieces
    assert {p.face for p in alone} == {choices[3].face}
    assert alone == tuple(p for p in whole if p.face == choices[3].face)


def test_the_same_seed_gives_the_same_pieces() -> None:
    faces = box_faces(1.5, 1.2, 1.0, False)
    job, survey = room(faces, sigma=0.003)
    choices = tuple(BoardChoice(f, "polyiso-2in", TWO, 1.2, 2.4) for f in faces)
    assert make_pieces(job, survey, choices, Run(5)) == make_pieces(job, survey, choices, Run(5))


def test_two_choices_for_a_face_and_no_thickness_are_refused() -> None:
    job, survey = room({"W": wall(1.0, 1.0)})
    one = BoardChoice("W", "polyiso-2in", TWO, 1.2, 2.4)
    with pytest.raises(InputError, match="two board choices"):
        make_pieces(job, survey, (one, one), Run())
    with pytest.raises(OutOfRange):
        make_pieces(job, survey, (replace(one, layers=((0.0, Fitting.ON_FACE),)),), Run())


def test_a_stopped_run_keeps_what_it_has() -> None:
    faces = box_faces(1.5, 1.2, 1.0, True)
    job, survey = room(faces)
    choices = tuple(BoardChoice(f, "polyiso-2in", TWO, 3, 3) for f in faces)
    asked = iter([False, False, True])
    half = make_pieces(job, survey, choices, Run(stop=lambda: next(asked)))
    assert not half.finished
    assert {p.face for p in half.value.pieces} == {"bottom", "top"}
    with pytest.raises(Stopped):
        make_pieces(job, survey, choices, Run(stop=lambda: True))


@settings(max_examples=40, deadline=None, derandomize=True, phases=[Phase.explicit, Phase.generate])
@given(
    width=st.floats(0.5, 5.0),
    height=st.floats(0.4, 2.6),
    slope=st.floats(-0.3, 0.3),
    notch=st.tuples(st.floats(0.05, 0.9), st.floats(0.03, 0.15), st.floats(0.02, 0.3), st.floats(-0.5, 0.5)),
    hole=st.tuples(st.floats(0.1, 0.9), st.floats(0.1, 0.9), st.floats(0.02, 0.12)),
    hatch=st.booleans(),
    over=st.booleans(),
)
def test_every_piece_lies_in_its_face_with_its_gaps_and_fits_the_sheet(
    width: float,
    height: float,
    slope: float,
    notch: tuple[float, float, float, float],
    hole: tuple[float, float, float],
    hatch: bool,
    over: bool,
) -> None:
    """Independent of the code that cuts: gaps at rough edges are measured, pieces intersected, sizes taken."""
    top = max(0.3, height + slope * width)
    outline = [(0.0, 0.0, 0.0), (width, 0.0, 0.0), (width, 0.0, top), (0.0, 0.0, height)]
    at, wide, deep, skew = notch
    deep = min(deep, 0.4 * min(height, top))
    rafter = Notch("rafter", ("A", "B"), at * (width - wide), wide, deep, skew)
    pipe = Hole("pipe", hole[0] * width, deep + 0.05 + hole[1] * (min(height, top) - deep - 0.1), hole[2], hole[2])
    openings = (
        (Opening("hatch", 0.3 * width, 0.55 * min(height, top), 0.3 * width, 0.2 * min(height, top)),) if hatch else ()
    )
    framing = Framing(0.4, 0.04, 0.09, "up", 0.02)
    rough = (("A", "B"), ("B", "C"), ("C", "D"), ("D", "A"))
    one = face("W", 4, rough_edges=rough, notches=(rafter,), holes=(pipe,), openings=openings, framing=framing)
    survey = survey_of([adjusted("W", outline, 0.002)])
    job = job_of([one], (), WIDE_OPEN)
    layers = ((0.05, Fitting.OVER if over else Fitting.IN_BAYS),)
    outcome = make_pieces(job, survey, (BoardChoice("W", "polyiso-2in", layers, 1.2, 2.4),), Run())
    whole = Polygon([(x, z) for x, _, z in outline])
    least = 0.00635
    shapes = [Polygon(p.outline, p.holes) for p in outcome.value.pieces]
    for shape in shapes:
        assert shape.is_valid
        assert whole.buffer(-least + 1e-6, join_style="mitre").contains(shape)
        assert in_quarter_turns(shape, 1.2, 2.4)
        for opening in openings:
            assert shape.intersection(Polygon(_rectangle(opening))).area < 1e-9
        if not over:
            for k in range(14):
                stud = Polygon([(0.4 * k, -1), (0.4 * k + 0.04, -1), (0.4 * k + 0.04, 9), (0.4 * k, 9)])
                assert shape.distance(stud) > least - 1e-6
    for i, shape in enumerate(shapes):
        for other in shapes[i + 1 :]:
            assert shape.intersection(other).area < 1e-9
    proof = prove_in_solids(job, survey, outcome.value, Run())
    assert proof.overlaps == 0
    assert proof.bare < 2e-3
    assert proof.all_reach_place
    assert proof.narrowest_gap >= least - 1e-6


def _rectangle(o: Opening) -> list[tuple[float, float]]:
    return [(o.x, o.y), (o.x + o.width, o.y), (o.x + o.width, o.y + o.height), (o.x, o.y + o.height)]


def test_a_long_wall_behind_a_small_hatch_gets_its_second_layer_too() -> None:
    """Many strips, each as wide as the hatch lets pass, and the seams beneath in between."""
    job, survey = room({"W": wall(12.0, 2.4)})
    job = replace(job, access=Access(0.56, 0.76, 1.5, 1.0))
    made = make_pieces(job, survey, (BoardChoice("W", "polyiso-2in", TWO, 1.22, 2.44),), Run())
    assert all(w.passes for w in made.value.way_in)
    assert prove_in_solids(job, survey, made.value, Run()).coverage == pytest.approx(1.0)
    assert least_offset(seams(made.value.pieces, 2), seams(made.value.pieces, 1)) >= rate("stagger").low - 1e-9


def test_wishes_of_the_job_reach_every_face() -> None:
    """Cover strips only where boards lie in the bays alone; hands and plugs everywhere."""
    hatch = Opening("hatch", 0.5, 0.5, 0.56, 0.76, True)
    rough = (("A", "B"), ("B", "C"), ("C", "D"), ("D", "A"))
    one = face("W", 4, framing=Framing(0.4, 0.045, 0.1, "up", 0.2), rough_edges=rough, openings=(hatch,), headroom=0.9)
    survey = survey_of([adjusted("W", wall(2.0, 2.3))])
    wishes = Wishes(in_hands=True, plug="all four", covers=0.025)
    job = replace(job_of([one]), wishes=wishes)
    bays = (BoardChoice("W", "polyiso-2in", ((0.05, Fitting.IN_BAYS),), 1.22, 2.44),)
    pieces = make_pieces(job, survey, bays, Run()).value.pieces
    assert {p.thickness for p in pieces if p.kind.value == "cover strip"} == {0.025}
    assert all(e.bevel for p in pieces if p.kind.value == "plug" for e in p.edges)
    over = (BoardChoice("W", "polyiso-2in", ((0.05, Fitting.OVER),), 1.22, 2.44),)
    largest = max(p.area for p in make_pieces(job, survey, over, Run()).value.pieces)
    unasked = max(p.area for p in make_pieces(replace(job, wishes=Wishes()), survey, over, Run()).value.pieces)
    assert largest < 1.3 < unasked
    assert not [p for p in make_pieces(job, survey, over, Run()).value.pieces if p.kind.value == "cover strip"]


def test_seams_over_framing_fall_on_the_members_of_the_wall_not_of_the_boards() -> None:
    """Beside a boarded wall the boards stop short by its thickness; the studs stay where they are."""
    corners: dict[str, Corners] = {
        "W": [(4.4, 0, 0), (0, 0, 0), (0, 0, 2.4), (4.4, 0, 2.4)],
        "E": [(0, 0, 0), (0, 1.5, 0), (0, 1.5, 2.4), (0, 0, 2.4)],
    }
    job, taped = room(corners)
    framing = Framing(0.4064, 0.0381, 0.14, "up", 0.2032)
    faces = tuple(replace(f, framing=framing) if f.id == "W" else f for f in job.faces)
    job = replace(job, faces=faces)
    boards = tuple(
        BoardChoice(f, "polyiso-2in", ((0.05, Fitting.OVER if f == "W" else Fitting.ON_FACE),), 1.2192, 2.4384)
        for f in "WE"
    )
    made = make_pieces(job, taped, boards, Run()).value
    places = {
        round(p[0], 4)
        for piece in made.pieces
        if piece.face == "W"
        for p, q, e in zip(piece.outline, (*piece.outline[1:], piece.outline[0]), piece.edges, strict=True)
        if e.kind is EdgeKind.SEAM and abs(p[0] - q[0]) < 1e-6
    }
    studs = [0.2032 + 0.4064 * k for k in range(12)]
    low = min(x for x, _ in taped.face("W").points)
    off = [min(abs(x - low - s) for s in studs) for x in places]
    told = [f for f in made.findings if f.code == "pieces.off-framing"]
    assert places
    assert max(off) < 0.011 or told
    assert min(off) < 0.011
