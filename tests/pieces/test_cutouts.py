"""Notches, holes, openings, necks, legs, slits, plugs and cover strips."""

from dataclasses import replace
from math import pi, tan

import pytest
from shapely.geometry import LineString, Polygon, box
from shapely.geometry import Point as ShapelyPoint
from shapely.ops import unary_union
from tests.pieces.rooms import WIDE_OPEN, adjusted, face, job_of, survey_of, wall
from tests.said import said

from snugbay.base import InputError, Outcome, Run
from snugbay.job import Access, Face, Framing, Hole, HotThing, Notch, Opening, Part, ZoneKind
from snugbay.pieces import BoardChoice, EdgeKind, Fitting, Piece, PieceKind, PieceSet, make_pieces, prove_in_solids
from snugbay.survey.hot import widest

CLEAR = 0.009525  # 3/8 in, fitting practice, section 1
ON = ((0.05, Fitting.ON_FACE),)


def made(
    one: Face, width: float, height: float, sheet: tuple[float, float] = (9.0, 9.0), access: Access = WIDE_OPEN
) -> Outcome[PieceSet]:
    survey = survey_of([adjusted(one.id, wall(width, height))])
    job = job_of([one], (), access)
    outcome = make_pieces(job, survey, (BoardChoice(one.id, "polyiso-2in", ON, *sheet),), Run())
    proof = prove_in_solids(job, survey, outcome.value, Run())
    assert proof.overlaps == 0
    assert proof.all_reach_place
    return outcome


def shape(piece: Piece) -> Polygon:
    return Polygon(piece.outline, piece.holes)


def test_a_notch_has_its_clearance_on_every_side_and_leans_with_its_skew() -> None:
    notch = Notch("rafter", ("A", "B"), 0.6, 0.05, 0.12, 20 * pi / 180)
    (piece,) = made(face("W", 4, notches=(notch,)), 2.0, 1.0).value.pieces
    lean = 0.12 * tan(notch.skew)
    rafter = Polygon([(0.6, 0.0), (0.65, 0.0), (0.65 + lean, 0.12), (0.6 + lean, 0.12)])
    assert shape(piece).distance(rafter) == pytest.approx(CLEAR, abs=1e-6)
    sides = [e for e in piece.edges if e.neighbour == "rafter"]
    assert len(sides) == 3
    assert all(e.kind is EdgeKind.ROUGH and e.gap == pytest.approx(CLEAR) for e in sides)
    taken = 2.0 - shape(piece).area
    assert taken == pytest.approx(
        (0.12 + CLEAR) * (0.05 + 2 * CLEAR / (1 / (1 + tan(notch.skew) ** 2) ** 0.5)), rel=1e-3
    )


def test_a_deep_notch_leaves_a_weak_neck_that_becomes_a_seam() -> None:
    notch = Notch("purlin", ("A", "B"), 0.9, 0.1, 0.945)
    pieces = made(face("W", 4, notches=(notch,)), 2.0, 1.0).value.pieces
    assert len(pieces) == 2
    assert any(e.kind is EdgeKind.SEAM for p in pieces for e in p.edges)
    stout = Notch("purlin", ("A", "B"), 0.9, 0.1, 0.85)
    assert len(made(face("W", 4, notches=(stout,)), 2.0, 1.0).value.pieces) == 1


def test_a_thin_leg_beside_a_notch_is_left_to_foam() -> None:
    notch = Notch("post", ("A", "B"), 0.03 + CLEAR, 0.1, 0.3)
    outcome = made(face("W", 4, notches=(notch,)), 2.0, 1.0)
    (piece,) = outcome.value.pieces
    assert shape(piece).bounds[0] == pytest.approx(0.0)
    leg = Polygon([(0, 0), (0.03, 0), (0.03, 0.3), (0, 0.3)])
    assert shape(piece).intersection(leg).area == pytest.approx(0.0, abs=1e-9)
    assert [f.code for f in outcome.findings] == ["pieces.sliver"]


def test_a_pipe_gets_a_hole_and_the_shortest_slit_and_a_lamp_gets_no_slit() -> None:
    pipe = Hole("pipe", 0.5, 0.3, 0.03, 0.03)
    lamp = Hole("downlight", 1.5, 0.5, 0.08, 0.08, hot=True)
    (piece,) = made(face("W", 4, holes=(pipe, lamp)), 2.0, 1.0).value.pieces
    assert len(piece.holes) == 2
    ((start, end),) = piece.slits
    assert start == pytest.approx((0.5, 0.0), abs=1e-6)
    assert end == pytest.approx((0.5, 0.3 - 0.015 - CLEAR), abs=1e-3)
    assert all(not Polygon(h).exterior.is_ccw for h in piece.holes)
    round_pipe = LineString([(0.5, 0.3), (0.5001, 0.3)]).buffer(0.015)
    assert shape(piece).distance(round_pipe) == pytest.approx(CLEAR, abs=5e-4)
    assert shape(piece).distance(LineString([(1.5, 0.5), (1.5001, 0.5)]).buffer(0.04)) > widest()


@pytest.mark.parametrize("thing", [HotThing.TYPE_B_VENT, HotThing.SINGLE_WALL])
def test_boards_keep_the_distance_of_what_it_is_and_nobody_foams_there(thing: HotThing) -> None:
    """Trade safety sheet, section 4: 1 in off a type-B vent, 6 in off a single-wall pipe; no foam against flues."""
    flue = Hole("flue", 0.7, 0.5, 0.15, 0.15, hot=True, hot_thing=thing)
    tie = Notch("hot tie", ("A", "B"), 1.5, 0.05, 0.1, hot=True, hot_thing=thing)
    outcome = made(face("W", 4, holes=(flue,), notches=(tie,)), 2.0, 1.0)
    board = unary_union([shape(p) for p in outcome.value.pieces])
    safe = {HotThing.TYPE_B_VENT: 0.0254, HotThing.SINGLE_WALL: 6 * 0.0254}[thing]
    circle = ShapelyPoint(0.7, 0.5).buffer(0.075, 64)
    assert safe < board.distance(circle) < safe + 0.008
    assert safe < board.distance(box(1.5, 0.0, 1.55, 0.1)) < safe + 0.008
    for seam in outcome.value.seams:
        if seam.kind is EdgeKind.ROUGH:
            assert LineString(seam.ends).distance(circle) > safe + 0.05
    cold = made(face("W", 4, holes=(replace(flue, hot=False),)), 2.0, 1.0)
    assert any(s.between[1] == "hole" for s in cold.value.seams)


def test_a_strip_too_thin_for_board_beside_a_hot_thing_is_not_foamed() -> None:
    flue = Hole("flue", 0.7, 0.26, 0.15, 0.15, hot=True, hot_thing=HotThing.SINGLE_WALL)
    findings = made(face("W", 4, holes=(flue,)), 2.0, 1.0).findings
    assert [f.code for f in findings] == ["pieces.hot-strip"]
    assert "no foam" in said(findings[0])


def test_a_pipe_close_to_the_edge_becomes_a_notch() -> None:
    pipe = Hole("pipe", 0.5, 0.045, 0.03, 0.03)
    (piece,) = made(face("W", 4, holes=(pipe,)), 2.0, 1.0).value.pieces
    assert piece.holes == ()
    assert piece.slits == ()


def test_a_seam_through_a_pipe_saves_the_slit() -> None:
    pipe = Hole("pipe", 1.73, 0.5, 0.03, 0.03)
    pieces = made(face("W", 4, holes=(pipe,)), 3.5, 1.15, (1.2, 1.8)).value.pieces
    assert len(pieces) == 2
    assert all(p.slits == () and p.holes == () for p in pieces)


def test_a_plug_clears_its_opening_and_tapers_on_three_or_four_edges() -> None:
    """Hatch sheet S12: a quarter inch smaller in total, each way; fitting practice: taper 6 degrees."""
    opening = Opening("hatch", 0.5, 0.1, 0.56, 0.76, plug=True)
    for sill, square in (("", 1), ("all four", 0)):
        one = face("W", 4, openings=(opening,))
        survey = survey_of([adjusted("W", wall(2.0, 1.2))])
        choice = BoardChoice("W", "polyiso-2in", (*ON, (0.05, Fitting.ON_FACE)), 9.0, 9.0, plug=sill)
        pieces = make_pieces(job_of([one]), survey, (choice,), Run()).value.pieces
        plugs = [p for p in pieces if p.kind is PieceKind.PLUG]
        assert len(plugs) == 2
        assert sum(e.bevel == 0 for e in plugs[0].edges) == square
        front, back = plugs[1], plugs[0]
        wide = max(x for x, _ in front.outline) - min(x for x, _ in front.outline)
        assert wide == pytest.approx(0.56 - 0.00635)
        narrow = max(x for x, _ in back.outline) - min(x for x, _ in back.outline)
        assert narrow == pytest.approx(wide - 2 * 0.05 * tan(6 * pi / 180))
        assert "front 554 x" in plugs[0].note
        assert "back 533 x" in plugs[0].note
        assert "backers" in plugs[0].note
        assert "Gasket" in plugs[0].note
        proof = prove_in_solids(
            job_of([one]), survey, make_pieces(job_of([one]), survey, (choice,), Run()).value, Run()
        )
        assert proof.overlaps == 0


@pytest.mark.parametrize(("kind", "width", "out"), [
    (ZoneKind.BUFFER, 0.56, True),  # the crawl door of the way in
    (ZoneKind.BUFFER, 0.80, False),  # another door of the crawl space: who shuts it leaves elsewhere
    (ZoneKind.INSIDE, 0.56, False),  # shut from the room
])  # fmt: skip
def test_the_plug_of_the_way_out_goes_in_from_outside(kind: ZoneKind, width: float, out: bool) -> None:
    opening = Opening("low door", 0.5, 0.1, width, 0.76, plug=True)
    job = job_of([face("W", 4, openings=(opening,))], access=replace(WIDE_OPEN, width=0.56, height=0.76))
    job = replace(job, zones=(replace(job.zones[0], kind=kind, title="crawl"), *job.zones[1:]))
    choice = BoardChoice("W", "polyiso-2in", ON, 9.0, 9.0)
    outcome = make_pieces(job, survey_of([adjusted("W", wall(2.0, 1.2))]), (choice,), Run())
    (plug,) = (p for p in outcome.value.pieces if p.kind is PieceKind.PLUG)
    warned = [f for f in outcome.findings if f.code == "pieces.plug-way-out"]
    assert bool(warned) is out
    assert all("from outside" in said(f) and "stays out" in said(f) for f in warned)
    assert f"goes in from {'outside' if out else 'crawl'}" in plug.note
    wide = max(x for x, _ in plug.outline) - min(x for x, _ in plug.outline)
    drawn = 2 * ON[0][0] * tan(6 * pi / 180) if out else 0.0  # the front, towards the crawl, is then the smaller side
    assert wide == pytest.approx(width - 0.00635 - drawn)


def test_boards_keep_out_of_the_opening() -> None:
    opening = Opening("window", 0.5, 0.3, 0.6, 0.5)
    pieces = made(face("W", 4, openings=(opening,)), 3.0, 1.2, (1.2, 2.4)).value.pieces
    hole = Polygon([(0.5, 0.3), (1.1, 0.3), (1.1, 0.8), (0.5, 0.8)])
    assert sum(shape(p).intersection(hole).area for p in pieces) == pytest.approx(0.0, abs=1e-9)
    assert sum(shape(p).area for p in pieces) == pytest.approx(3.6 - 0.3)


def test_a_narrow_slot_gets_a_filler_strip_and_a_narrower_one_foam() -> None:
    framing = Framing(0.5, 0.04, 0.09, "up", 0.02)
    for width, kind in ((0.62, PieceKind.STRIP), (0.57, None)):
        one = face("K", 4, Part.KNEE_WALL, framing=framing)
        survey = survey_of([adjusted("K", wall(width, 1.2))])
        choice = BoardChoice("K", "polyiso-2in", ((0.05, Fitting.IN_BAYS),), 9.0, 9.0)
        outcome = make_pieces(job_of([one]), survey, (choice,), Run())
        kinds = [p.kind for p in outcome.value.pieces]
        assert kinds == ([PieceKind.BOARD, kind] if kind else [PieceKind.BOARD])
        assert ("pieces.narrow-bay" in [f.code for f in outcome.findings]) is (kind is None)


def test_cover_strips_lap_over_the_boards_in_the_bays() -> None:
    """Fitting practice (assumption): an inch of lap on each side."""
    framing = Framing(0.4, 0.04, 0.09, "up", 0.2)
    one = face("K", 4, Part.KNEE_WALL, framing=framing)
    survey = survey_of([adjusted("K", wall(1.6, 1.2))])
    choice = BoardChoice("K", "polyiso-2in", ((0.05, Fitting.IN_BAYS),), 1.2, 2.4, covers=0.025)
    made_set = make_pieces(job_of([one]), survey, (choice,), Run()).value
    covers = [p for p in made_set.pieces if p.kind is PieceKind.COVER]
    assert len(covers) == 4
    for k, cover in enumerate(covers):
        x0, _, x1, _ = shape(cover).bounds
        assert (x0 + x1) / 2 == pytest.approx(0.2 + 0.4 * k)
        assert x1 - x0 == pytest.approx(0.04 + 2 * 0.0254)
        assert cover.depth == 0.0
    proof = prove_in_solids(job_of([one]), survey, made_set, Run())
    assert proof.overlaps == 0
    assert proof.all_reach_place


def test_cover_strips_need_bare_framing_edges() -> None:
    one = face("K", 4, framing=Framing(0.4, 0.04, 0.09))
    survey = survey_of([adjusted("K", wall(1.6, 1.2))])
    choice = BoardChoice("K", "polyiso-2in", ((0.05, Fitting.OVER),), 1.2, 2.4, covers=0.025)
    with pytest.raises(InputError, match="Cover strips"):
        make_pieces(job_of([one]), survey, (choice,), Run())


def test_boards_are_no_larger_than_the_hands_can_place() -> None:
    """One person: 1.5 m² standing (assumption); lying at 27 in headroom the work takes 1.5 times as long."""
    sizes = {}
    for headroom in (2.0, 0.6858):
        one = face("W", 4, headroom=headroom)
        survey = survey_of([adjusted("W", wall(3.6, 2.4))])
        choice = BoardChoice("W", "polyiso-2in", ON, 1.2, 2.4, in_hands=True)
        pieces = make_pieces(job_of([one]), survey, (choice,), Run()).value.pieces
        sizes[headroom] = max(shape(p).area for p in pieces)
    assert sizes[2.0] <= 1.5 + 1e-9
    assert sizes[0.6858] <= 1.0 + 1e-9
    assert sizes[2.0] > sizes[0.6858]
