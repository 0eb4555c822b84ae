"""What a layout costs: minutes from the rates, money, and which of several layouts is kept."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import pi

import pytest
from shapely.geometry import box
from tests.said import said as in_words
from tests.sheets.cutting.checker import check_plan
from tests.sheets.cutting.test_plan import INCH, MM, kerf_of, piece, rectangle

from snugbay.base import Effort, Run
from snugbay.job import Offcut, SheetStock, Stock, Tool
from snugbay.materials import Rates, board
from snugbay.pieces import Piece
from snugbay.sheets import SheetPlan, plan_sheets
from snugbay.sheets.cutting.boxes import RULES, Boxer, packed, packings, sound_parts
from snugbay.sheets.cutting.minutes import INSIDE, Bench, bench_tool, finishing
from snugbay.sheets.cutting.patterns import pattern
from snugbay.sheets.cutting.plan import SEARCHES
from snugbay.sheets.cutting.yard import OFFCUT_SHARE
from snugbay.sheets.nest.instance import SheetSize
from snugbay.tape import Tape

BOARD = "polyiso-2in"
RATES = Rates()
NOTHING = Stock()


def planned(
    pieces: tuple[Piece, ...],
    tape: Tape = MM,
    tools: tuple[Tool, ...] = (Tool.KNIFE,),
    stock: Stock = NOTHING,
    hour: float = 25.0,
    effort: Effort = Effort.QUICK,
) -> SheetPlan:
    return plan_sheets(pieces, stock, tools, RATES, tape, Run(effort=effort), hour).value


def cheek(label: str, hand: int) -> tuple[Piece, Piece]:
    """Both boards of a dormer cheek: a seam across it leaves two leaning ones, off by fractions of a millimetre."""
    low = piece(f"{label}-1a", ((0.0, 0.0), (0.7716, 0.5894), (0.7716, 1.1832), (0.0, 1.1871)))
    high = piece(f"{label}-1b", ((0.0, 0.0), (0.7702, 0.0), (0.7695, 0.5886)))
    low, high = (replace(p, face=label) for p in (low, high))
    if hand > 0:
        return low, high
    turned = tuple(replace(p, outline=tuple((0.7716 - x, y) for x, y in reversed(p.outline))) for p in (low, high))
    return turned[0], turned[1]


# --- minutes ---------------------------------------------------------------------------------------------------------


def test_minutes_of_a_straight_cut_by_hand() -> None:
    """rates.json: set-up 0.6, line 0.5, knife 0.033 min a ft and pass, 4 passes in 2 in, 1 min sharpening in 40 ft."""
    knife = Bench(Tool.KNIFE, RATES, 0.0508)
    assert knife.passes(Tool.KNIFE) == 4
    assert knife.minutes(8 * 0.3048, "edge to edge", bevelled=False) == pytest.approx(1.1 + 8 * (4 * 0.033 + 1 / 40))
    assert knife.minutes(0.3048, "edge to edge", bevelled=True) == pytest.approx(1.1 + 1.0 + 1.4 * (0.132 + 0.025))


def test_the_three_sides_of_a_notch_cost_a_notch() -> None:
    """rates.json: marking a notch 1.0 min, cutting it out 1.5 min each, whatever its number of sides."""
    knife = Bench(Tool.KNIFE, RATES, 0.0508)
    sides = (("stopped", 0.14), ("plunge", 0.06), ("stopped", 0.14))
    found = sum(knife.minutes(long, kind, bevelled=False) for kind, long in sides)
    assert found == pytest.approx(2.5 + 0.34 * knife.per_metre())
    assert knife.minutes(0.4, "round", bevelled=False) == pytest.approx(2.5 + 0.4 * knife.per_metre())


def test_a_long_cut_that_stops_is_never_sooner_made_than_one_that_runs_out() -> None:
    """Counted as the side of a notch it was, and layouts full of stopped cuts were taken for quick ones."""
    for tool in Tool:
        bench = Bench(tool, RATES, 0.0508)
        for long in (0.31, 0.6, 2.4):
            through = bench.minutes(long, "through the blank", bevelled=False)
            assert bench.minutes(long, "stopped", bevelled=False) > through or tool is Tool.CIRCULAR


def test_a_circular_saw_makes_dust_and_never_ends_within_the_board() -> None:
    saw = Bench(Tool.CIRCULAR, RATES, 0.0508, Tool.JIGSAW)
    assert saw.minutes(0.3048, "edge to edge", bevelled=False) == pytest.approx(1.1 + 0.5 + 0.05)
    assert saw.tool_for("stopped") is Tool.JIGSAW
    assert saw.tool_for("edge to edge") is Tool.CIRCULAR
    assert finishing((Tool.CIRCULAR, Tool.HAND_SAW)) is Tool.HAND_SAW
    assert finishing((Tool.CIRCULAR,)) is Tool.KNIFE


@pytest.mark.parametrize("tape", [INCH, MM])
def test_notches_are_finished_by_hand_where_a_circular_saw_cuts(tape: Tape) -> None:
    notched = piece("N", ((0, 0), (0.4, 0), (0.41, 0.14), (0.47, 0.14), (0.46, 0), (1.0, 0), (1.0, 0.5), (0, 0.5)))
    pieces = (notched, piece("R", rectangle(0.6, 0.4)))
    done = plan_sheets(pieces, Stock(), (Tool.CIRCULAR,), RATES, tape, Run(effort=Effort.QUICK))
    assert check_plan(done.value, pieces, tape, kerf_of(Tool.CIRCULAR)) == []
    tools = {c.kind: c.tool for s in done.value.sheets for c in s.cuts}
    assert tools["stopped"] == tools["plunge"] == Tool.KNIFE.value
    assert "sheets.finish-by-hand" in {f.code for f in done.findings}


def test_a_plans_minutes_are_those_of_its_sheets_and_cuts() -> None:
    plan = planned((*cheek("D1", 1), piece("R", rectangle(0.5, 0.4))))
    handling = RATES["time_model.handling.sheet_handling"].typical
    for sheet in plan.sheets:
        assert sheet.minutes == pytest.approx(handling + sum(c.minutes for c in sheet.cuts))
    assert plan.minutes == pytest.approx(sum(s.minutes for s in plan.sheets))


# --- pairs and rows --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("tool", [Tool.KNIFE, Tool.HAND_SAW, Tool.CIRCULAR])
def test_both_boards_of_a_cheek_come_from_one_blank_by_one_leaning_cut(tool: Tool) -> None:
    """They lay anywhere on the sheet, or beside each other with two cuts a millimetre apart."""
    pieces = cheek("D1", 1) + cheek("D2", -1) + cheek("D3", 1)
    plan = planned(pieces, MM, (tool,))
    assert check_plan(plan, pieces, MM, kerf_of(tool)) == []
    assert len(plan.sheets) == 1
    leaning = [
        c
        for c in plan.sheets[0].cuts
        if min(abs(c.start[0] - c.end[0]), abs(c.start[1] - c.end[1])) > 0.1 and len(c.pieces) == 2
    ]
    pairs = {("D1-1a", "D1-1b"), ("D2-1a", "D2-1b"), ("D3-1a", "D3-1b")}
    assert {c.pieces for c in leaning} <= pairs
    assert len(leaning) >= 2, "where rounding parts the third pair it takes a cut of its own"


def test_boxes_do_not_overlap_and_keep_the_kerf() -> None:
    pieces = cheek("D1", 1) + tuple(piece(f"R{i}", rectangle(0.2 + 0.03 * i, 0.31)) for i in range(9))
    patterns = [pattern(p, 0.001) for p in pieces]
    sheet, off = SheetSize(2.4, 1.2), SheetSize(1.0, 0.7, 1, ((0.0, 0.0, 0.2, 0.1), (0.8, 0.5, 0.2, 0.2)))
    boxer = Boxer(patterns, 0.003, sheet)
    numbers = range(len(pieces))
    assert len(boxer.paired(numbers)) == len(pieces) - 1
    for rule in RULES:
        packing = packed(boxer.paired(numbers), sheet, (off,), 0.003, rule, None)
        assert packing is not None
        assert sorted(one.piece for s in packing.sheets for one in s.laid) == list(numbers)
        assert packing.sheets[0].offcut == 0, "the offcut on hand comes first"
        for laid in packing.sheets:
            boxes = [box(*_bounds(patterns[m.piece].outline, m.angle_deg, m.x, m.y)) for m in laid.laid]
            whole = box(0, 0, laid.size.width, laid.size.height).buffer(1e-7)
            assert all(whole.covers(b) for b in boxes)
            zones = [box(x, y, x + w, y + h) for x, y, w, h in laid.size.spoiled]
            assert all(b.intersection(z).area < 1e-9 for b in boxes for z in zones)
            flat = [b for b, m in zip(boxes, laid.laid, strict=True) if m.piece >= 2]
            assert all(a.distance(b) >= 0.003 - 1e-7 for i, a in enumerate(flat) for b in flat[i + 1 :])


def _bounds(outline: tuple[tuple[float, float], ...], turn: float, x: float, y: float) -> tuple[float, ...]:
    c, s = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}[round(turn) % 360]
    points = [(c * px - s * py + x, s * px + c * py + y) for px, py in outline]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def test_sound_parts_hold_all_that_is_sound() -> None:
    size = SheetSize(2.0, 1.0, 1, ((0.0, 0.0, 0.3, 0.2), (1.5, 0.4, 0.2, 0.3)))
    parts = [box(x, y, x + w, y + h) for x, y, w, h in sound_parts(size)]
    assert sum(p.area for p in parts) == pytest.approx(2.0 - 0.06 - 0.06)
    assert all(a.intersection(b).area < 1e-12 for i, a in enumerate(parts) for b in parts[i + 1 :])


def test_packings_come_with_the_fewest_sheets_first() -> None:
    pieces = tuple(piece(f"R{i}", rectangle(0.3 + 0.07 * (i % 5), 0.5)) for i in range(14))
    patterns = [pattern(p, 0.001) for p in pieces]
    sheet = SheetSize(2.4, 1.2)
    boxer = Boxer(patterns, 0.0, sheet)
    found = packings((boxer.alone(range(14)),), sheet, (), 0.0, Run().rng("test"), 4)
    assert all((a.new, -a.largest) <= (b.new, -b.largest + 1e-6) for a, b in pairwise(found))
    assert len(found) > 3


# --- the choice ------------------------------------------------------------------------------------------------------


def cost(plan: SheetPlan, hour: float) -> float:
    """Money and minutes, reckoned again: sheets, the hour's worth, waste that breaks, less offcuts worth keeping."""
    row = board(BOARD)
    knife = Bench(Tool.KNIFE, RATES, row.thickness)
    kept = sum(w * h for s in plan.sheets for _, _, w, h in s.keep) / (row.length * row.width)
    strips = sum(c.strip > 0 for s in plan.sheets for c in s.cuts)
    new = sum(s.source == "new" for s in plan.sheets)
    return row.price * (new - OFFCUT_SHARE * kept) + (plan.minutes + strips * knife.set_up()) * hour / 60


@pytest.mark.parametrize("hour", [0.0, 25.0, 300.0])
def test_of_layouts_with_equal_sheets_the_one_sooner_cut_is_kept(hour: float) -> None:
    """Fourteen boards on two sheets: a jigsaw of them needs more cuts than two rows."""
    pieces = tuple(piece(f"R{i}", rectangle(0.3 + 0.02 * (i % 3), 0.58)) for i in range(14))
    plan = planned(pieces, hour=hour)
    assert check_plan(plan, pieces, MM, 0.0) == []
    kinds = [c.kind for s in plan.sheets for c in s.cuts]
    assert not {"stopped", "plunge"} & set(kinds)
    assert len(plan.sheets) == 1
    assert len(kinds) <= 1 + 14 + 14, "a rip, a cross cut and at most a trim for each"


def test_more_search_is_not_dearer() -> None:
    pieces = (
        cheek("D1", 1) + cheek("D2", -1) + tuple(piece(f"R{i}", rectangle(0.31 + 0.05 * i, 0.44)) for i in range(7))
    )
    quick, normal = (planned(pieces, effort=e) for e in (Effort.QUICK, Effort.NORMAL))
    assert cost(normal, 25.0) <= cost(quick, 25.0) + 1e-6
    assert [s.effort for s in SEARCHES] == [Effort.QUICK, Effort.NORMAL, Effort.THOROUGH]
    assert all(a.rows < b.rows and a.orders < b.orders and a.sheets < b.sheets for a, b in pairwise(SEARCHES))


def test_the_sound_part_of_a_damaged_offcut_is_kept() -> None:
    """A board with one bad corner was crossed out whole once a piece was off it."""
    offcut = Offcut(BOARD, board(BOARD).thickness, 0.61, 1.52, ((0.0, 0.0, 0.1, 0.1),), "porch")
    pieces = (piece("S1", rectangle(0.6, 0.58)),)
    plan = planned(pieces, stock=Stock(offcuts=(offcut,)))
    assert check_plan(plan, pieces, MM, 0.0) == []
    (sheet,) = plan.sheets
    assert sheet.source == "porch"
    assert sum(w * h for _, _, w, h in sheet.keep) > 0.35
    bad = box(0.0, 0.0, 0.1, 0.1)
    assert all(box(x, y, x + w, y + h).intersection(bad).area < 1e-9 for x, y, w, h in sheet.keep)


def test_sheets_on_hand_are_used_before_new_ones_are_bought() -> None:
    pieces = tuple(piece(f"R{i}", rectangle(1.0, 1.1)) for i in range(5))
    row = board(BOARD)
    stock = Stock(sheets=(SheetStock(BOARD, row.thickness, row.width, row.length, None, 2),))
    plan = planned(pieces, stock=stock)
    assert [s.source for s in plan.sheets] == ["on hand", "on hand", "new"]


def test_sheets_have_the_size_that_the_stock_states() -> None:
    pieces = tuple(piece(f"R{i}", rectangle(0.5, 0.58)) for i in range(4))
    plan = planned(pieces, stock=Stock(sheets=(SheetStock(BOARD, board(BOARD).thickness, 0.6, 1.25),)))
    assert check_plan(plan, pieces, MM, 0.0) == []
    assert {(s.length, s.width) for s in plan.sheets} == {(1.25, 0.6)}
    assert len(plan.sheets) == 2


# --- how deep a tool cuts --------------------------------------------------------------------------------------------


def test_reach_is_that_of_the_rates() -> None:
    """rates.csv: jigsaw 3 in, circular saw 2.4 in set square; at 45 degrees 2 in of foam are 2.83 in."""
    saw = Bench(Tool.CIRCULAR, RATES, 2 * 0.0254, Tool.KNIFE)
    assert saw.reaches(Tool.CIRCULAR)
    assert not saw.reaches(Tool.CIRCULAR, pi / 4)
    assert saw.reaches(Tool.JIGSAW, pi / 4)
    assert saw.through(pi / 4) == pytest.approx(2.0**0.5 * 2 * 0.0254)
    thick = Bench(Tool.KNIFE, RATES, 2 * 0.0254)
    assert (thick.passes(Tool.KNIFE), thick.passes(Tool.KNIFE, pi / 4)) == (4, 6), (
        "half an inch a pass, 2.83 in of foam"
    )


@pytest.mark.parametrize(
    ("tools", "thickness", "cuts", "turned"),
    [
        ((Tool.CIRCULAR,), 0.05, Tool.CIRCULAR, False),
        ((Tool.CIRCULAR,), 0.1, Tool.CIRCULAR, True),
        ((Tool.CIRCULAR,), 0.14, Tool.KNIFE, False),
        ((Tool.CIRCULAR, Tool.HAND_SAW), 0.1, Tool.HAND_SAW, False),
        ((Tool.JIGSAW,), 0.1, Tool.JIGSAW, True),
        ((Tool.KNIFE,), 0.1, Tool.KNIFE, False),
    ],
)
def test_a_board_is_cut_with_a_tool_that_reaches_through(
    tools: tuple[Tool, ...], thickness: float, cuts: Tool, turned: bool
) -> None:
    assert bench_tool(tools, thickness, RATES) is cuts
    bench = Bench(cuts, RATES, thickness, finishing(tools), tools)
    assert bench.tool_for("edge to edge") is cuts
    assert bench.turned(cuts) is turned
    for kind in INSIDE:
        inside = bench.tool_for(kind)
        assert bench.reaches(inside), "what ends within the board is never cut from two sides"
    if turned:
        half = Bench(cuts, RATES, 0.05, finishing(tools), tools)
        assert bench.minutes(1.0, "edge to edge", bevelled=False) == pytest.approx(
            2 * half.minutes(1.0, "edge to edge", bevelled=False)
        )


@pytest.mark.parametrize("tool", [Tool.CIRCULAR, Tool.JIGSAW])
def test_a_tool_that_does_not_reach_through_is_named(tool: Tool) -> None:
    """A circular saw cut 100 mm boards in one pass, on paper."""
    thick = tuple(replace(piece(f"T{i}", rectangle(0.4 + 0.1 * i, 0.5)), material="pir-100") for i in range(3))
    thick = tuple(replace(p, thickness=board("pir-100").thickness) for p in thick)
    done = plan_sheets(thick, Stock(), (tool,), RATES, MM, Run(effort=Effort.QUICK))
    (said,) = [f for f in done.findings if f.code == "sheets.tool-reach"]
    assert tool.value in in_words(said)
    assert "100 mm" in in_words(said)
    cuts = [(s.number, c) for s in done.value.sheets for c in s.cuts]
    assert all(c.turned and c.passes == 2 for _, c in cuts)
    assert all(f"{number}/{c.number}" in in_words(said) for number, c in cuts)
    assert check_plan(done.value, thick, MM, kerf_of(tool)) == []


def test_a_bevel_wants_a_tool_that_reaches_along_the_slant() -> None:
    leaning = replace(piece("L", rectangle(0.6, 0.5), bevel=pi / 4), material=BOARD)
    plain = piece("R", rectangle(0.3, 0.5))
    for tools, expected in (((Tool.CIRCULAR,), Tool.KNIFE), ((Tool.CIRCULAR, Tool.JIGSAW), Tool.JIGSAW)):
        done = plan_sheets((leaning, plain), Stock(), tools, RATES, MM, Run(effort=Effort.QUICK))
        cuts = [c for s in done.value.sheets for c in s.cuts]
        assert {c.tool for c in cuts if c.bevel} == {expected.value}
        assert {c.tool for c in cuts if not c.bevel} == {Tool.CIRCULAR.value}
        (said,) = [f for f in done.findings if f.code == "sheets.tool-reach"]
        assert "45°" in in_words(said)
        assert "cutting.reach.circular_saw" in in_words(said)
        assert expected.value in in_words(said)
        assert check_plan(done.value, (leaning, plain), MM, kerf_of(Tool.CIRCULAR)) == []


def test_the_users_own_blade_counts() -> None:
    own = Rates((("cutting.reach.circular_saw", 4.2, 4.2, 4.2),))
    assert bench_tool((Tool.CIRCULAR, Tool.HAND_SAW), 0.1, own) is Tool.CIRCULAR
    assert not Bench(Tool.CIRCULAR, own, 0.1).turned(Tool.CIRCULAR)
