"""Sheet plans are cut by their printed marks by an independent checker, and every piece comes out."""

from __future__ import annotations

from math import cos, pi, radians, sin

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon
from tests.sheets.cutting.checker import check_plan

from snugbay.base import Effort, Run
from snugbay.job import Stock, Tool
from snugbay.materials import Rates, board
from snugbay.pieces import Edge, EdgeKind, Piece
from snugbay.sheets import SheetPlan, plan_sheets
from snugbay.sheets.cutting.minutes import Bench
from snugbay.tape import Tape

INCH, MM = Tape("in", 16), Tape("mm", 1)
BOARD = "polyiso-2in"
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


size = st.floats(0.08, 1.1).map(lambda v: round(v, 4))
off = st.floats(-0.0009, 0.0009)


@st.composite
def shapes(draw: st.DrawFn) -> Shape:
    w, h = draw(size) * 1.5, draw(size)
    kind = draw(st.sampled_from(["box", "box", "open", "closed", "triangle", "trapezoid", "hole", "pipe", "corner"]))
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
    if draw(st.booleans()):
        outline = jiggled(outline, draw(st.lists(off, min_size=7, max_size=5)))
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


def planned(pieces: tuple[Piece, ...], tape: Tape, tool: Tool, stock: Stock = Stock()) -> SheetPlan:  # noqa: B008
    return plan_sheets(pieces, stock, (tool,), Rates(), tape, Run(effort=Effort.QUICK)).value


@settings(
    max_examples=25,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=True,
)
@given(st.lists(shapes(), min_size=1, max_size=7), st.sampled_from([INCH, MM]), st.sampled_from(list(Tool)))
def test_every_piece_comes_out_of_the_printed_marks(
    found: list[Shape],
    tape: Tape,
    tool: Tool,
) -> None:
    pieces = made(found)
    if pieces:
        plan = planned(pieces, tape, tool)
        kerf = Bench(tool, Rates(), board(BOARD).thickness).kerf
        assert check_plan(plan, pieces, tape, kerf) == []


@pytest.mark.parametrize("tape", [INCH, MM])
@pytest.mark.parametrize("tool", [Tool.KNIFE, Tool.HAND_SAW, Tool.CIRCULAR])
def test_sixty_small_pieces(tape: Tape, tool: Tool) -> None:
    pieces = tuple(piece(f"R{i}", rectangle(0.1 + 0.01 * (i % 7), 0.12 + 0.013 * (i % 5))) for i in range(60))
    plan = planned(pieces, tape, tool)
    kerf = Bench(tool, Rates(), board(BOARD).thickness).kerf
    assert check_plan(plan, pieces, tape, kerf) == []
