"""Sheet plans are cut by their printed marks by an independent checker, and every piece comes out."""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, radians, sin

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon
from tests.sheets.cutting.checker import check_plan

from snugbay.base import Effort, Run
from snugbay.job import Offcut, Stock, Tool
from snugbay.materials import Rates, board
from snugbay.pieces import Edge, EdgeKind, Piece
from snugbay.sheets import Instance, Laid, LaidSheet, SheetPlan, SheetSize, plan_sheets
from snugbay.sheets.cutting.edges import lines_of, met
from snugbay.sheets.cutting.lines import Line, Saw
from snugbay.sheets.cutting.minutes import Bench
from snugbay.sheets.cutting.patterns import pattern
from snugbay.sheets.cutting.tree import Leaf, Lying
from snugbay.sheets.cutting.yard import SLACK, Worth, Yard, together
from snugbay.sheets.nest.lay import shelves
from snugbay.tape import Tape

INCH, MM = Tape("in", 16), Tape("mm", 1)
BOARD = "polyiso-2in"
NOTHING = Stock()
XY = tuple[float, float]
Outline = tuple[XY, ...]
Shape = tuple[Outline, tuple[Outline, ...], float, tuple[tuple[XY, XY], ...]]


def piece(
    label: str,
    outline: tuple[XY, ...],
    holes: tuple[tuple[XY, ...], ...] = (),
    bevel: float = 0.0,
    slits: tuple[tuple[XY, XY], ...] = (),
) -> Piece:
    edges = tuple(Edge(EdgeKind.ROUGH, bevel=bevel if i == 0 else 0.0) for i in range(len(outline)))
    return Piece(label, "N1", 1, BOARD, board(BOARD).thickness, outline, edges, holes, slits)


def rectangle(w: float, h: float) -> tuple[XY, ...]:
    return ((0.0, 0.0), (w, 0.0), (w, h), (0.0, h))


def jiggled(outline: tuple[XY, ...], offs: list[float]) -> tuple[XY, ...]:
    """Return an outline as a survey gives it: every corner off by fractions of a millimetre."""
    return tuple((x + offs[2 * i % len(offs)], y + offs[(2 * i + 1) % len(offs)]) for i, (x, y) in enumerate(outline))


def bitten(w: float, h: float, along: float, up: float, wide: float) -> Outline:
    """Return a board with the round bite that a seam through a pipe leaves: a disc of 24 sides near its lower edge."""
    x, y, r = along * w, up * h, wide * min(w, h)
    disc = Polygon([(x + r * cos(pi * k / 12 + 0.13), y + r * sin(pi * k / 12 + 0.13)) for k in range(24)])
    left = Polygon(rectangle(w, h)).difference(disc)
    whole = left if isinstance(left, Polygon) else max(left.geoms, key=lambda part: part.area)
    points = [(float(x), float(y)) for x, y in whole.exterior.coords[:-1]]
    return tuple(points if whole.exterior.is_ccw else points[::-1])


size = st.floats(0.08, 1.1).map(lambda v: round(v, 4))
off = st.floats(-0.0009, 0.0009)


@st.composite
def shapes(draw: st.DrawFn) -> Shape:
    w, h = draw(size) * 1.5, draw(size)
    kinds = ["box", "box", "open", "closed", "triangle", "trapezoid", "hole", "pipe", "corner", "bite"]
    kind = draw(st.sampled_from(kinds))
    holes: tuple[tuple[XY, ...], ...] = ()
    slits: tuple[tuple[XY, XY], ...] = ()
    bevel = 0.0
    outline = rectangle(w, h)
    if kind == "open":
        a, d = draw(st.floats(0.2, 0.5)) * w, draw(st.floats(0.2, 0.6)) * h
        outline = ((0, 0), (a, 0), (a, d), (a + 0.25 * w, d), (a + 0.25 * w, 0), (w, 0), (w, h), (0, h))
    elif kind == "closed":
        a, d = draw(st.floats(0.2, 0.5)) * w, draw(st.floats(0.2, 0.6)) * h
        outline = ((0, 0), (a, 0), (a * 0.9, d), (a + 0.3 * w, d), (a + 0.25 * w, 0), (w, 0), (w, h), (0, h))
    elif kind == "corner":
        outline = ((0, 0), (w, 0), (w, 0.6 * h), (0.7 * w, 0.6 * h), (0.7 * w, h), (0, h))
    elif kind == "triangle":
        outline = ((0, 0), (w, 0), (draw(st.floats(0.0, 1.0)) * w, h))
    elif kind == "trapezoid":
        outline = ((0, 0), (w, 0), (w * draw(st.floats(0.5, 1.0)), h), (w * draw(st.floats(0.0, 0.4)), h))
        bevel = draw(st.sampled_from([0.0, 0.3, -0.2]))
    elif kind in ("hole", "pipe"):
        r = 0.25 * min(w, h)
        count = 4 if kind == "hole" else 24
        turn = pi / 4 if kind == "hole" else 0.0
        ring = [
            (w / 2 + r * cos(turn - 2 * pi * k / count), h / 2 + r * sin(turn - 2 * pi * k / count))
            for k in range(count)
        ]
        holes = (tuple(ring),)
        slits = (((w / 2, 0.0), (w / 2, h / 2 - r * cos(turn) * 0.99)),) if draw(st.booleans()) else ()
    elif kind == "bite":
        outline = bitten(w, h, draw(st.floats(0.0, 0.9)), draw(st.floats(-0.2, 0.3)), draw(st.floats(0.1, 0.35)))
    if kind != "bite" and draw(st.booleans()):
        outline = jiggled(outline, draw(st.lists(off, min_size=7, max_size=7)))
    turn = radians(draw(st.sampled_from([0.0, 0.0, 0.0, 7.0, 0.2])))
    c, s = cos(turn), sin(turn)

    def turned(points: tuple[XY, ...]) -> tuple[XY, ...]:
        return tuple((c * x - s * y, s * x + c * y) for x, y in points)

    low_slits = tuple((turned((a,))[0], turned((b,))[0]) for a, b in slits)
    return turned(outline), tuple(turned(h) for h in holes), bevel, low_slits


def made(
    found: list[Shape],
) -> tuple[Piece, ...]:
    out = []
    for i, (outline, holes, bevel, slits) in enumerate(found):
        low_x, low_y, high_x, high_y = Polygon(outline).bounds
        fits = max(high_x - low_x, high_y - low_y) < 2.3 and min(high_x - low_x, high_y - low_y) < 1.15
        if fits and Polygon(outline, holes).is_valid:
            out.append(piece(f"N1-1{i}", outline, holes, bevel, slits))
    return tuple(out)


def kerf_of(tool: Tool) -> float:
    return Bench(tool, Rates(), board(BOARD).thickness).kerf


def planned(pieces: tuple[Piece, ...], tape: Tape, tool: Tool, stock: Stock = NOTHING) -> SheetPlan:
    return plan_sheets(pieces, stock, (tool,), Rates(), tape, Run(effort=Effort.QUICK)).value


def carried(
    pieces: tuple[Piece, ...], tape: Tape, tool: Tool, layout: tuple[LaidSheet, ...] | None = None
) -> SheetPlan:
    """Return the plan of one layout, rows of boxes if none is given."""
    row = board(BOARD)
    mark = float(tape.mark)
    patterns = [pattern(p, mark, (row.length, row.width)) for p in pieces]
    sheet = SheetSize(row.length + SLACK, row.width + SLACK)
    instance = Instance(row.key, sheet, tuple(p.outline for p in patterns), kerf_of(tool))
    yard = Yard(patterns, row, (), Bench(tool, Rates(), row.thickness), Worth(50.0, 0.5), mark)
    found = together([yard.carried(s) for s in layout or shelves(instance)])
    sheets = tuple(replace(yard.measured(s), number=n) for n, s in enumerate(found.sheets, start=1))
    return SheetPlan(sheets, 0.0, 0, found.shared, max(p.body for s in sheets for p in s.placements), 0.0)


@settings(max_examples=60, deadline=None, phases=[Phase.explicit, Phase.generate], derandomize=True)
@given(st.lists(shapes(), min_size=1, max_size=5), st.sampled_from([INCH, MM]), st.sampled_from(list(Tool)))
def test_every_piece_comes_out_of_the_printed_marks(found: list[Shape], tape: Tape, tool: Tool) -> None:
    pieces = made(found)
    if pieces:
        assert check_plan(carried(pieces, tape, tool), pieces, tape, kerf_of(tool)) == []


@pytest.mark.parametrize(("tape", "tool"), [(MM, Tool.KNIFE), (INCH, Tool.HAND_SAW), (MM, Tool.CIRCULAR)])
def test_sixty_small_pieces(tape: Tape, tool: Tool) -> None:
    pieces = tuple(piece(f"R{i}", rectangle(0.1 + 0.01 * (i % 7), 0.12 + 0.013 * (i % 5))) for i in range(60))
    assert check_plan(carried(pieces, tape, tool), pieces, tape, kerf_of(tool)) == []


def laid(pieces: tuple[Piece, ...], places: list[tuple[float, float, float]]) -> tuple[LaidSheet, ...]:
    row = board(BOARD)
    size = SheetSize(row.length + SLACK, row.width + SLACK)
    return (LaidSheet(size, tuple(Laid(i, x, y, turn) for i, (x, y, turn) in enumerate(places))),)


@pytest.mark.parametrize("tape", [INCH, MM])
@pytest.mark.parametrize("tool", [Tool.KNIFE, Tool.HAND_SAW, Tool.CIRCULAR])
def test_a_pinwheel_needs_a_stopped_cut(tape: Tape, tool: Tool) -> None:
    a, b, k = 0.508, 0.254, kerf_of(tool)
    pieces = tuple(piece(n, rectangle(a, b)) for n in "ABCD")
    far = a + b + k
    layout = laid(pieces, [(0, 0, 0), (far, 0, 90), (b + k, a + k, 0), (b, b + k, 90)])
    plan = carried(pieces, tape, tool, layout)
    assert check_plan(plan, pieces, tape, k) == []
    assert {c.kind for c in plan.sheets[0].cuts} & {"stopped", "plunge"}


@pytest.mark.parametrize("tape", [INCH, MM])
@pytest.mark.parametrize("tool", [Tool.KNIFE, Tool.HAND_SAW, Tool.CIRCULAR])
def test_triangles_that_share_their_long_side(tape: Tape, tool: Tool) -> None:
    w, h, k = 0.9144, 0.6096, kerf_of(tool)
    pieces = tuple(piece(n, ((0.0, 0.0), (w, 0.0), (0.0, h))) for n in "AB")
    aside = k * (w * w + h * h) ** 0.5 / h
    plan = carried(pieces, tape, tool, laid(pieces, [(0, 0, 0), (w + aside, h, 180)]))
    assert check_plan(plan, pieces, tape, k) == []
    leaning = [c for c in plan.sheets[0].cuts if c.start[0] != c.end[0] and c.start[1] != c.end[1]]
    assert len(leaning) == 1, "a saw's kerf lies between the two, and one of them loses less than a mark"
    assert plan.shared_cuts >= 1


@pytest.mark.parametrize("tape", [INCH, MM])
@pytest.mark.parametrize("tool", [Tool.KNIFE, Tool.HAND_SAW])
def test_a_leaning_top_is_not_cut_twice(tape: Tape, tool: Tool) -> None:
    """A trim at the top of the lean, then the lean itself, took two cuts and left a wedge that crumbles."""
    lean = piece("D1", ((0.0, 0.0), (0.762, 0.0), (0.762, 1.1684), (0.0, 1.1557)))
    low = piece("G1", ((0.0, 0.0), (0.7366, 0.0), (0.7366, 0.5842), (0.0, 1.1684)))
    for one, size in ((lean, SheetSize(0.762, 1.2192)), (low, SheetSize(0.7366, 1.2))):
        layout = (LaidSheet(replace(size, width=size.width + SLACK, height=size.height + SLACK), (Laid(0, 0, 0, 0),)),)
        plan = carried((one,), tape, tool, layout)
        assert check_plan(plan, (one,), tape, kerf_of(tool)) == []
        assert len(plan.sheets[0].cuts) == 1


def test_of_two_sides_that_meet_either_piece_may_give_way() -> None:
    """The longer one runs away from the other's line, and would gain; on its own line the shorter one only loses."""
    short = Line((0.0, 0.0), (0.5, 0.0), "plunge", 0.5, (1,))
    long = Line((0.9, -0.0002), (0.0, 0.0006), "plunge", 0.9, (2,))
    apart = Line((0.9, -0.0012), (0.0, -0.0004), "plunge", 0.9, (2,))
    for both in (met(short, long, 0.0, 0.001), met(long, short, 0.0, 0.001)):
        assert both is not None
        assert both.numbers == (2, 1)
        assert both.shared
    assert met(short, apart, 0.0, 0.001) is None
    assert met(apart, short, 0.0, 0.001) is None


def test_teeth_in_one_line_are_one_cut() -> None:
    outline = comb("T", (0.0, 0.0, 0.0)).outline
    found = pattern(piece("T", outline), 0.001)
    lying = Lying(0, found.shape, 0, found.bare).moved(0.2, 0.1)
    lines = lines_of(Leaf(1.8, 1.1, (lying,)), Saw(), 0.001)
    top = [line for line in lines if line.start[1] == line.end[1] and abs(line.start[1] - 0.8) < 1e-6]
    assert len(top) == 1, "three teeth, one line from edge to edge"


def comb(label: str, bevels: tuple[float, ...], teeth: int = 3) -> Piece:
    """A board with notches round rafters in its top edge; the top, the right and the left side have bevels."""
    top, right, left = bevels
    t, gap, deep, high = 0.34, 0.06, 0.09, 0.7
    width = teeth * t + (teeth - 1) * gap
    outline: list[XY] = [(0.0, 0.0), (width, 0.0)]
    slopes = [0.0, right]
    for k in reversed(range(teeth)):
        x = k * (t + gap)
        outline += [(x + t, high), (x, high)]
        slopes += [top, left if k == 0 else 0.0]
        if k:
            outline += [(x, high - deep), (x - gap, high - deep)]
            slopes += [0.0, 0.0]
    edges = tuple(Edge(EdgeKind.CORNER if b else EdgeKind.ROUGH, bevel=b) for b in slopes)
    return Piece(label, "S1", 1, BOARD, board(BOARD).thickness, tuple(outline), edges)


@pytest.mark.parametrize("tape", [INCH, MM])
@pytest.mark.parametrize("tool", [Tool.KNIFE, Tool.HAND_SAW])
@pytest.mark.parametrize("bevels", [(0.669, 0.0, 0.0), (-0.4, 0.2, 0.2), (0.3, -0.3, 0.0)])
def test_a_bevelled_board_keeps_its_notches_and_gets_its_bevels(
    tape: Tape, tool: Tool, bevels: tuple[float, ...]
) -> None:
    """Bevels lay hidden wherever a side was an edge-to-edge cut or a factory edge, and hid the notches beside them."""
    pieces = (comb("S1-1a", bevels), comb("S1-1b", bevels, 2))
    assert check_plan(carried(pieces, tape, tool), pieces, tape, kerf_of(tool)) == []


def test_a_plug_is_bevelled_all_round() -> None:
    box = piece("A1-1j", rectangle(0.5432, 0.6916))
    plug = replace(box, edges=tuple(replace(e, bevel=0.105) for e in box.edges))
    pieces = (plug, piece("R", rectangle(0.5, 0.7)))
    plan = carried(pieces, MM, Tool.KNIFE)
    assert check_plan(plan, pieces, MM, 0.0) == []
    slanting = [c for s in plan.sheets for c in s.cuts if c.bevel]
    assert len(slanting) == 4
    assert {c.pieces for c in slanting} == {("A1-1j",)}


def test_offcuts_come_first_and_their_damage_is_avoided() -> None:
    pieces = tuple(piece(f"R{i}", rectangle(0.31, 0.4)) for i in range(4))
    offcut = Offcut(BOARD, board(BOARD).thickness, 0.8, 1.2, ((0.0, 0.0, 0.2, 0.15), (1.0, 0.6, 0.2, 0.2)), "shed")
    plan = planned(pieces, MM, Tool.KNIFE, Stock(offcuts=(offcut,)))
    assert check_plan(plan, pieces, MM, 0.0) == []
    assert plan.sheets[0].source == "shed"
    assert plan.sheets[0].placements


@pytest.mark.parametrize("seed", [1, 2])
def test_searched_layouts_can_be_cut(seed: int) -> None:
    pieces = tuple(
        piece(f"T{i}", ((0.0, 0.0), (0.5 + 0.05 * i, 0.0), (0.1 * (i % 3), 0.4 + 0.03 * i))) for i in range(6)
    ) + tuple(piece(f"R{i}", rectangle(0.31 + 0.02 * i, 0.22)) for i in range(6))
    tape, tool = (MM, Tool.HAND_SAW) if seed == 1 else (INCH, Tool.KNIFE)
    plan = plan_sheets(pieces, NOTHING, (tool,), Rates(), tape, Run(seed, Effort.QUICK)).value
    assert check_plan(plan, pieces, tape, kerf_of(tool)) == []


def test_a_stopped_run_keeps_what_it_has() -> None:
    pieces = (piece("A", rectangle(0.5, 0.4)),)
    done = plan_sheets(pieces, NOTHING, (Tool.KNIFE,), Rates(), MM, Run(effort=Effort.NORMAL, stop=lambda: True))
    assert not done.finished
    assert check_plan(done.value, pieces, MM, 0.0) == []


def test_the_checker_sees_faults() -> None:
    pieces = (piece("A", rectangle(0.5, 0.4)), piece("B", rectangle(0.3, 0.4)))
    plan = carried(pieces, MM, Tool.KNIFE)
    sheet = plan.sheets[0]
    wider = tuple(replace(m, distance=m.distance + 0.001, at=m.at) if m.cut == 1 else m for m in sheet.marks)
    fewer = sheet.cuts[:-1]
    for broken in (replace(sheet, marks=wider), replace(sheet, cuts=fewer), replace(sheet, placements=())):
        assert check_plan(replace(plan, sheets=(broken,)), pieces, MM, 0.0)
