"""Boards by their geometry: cuts, sheets, hours."""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, radians, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.ways.house import DECK, HATCH, OPEN, STUDS, face, job, surveyed

from snugbay.base import Effort, Run
from snugbay.job import Framing, Job, Part, SheetStock, Stock, Tool, You
from snugbay.materials import Rates
from snugbay.pieces import Edge, EdgeKind, Piece
from snugbay.survey import Survey
from snugbay.ways import Option, options
from snugbay.ways.bench import bench_time
from snugbay.ways.boardset import blank, cuttings
from snugbay.ways.conditions import conditions, learning

FT = 0.3048
INCH = 0.0254
SHEET = (8 * FT, 4 * FT)


def piece(points: list[tuple[float, float]], name: str = "p", face_id: str = "X") -> Piece:
    return Piece(name, face_id, 1, "polyiso-2in", 0.05, tuple(points), tuple(Edge(EdgeKind.SEAM) for _ in points))


def box(w: float, h: float, name: str = "p", face_id: str = "X") -> Piece:
    return piece([(0, 0), (w, 0), (w, h), (0, h)], name, face_id)


def test_one_cross_cut_a_sheet() -> None:
    cut = cuttings({"X": [box(7 * FT, 4 * FT)]}, *SHEET, Rates())["X"]
    assert cut.cuts == 1
    assert cut.cut_length == pytest.approx(4 * FT)
    assert cut.sheets == pytest.approx(7 / 8)


def test_whole_sheets_need_no_cut() -> None:
    cut = cuttings({"X": [box(8 * FT, 4 * FT, str(i)) for i in range(5)]}, *SHEET, Rates())["X"]
    assert (cut.cuts, cut.cut_length, cut.sheets) == (0, 0, 5)


def test_bay_strips_are_ripped_together() -> None:
    """Three strips of 14-1/2 in and a remnant: three rips a sheet, a cross cut for each short piece."""
    strips = [box(6 * FT, 14.5 * INCH, str(i)) for i in range(6)]
    cut = cuttings({"X": strips}, *SHEET, Rates())["X"]
    assert cut.cuts == pytest.approx(6 + 6)
    assert cut.cut_length == pytest.approx(6 * 14.5 * INCH + 6 * 8 * FT)
    assert cut.sheets == pytest.approx(1 + 3 * 6 * 14.5 / 12 / 32)


def test_faces_share_rows_and_sheets() -> None:
    """44 pockets of a rim joist come out of a few sheets, not 44."""
    faces = {f"R{i}": [box(14.375 * INCH, 9.25 * INCH, f"{i}", f"R{i}")] for i in range(44)}
    cuts = cuttings(faces, *SHEET, Rates())
    assert sum(c.sheets for c in cuts.values()) == pytest.approx(44 / 30, rel=0.05)  # 5 rows of 6 on each sheet
    one = cuttings({"R0": faces["R0"]}, *SHEET, Rates())["R0"]
    assert cuts["R0"].learned.typical < one.learned.typical == 1.0


def test_notches_and_askew_edges_are_seen() -> None:
    notched = piece([(0, 0), (0.4, 0), (0.4, 0.1), (0.5, 0.1), (0.5, 0), (1, 0), (1, 0.6), (0, 0.6)])
    triangle = piece([(0, 0), (1.2, 0), (0, 0.9)])
    assert (blank(notched).notches, blank(notched).extra_cuts) == (1, 0)
    assert blank(triangle).extra_cuts == 1
    assert blank(triangle).extra_length == pytest.approx(1.5) or blank(triangle).long == pytest.approx(1.5)


def test_the_bite_round_a_pipe_is_one_notch() -> None:
    """Every corner of the circle counted as half a notch, and a seam through a flue as a dozen of them."""
    rim = [(0.6 + 0.1 * cos(pi - pi * k / 12), 0.1 * sin(pi - pi * k / 12)) for k in range(13)]
    bitten = blank(piece([(0, 0), *rim, (1.2, 0), (1.2, 0.6), (0, 0.6)]))
    assert (bitten.notches, bitten.extra_cuts) == (1, 0)
    assert (bitten.long, bitten.short) == pytest.approx((1.2, 0.6))


@given(st.lists(st.tuples(st.floats(0.1, 2.4), st.floats(0.1, 1.2)), min_size=1, max_size=20))
@settings(max_examples=60, deadline=None)
def test_sheets_hold_at_least_the_area_and_cuts_are_counted_once(sizes: list[tuple[float, float]]) -> None:
    pieces = [box(w, h, str(i)) for i, (w, h) in enumerate(sizes)]
    cut = cuttings({"X": pieces}, *SHEET, Rates())["X"]
    area = sum(w * h for w, h in sizes) / (SHEET[0] * SHEET[1])
    assert area - 1e-9 <= cut.sheets <= len(sizes)
    assert cut.cuts <= 3 * len(sizes)
    assert cut.area == pytest.approx(area * SHEET[0] * SHEET[1])


def test_learning_by_hand() -> None:
    """Slope 0.92: second piece 0.92, fourth 0.8464; floor 0.80 from the seventh on (trade table, assumption)."""
    assert learning(1, Rates()).typical == 1.0
    assert learning(2, Rates()).typical == pytest.approx((1 + 0.92) / 2)
    assert learning(1000, Rates()).typical == pytest.approx(0.80, abs=0.002)
    low, high = learning(40, Rates()).low, learning(40, Rates()).high
    assert low < learning(40, Rates()).typical < high


def test_factors_are_added_not_multiplied() -> None:
    """27 in headroom +50 %, below-average skill +25 %: 1.75 and the rest, not 1.875 (trade rule, assumption)."""
    plain = conditions(27 * INCH, You(20.0), Rates())
    first = conditions(27 * INCH, You(20.0, skill="first time"), Rates())
    assert first.inside.typical - plain.inside.typical == pytest.approx(0.25)
    assert not conditions(14 * INCH, You(20.0), Rates()).reachable


def _option(j: Job, s: Survey, face_id: str, way: str) -> Option:
    found = [o for o in options(j, s, Run(effort=Effort.QUICK)).value if o.face == face_id and o.way == way]
    assert len(found) == 1
    return found[0]


def own_hours(o: Option) -> tuple[float, float, float]:
    return sum(h.low for h in o.hours), o.hours_typical, sum(h.high for h in o.hours)


def test_whole_sheets_on_an_open_wall() -> None:
    """Trade table: full sheets on an open flat surface 0.008/0.011/0.016 h/ft² (from memory, price-book level).

    A wall of 7 ft boards, one cross cut a sheet, no fire cover counted (that is another trade's row).
    """
    wall = face("X", Part.WALL, "rooms", "out", "rooms")
    j = job(wall, access=replace(OPEN, cut_inside=True), you=You(20.0, tools=(Tool.KNIFE,)))
    s = surveyed(X=(16 * FT, 7 * FT))
    o = _option(j, s, "X", "boards-on-face/polyiso-2in")
    boards = sum(h.typical for h in o.hours if h.element != "cover" and not h.note.startswith("cover:"))
    assert o.pieces == 4
    assert o.cuts == 4
    assert 0.008 <= boards / (16 * 7) <= 0.016


def test_bays_take_about_four_times_as_long_as_whole_sheets() -> None:
    """Trade file: board cut into 15 x 48 in bay pieces about 0.04 h/ft² standing, 0.02 to 0.10 (assumption)."""
    bays = face("X", Part.WALL, "eaves", "out", "eaves", framing=STUDS)
    j = job(bays, access=replace(OPEN, cut_inside=True))
    s = surveyed(X=(16 * FT, 8 * FT))
    o = _option(j, s, "X", "boards-in-bays/polyiso-2in")
    assert 0.02 <= o.hours_typical / (16 * 8) <= 0.10


@pytest.mark.parametrize(("headroom_in", "bays"), [(27, 50), (23, 50), (19, 50)])
def test_a_tight_eaves_job_takes_a_week_with_boards_and_hours_with_foam(headroom_in: int, bays: int) -> None:
    """Some 150 cuts at 19 to 27 in: boards P10-P90 hold 40 h, kit or crew 4 to 6 h (common practice, no source).

    Two layers of 2 in board in 16 in bays 3 ft long, both sides of a low roof, cut outside a hatch.
    """
    from tests.weigh.hours import band_of, uncovered

    framing = Framing(16 * INCH, 1.5 * INCH, 5.5 * INCH, first=8 * INCH)
    slope = face(
        "X",
        Part.SLOPE,
        "eaves",
        "out",
        "eaves",
        tilt=radians(40),
        overhead=True,
        layers=DECK,
        framing=framing,
        headroom=headroom_in * INCH,
    )
    j = job(slope, access=HATCH, stock=Stock((SheetStock("polyiso-2in", 2 * INCH, 4 * FT, 8 * FT),)))
    s = surveyed(X=(bays * 16 * INCH, 3 * FT))
    boards = _option(j, s, "X", "boards-in-bays-2/polyiso-2in")
    assert 150 <= boards.cuts <= 310
    low, high = band_of(uncovered(boards))  # the fact is of the insulating alone
    assert low <= 40 <= high
    kit, crew = (band_of(uncovered(_option(j, s, "X", w))) for w in ("kit/3in", "crew/3in"))
    assert any(a <= 4 and b >= 6 for a, b in (kit, crew))
    kit_hours = own_hours(uncovered(_option(j, s, "X", "kit/3in")))[1]
    assert own_hours(uncovered(boards))[1] > 4 * kit_hours


def test_saws_and_hands_change_the_hours() -> None:
    wall = face("X", Part.WALL, "rooms", "out", "rooms")
    s = surveyed(X=(4.0, 2.0))
    times = {}
    for tool in Tool:
        o = _option(job(wall, you=You(20.0, tools=(tool,))), s, "X", "boards-on-face/polyiso-2in")
        times[tool] = next(h.typical for h in o.hours if h.element == "cutting")
    assert len(set(times.values())) == len(Tool)


def test_hours_are_those_of_a_tool_that_reaches_through() -> None:
    """A circular saw took 100 mm boards in one pass; its blade cuts some 60 (rates: cutting.reach, from memory)."""
    saw, hand = ((Tool.CIRCULAR,), (Tool.CIRCULAR, Tool.HAND_SAW))
    thin, thick = 2 * INCH, 4 * INCH
    cut = cuttings({"X": [box(7 * FT, 4 * FT)]}, *SHEET, Rates())["X"]  # one cross cut of 4 ft
    own = job(face("X", Part.WALL, "rooms", "out", "rooms"), you=You(20.0, tools=saw))
    once, twice = (bench_time(own, cut, t, Rates()).whole.typical for t in (thin, thick))
    assert twice == pytest.approx(2 * once)  # marked, set up and cut from either side, the dust cleared twice
    rates = Rates()
    by_hand = rates["time_model.cutting.insulation_hand_saw"].typical * 4
    by_hand += rates["time_model.cutting.cut_setup"].typical + rates["time_model.marking.mark_line"].typical
    other = job(face("X", Part.WALL, "rooms", "out", "rooms"), you=You(20.0, tools=hand))
    assert bench_time(other, cut, thick, Rates()).whole.typical == pytest.approx(by_hand)
    assert bench_time(other, cut, thin, Rates()).whole.typical == pytest.approx(once)


def test_every_element_is_there_and_says_what_it_counts() -> None:
    slope = face("X", Part.SLOPE, "eaves", "out", "eaves", tilt=pi / 5, overhead=True, framing=STUDS, headroom=0.6)
    o = _option(job(slope, access=HATCH), surveyed(X=(4.0, 1.8)), "X", "boards-in-bays/polyiso-2in")
    names = {h.element for h in o.hours}
    assert {"measuring", "marking", "cutting", "carrying", "fitting", "re-trimming", "sealing", "set-up"} <= names
    assert all(h.note and 0 <= h.low <= h.typical <= h.high for h in o.hours)
    assert all(0 <= n.low <= n.typical <= n.high for n in o.needs)
    assert o.boards is not None
    assert o.boards.face == "X"
