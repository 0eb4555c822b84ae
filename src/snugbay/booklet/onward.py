"""What is new in a plan for the rest of a job against the plan before: kept, changed, gone."""

from __future__ import annotations

from snugbay.booklet.naming import title_of, way_title
from snugbay.booklet.texts import say
from snugbay.booklet.words import hours_text, listed
from snugbay.flow import JobPlan


def news(plan: JobPlan) -> list[str]:
    """Return what is new, in lines; none for a plan that follows no other."""
    past = plan.onward
    if past is None:
        return []
    lines = [say("onward.goes-on", hours=hours_text(past.choice.sunk_hours), pieces=len(past.cut))]
    lines += [
        say("onward.changed", face=title_of(plan, f), was=way_title(plan, was), now=way_title(plan, now))
        for f, was, now in past.ways
    ] or [say("onward.as-before")]
    if past.new:
        lines.append(say("onward.new", pieces=listed(past.new)))
    if past.gone:
        lines.append(say("onward.gone", pieces=listed(past.gone)))
    if past.fresh:
        lines.append(say("onward.sheets-new", sheets=listed(str(n) for n in past.fresh)))
    if past.dropped:
        lines.append(say("onward.sheets-gone", sheets=listed(str(n) for n in past.dropped)))
    if not past.fresh and not past.dropped:
        lines.append(say("onward.sheets-kept"))
    names = {b.item: b.name for b in plan.buying}
    if past.choice.returned:
        things = listed(f"{n} {names.get(item, item)}" for item, n, _ in past.choice.returned)
        lines.append(say("onward.back", things=things))
    return lines


def mark_of(plan: JobPlan, piece: str) -> str:
    """Return the mark of a piece in a plan for the rest: cut already, new, or none."""
    past = plan.onward
    if past is None:
        return ""
    return say("onward.cut") if piece in past.cut else say("onward.fresh") if piece in past.new else ""
