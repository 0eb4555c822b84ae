"""Faces, zones and ways by the names that people gave them."""

from __future__ import annotations

from collections import defaultdict

from snugbay.booklet.runs import run_title
from snugbay.booklet.texts import say
from snugbay.booklet.words import number_text
from snugbay.draw.charts import way_name
from snugbay.flow import JobPlan
from snugbay.weigh import AS_FOUND, PlanPoint


def title_of(plan: JobPlan, face: str) -> str:
    """Return a face's id and title."""
    return run_title(plan.job, (face,))


def zone_title(plan: JobPlan, zone: str) -> str:
    """Return a zone's title, its id where it has none."""
    return next((z.title for z in plan.job.zones if z.id == zone), zone) or zone


def way_title(plan: JobPlan, way: str) -> str:
    """Return a way's name for people."""
    return way_name(plan.weighing, way)


def by_way(point: PlanPoint) -> dict[str, list[str]]:
    """Return way id -> faces, ways that do something, in the order of the faces."""
    found: dict[str, list[str]] = defaultdict(list)
    for face, way in point.ways:
        if way != AS_FOUND:
            found[way].append(face)
    return dict(found)


def years_text(value: float) -> str:
    """Write a payback, or that none is in sight."""
    return say("cover.years", years=number_text(value)) if value < 200 else say("cover.never")
