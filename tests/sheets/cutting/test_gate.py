"""The saw's gate refuses instructions that would spoil a piece, of every kind that a plan can get wrong."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import hypot

import pytest
from tests.sheets.cutting.test_plan import INCH, MM, NOTHING, carried, comb, laid, piece, planned, rectangle

from snugbay.base import Effort, NoFit, Run
from snugbay.job import Tool
from snugbay.materials import Rates
from snugbay.pieces import Piece
from snugbay.sheets import Cut, End, Mark, Sheet, SheetPlan, plan_sheets
from snugbay.sheets.cutting import plan as plan_module
from snugbay.sheets.cutting.gate import faults
from snugbay.sheets.cutting.minutes import sweep
from snugbay.tape import Tape

RUN, UPRIGHT = End.RUN, End.UPRIGHT
Spoil = Callable[[Sheet], Sheet]


def refused(plan: SheetPlan, pieces: tuple[Piece, ...], tape: Tape = MM) -> list[str]:
    return [fault for sheet in plan.sheets for fault in faults(sheet, pieces, Rates(), tape)]


def pinwheel(tool: Tool) -> tuple[tuple[Piece, ...], SheetPlan]:
    """Four boards round a fifth: no cut from edge to edge parts them."""
    a, b, k = 0.6, 0.3, {Tool.KNIFE: 0.0, Tool.CIRCULAR: 0.125 * 0.0254}.get(tool, 0.06 * 0.0254)
    pieces = tuple(piece(n, rectangle(a, b)) for n in "ABCD")
    far = a + b + k
    return pieces, carried(pieces, MM, tool, laid(pieces, [(0, 0, 0), (far, 0, 90), (b + k, a + k, 0), (b, b + k, 90)]))


NOTCHED = comb("S1-1a", (0.5, 0.0, 0.0))


def notched(tool: Tool = Tool.KNIFE) -> tuple[tuple[Piece, ...], SheetPlan]:
    pieces = (NOTCHED, piece("R", rectangle(0.5, 0.7)))
    return pieces, carried(pieces, MM, tool)


def changed(number: int, **new: object) -> Spoil:
    return lambda sheet: replace(
        sheet,
        cuts=tuple(replace(c, **new) if c.number == number else c for c in sheet.cuts),  # type: ignore[arg-type]
    )


def of(sheet: Sheet, wanted: Callable[[Cut], bool]) -> Cut:
    return next(c for c in sheet.cuts if wanted(c))


def stopping(sheet: Sheet) -> Cut:
    return of(sheet, lambda c: any(e is not RUN for e in c.ends))


def runs_on_into_a_piece(sheet: Sheet) -> Sheet:
    return changed(stopping(sheet).number, ends=(RUN, RUN))(sheet)


def stops_short_of_the_edge(sheet: Sheet) -> Sheet:
    cut = of(sheet, lambda c: c.ends == (RUN, RUN) and len(c.pieces) > 1)
    at = (cut.start[0] + 0.5 * (cut.end[0] - cut.start[0]), cut.start[1] + 0.5 * (cut.end[1] - cut.start[1]))
    marks = [m for m in sheet.marks if m.cut == cut.number]
    inside = Mark(cut.number, "inside", at, *at, at[0])
    kept = tuple(m for m in sheet.marks if m is not marks[-1])
    return changed(cut.number, ends=(RUN, UPRIGHT))(replace(sheet, marks=(*kept, _on_grid(inside))))


def _on_grid(mark: Mark) -> Mark:
    return replace(mark, distance=round(mark.distance, 3), across=round(mark.across, 3))


def knife_leans_past_its_mark(sheet: Sheet) -> Sheet:
    cut = of(sheet, lambda c: UPRIGHT in c.ends)
    return changed(cut.number, ends=tuple(End.STOP if e is UPRIGHT else e for e in cut.ends))(sheet)


def circular_saw_stops(sheet: Sheet) -> Sheet:
    return changed(stopping(sheet).number, tool="circular saw")(sheet)


def cut_left_out(sheet: Sheet) -> Sheet:
    left = [c for c in sheet.cuts if c is not of(sheet, lambda c: len(c.pieces) > 1)]
    numbers = {c.number: n for n, c in enumerate(left, start=1)}
    cuts = tuple(replace(c, number=numbers[c.number]) for c in left)
    return replace(
        sheet,
        cuts=cuts,
        marks=tuple(replace(m, cut=numbers[m.cut]) for m in sheet.marks if m.cut in numbers),
    )


def mark_off_by_three_millimetres(sheet: Sheet) -> Sheet:
    cut = of(sheet, lambda c: len(c.pieces) > 1)
    moved = (replace(m, distance=m.distance + 0.003) if m.cut == cut.number else m for m in sheet.marks)
    return replace(sheet, marks=tuple(moved))


def mark_between_two_marks_of_the_tape(sheet: Sheet) -> Sheet:
    return replace(sheet, marks=(replace(sheet.marks[0], distance=sheet.marks[0].distance + 0.0004), *sheet.marks[1:]))


def wrong_edge(sheet: Sheet) -> Sheet:
    other = {"bottom": "left", "top": "right", "left": "bottom", "right": "top", "inside": "bottom"}
    return replace(sheet, marks=tuple(replace(m, edge=other[m.edge]) if m.cut == 1 else m for m in sheet.marks))


def wrong_part(sheet: Sheet) -> Sheet:
    cut = of(sheet, lambda c: c.blank != "sheet")
    return changed(cut.number, blank="77b")(sheet)


def label_of_another_piece(sheet: Sheet) -> Sheet:
    one, two, *rest = sheet.placements
    swapped = (replace(one, label_at=two.label_at), replace(two, label_at=one.label_at), *rest)
    return replace(sheet, placements=swapped)


def order_turned_round(sheet: Sheet) -> Sheet:
    numbers = {c.number: len(sheet.cuts) + 1 - c.number for c in sheet.cuts}
    cuts = tuple(sorted((replace(c, number=numbers[c.number]) for c in sheet.cuts), key=lambda c: c.number))
    return replace(sheet, cuts=cuts, marks=tuple(replace(m, cut=numbers[m.cut]) for m in sheet.marks))


def numbers_skip_one(sheet: Sheet) -> Sheet:
    return replace(sheet, cuts=(*sheet.cuts[:-1], replace(sheet.cuts[-1], number=99)))


def piece_drawn_mirrored(sheet: Sheet) -> Sheet:
    first, *rest = sheet.placements
    return replace(sheet, placements=(replace(first, up=(-first.up[0], -first.up[1])), *rest))


def bevel_on_the_wrong_side(sheet: Sheet) -> Sheet:
    cut = of(sheet, lambda c: abs(c.bevel) > 0.1)
    return changed(cut.number, bevel=-cut.bevel)(sheet)


def bevel_forgotten(sheet: Sheet) -> Sheet:
    return changed(of(sheet, lambda c: abs(c.bevel) > 0.1).number, bevel=0.0)(sheet)


def thick_saw_for_a_thin_one(sheet: Sheet) -> Sheet:
    return replace(sheet, cuts=tuple(replace(c, tool="reciprocating saw") for c in sheet.cuts))


def kerf_on_the_other_side(sheet: Sheet) -> Sheet:
    cut = of(sheet, lambda c: len(c.pieces) > 1 and c.ends == (RUN, RUN))
    own = [m for m in sheet.marks if m.cut == cut.number]
    rest = tuple(m for m in sheet.marks if m.cut != cut.number)
    return replace(changed(cut.number, start=cut.end, end=cut.start)(sheet), marks=(*rest, *reversed(own)))


def no_such_tool(sheet: Sheet) -> Sheet:
    return changed(1, tool="axe")(sheet)


SPOILED: tuple[tuple[Spoil, str, Tool], ...] = (
    (runs_on_into_a_piece, "pinwheel", Tool.KNIFE),
    (runs_on_into_a_piece, "notched", Tool.HAND_SAW),
    (stops_short_of_the_edge, "pinwheel", Tool.KNIFE),
    (knife_leans_past_its_mark, "pinwheel", Tool.KNIFE),
    (knife_leans_past_its_mark, "notched", Tool.KNIFE),
    (circular_saw_stops, "pinwheel", Tool.CIRCULAR),
    (cut_left_out, "pinwheel", Tool.HAND_SAW),
    (mark_off_by_three_millimetres, "pinwheel", Tool.KNIFE),
    (mark_between_two_marks_of_the_tape, "pinwheel", Tool.KNIFE),
    (wrong_edge, "pinwheel", Tool.KNIFE),
    (wrong_part, "pinwheel", Tool.KNIFE),
    (label_of_another_piece, "notched", Tool.KNIFE),
    (order_turned_round, "pinwheel", Tool.KNIFE),
    (numbers_skip_one, "pinwheel", Tool.KNIFE),
    (piece_drawn_mirrored, "notched", Tool.KNIFE),
    (bevel_on_the_wrong_side, "notched", Tool.KNIFE),
    (bevel_forgotten, "notched", Tool.KNIFE),
    (thick_saw_for_a_thin_one, "pinwheel", Tool.KNIFE),
    (kerf_on_the_other_side, "pinwheel", Tool.CIRCULAR),
    (no_such_tool, "pinwheel", Tool.KNIFE),
)


@pytest.mark.parametrize(("spoil", "job", "tool"), SPOILED, ids=[f"{s.__name__}-{j}-{t.value}" for s, j, t in SPOILED])
def test_wrong_instructions_are_refused(spoil: Spoil, job: str, tool: Tool) -> None:
    pieces, plan = pinwheel(tool) if job == "pinwheel" else notched(tool)
    assert refused(plan, pieces) == []
    assert refused(replace(plan, sheets=tuple(spoil(s) for s in plan.sheets)), pieces)


def test_a_cut_that_the_drawing_lets_run_on_meets_nothing_that_is_wanted() -> None:
    """Of 51 cuts drawn from edge to edge 18 ended in uncut board, and 15 of these ran into another piece."""
    pieces, plan = pinwheel(Tool.KNIFE)
    (sheet,) = plan.sheets
    assert refused(plan, pieces) == []
    assert all(RUN in c.ends for c in sheet.cuts), "every cut of a pinwheel begins or ends at an edge"
    assert sum(e is not RUN for c in sheet.cuts for e in c.ends) <= 2


def test_a_circular_saw_needs_as_much_room_as_its_blade() -> None:
    """The half chord of a blade of 95 mm at 50 mm depth, by Pythagoras: the square root of 95² less 45²."""
    own = Rates((("cutting.overrun.blade", 95 / 25.4, 95 / 25.4, 95 / 25.4),))
    assert sweep(Tool.CIRCULAR, own, 0.05) == pytest.approx(hypot(0.095, 0) * (1 - (45 / 95) ** 2) ** 0.5)
    assert sweep(Tool.CIRCULAR, own, 0.05) == pytest.approx(0.0837, abs=1e-4)
    assert sweep(Tool.KNIFE, own, 0.05) == 0.0


@pytest.mark.parametrize("tool", list(Tool))
@pytest.mark.parametrize("tape", [INCH, MM])
def test_no_plan_is_shown_that_the_gate_refuses(tool: Tool, tape: Tape) -> None:
    pieces = (
        *(piece(f"T{i}", ((0.0, 0.0), (0.6 + 0.03 * i, 0.0), (0.1, 0.4 + 0.03 * i))) for i in range(3)),
        *(piece(f"R{i}", rectangle(0.31 + 0.02 * i, 0.22)) for i in range(3)),
        NOTCHED,
    )
    plan = planned(pieces, tape, tool)
    assert refused(plan, pieces, tape) == []
    own = [c for s in plan.sheets for c in s.cuts if c.tool == "circular saw"]
    assert all(e is RUN for c in own for e in c.ends)


def test_what_the_gate_refuses_is_never_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(plan_module, "faults", lambda *_: ("A is cut away",))
    with pytest.raises(NoFit, match="A is cut away") as found:
        plan_sheets((piece("A", rectangle(0.5, 0.4)),), NOTHING, (Tool.KNIFE,), Rates(), MM, Run(0, Effort.QUICK))
    assert found.value.code == "sheets.not-sawn"


def test_another_way_is_cut_where_the_best_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    pieces = tuple(piece(f"R{i}", rectangle(0.5 - 0.04 * i, 0.4 + 0.03 * i)) for i in range(3))
    seen: list[Sheet] = []

    def first_refused(sheet: Sheet, *_: object) -> tuple[str, ...]:
        seen.append(sheet)
        return ("no",) if len(seen) == 1 else ()

    monkeypatch.setattr(plan_module, "faults", first_refused)
    plan = planned(pieces, MM, Tool.KNIFE)
    assert len(seen) > 1
    assert all(s.cuts != seen[0].cuts for s in plan.sheets)
