"""Long work: start it, follow it, stop it."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response, StreamingResponse

from snugbay.base import Effort, Run
from snugbay.store import KeptPlan
from snugbay.web.crew import Crew, Standing
from snugbay.web.desk import Desk
from snugbay.web.pages.common import TheDesk, TheForm, frame, go, safe_path, text_of
from snugbay.web.texts import texts

router = APIRouter(include_in_schema=False)

LOOK_SECONDS = 0.2
"""How long one look at a task waits for a change. [s]"""


@router.post("/jobs/{job}/plan")
def start(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Start planning the job."""
    wanted = text_of(form, "effort", Effort.NORMAL.value)
    effort = Effort(wanted) if wanted in [e.value for e in Effort] else Effort.NORMAL
    desk.start_plan(job, Run(1, effort))
    back = text_of(form, "back")
    return go(back if safe_path(back, job) else f"/jobs/{job}/weigh")


@router.post("/jobs/{job}/stop")
def stop(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Stop planning; the best so far is kept."""
    running = desk.crew.running(job)
    if running is not None:
        desk.crew.stop(running.number)
    back = text_of(form, "back")
    return go(back if safe_path(back, job) else f"/jobs/{job}/weigh")


@router.get("/jobs/{job}/work")
def follow(request: Request, desk: TheDesk, job: str) -> Response:
    """Send how the work stands, as server-sent events, until it is over."""
    events = standing_events(request, desk.crew, job)
    return StreamingResponse(events, media_type="text/event-stream", headers={"x-accel-buffering": "no"})


async def standing_events(request: Request, crew: Crew, job: str) -> AsyncIterator[str]:
    """Yield an event for each change of a job's newest task, and one when it is over."""
    standing, told = crew.latest(job), -1
    while standing is not None and not standing.over:
        if standing.turn != told:
            yield event("standing", standing_body(standing))
            told = standing.turn
        await asyncio.sleep(LOOK_SECONDS)  # a look costs microseconds; a thread that waits would be one less for pages
        if await request.is_disconnected():
            return
        standing = crew.standing(standing.number)
    yield event("over", {} if standing is None else standing_body(standing))


def event(name: str, body: dict[str, Any]) -> str:
    """Return one server-sent event."""
    return f"event: {name}\ndata: {json.dumps(body)}\n\n"


def standing_body(standing: Standing) -> dict[str, Any]:
    """Return how a task stands, as plain data."""
    return {
        "number": standing.number,
        "stage": standing.stage,
        "share": round(standing.share, 4),
        "over": standing.over,
        "text": standing_text(standing),
    }


def standing_text(standing: Standing) -> str:
    """Return how a task stands, for people."""
    words = texts()
    if standing.stopping:
        return words("work.stopping")
    stage = words(f"work.stages.{standing.stage}") if words.has(f"work.stages.{standing.stage}") else standing.stage
    return words("work.standing", stage=stage or words("work.begins"), share=f"{standing.share:.0%}")


MOST_CHANGES = 6
"""Fields that changed since a plan was made, said one by one."""


def planned_frame(desk: Desk, job: str, stage: str) -> tuple[KeptPlan | None, dict[str, Any]]:
    """Return a job's newest plan and what a page that needs one shows around it."""
    version, opened = desk.open(job)
    kept = desk.plan(job)
    running = desk.crew.running(job)
    latest = desk.crew.latest(job)
    context = {
        **frame(desk, job, stage, version, opened),
        "kept": kept,
        "plan": None if kept is None else kept.plan,
        "stale": kept is not None and desk.stale(kept, version),
        "changes": [c.text for c in desk.changes(kept, version)][:MOST_CHANGES] if kept is not None else [],
        "running": running,
        "running_text": "" if running is None else standing_text(running),
        "failed": latest.error if latest is not None and latest.over else None,
        "efforts": [e.value for e in Effort],
        "back": f"/jobs/{job}/{stage}",
    }
    return kept, context
