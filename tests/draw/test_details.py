"""Notches that would crowd in their part's drawing are drawn again, larger, and read at arm's length."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import Point as Spot
from shapely import Polygon
from tests.booklet.plan_fixture import SHEET_1
from tests.draw.looking import outside, overlapping
from tests.draw.svg_reading import faults, read

from snugbay.draw import Group, part_drawings, to_svg
from snugbay.draw.geometry import bounds
from snugbay.draw.placing import Room
from snugbay.draw.scene import Area, Text, groups, walk
from snugbay.draw.sheet_parts import name_of_part
from snugbay.sheets import Cut, Mark, Placement, Sheet
from snugbay.tape import format_length

WIDE, HIGH, TOP = 0.8128, 1.2192, 1.1113
IN = 0.0254


def inch(metres: float) -> str:
    return format_length(metres, "ft-in")


def notched(*lefts: float, deep: float = 0.13, wide: float = 2.4375 * IN) -> Sheet:
    """A sheet of which cut 1 gives one part; a rafter's notch at each place along its top edge."""
    cuts = [Cut(1, (0.0, TOP), (WIDE, TOP), "edge to edge", 0, "sheet", 0.0, 4, "long knife", 1.0, ())]
    marks: list[Mark] = []
    number = 2
    ring = [(0.0, 0.0), (WIDE, 0.0), (WIDE, TOP)]
    for left in sorted(lefts, reverse=True):
        right, foot = left + wide, TOP - deep
        ends = (((right, foot), (right, TOP)), ((left, TOP), (left, foot)), ((left, foot), (right, foot)))
        for k, (start, end) in enumerate(ends):
            kind = "plunge" if k == 2 else "stopped"
            cuts.append(Cut(number + k, start, end, kind, 1, "1a", 0.0, 4, "long knife", 1.0, ("S1-1h",)))
            for x, y in {start, end}:
                edge = "top" if y == TOP else "inside"
                marks.append(Mark(number + k, edge, (x, y), x, 0.0 if edge == "top" else y, x))
        ring += [(right, TOP), (right, foot), (left, foot), (left, TOP)]
        number += 3
    ring.append((0.0, TOP))
    piece = Placement("S1-1h", tuple(ring), (), 0.0, (0.0, 1.0), (0.4, 0.5))
    return replace(
        SHEET_1, length=WIDE, width=HIGH, cuts=tuple(cuts), marks=tuple(marks), placements=(piece,), damaged=(), keep=()
    )


CASES = [(0.17,), (0.17, 0.58), (0.05, 0.3, 0.6), (0.02, 0.2, 0.4, 0.6)]
ROOMS = [(255.0, 165.0), (124.0, 76.0), (108.0, 120.0)]


@pytest.mark.parametrize("lefts", CASES)
@pytest.mark.parametrize("room", ROOMS)
def test_a_crowded_notch_is_drawn_again_larger(lefts: tuple[float, ...], room: tuple[float, float]) -> None:
    """Seven cuts round two notches stood on top of each other, 4 cm wide, on an empty page."""
    sheet = notched(*lefts)
    (scene,) = part_drawings(sheet, inch, room, room)
    own = float(scene.note("scale").removeprefix("1:"))
    details = groups(scene, "detail")
    assert details
    assert [g.name for g in details] == [g.name for g in groups(scene, "detail-frame")]
    for detail in details:
        assert f"Detail {detail.name}, scale 1:" in detail.title
        assert float(detail.title.rpartition("1:")[2]) * 1.5 <= own
    assert faults(to_svg(scene)) == []
    assert overlapping(scene) == []
    assert outside(scene) == []


@pytest.mark.parametrize("lefts", CASES)
@pytest.mark.parametrize("room", ROOMS)
def test_each_number_stands_once_and_at_its_line(lefts: tuple[float, ...], room: tuple[float, float]) -> None:
    sheet = notched(*lefts)
    (scene,) = part_drawings(sheet, inch, room, room)
    numbered = [g.name for g in groups(scene, "blank-cutnumber")]
    assert sorted(numbered) == sorted(str(c.number) for c in sheet.cuts if c.blank == "1a")
    seen = read(to_svg(scene))
    at_line = {
        name
        for name, at, radius in seen.rings
        for line in seen.cuts.get(name, [])
        if line.distance(at) < radius + 0.1 and line.length > 2 * radius
    }
    assert at_line == set(numbered)
    texts = [i for _, i in walk(scene.items) if isinstance(i, Text) and i.text]
    assert all(t.size * 0.7 >= 2.2 for t in texts if any(ch.isdigit() for ch in t.text))
    said = " ".join(t.text for t in texts)
    assert all(inch(m.distance) in said for m in sheet.marks)


def test_a_lone_wide_notch_needs_no_detail() -> None:
    (scene,) = part_drawings(notched(0.2, deep=0.4, wide=0.4), inch, (255.0, 165.0), (255.0, 165.0))
    assert groups(scene, "detail") == ()


def test_the_name_of_a_part_stands_in_that_part() -> None:
    """Both names stood in one piece, led there from outside."""
    space = Room((0.0, 0.0, 200.0, 100.0))
    space.take(((10.0, 40.0), (60.0, 40.0), (60.0, 80.0), (10.0, 80.0)))
    ring = ((10.0, 10.0), (60.0, 10.0), (60.0, 90.0), (10.0, 90.0))
    narrow = ((62.0, 10.0), (68.0, 10.0), (68.0, 90.0), (62.0, 90.0))
    for name, outline in (("1a", ring), ("1b", narrow)):
        group = name_of_part(name, outline, space)
        (text,) = group.items
        assert isinstance(text, Text)
        assert Polygon(outline).covers(Polygon(text.corners))


def test_board_shown_in_a_detail_fills_it() -> None:
    """The board runs on beyond the frame: only its true edges are drawn as edges."""
    (scene,) = part_drawings(notched(0.17), inch, (255.0, 165.0), (255.0, 165.0))
    (detail,) = groups(scene, "detail")
    board = [i for g in detail.items if isinstance(g, Group) and g.layer == "blank-piece" for i in g.items]
    assert board
    assert all(isinstance(area, Area) and area.look == "board-bare" for area in board)
    left, top, right, bottom = bounds([p for a in board if isinstance(a, Area) for p in a.rings[0]])
    assert Spot(left, top).distance(Spot(right, bottom)) > 40
