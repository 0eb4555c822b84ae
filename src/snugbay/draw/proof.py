"""What the log and the thermometer prove, drawn: resistance reached against resistance planned, hours against plan."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from snugbay.draw.charts import EM, chart_title, number_words, ring, steps, tape_axis
from snugbay.draw.lettering import shortened, text_width
from snugbay.draw.scene import Anchor, Area, Group, Item, Scene, Stroke, Text
from snugbay.draw.texts import say
from snugbay.prove.values import FaceProof, Forecast, Interval, ProveAnswer

Write = Callable[[float], str]
_HEAD = 14.0


def resistance_bars(proof: ProveAnswer, per_unit: float = 1.0, unit: str = "m²K/W", width: float = 180.0) -> Scene:
    """Draw what each face was found to resist: bar 80 %, line 95 %, stroke the middle; a diamond is the plan.

    Parameters
    ----------
    proof : ProveAnswer
        Faces with readings, before and after.
    per_unit : float
        Figures printed are the SI ones times this: 5.678 for h·ft²·°F/Btu.
    unit : str
        Name of what is printed.
    width : float
        Of the drawing. [mm]
    """
    highest = max((max(f.resistance.high95, _goal(f) or 0.0) * per_unit for f in proof.faces), default=1.0)
    ticks = steps(0.0, highest)
    names = [f"{f.face}  {say('proof.' + f.when)}" for f in proof.faces]
    left = min(60.0, max((text_width(n, EM) for n in names), default=20.0) + 4)
    right = width - 34.0
    mm = (right - left) / (ticks[-1] or 1.0)
    top, pitch = _HEAD + 9.0, 10.0
    bottom = top + pitch * len(proof.faces)
    marks = [(left + mm * v, number_words(v)) for v in ticks]
    items: list[Item] = [chart_title("proof", width), tape_axis(left, top, right, marks, bottom)]
    beyond = right + text_width(marks[-1][1], 3.2) / 2 + 2.5
    items.append(Text((beyond, top - 5.0), unit, 3.2, "soft-text", Anchor.START))
    for n, face in enumerate(proof.faces):
        y = top + pitch * (n + 0.5)
        look = "bar" if face.when == "after" else "bar-light"
        drawn = [*_interval(face.resistance, per_unit * mm, left, y, look)]
        goal = _goal(face)
        if goal is not None:
            drawn.append(_diamond(left + mm * per_unit * goal, y))
        end = left + mm * per_unit * max(face.resistance.high95, goal or 0.0) + 3.5
        words = number_words(per_unit * face.resistance.median)
        drawn.append(Text((end, y), words, EM, "ink-halo", Anchor.START, bold=True))
        drawn.append(Text((left - 2, y), shortened(names[n], left - 2, EM), EM, "ink", Anchor.END))
        items.append(Group(tuple(drawn), "bar", f"{face.face} {face.when}", face.title))
    y = bottom + 5.0
    items += [_diamond(2.0, y), Text((6.0, y), say("proof.planned"), 3.4, "ink", Anchor.START)]
    return Scene(width, y + 4.0, tuple(items), say("proof.title"), say("proof.about"))


def _goal(face: FaceProof) -> float | None:
    """Return the resistance that the face should have after the work, where the readings let one say. [m²·K/W]"""
    if face.when != "after" or face.planned <= 0:
        return None
    if face.added is None:
        return None
    return max(0.0, face.resistance.median - face.added.median) + face.planned


def _interval(found: Interval, mm: float, left: float, y: float, look: str) -> tuple[Item, ...]:
    low, high = left + mm * found.low80, left + mm * found.high80
    far_low, far_high, mid = (left + mm * v for v in (found.low95, found.high95, found.median))
    return (
        Stroke(((far_low, y), (far_high, y)), "outline"),
        Stroke(((far_low, y - 1.4), (far_low, y + 1.4)), "outline"),
        Stroke(((far_high, y - 1.4), (far_high, y + 1.4)), "outline"),
        Area((ring(low, y - 2.2, high, y + 2.2),), look),
        Stroke(((mid, y - 3.2), (mid, y + 3.2)), "heavy"),
    )


def _diamond(x: float, y: float) -> Area:
    return Area((((x - 2.0, y), (x, y - 2.6), (x + 2.0, y), (x, y + 2.6)),), "dot")


def forecast_bar(forecast: Forecast, width: float = 180.0) -> Scene:
    """Draw the hours: spent solid, the rest with its 80 % band, a diamond where the plan said it would end."""
    total = forecast.total
    ticks = steps(0.0, max(total.high95, forecast.planned, forecast.spent))
    left, right = 4.0, width - 12.0
    mm = (right - left) / (ticks[-1] or 1.0)
    top = _HEAD + 9.0
    y = top + 9.0
    marks = [(left + mm * v, f"{number_words(v)} h") for v in ticks]
    items: list[Item] = [chart_title("forecast", width), tape_axis(left, top, right, marks, y + 7.0)]
    spent, mid = left + mm * forecast.spent, left + mm * total.median
    items.append(Area((ring(left, y - 3.0, spent, y + 3.0),), "bar-dark"))
    items.append(Area((ring(spent, y - 3.0, max(spent, mid), y + 3.0),), "bar-light"))
    items += _interval(total, mm, left, y, "bar")
    items.append(_diamond(left + mm * forecast.planned, y + 6.0))
    words: Sequence[str] = (
        say("forecast.spent", hours=number_words(forecast.spent)),
        say(
            "forecast.total",
            hours=number_words(total.median),
            low=number_words(total.low80),
            high=number_words(total.high80),
        ),
        say("forecast.planned", hours=number_words(forecast.planned)),
    )
    x, foot = 0.0, y + 13.0
    for n, line in enumerate(words):
        text = Text((x + (5.0 if n == 2 else 0.0), foot), line, EM, "ink", Anchor.START, bold=n == 1)
        if n == 2:
            items.append(_diamond(x + 2.0, foot))
        items.append(text)
        x += text.width + 9.0
    return Scene(width, foot + 4.0, tuple(items), say("forecast.title"), say("forecast.about"))
