"""What a person must be able to read off a sheet: bevels, the saw's side, marks, offcuts to keep."""

from __future__ import annotations

from dataclasses import replace
from math import radians, tan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.booklet.plan_fixture import SHEET_1, SHEET_2
from tests.draw.looking import words

from snugbay.draw import Group, Medium, part_drawings, sheet_drawing, to_svg
from snugbay.draw.geometry import bounds
from snugbay.draw.scene import Area, Stroke, Text, groups, walk
from snugbay.draw.sheet_body import bevel_words
from snugbay.draw.symbols import Format
from snugbay.job import Tool
from snugbay.sheets import Cut, Mark, Sheet
from snugbay.tape import format_length

T = 0.0508


def inch(metres: float) -> str:
    return format_length(metres, "ft-in")


def mm(metres: float) -> str:
    return format_length(metres, "mm")


def cut(number: int, start: tuple[float, float], end: tuple[float, float], **more: object) -> Cut:
    plain = Cut(number, start, end, "edge to edge", 0, "sheet", 0.0, 4, Tool.KNIFE.value, 1.0, ("N1-1",))
    return replace(plain, **more)  # type: ignore[arg-type]


def bare(cuts: tuple[Cut, ...], marks: tuple[Mark, ...] = (), **more: object) -> Sheet:
    return replace(SHEET_1, cuts=cuts, marks=marks, **{"placements": (), "keep": (), "damaged": (), **more})  # type: ignore[arg-type]


def test_a_file_of_its_own_states_the_length_of_its_texts() -> None:
    """It holds no font; in a wider one the ring of a cut's number lay over the first figure of 1188."""
    scene = sheet_drawing(SHEET_1, inch)
    texts = [i for _, i in walk(scene.items) if isinstance(i, Text) and i.text]
    assert to_svg(scene, Medium.SCREEN).count("textLength=") == len(texts)
    assert "textLength" not in to_svg(scene, Medium.PRINT)


@pytest.mark.parametrize("fmt", [inch, mm])
def test_a_bevel_says_which_face_is_the_smaller_one_and_by_how_much(fmt: Format) -> None:
    """Marks give the larger face; the same angle leaning the other way is another piece."""
    back_larger = cut(1, (0.0, 0.5), (2.4, 0.5), bevel=radians(33.5))
    by = fmt(T * tan(radians(33.5)))
    assert bevel_words(back_larger, T, fmt) == f"33.5°, front {by} inside the line"
    assert bevel_words(replace(back_larger, bevel=-radians(33.5)), T, fmt) == f"33.5°, back {by} inside the line"
    assert bevel_words(replace(back_larger, bevel=0.0), T, fmt) == ""
    said = words(sheet_drawing(bare((back_larger,), thickness=T), fmt))
    assert f"cut 1: 33.5°, front {by} inside the line" in said
    for part in part_drawings(SHEET_2, fmt):
        names = {c.number: c for c in SHEET_2.cuts if c.blank == part.note("part") and c.bevel}
        assert all(any(bevel_words(c, T, fmt) in w for w in words(part)) for c in names.values())


@settings(max_examples=30, deadline=None)
@given(st.floats(0.1, 2.3), st.booleans(), st.booleans())
def test_a_saw_is_shown_its_side_of_the_line(at: float, level: bool, back: bool) -> None:
    """The kerf lies to the right of start - end; a knife takes nothing away."""
    ends = ((0.0, at / 2), (2.4, at / 2)) if level else ((at, 0.0), (at, 1.2))
    start, end = ends[::-1] if back else ends
    sawn = sheet_drawing(bare((cut(1, start, end, tool=Tool.HAND_SAW.value),)), mm)
    line = groups(sawn, "cut")[0]
    (x0, y0), (x1, y1) = next(i for i in line.items if isinstance(i, Stroke)).points
    crosses = [i for i in line.items if isinstance(i, Group) and i.layer == "kerf"]
    assert crosses
    for cross in crosses:
        strokes = [p for s in cross.items if isinstance(s, Stroke) for p in s.points]
        x, y = sum(p[0] for p in strokes) / len(strokes), sum(p[1] for p in strokes) / len(strokes)
        assert (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0) > 0, "right on a page whose y runs down"
    assert groups(sheet_drawing(bare((cut(1, start, end),)), mm), "kerf") == ()


def test_a_mark_that_two_cuts_share_is_written_once() -> None:
    corner = (0.8, 0.4)
    cuts = tuple(cut(n, corner, e, kind="stopped") for n, e in ((1, (0.8, 0.0)), (2, (1.1, 0.4))))
    marks = tuple(Mark(n, "inside", corner, *corner, 0.8) for n in (1, 2))
    said = [w for w in words(sheet_drawing(bare(cuts, marks), mm)) if "|" in w]
    assert said == ["1·2: 800 | 400"]


def test_a_lone_mark_above_and_below_reads_without_turning_the_page() -> None:
    ends = ((1.0, 0.0), (1.0, SHEET_1.width))
    marks = (Mark(1, "bottom", ends[0], 1.0, 0.0, 1.0), Mark(1, "top", ends[1], 1.0, 0.0, 1.0))
    scene = sheet_drawing(bare((cut(1, *ends),), marks), inch)
    labels = [t for g in groups(scene, "mark") for t in g.items if isinstance(t, Text)]
    assert len(labels) == 2
    assert all(t.turn_deg == 0 for t in labels)


@pytest.mark.parametrize("fmt", [inch, mm])
def test_a_part_is_not_drawn_tiny_because_its_marks_are_long(fmt: Format) -> None:
    cuts = (
        cut(1, (0.7953, 0.0), (0.7953, 1.2192)),
        cut(2, (1.5271, 0.0), (1.5271, 1.2192), kind="through the blank", blank="1b"),
    )
    marks = tuple(Mark(2, e, (1.5271, y), 0.7318, 0.0, 0.7318) for e, y in (("bottom", 0.0), ("top", 1.2192)))
    part = part_drawings(bare(cuts, marks), fmt, (80.0, 76.0))[0]
    board = next(g for g in groups(part, "blank")).items[0]
    assert isinstance(board, Area)
    left, top, right, bottom = bounds(board.rings[0])
    assert right - left > 45
    assert bottom - top > 25


@settings(max_examples=40, deadline=None)
@given(st.floats(0.153, 2.0), st.floats(0.306, 1.2), st.booleans(), st.booleans())
def test_the_words_on_an_offcut_stay_on_it(short: float, long: float, level: bool, metric: bool) -> None:
    wide, high = (max(short, long), min(short, long)) if level else (min(short, 1.0), min(long, 1.2))
    sheet = bare((), keep=((0.1, 0.0, min(wide, 2.3), min(high, 1.2)),))
    keep = groups(sheet_drawing(sheet, mm if metric else inch), "keep")[0]
    area, text = keep.items
    assert isinstance(area, Area)
    assert isinstance(text, Text)
    outer, inner = bounds(area.rings[0]), bounds(text.corners)
    assert inner[0] >= outer[0] - 0.01
    assert inner[1] >= outer[1] - 0.01
    assert inner[2] <= outer[2] + 0.01
    assert inner[3] <= outer[3] + 0.01


def test_counts_and_offcuts_are_said_in_plain_words() -> None:
    one = bare((cut(1, (1.0, 0.0), (1.0, 1.2192)),), source="offcut from the porch")
    said = " / ".join(words(sheet_drawing(one, inch)))
    assert "0 pieces, 1 cut. Front faces up." in said
    assert "offcut from the porch" in said
    assert "offcut offcut" not in said
    assert "offcut B" in " / ".join(words(sheet_drawing(replace(one, source="B"), inch)))
