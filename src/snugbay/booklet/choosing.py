"""The choice in figures and in words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from snugbay.base import Told
from snugbay.booklet.naming import way_title, years_text, zone_title
from snugbay.booklet.runs import folded, likeness, run_title, runs
from snugbay.booklet.texts import say
from snugbay.booklet.words import Words, hours_text, listed, number_text
from snugbay.flow import JobPlan
from snugbay.job import Objective, short_list
from snugbay.weigh import AS_FOUND, PlanPoint
from snugbay.weigh.points import as_shown, optimality, second_costs_more

Section = dict[str, object]
_MOST_BEATS = 5
"""Comparisons told, the most doubtful first."""


def choice(plan: JobPlan, words: Words) -> Section:
    """Return the choice in figures and in words."""
    weighing, wishes = plan.weighing, plan.job.wishes
    hours = dict(as_shown(weighing).face_hours)
    made: dict[str, int] = defaultdict(int)
    for piece in plan.pieces.pieces:
        made[piece.face] += 1
    rows = []
    ways = dict(weighing.plan.ways)
    left = [f for f, w in weighing.plan.ways if w == AS_FOUND]
    like = likeness(plan.job)
    for group in runs((f for f, w in ways.items() if w != AS_FOUND), lambda f: (ways[f], like(f))):
        way = ways[group[0]]
        option = next((o for o in weighing.options if o.face == group[0] and o.way == way), None)
        spent = sum(h.typical for face in group for h in hours.get(face, ()))
        cut = sum(made[face] for face in group)
        rows.append(
            [
                run_title(plan.job, group),
                way_title(plan, way),
                words.resistance(option.r_typical) if option and option.r_typical else "",
                hours_text(spent) if spent else "",
                str(cut) if cut else "",
            ]
        )
    return {
        "about": say(
            "choice.about",
            objective=wishes.objective.value,
            years=number_text(wishes.years),
            worth=words.money(plan.job.you.hour_worth),
        ),
        "proved": optimality(weighing, wishes.objective, plan.job.place.currency),
        "ways": rows,
        "left": say("cover.left", faces=listed(folded(plan.job, left))) if left else "",
        "plans": _plans(plan, words),
        "second": _second(plan, words),
        "beats": [say("choice.beats", other=o, percent=f"{100 * p:.0f}") for o, p in _closest(weighing.spread.beats)],
        "evens": [b.text for b in weighing.break_evens],
        "why": _why_not(plan, words),
        "money": _money(plan, words),
    }


def _closest(beats: Sequence[tuple[str, float]]) -> list[tuple[str, float]]:
    """Return the plans that come closest to this one, most doubtful first."""
    return sorted(beats, key=lambda b: abs(b[1] - 0.5))[:_MOST_BEATS]


def _plans(plan: JobPlan, words: Words) -> list[list[str]]:
    """Return the rows of the comparison: this plan, the second, other lines, one way throughout; none twice."""
    weighing = plan.weighing
    named: list[tuple[str, PlanPoint]] = [(say("choice.this"), weighing.plan)]
    if weighing.second is not None:
        named.append((say("choice.second"), weighing.second))
    for point in weighing.candidates:
        zones = listed(zone_title(plan, z) for z in point.inside)
        named.append((say("choice.other-line", zones=zones) if zones else say("choice.other-line-out"), point))
    named += [(say("choice.throughout", way=way_title(plan, way)), point) for way, point in weighing.single_way]
    rows, seen = [], []
    for name, point in named:
        if point in seen:
            continue
        seen.append(point)
        own = point.shown
        figures = (words.money(own.cash), hours_text(own.hours), words.money(own.saving))
        rows.append([name, *figures, words.money(own.whole_cost)])
    return rows


def _second(plan: JobPlan, words: Words) -> str:
    second, chosen = plan.weighing.second, plan.weighing.plan
    if second is None:
        return ""
    ways = dict(chosen.ways)
    other = {f: w for f, w in second.ways if ways.get(f) != w}
    like = likeness(plan.job)
    groups = runs(other, lambda f: (other[f], like(f)))
    differs = [f"{run_title(plan.job, g)} ({way_title(plan, other[g[0]])})" for g in groups]
    more = second_costs_more(plan.weighing)
    faces, amount = listed(differs) or "-", words.money(abs(more))
    if round(more) == 0:
        return say("choice.second-same", faces=faces)
    if more < 0 and plan.job.wishes.objective is Objective.WHOLE_COST:
        return say("choice.second-near", faces=faces, more=amount)
    if more < 0:
        return say("choice.second-lower", faces=faces, more=amount)
    return say("choice.second-differs", faces=faces, more=amount)


def _why_not(plan: JobPlan, words: Words) -> list[str]:
    """Return ways that do not fit with their reasons; faces with the same way and reasons share a line."""
    found: dict[tuple[str, tuple[Told, ...]], list[str]] = defaultdict(list)
    for option in plan.weighing.options:
        if not option.fits and option.why_not:
            found[option.title or option.way, option.why_not].append(option.face)
    return [
        say("choice.why", face=short_list(faces), way=way, reasons=" ".join(map(words.told, reasons)))
        for (way, reasons), faces in found.items()
    ]


def _money(plan: JobPlan, words: Words) -> list[str]:
    money = plan.weighing.money

    def years(value: float | None) -> str:
        return say("cover.never") if value is None else years_text(value)

    lines = [
        say("choice.payback-cash", years=years(money.payback_cash), years_hours=years(money.payback_with_hours)),
        say(
            "choice.npv",
            years=number_text(plan.job.wishes.years),
            npv=words.money(money.net_present_value),
            npv_hours=words.money(money.net_present_value_with_hours),
        ),
    ]
    if plan.afterwards is None:  # where the years ahead were reckoned by the hour, they say it with its spread
        lines.append(say("choice.carbon", carbon=words.mass(money.carbon)))
    if money.incentive:
        lines.append(say("choice.incentive", grant=words.money(money.incentive)))
    return lines
