"""A tight eaves with many boxes: about 40 h of boards by one person, 4 to 6 h with a kit or a crew.

Common practice, no source; the first-hand figure of S28 for boards pressed into bays overhead is seen in source text.
"""

from __future__ import annotations

from functools import cache
from math import radians

import pytest
from tests.ways.boxes import drawers
from tests.ways.house import DECK, HATCH, face, job, surveyed
from tests.weigh.hours import quantiles, uncovered

from snugbay.base import Effort, Run
from snugbay.job import Framing, Part, SheetStock, Stock
from snugbay.survey import survey
from snugbay.ways import Option, all_ways
from snugbay.ways.found import ground
from snugbay.ways.offer import offers

RUN = Run(effort=Effort.QUICK)
INCH = 0.0254


@cache
def found() -> tuple[Option, ...]:
    j = drawers()
    taped = survey(j, RUN).value
    base = ground(j, taped)
    wanted = ("boards-in-bays", "boards-over", "boards-on-face", "kit", "crew")
    return offers(base, taped, RUN, tuple(w for w in all_ways((), base.rates) if w.id in wanted)).value


def chosen(*ways: str) -> list[Option]:
    """The first of these ways that fits, for each face of the line, without the fire cover."""
    fits = {(o.face, o.way.split("/")[0], o.way.split("/")[-1]): o for o in found() if o.fits}
    out = []
    for name in dict.fromkeys(o.face for o in found() if o.face != "S"):
        own = [o for w in ways for (f, way, size), o in fits.items() if f == name and w in (way, f"{way}/{size}")]
        if own:
            out.append(uncovered(own[0]))
    return out


def test_boards_take_one_person_about_forty_hours() -> None:
    boards = chosen("boards-over", "boards-in-bays", "boards-on-face")
    assert len(boards) == 42  # eight boxes of five faces, the knee wall, the floor
    low, middle, high = quantiles(boards, (0.25, 0.5, 0.75))
    assert middle == pytest.approx(40.0, rel=0.15)
    assert low < 40 < high


def test_a_crew_takes_an_owner_four_to_six_hours_and_a_kit_not_much_more() -> None:
    low, high = quantiles(chosen("crew/2in"), (0.25, 0.75))
    assert low < 5.0 < high  # the middle of what was seen in the middle half of what is said
    first, middle, last = quantiles(chosen("kit/2in"), (0.1, 0.5, 0.9))
    assert first < 6.0
    assert middle < 10.0 < last


def test_a_layer_in_a_bay_overhead_takes_as_long_as_it_was_seen_to() -> None:
    """S28, seen in source text: 0.8 to 1.0 h for a bay and a layer of 1 in board, overhead, pressed in."""
    seen = 0.8
    framing = Framing(16 * INCH, 1.5 * INCH, 5.5 * INCH, first=8 * INCH)
    slope = face(
        "X", Part.SLOPE, "eaves", "out", "eaves", tilt=radians(40), overhead=True, layers=DECK, framing=framing,
        headroom=27 * INCH,
    )  # fmt: skip
    j = job(slope, access=HATCH, stock=Stock((SheetStock("polyiso-1in", INCH, 48 * INCH, 96 * INCH),)))
    taped = surveyed(X=(20 * 16 * INCH, 96 * INCH))
    base = ground(j, taped)
    ways = tuple(w for w in all_ways((), base.rates) if w.id == "boards-in-bays")
    option = next(o for o in offers(base, taped, RUN, ways).value if o.boards is not None)
    low, middle, high = quantiles([uncovered(option)], (0.1, 0.5, 0.9))
    bays = 20.5
    assert low / bays < seen < high / bays
    assert middle / bays == pytest.approx(seen, rel=0.35)
