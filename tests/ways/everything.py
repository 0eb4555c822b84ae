"""Small jobs that between them ask for every rate: one or two faces each, rectangles measured exactly."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from tests.ways.house import HATCH, MONTHS, OIL, OPEN, RAFTERS, STUDS, face, job, slope, surveyed

from snugbay.base import Effort, Run
from snugbay.job import (
    Hole,
    HotThing,
    Job,
    Layer,
    Month,
    Notch,
    Opening,
    Part,
    Place,
    SheetStock,
    Stock,
    Tool,
    You,
    Zone,
    ZoneKind,
)
from snugbay.survey import Survey
from snugbay.ways import Option, all_ways
from snugbay.ways.found import ground
from snugbay.ways.offer import offers
from snugbay.ways.resources import shelf

RUN = Run(effort=Effort.QUICK)
TWO_IN = SheetStock("polyiso-2in", 0.0508, 1.2192, 2.4384)
ONE_IN = SheetStock("polyiso-1in", 0.0254, 1.2192, 2.4384)


@dataclass(frozen=True)
class Small:
    """A job of one or two faces and the ways that are reckoned on it."""

    job: Job
    survey: Survey
    ways: tuple[str, ...]
    """Ids of ways; empty for those that the table has in all."""


def _small(made: Job, ways: Iterable[str] = (), **sizes: tuple[float, float]) -> Small:
    return Small(made, surveyed(**sizes), tuple(ways))


def small_jobs() -> tuple[Small, ...]:
    """Return them; the first that asks for a rate is the one it is tried on."""
    pipe = Hole("pipe", 0.5, 0.5, 0.1, 0.1)
    chimney = Hole("chimney", 0.8, 0.5, 0.3, 0.3, hot=True, hot_thing=HotThing.MASONRY)
    hatch = Opening("hatch", 1.5, 0.1, 0.56, 0.7, plug=True)
    knee = face("K", Part.KNEE_WALL, "rooms", "eaves", "eaves", framing=STUDS, headroom=0.8, holes=(pipe,))
    floor = face("F", Part.FLOOR, "rooms", "eaves", "eaves", tilt=0.0, framing=RAFTERS, headroom=1.1)
    old = replace(floor, old_insulation=True, layers=(*floor.layers, Layer("fibreglass-batt", 0.09, True)))
    room = face("W", Part.WALL, "rooms", "out", "rooms", headroom=2.0)
    cellar = face("W", Part.CELLAR_WALL, "rooms", "ground", "rooms", layers=(Layer("brick", 0.3),), substrate="masonry")
    deck = slope("S", headroom=0.6, vent_space=True)
    filled = (*room.layers, Layer("air", 0.089, True), Layer("brick", 0.1))
    closed = replace(room, framing=replace(STUDS, exposed=False), layers=filled)
    mild = Place("", OIL, tuple(Month(14.0, m.humidity) for m in MONTHS))
    deep = replace(knee, id="W", framing=RAFTERS, holes=())
    edges = (("A", "B"), ("B", "C"), ("C", "D"), ("D", "A"))
    open_edges = replace(room, rough_edges=edges)
    rim = face("R", Part.RIM, "rooms", "out", "rooms", layers=(Layer("softwood", 0.038),))
    tie = Notch("tie", ("A", "B"), 0.5, 0.05, 0.1)
    board = Stock((TWO_IN,))
    low = Zone("eaves", "Crawl space", ZoneKind.BUFFER, volume=20.0, air_changes=2.0, pipes=True, height=0.8)
    under = job(replace(floor, overhead=True, headroom=0.8), stock=board, access=HATCH)
    under = replace(under, zones=tuple(low if z.id == "eaves" else z for z in under.zones))
    one = {"K": (2.4, 1.1)}
    tools = [
        _small(job(replace(room, notches=(tie,)), stock=board, access=OPEN, you=You(20.0, tools=t)),
               ("boards-on-face",), W=(2.0, 1.2))
        for t in (*((tool,) for tool in Tool), (Tool.KNIFE, Tool.HAND_SAW))
    ]  # fmt: skip
    return (
        _small(job(knee, stock=board, access=HATCH), K=(2.4, 1.1)),
        _small(job(knee, floor, stock=board, access=HATCH), ("boards-over", "loose-fill"), F=(2.4, 1.3), **one),
        _small(job(replace(room, openings=(hatch,)), stock=board), ("boards-on-face", "seal-only"), W=(3.0, 1.2)),
        _small(job(replace(room, holes=(chimney,)), stock=board), ("boards-on-face", "boards-loose"), W=(2.0, 1.5)),
        _small(job(deep, stock=board), ("crew-open-cell", "flash-and-batt"), W=(2.0, 1.5)),
        _small(job(open_edges, stock=board, you=You(400.0)), ("boards-on-face",), W=(2.0, 1.5)),
        _small(job(cellar, stock=board), ("boards-on-face", "mineral-boards"), W=(2.0, 1.5)),
        _small(job(deck, stock=Stock((ONE_IN,)), access=HATCH), S=(2.4, 1.5)),
        _small(job(old, stock=board, access=HATCH), ("batts", "loose-fill"), F=(2.4, 1.3)),
        _small(job(closed, stock=board, place=mild), ("dense-pack",), W=(2.0, 1.5)),
        _small(job(rim, stock=board), ("boards-on-face", "kit"), R=(0.35, 0.24)),
        _small(job(rim, stock=board), ("boards-on-face",), R=(0.045, 0.24)),
        _small(under, ("boards-over",), F=(2.4, 1.3)),
        _small(job(knee, stock=board, access=replace(HATCH, carry=30.0)), ("boards-over",), **one),
        *tools,
        *(_small(job(room, stock=board, you=You(20.0, skill=s)), ("boards-on-face",), W=(2.0, 1.2))
          for s in ("first time", "practised")),
        *(_small(job(room, place=replace(job(room).place, currency=c)), ("boards-on-face", "kit"), W=(2.0, 1.2))
          for c in ("GBP", "EUR", "CAD", "AUD", "NZD")),
        _small(job(knee, stock=board, place=replace(job(knee).place, blower_door=0.6)), ("boards-over",), **one),
    )  # fmt: skip


def outcome(small: Small, made: Job) -> object:
    """All that the offers of a job and its shelf say, as values that compare."""
    base = ground(made, small.survey)
    table = all_ways(made.own_ways, base.rates)
    ways = tuple(w for w in table if not small.ways or w.id in small.ways)
    things = shelf(made, ways, base.rates)
    prices = {i: (t.price.low, t.price.typical, t.price.high) for i, t in things.items.items()}
    found: tuple[Option, ...] = offers(base, small.survey, RUN, ways).value
    return found, prices, dict(things.most), base.loads.faces
