from __future__ import annotations

from dataclasses import replace
from math import pi
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon
from tests.booklet.plan_fixture import SHEET_1, SHEET_2
from tests.draw.looking import outside, overlapping, words

from snugbay.draw import Group, SheetPage, part_drawings, sheet_drawing
from snugbay.draw.scene import Area, Disc, Stroke, Text, groups, walk
from snugbay.draw.sheet_parts import blank_outlines, part_box, parts_of
from snugbay.sheets import Cut, Mark, Placement, Sheet
from snugbay.tape import format_length


def inch(metres: float) -> str:
    return format_length(metres, "ft-in")


def mm(metres: float) -> str:
    return format_length(metres, "mm")


SHEETS = pytest.mark.parametrize("sheet", [SHEET_1, SHEET_2])


@SHEETS
def test_every_piece_is_drawn_to_scale_and_labelled_once(sheet: Sheet) -> None:
    scene = sheet_drawing(sheet, inch, parts=False)
    scale = float(scene.note("scale").removeprefix("1:"))
    pieces = groups(scene, "piece")
    assert [g.name for g in pieces] == [p.piece for p in sheet.placements]
    for group, placement in zip(pieces, sheet.placements, strict=True):
        area = group.items[0]
        assert isinstance(area, Area)
        drawn = Polygon(area.rings[0], area.rings[1:])
        meant = Polygon(placement.outline, placement.holes)
        assert drawn.area * (scale / 1000) ** 2 == pytest.approx(meant.area, rel=1e-9)
        assert words(scene).count(placement.piece) == 1


@SHEETS
def test_no_piece_is_mirrored(sheet: Sheet) -> None:
    """Outlines run counter-clockwise on the sheet; with the page's y down their signed area is below nought."""
    for group in groups(sheet_drawing(sheet, inch, parts=False), "piece"):
        area = group.items[0]
        assert isinstance(area, Area)
        ring = area.rings[0]
        signed = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))
        assert signed < 0


@SHEETS
def test_up_arrows_point_the_way_of_the_piece(sheet: Sheet) -> None:
    scene = sheet_drawing(sheet, inch, parts=False)
    ups = {
        label.name: next(i for i in label.items if isinstance(i, Group) and i.layer == "up")
        for label in groups(scene, "label")
    }
    for placement in sheet.placements:
        shaft = ups[placement.piece].items[0]
        assert isinstance(shaft, Stroke)
        (x0, y0), (x1, y1) = shaft.points
        assert (x1 - x0) * placement.up[0] - (y1 - y0) * placement.up[1] > 0
        assert abs((x1 - x0) * placement.up[1] + (y1 - y0) * placement.up[0]) < 1e-9


@SHEETS
def test_cuts_are_numbered_and_told_apart_by_dashes(sheet: Sheet) -> None:
    scene = sheet_drawing(sheet, inch, parts=False)
    real = [c for c in sheet.cuts if c.kind != "factory edge"]
    assert [g.name for g in groups(scene, "cut")] == [str(c.number) for c in real]
    assert sorted(g.name for g in groups(scene, "cutnumber")) == sorted(str(c.number) for c in real)
    looks = {"stopped": "chalk-stopped", "plunge": "chalk-plunge"}
    for group, cut in zip(groups(scene, "cut"), real, strict=True):
        line = group.items[0]
        assert isinstance(line, Stroke)
        assert line.look == looks.get(cut.kind, "chalk-line")


@SHEETS
def test_every_mark_prints_its_rounded_distance(sheet: Sheet) -> None:
    said = words(sheet_drawing(sheet, inch))
    for mark in sheet.marks:
        assert any(inch(mark.distance) in w for w in said), mark
        if mark.edge == "inside":
            assert any(inch(mark.across) in w for w in said), mark


@SHEETS
@pytest.mark.parametrize("fmt", [inch, mm])
def test_labels_do_not_lie_on_each_other_nor_off_the_page(sheet: Sheet, fmt: object) -> None:
    scene = sheet_drawing(sheet, fmt)  # type: ignore[arg-type]
    assert overlapping(scene) == []
    assert outside(scene) == []
    for part in part_drawings(sheet, fmt):  # type: ignore[arg-type]
        assert overlapping(part) == []
        assert outside(part) == []


@SHEETS
def test_marks_are_large_enough_for_arms_length(sheet: Sheet) -> None:
    """At 0.65 m a figure must be some 2 mm high (10 minutes of arc, our own rule); edge marks are nearly 3 mm."""
    scene = sheet_drawing(sheet, inch)
    for lane in [g for _, g in walk(scene.items) if isinstance(g, Group) and g.layer.startswith("marks-")]:
        for _, item in walk(lane.items):
            if isinstance(item, Text):
                assert item.size * 0.7 >= 2.3


def test_waste_is_crossed_and_fills_what_nothing_uses() -> None:
    scene = sheet_drawing(SHEET_1, inch)
    scale = float(scene.note("scale").removeprefix("1:")) / 1000
    total = 0.0
    for waste in groups(scene, "waste"):
        assert sum(isinstance(i, Stroke) and i.look == "waste-cross" for i in waste.items) >= 1
        area = waste.items[0]
        assert isinstance(area, Area)
        total += Polygon(area.rings[0], area.rings[1:]).area * scale**2
    used = sum(Polygon(p.outline).area for p in SHEET_1.placements)
    used += sum(w * h for _, _, w, h in (*SHEET_1.keep, *SHEET_1.damaged))
    assert total == pytest.approx(SHEET_1.length * SHEET_1.width - used, rel=0.02)


def test_given_waste_and_damage_and_offcuts_are_drawn() -> None:
    waste = (((2.0, 0.0), (2.4, 0.0), (2.4, 0.3)),)
    scene = sheet_drawing(replace(SHEET_1, waste=waste), inch)
    assert len(groups(scene, "waste")) == 1
    assert len(groups(scene, "damaged")) == len(SHEET_1.damaged)
    assert len(groups(scene, "keep")) == len(SHEET_1.keep)
    assert any(w.startswith("KEEP") for w in words(scene))


def test_page_holds_a_scale_bar_and_a_check_square_of_its_stated_size() -> None:
    for fmt, side in ((inch, 12.7), (mm, 10.0)):
        scene = sheet_drawing(SHEET_1, fmt)
        square = groups(scene, "checksquare")[0].items[0]
        assert isinstance(square, Stroke)
        assert square.points[1][0] - square.points[0][0] == pytest.approx(side)
        assert len(groups(scene, "scalebar")) == 1


@SHEETS
def test_a_sheet_carries_only_marks_from_its_own_corner(sheet: Sheet) -> None:
    """A mark measured from a part's corner, drawn on the whole sheet, would be taken from the wrong corner."""
    own = {c.number for c in sheet.cuts if c.blank == "sheet"}
    for group in groups(sheet_drawing(sheet, inch, parts=False), "mark"):
        assert {int(n) for n in group.name.split("·")} <= own
    in_parts = [c.number for p in parts_of(sheet) for c in p.sheet.cuts]
    assert sorted([*own, *in_parts]) == sorted(c.number for c in sheet.cuts)


@SHEETS
def test_marks_of_a_part_run_from_its_own_corner(sheet: Sheet) -> None:
    for part in parts_of(sheet):
        for mark in part.sheet.marks:
            x, y = mark.at
            if mark.edge in ("bottom", "top"):
                assert x == pytest.approx(mark.distance, abs=0.002)
            elif mark.edge in ("left", "right"):
                assert y == pytest.approx(mark.distance, abs=0.002)
            else:
                assert (x, y) == pytest.approx((mark.distance, mark.across), abs=0.002)
            assert -1e-6 <= x <= part.sheet.length + 1e-6
            assert -1e-6 <= y <= part.sheet.width + 1e-6


def test_parts_lie_where_the_cuts_put_them() -> None:
    """By hand: sheet 2 of the fixture is cut at 1.5 m, then left of it at 0.75 m and right of it at 2.0508 m."""
    boxes = {p.name: part_box(p) for p in parts_of(SHEET_2)}
    assert boxes["1a"] == pytest.approx((0, 0, 1.5, 1.2192), abs=0.001)
    assert boxes["1b"] == pytest.approx((1.5, 0, 2.4384, 1.2192), abs=0.001)
    assert boxes["3a"] == pytest.approx((1.5, 0, 2.0508, 1.2192), abs=0.001)
    assert boxes["13a"] == pytest.approx((2.0508, 0, 2.4384, 0.7492), abs=0.001)
    pieces = {p.name: [q.piece for q in p.sheet.placements] for p in parts_of(SHEET_2)}
    assert pieces["3b"] == ["K1-P"]
    assert pieces["1a"] == ["K1-1a", "K1-1b", "K1-S"]


def test_kerf_moves_the_corner_of_the_part_beyond_the_cut() -> None:
    cuts = (
        Cut(1, (1.0, 0.0), (1.0, 1.2), "edge to edge", 0, "sheet", 0.0, 1, "saw", 1.0, ()),
        Cut(2, (1.603, 0.0), (1.603, 1.2), "through the blank", 1, "1b", 0.0, 1, "saw", 1.0, ()),
    )
    marks = (Mark(1, "bottom", (1.0, 0.0), 1.0, 0.0, 1.0), Mark(2, "bottom", (1.603, 0.0), 0.6, 0.0, 0.6))
    sheet = Sheet(1, "pir-50", 0.05, 1.2, 2.4, "new", (), cuts, marks)
    assert part_box(parts_of(sheet)[0]) == pytest.approx((1.003, 0.0, 2.4, 1.2))


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 14))
def test_blanks_are_the_rectangles_that_were_cut(seed: int, depth: int) -> None:
    """Each cut of the generator runs right across its blank: both its ends lie on the rim."""
    sheet = guillotine(seed, depth)
    outlines = blank_outlines(sheet)
    for cut in sheet.cuts:
        left, low, right, high = outlines[cut.blank].bounds
        if cut.start[0] == cut.end[0]:
            assert (cut.start[1], cut.end[1]) == pytest.approx((low, high))
            assert left < cut.start[0] < right
        else:
            assert (cut.start[0], cut.end[0]) == pytest.approx((left, right))
            assert low < cut.start[1] < high


@SHEETS
def test_every_part_is_named_before_it_is_cut(sheet: Sheet) -> None:
    """Every part is promised by the drawing of the cut that gives it."""
    drawings = (sheet_drawing(sheet, inch, parts=False), *part_drawings(sheet, inch))
    given_names = [g.name for scene in drawings for g in groups(scene, "gives")]
    assert sorted(given_names) == sorted(p.name for p in parts_of(sheet))


def test_a_sheet_cut_once_has_no_parts() -> None:
    cuts = tuple(c for c in SHEET_1.cuts if c.blank == "sheet")
    plain = replace(SHEET_1, cuts=cuts, marks=tuple(m for m in SHEET_1.marks if m.cut == 1))
    assert parts_of(plain) == ()
    assert sheet_drawing(plain, inch).height == sheet_drawing(plain, inch, parts=False).height


def guillotine(seed: int, depth: int) -> Sheet:
    """A made-up layout: the sheet is cut edge to edge again and again; every part but a few becomes a piece."""
    random = Random(seed)
    length, width = 2.4384, 1.2192
    parts = [(0.0, 0.0, length, width, "sheet")]
    cuts: list[Cut] = []
    marks: list[Mark] = []
    for number in range(1, depth + 1):
        parts.sort(key=lambda p: -p[2] * p[3])
        x, y, w, h, blank = parts.pop(0)
        share = random.uniform(0.25, 0.75)
        kind = "edge to edge" if blank == "sheet" else "through the blank"
        if w > h:
            at = x + w * share
            cuts.append(Cut(number, (at, y), (at, y + h), kind, 0, blank, 0.0, 3, "knife", 1.0, ()))
            marks += [Mark(number, e, (at, v), at - x, 0.0, at - x) for e, v in (("bottom", y), ("top", y + h))]
            parts += [(x, y, at - x, h, f"{number}a"), (at, y, x + w - at, h, f"{number}b")]
        else:
            at = y + h * share
            cuts.append(Cut(number, (x, at), (x + w, at), kind, 0, blank, 0.1 * (number % 3), 3, "knife", 1.0, ()))
            marks += [Mark(number, e, (u, at), at - y, 0.0, at - y) for e, u in (("left", x), ("right", x + w))]
            parts += [(x, y, w, at - y, f"{number}a"), (x, at, w, y + h - at, f"{number}b")]
    placed = []
    for n, (x, y, w, h, _) in enumerate(parts):
        up = [(0.0, 1.0), (-1.0, 0.0), (0.0, -1.0), (1.0, 0.0)][n % 4]
        ring = ((x, y), (x + w, y), (x + w, y + h), (x, y + h))
        placed.append(Placement(f"K{n}-{n}a", ring, (), (n % 4) * pi / 2, up, (x + w / 2, y + h / 2)))
    kept = tuple(p for n, p in enumerate(placed) if n % 7 != 6)
    return Sheet(seed, "polyiso-2in", 0.0508, width, length, "new", kept, tuple(cuts), tuple(marks))


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 14), st.booleans())
def test_made_up_sheets_are_readable(seed: int, depth: int, metric: bool) -> None:
    sheet = guillotine(seed, depth)
    fmt = mm if metric else inch
    scene = sheet_drawing(sheet, fmt, SheetPage(273.0 if metric else 255.0), parts=False)
    for each in (scene, *part_drawings(sheet, fmt)):
        assert overlapping(each) == []
        assert outside(each) == []
    assert len(groups(scene, "piece")) == len(sheet.placements)
    for placement in sheet.placements:
        assert words(scene).count(placement.piece) == 1
    assert len([i for _, i in walk(scene.items) if isinstance(i, Disc)]) >= len(sheet.cuts)
