"""Bars and points: where the heat goes, where the hours go, money against hours, how sure it is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, floor, isfinite, log10

from snugbay.draw.geometry import Point, hatch
from snugbay.draw.lettering import shortened, text_width, wrapped
from snugbay.draw.placing import Room
from snugbay.draw.scene import Anchor, Area, Disc, Group, Item, Scene, Stroke, Text
from snugbay.draw.texts import say
from snugbay.ways import AsFound, HourElement
from snugbay.weigh import Band, PlanPoint, Weighing
from snugbay.weigh.points import words_for

MoneyFormat = Callable[[float], str]
"""Writes an amount of money with its currency."""

EM = 3.8
_HEAD = 14.0


def plain_money(amount: float) -> str:
    """Write an amount without a currency, in whole units."""
    return f"{amount:,.0f}"


def steps(low: float, high: float, count: int = 5) -> tuple[float, ...]:
    """Return round numbers from at or below ``low`` to at or above ``high``, about ``count`` of them."""
    span = max(high - low, 1e-9)
    raw = span / max(1, count)
    power = 10 ** floor(log10(raw))
    step = next(m * power for m in (1, 2, 2.5, 5, 10) if m * power >= raw - 1e-12)
    first, last = floor(low / step + 1e-9), ceil(high / step - 1e-9)
    return tuple(n * step for n in range(first, last + 1))


def number_words(value: float) -> str:
    """Write a number to two or three figures."""
    if abs(value) >= 100:
        return f"{value:,.0f}"
    return f"{value:.0f}" if abs(value) >= 20 else f"{value:.1f}".removesuffix(".0")


def chart_title(key: str, width: float) -> Group:
    """Return the head of a chart and the line that says what it shows."""
    head = Text((0, 3.6), say(f"{key}.title"), 6.0, anchor=Anchor.START, bold=True)
    about = Text((0, 9.6), shortened(say(f"{key}.about"), width, 3.5), 3.5, "soft-text", Anchor.START)
    return Group((head, about), "heading")


def ring(left: float, top: float, right: float, bottom: float) -> tuple[Point, ...]:
    """Return the corners of a box on the page. [mm]"""
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def tape_axis(left: float, top: float, right: float, ticks: Sequence[tuple[float, str]], bottom: float) -> Group:
    """Draw a scale along the top of a chart as a piece of tape, with faint lines down to the foot."""
    items: list[Item] = [Area((ring(left, top - 2.4, right, top),), "tape-band")]
    for x, words in ticks:
        items.append(Stroke(((x, top), (x, bottom)), "faint"))
        items.append(Stroke(((x, top - 2.4), (x, top)), "thin"))
        items.append(Text((x, top - 5.0), words, 3.2, "soft-text"))
    return Group(tuple(items), "axis")


def heat_bars(as_found: AsFound, width: float = 180.0, titled: bool = True) -> Scene:
    """Draw the yearly heat through each face as bars, weakest part first, with its share of what the rooms lose.

    Heat on its way out of a cold space passes one face after the other: such shares do not add up to one.

    Parameters
    ----------
    as_found : AsFound
        Faces in the order of their loss.
    width : float
        Of the drawing. [mm]
    titled : bool
        False leaves out the title, for a page that has one.
    """
    faces = as_found.faces
    total = as_found.season_kwh or 1.0
    names = [f"{f.face}  {f.title}" for f in faces]
    left = min(62.0, max((text_width(n, EM) for n in names), default=20.0) + 3)
    ticks = steps(0.0, max((f.season_kwh for f in faces), default=1.0))
    right = width - 40.0
    mm = (right - left) / (ticks[-1] or 1.0)
    top, pitch = (_HEAD if titled else 0.0) + 9.0, 8.0
    bottom = top + pitch * len(faces)
    marks = [(left + mm * v, number_words(v)) for v in ticks]
    items: list[Item] = [*([chart_title("heat", width)] if titled else []), tape_axis(left, top, right, marks, bottom)]
    beyond = right + text_width(marks[-1][1], 3.2) / 2 + 2.5
    items.append(Text((beyond, top - 5.0), say("heat.unit"), 3.2, "soft-text", Anchor.START))
    for n, face in enumerate(faces):
        y = top + pitch * (n + 0.5)
        end = left + mm * max(0.0, face.season_kwh)
        words = say("heat.value", kwh=f"{face.season_kwh:,.0f}", share=f"{100 * face.season_kwh / total:.0f}")
        bar = Area((ring(left, y - 2.6, end, y + 2.6),), "bar")
        name = Text((left - 2, y), shortened(names[n], left - 2, EM), EM, "ink", Anchor.END)
        value = Text((end + 1.6, y), words, EM, "ink-halo", Anchor.START, bold=True)
        items.append(Group((bar, name, value), "bar", face.face, face.title))
    return Scene(width, bottom + 2.0, tuple(items), say("heat.title"), say("heat.about"))


def hours_bars(weighing: Weighing, width: float = 180.0) -> Scene:
    """Draw the chosen plan's hours by element: bar typical, whisker low to high, hatched where inside."""
    hours = sorted(weighing.hours, key=lambda h: -h.typical)
    left = min(50.0, max((text_width(h.element, EM) for h in hours), default=20.0) + 3)
    ticks = steps(0.0, max((h.high for h in hours), default=1.0))
    right = width - 42.0
    mm = (right - left) / (ticks[-1] or 1.0)
    top, pitch = _HEAD + 9.0, 8.0
    bottom = top + pitch * len(hours)
    marks = [(left + mm * v, f"{number_words(v)} h") for v in ticks]
    items: list[Item] = [chart_title("hours", width), tape_axis(left, top, right, marks, bottom)]
    items += [_hour_bar(h, left, mm, top + pitch * (n + 0.5)) for n, h in enumerate(hours)]
    total = say("hours.total", total=number_words(sum(h.typical for h in hours)))
    y = bottom + 6.0
    items.append(Text((0, y), total, 4.4, "ink", Anchor.START, bold=True))
    x = 0.42 * width
    for key, inside in (("hours.inside", True), ("hours.outside", False)):
        box = ring(x, y - 2, x + 9, y + 2)
        lines = tuple(Stroke(pair, "thin") for pair in hatch((box,), 1.6, 45)) if inside else ()
        text = Text((x + 11, y), say(key), 3.4, "ink", Anchor.START)
        items.append(Group((Area((box,), "bar" if inside else "bar-light"), *lines, text), "legend"))
        x += 11 + text.width + 6
    return Scene(width, y + 4.0, tuple(items), say("hours.title"), say("hours.about"))


def _hour_bar(hour: HourElement, left: float, mm: float, y: float) -> Group:
    end, low, high = (left + mm * v for v in (hour.typical, hour.low, hour.high))
    box = ring(left, y - 2.6, end, y + 2.6)
    items: list[Item] = [Area((box,), "bar" if hour.inside else "bar-light")]
    if hour.inside and end - left > 0.5:
        items += [Stroke(pair, "thin") for pair in hatch((box,), 1.6, 45)]
    items.append(Stroke(((low, y), (high, y)), "outline"))
    items += [Stroke(((x, y - 1.3), (x, y + 1.3)), "outline") for x in (low, high)]
    words = say("hours.value", typical=number_words(hour.typical))
    spread = say("hours.range", low=number_words(hour.low), high=number_words(hour.high))
    items.append(Text((left - 2, y), hour.element, EM, "ink", Anchor.END))
    items.append(Text((max(end, high) + 1.6, y), f"{words}, {spread}", 3.5, "ink-halo", Anchor.START))
    return Group(tuple(items), "bar", hour.element, hour.note)


@dataclass(frozen=True)
class _Dot:
    point: PlanPoint
    look: str
    words: str
    bold: bool


def frontier_chart(
    weighing: Weighing,
    money: MoneyFormat = plain_money,
    width: float = 180.0,
    name: Callable[[PlanPoint], str] | None = None,
) -> Scene:
    """Draw the frontier: own hours across, money up, yearly saving beside each point and as its size.

    The chosen plan is a solid mark with a flag, points of the frontier are rings, the best plans that use one way
    throughout are squares with the way's name.

    Parameters
    ----------
    weighing : Weighing
        With the frontier.
    money : callable
        Writes an amount of money.
    width : float
        Of the drawing. [mm]
    name : callable or None
        Names the mark of a plan, for a page on which plans are picked by their marks.
    """
    height = 118.0
    chosen = weighing.plan
    shown = [_Dot(p, "dot", _point_words(p, money), False) for p in weighing.frontier if p != chosen]
    single = [_Dot(p, "bar-light", way_name(weighing, way), False) for way, p in weighing.single_way]
    shown += [d for d in single if d.point != chosen]
    picked = _Dot(
        chosen, "dot-solid", say("frontier.chosen") + ": " + say("frontier.saving", saving=money(chosen.saving)), True
    )
    points = [*shown, picked]
    xs = steps(0.0, max(d.point.hours for d in points) * 1.05 + 1e-9)
    ys = steps(0.0, max(d.point.cash for d in points) * 1.05 + 1e-9)
    left = max(text_width(money(v), 3.4) for v in ys) + 5
    box = (left, _HEAD + 7.0, width - 4.0, height - 22.0)
    mx, my = (box[2] - box[0]) / (xs[-1] or 1), (box[3] - box[1]) / (ys[-1] or 1)

    def at(p: PlanPoint) -> Point:
        return (box[0] + mx * p.hours, box[3] - my * p.cash)

    items: list[Item] = [chart_title("frontier", width), _grid(box, xs, ys, mx, my, money)]
    items.append(Text((box[2], box[3] + 10.0), say("frontier.x"), 3.8, "ink", Anchor.END, bold=True))
    items.append(Text((0, _HEAD + 2.0), say("frontier.y"), 3.8, "ink", Anchor.START, bold=True))
    most = max((d.point.saving for d in points), default=1.0) or 1.0
    space = Room((box[0] + 1.0, _HEAD + 4, width, height - 12))
    radii = {id(d): 1.4 + 2.2 * (max(0.0, d.point.saving) / most) ** 0.5 for d in points}
    for d in points:
        x, y = at(d.point)
        r = radii[id(d)]
        space.take(ring(x - r, y - r, x + r, y + r))
    for d in [picked, *shown]:
        items.append(_dot(d, at(d.point), radii[id(d)], space, name(d.point) if name else d.words))
    items.append(_frontier_legend(height, width))
    return Scene(width, height, tuple(items), say("frontier.title"), say("frontier.about"))


def _point_words(point: PlanPoint, money: MoneyFormat) -> str:
    if point.cash == 0 and point.hours == 0:
        return say("frontier.as-found")
    return say("frontier.saving", saving=money(point.saving))


def way_name(weighing: Weighing, way: str) -> str:
    """Return the name of a way, or of a group of ways, for people."""
    return next((o.title for o in weighing.options if o.way == way and o.title), "") or words_for(way)


def _dot(dot: _Dot, at: Point, radius: float, space: Room, name: str) -> Group:
    x, y = at
    mark: Item = Disc(at, radius, dot.look)
    if dot.look == "bar-light":
        mark = Area((ring(x - radius, y - radius, x + radius, y + radius),), dot.look)
    size = 4.2 if dot.bold else 3.4
    gap = radius + 1.6
    places = [
        Text((x + gap, y), dot.words, size, "ink-halo", Anchor.START, bold=dot.bold),
        Text((x - gap, y), dot.words, size, "ink-halo", Anchor.END, bold=dot.bold),
        Text((x, y - gap - 1.6), dot.words, size, "ink-halo", bold=dot.bold),
        Text((x, y + gap + 1.6), dot.words, size, "ink-halo", bold=dot.bold),
    ]
    text, moved = space.put(places, reach=30)
    leader: tuple[Item, ...] = (Stroke((at, text.at), "leader"),) if moved else ()
    return Group((*leader, mark, text), "plan", name)


def _grid(
    box: tuple[float, float, float, float],
    xs: Sequence[float],
    ys: Sequence[float],
    mx: float,
    my: float,
    money: MoneyFormat,
) -> Group:
    left, top, right, bottom = box
    items: list[Item] = [Area((ring(left, bottom, right, bottom + 2.4),), "tape-band")]
    for v in xs:
        x = left + mx * v
        items.append(Stroke(((x, top), (x, bottom)), "faint"))
        items.append(Stroke(((x, bottom), (x, bottom + 2.4)), "thin"))
        items.append(Text((x, bottom + 5.4), f"{number_words(v)} h", 3.4, "soft-text"))
    items.append(Area((ring(left - 2.4, top, left, bottom),), "tape-band"))
    for v in ys:
        y = bottom - my * v
        items.append(Stroke(((left, y), (right, y)), "faint"))
        items.append(Stroke(((left - 2.4, y), (left, y)), "thin"))
        items.append(Text((left - 3.6, y), money(v), 3.4, "soft-text", Anchor.END))
    return Group(tuple(items), "axis")


def _frontier_legend(height: float, width: float) -> Group:
    y = height - 4.0
    items: list[Item] = []
    x = 0.0
    for look, key in (("dot-solid", "frontier.chosen"), ("dot", "frontier.point"), ("bar-light", "frontier.single")):
        mark: Item = Disc((x + 2.2, y), 2.0, look)
        if look == "bar-light":
            mark = Area((ring(x + 0.4, y - 1.8, x + 4.0, y + 1.8),), look)
        text = Text((x + 6, y), say(key), 3.3, "ink", Anchor.START)
        items += [mark, text]
        x += 6 + text.width + 5
    items.append(Text((0, y - 8.0), shortened(say("frontier.size"), width * 0.7, 3.3), 3.3, "soft-text", Anchor.START))
    return Group(tuple(items), "legend")


def spread_bars(weighing: Weighing, money: MoneyFormat = plain_money, width: float = 180.0) -> Scene:
    """Draw P10 to P90 of hours, money, saving and payback as bars with the P50 as a stroke, each on its own scale."""
    s = weighing.spread

    def hours(v: float) -> str:
        return say("spread.hour-value", value=number_words(v))

    def years(v: float) -> str:
        return say("spread.years", value=number_words(v))

    rows: tuple[tuple[str, Band, Callable[[float], str]], ...] = (
        ("spread.hours", s.hours, hours),
        ("spread.cash", s.cash, money),
        ("spread.saving", s.saving, money),
        ("spread.payback", s.payback_years, years),
    )
    left = max(text_width(say(key), EM) for key, _, _ in rows) + 6
    right = width - 6.0
    top, pitch = _HEAD + 3.0, 15.0
    items: list[Item] = [chart_title("spread", width)]
    for n, (key, band, words) in enumerate(rows):
        y = top + pitch * n + 5.0
        items.append(Text((0, y), say(key), EM, "ink", Anchor.START, bold=True))
        items.append(_band(band, words, left, right, y, key))
    return Scene(width, top + pitch * len(rows), tuple(items), say("spread.title"), say("spread.about"))


def _drawable(value: float) -> bool:
    return isfinite(value) and abs(value) < 1e6


def _band(band: Band, words: Callable[[float], str], left: float, right: float, y: float, key: str) -> Group:
    known = [v for v in (band.p10, band.p50, band.p90) if _drawable(v)]
    if len(known) < 3:
        said = " / ".join(words(v) if _drawable(v) else "-" for v in (band.p10, band.p50, band.p90))
        return Group((Text((left, y), said, EM, "ink", Anchor.START),), "band", key)
    ticks = steps(min(0.0, band.p10), band.p90 * 1.02 if band.p90 > 0 else 0.0)
    mm = (right - left) / ((ticks[-1] - ticks[0]) or 1.0)

    def at(v: float) -> float:
        return left + mm * (v - ticks[0])

    items: list[Item] = [Stroke(((left, y), (right, y)), "faint")]
    items += [Stroke(((at(v), y - 1.2), (at(v), y + 1.2)), "faint") for v in ticks]
    items.append(Area((ring(at(band.p10), y - 2.2, at(band.p90), y + 2.2),), "bar"))
    items.append(Stroke(((at(band.p50), y - 3.2), (at(band.p50), y + 3.2)), "heavy"))
    space = Room((0.0, y - 40, right + 6, y + 40), gap=1.0)
    for value, bold in ((band.p50, True), (band.p10, False), (band.p90, False)):
        anchor = Anchor.END if value == band.p10 else Anchor.START if value == band.p90 else Anchor.MIDDLE
        slides = [0.0, 4.0, -4.0, 8.0, -8.0, 14.0, -14.0, 20.0, -20.0, 28.0, -28.0]
        texts = [Text((at(value) + d, y + 6.0), words(value), 3.6, "ink", anchor, bold=bold) for d in slides]
        items.append(space.put([t for t in texts if space.within(t.corners)] or texts)[0])
    return Group(tuple(items), "band", key)


def tornado_bars(weighing: Weighing, money: MoneyFormat = plain_money, width: float = 180.0) -> Scene:
    """Draw the whole cost when each driver comes out at its P10 and its P90, largest swing first."""
    drivers = weighing.spread.tornado
    base = weighing.plan.whole_cost
    names = [name for name, _, _ in drivers]
    left = min(60.0, max((text_width(n, EM) for n in names), default=20.0) + 3)
    values = [v for _, a, b in drivers for v in (a, b)] or [base]
    ticks = steps(min(*values, base), max(*values, base) + 1e-9, 4)
    right = width - max(4.0, text_width(money(ticks[-1]), 3.2) / 2 + 1)
    mm = (right - left) / ((ticks[-1] - ticks[0]) or 1.0)

    def at(v: float) -> float:
        return left + mm * (v - ticks[0])

    top, pitch = _HEAD + 9.0, 8.0
    bottom = top + pitch * len(drivers)
    marks = [(at(v), money(v)) for v in ticks]
    items: list[Item] = [chart_title("tornado", width), tape_axis(left, top, right, marks, bottom)]
    for n, (name, low, high) in enumerate(drivers):
        y = top + pitch * (n + 0.5)
        ends = sorted((at(low), at(high)))
        bar = Area((ring(ends[0], y - 2.4, ends[1], y + 2.4),), "bar")
        label = Text((left - 2, y), shortened(name, left - 2, EM), EM, "ink", Anchor.END)
        items.append(Group((bar, label), "bar", name))
    items.append(Stroke(((at(base), top), (at(base), bottom)), "outline"))
    return Scene(width, bottom + 2.0, tuple(items), say("tornado.title"), say("tornado.about"))


def paragraph(text: str, at: Point, width: float, size: float = EM, look: str = "ink") -> tuple[Text, ...]:
    """Set a text in lines from its upper left corner. [mm]"""
    lines = wrapped(text, width, size)
    return tuple(Text((at[0], at[1] + 1.35 * size * n), line, size, look, Anchor.START) for n, line in enumerate(lines))
