"""Weigh up: what the plan is, what else was close, what tips it."""

from __future__ import annotations

from math import inf
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from starlette.responses import Response

from snugbay.base import InputError
from snugbay.draw import frontier_chart, heat_bars, hours_bars, spread_bars, tornado_bars
from snugbay.flow import JobPlan
from snugbay.web.follow import Limits, all_points, best_point
from snugbay.web.pages.common import TheDesk, TheForm, author_of, go, number_of, text_of
from snugbay.web.pages.settings import restructure
from snugbay.web.pages.work import planned_frame
from snugbay.web.printing import Printer
from snugbay.web.render import drawn, page
from snugbay.web.views import face_ways, point_views, point_words, way_titles
from snugbay.web.weighing import Reason
from snugbay.weigh.points import as_shown, optimality

router = APIRouter(include_in_schema=False)

CHART = 120.0
"""Width of a chart. [mm]"""
MOST_WEEKENDS = 24
NO_LIMIT = "none"


@router.get("/jobs/{job}/weigh")
def weigh(desk: TheDesk, job: str) -> Response:
    """Show the plan and what was weighed."""
    kept, context = planned_frame(desk, job, "weigh")
    if kept is None:
        return page("weigh.html", **context)
    plan = kept.plan
    return page("weigh.html", **context, **weigh_view(plan, context["printer"]), reasons=desk.reasons(job, kept.number))


def weigh_view(plan: JobPlan, printer: Printer) -> dict[str, Any]:
    """Return everything that the page shows of a plan."""
    weighing = plan.weighing
    titles = way_titles(weighing)
    numbers = {point.shown: n for n, point in enumerate(all_points(weighing), start=1)}
    shown = as_shown(weighing)
    return {
        "weighing": weighing,
        "proof": optimality(weighing, plan.job.wishes.objective, plan.job.place.currency),
        "titles": titles,
        "table": face_ways(plan),
        "words": point_words(weighing.plan, titles),
        "points": point_views(weighing),
        "charts": {
            "heat": drawn(lambda: heat_bars(weighing.as_found, CHART)),
            "frontier": drawn(lambda: frontier_chart(shown, printer.money, CHART, lambda p: f"plan-{numbers[p]}")),
            "spread": drawn(lambda: spread_bars(weighing, printer.money, CHART)),
            "hours": drawn(lambda: hours_bars(shown, CHART)),
            "tornado": drawn(lambda: tornado_bars(weighing, printer.money, CHART)),
        },
        "sliders": sliders(plan),
        "zones": {z.id: z.title for z in plan.job.zones},
        "faces": {f.id: f.title for f in plan.job.faces},
    }


def sliders(plan: JobPlan) -> dict[str, Any]:
    """Return where the sliders stand and how far they reach."""
    job = plan.job
    most = max((p.cash for p in plan.weighing.frontier), default=plan.weighing.plan.cash)
    step = 50 if most < 6000 else 250
    top = int((max(most, job.wishes.budget or 0) // step + 2) * step)
    hours = job.wishes.hours
    if hours is None and job.you.days is not None:
        hours = job.you.days * job.you.hours_per_day
    weekend = 2 * job.you.hours_per_day
    return {
        "worth": round(job.you.hour_worth),
        "worth_top": max(60, round(job.you.hour_worth * 2)),
        "budget": top if job.wishes.budget is None else min(round(job.wishes.budget), top),
        "budget_top": top,
        "budget_step": step,
        "weekends": MOST_WEEKENDS if hours is None else min(round(hours / weekend), MOST_WEEKENDS),
        "weekends_top": MOST_WEEKENDS,
    }


@router.get("/jobs/{job}/weigh/follow")
def follow(request: Request, desk: TheDesk, job: str) -> Response:
    """Answer to the sliders: the best of the reckoned plans for what they say."""
    kept, context = planned_frame(desk, job, "weigh")
    if kept is None:
        return Response(status_code=204)
    said = dict(request.query_params)
    limits = limits_of(said, kept.plan)
    weighing, titles = kept.plan.weighing, way_titles(kept.plan.weighing)
    exact = desk.follow(job, kept, limits) if said.get("exact") == "yes" else None
    point = exact.point if exact else best_point(weighing, kept.plan.job.you.hour_worth, limits)
    view: dict[str, Any] = {
        "point": None if point is None else point.shown,
        "text": exact.text if exact else "",
        "words": () if point is None else point_words(point, titles),
        "same": point is not None and point.ways == weighing.plan.ways,
        "proved": exact is not None,
        "asked": said.get("exact") == "yes",
        "query": urlencode({k: said.get(k, "") for k in ("worth", "budget", "weekends")}),
        "weighing": weighing,
    }
    return page("follow.html", **context, **view)


def limits_of(said: dict[str, str], plan: JobPlan) -> Limits:
    """Read the sliders; raises `InputError` for what is no number."""
    try:
        worth, budget, weekends = (float(said.get(k, "nan")) for k in ("worth", "budget", "weekends"))
    except ValueError:
        raise InputError("A slider sent no number.", code="web.slider") from None
    ends = sliders(plan)
    if not (0 <= worth <= 10_000 and budget >= 0 and weekends >= 0):
        raise InputError("A slider sent no number.", code="web.slider")
    hours = weekends * 2 * plan.job.you.hours_per_day
    return Limits(
        worth, inf if budget >= ends["budget_top"] else budget, inf if weekends >= ends["weekends_top"] else hours
    )


@router.post("/jobs/{job}/weigh/limits")
def keep_limits(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Write what the sliders say into the job and plan it again."""
    kept = desk.plan(job)
    if kept is None:
        return go(f"/jobs/{job}/weigh")
    said = {name: text_of(form, name) for name in ("worth", "budget", "weekends")}
    limits = limits_of(said, kept.plan)

    def change(data: dict[str, Any]) -> dict[str, Any]:
        you = {**data.get("you", {}), "hour_worth": _plain(limits.worth)}
        you.pop("days", None)
        wishes = dict(data.get("wishes", {}))
        for name, value in (("budget", limits.budget), ("hours", limits.hours)):
            wishes.pop(name, None)
            if value != inf:
                wishes[name] = _plain(value)
        return {**data, "you": you, "wishes": wishes}

    restructure(desk, job, 0, change, author_of(form), "sliders")
    return go(f"/jobs/{job}/weigh")


def _plain(value: float) -> float | int:
    return int(value) if value == int(value) else value


@router.post("/jobs/{job}/weigh/pick")
def pick(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Pick one of the reckoned plans: each face must then be done its way."""
    kept = desk.plan(job)
    number = number_of(form, "point")
    points = all_points(kept.plan.weighing) if kept is not None else ()
    if not 1 <= number <= len(points):
        raise InputError("That plan is not there any more.", hint="Load the page again.", code="web.gone")
    ways = dict(points[number - 1].ways)
    restructure(desk, job, 0, lambda data: with_ways(data, ways), author_of(form), f"pick plan {number}")
    return go(f"/jobs/{job}/weigh")


@router.post("/jobs/{job}/weigh/free")
def free(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Let the plan choose again: take every "must" out."""
    restructure(desk, job, 0, lambda data: with_ways(data, {}), author_of(form), "free choice")
    return go(f"/jobs/{job}/weigh")


def with_ways(data: dict[str, Any], ways: dict[str, str]) -> dict[str, Any]:
    """Return a document whose faces must be done these ways; a face that is not named is left to the plan."""
    plain_faces = {f.get("id") for f in data.get("faces", []) if isinstance(f, dict)}
    faces = [_must(f, ways.get(f.get("id", ""), "")) for f in data.get("faces", [])]
    shapes = [_must(s, "") for s in data.get("shapes", [])]
    left = {face: way for face, way in ways.items() if face not in plain_faces}
    changes = []
    for entry in data.get("changes", []):
        made = _must(entry, left.pop(entry.get("face", ""), ""))
        if set(made) - {"face"}:
            changes.append(made)
    changes += [{"face": face, "must": way} for face, way in left.items()]
    kept = {k: v for k, v in data.items() if k not in ("faces", "shapes", "changes")}
    groups = {"faces": faces, "shapes": shapes, "changes": changes}
    return {**kept, **{k: v for k, v in groups.items() if v}}


def _must(table: dict[str, Any], way: str) -> dict[str, Any]:
    kept = {k: v for k, v in table.items() if k != "must"}
    return {**kept, "must": way} if way else kept


@router.post("/jobs/{job}/weigh/why")
def why(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Ask what it would change to do a face another way; the worker reckons it."""
    face, way = text_of(form, "face"), text_of(form, "way")
    desk.ask_why(job, Reason(face, way))
    return go(f"/jobs/{job}/weigh#ways-{face}")
