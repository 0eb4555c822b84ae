"""Fit: the order of work, cautions first, the pieces in their places, the clock."""

from __future__ import annotations

import logging
from typing import Any

from fastapi import APIRouter
from starlette.datastructures import FormData
from starlette.responses import Response

from snugbay.base import InputError, Weight
from snugbay.document.bounded import toml_data
from snugbay.draw import Scene, exploded, model_glb, step_drawing
from snugbay.flow import JobPlan
from snugbay.store import KeptPlan, Timer, rewritten
from snugbay.web.desk import Desk, Drawings
from snugbay.web.pages.common import TheDesk, TheForm, author_of, go, safe_path, text_of
from snugbay.web.pages.work import planned_frame
from snugbay.web.render import drawn, page
from snugbay.web.views import sealing_by_face, step_views, used_of

router = APIRouter(include_in_schema=False)

ELEMENTS = ("all", "marking", "cutting", "carrying", "fitting", "sealing", "set-up")
CAN = "gun-can"


@router.get("/jobs/{job}/fit")
def fit(desk: TheDesk, job: str) -> Response:
    """Show the order of work."""
    kept, context = planned_frame(desk, job, "fit")
    if kept is None:
        return page("fit.html", **context)
    return page("fit.html", **context, **fit_view(desk, job, kept))


def fit_view(desk: Desk, job: str, kept: KeptPlan) -> dict[str, Any]:
    """Return what the page shows of the fitting."""
    plan, work = kept.plan, desk.store.work
    acknowledged = work.ticks(job, 0, "caution")
    steps = step_views(plan, acknowledged, work.ticks(job, kept.number, "step"))
    guarded = {c.code for view in steps for c in view.cautions}
    cautions = sorted(plan.cautions, key=lambda c: (c.weight is not Weight.STOP, c.weight is Weight.NOTE))
    cans = plan.fitting.cans
    return {
        "steps": steps,
        "cautions": cautions,
        "guarded": guarded,
        "acknowledged": acknowledged,
        "sealing": sealing_by_face(plan.fitting.sealing),
        "cans": cans,
        "cans_left": max(0.0, cans - used_of(steps, CAN)),
        "scenes": desk.drawings(job, kept, lambda: fitting_drawings(plan)),
        "pieces": plan.pieces.pieces,
        "timer": work.running(job),
        "faces": [(f.id, f.title) for f in plan.job.faces],
        "elements": ELEMENTS,
    }


def fitting_drawings(plan: JobPlan) -> Drawings:
    """Return the exploded view, and for each step with pieces what goes in and what is in already."""
    made: dict[str, Scene | None] = {}
    if not plan.pieces.pieces:
        return made
    made["exploded"] = drawn(lambda: exploded(plan.job, plan.survey, plan.pieces))
    before: list[str] = []
    for step in plan.fitting.steps:
        if step.pieces:
            try:
                scene = step_drawing(plan.survey, plan.pieces, step.pieces, tuple(before))
            except Exception:  # as `drawn`: a step's words stand without its drawing
                logging.getLogger("snugbay.web").exception("The drawing of step %s could not be made.", step.number)
                scene = None
            if scene is not None:
                made[str(step.number)] = scene
            before.extend(step.pieces)
    return made


@router.get("/jobs/{job}/model.glb")
def model(desk: TheDesk, job: str) -> Response:
    """Send the pieces in their places for the 3D view."""
    kept = desk.plan(job)
    if kept is None:
        return Response(status_code=404)
    body = desk.model(job, kept, lambda: model_glb(kept.plan.job, kept.plan.survey, kept.plan.pieces))
    return Response(body, media_type="model/gltf-binary")


@router.post("/jobs/{job}/caution")
def caution(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Acknowledge a caution, or take that back."""
    desk.store.work.tick(job, 0, "caution", text_of(form, "key"), text_of(form, "done") == "yes")
    return go(_back(form, job, "fit"))


@router.post("/jobs/{job}/clock/start")
def start(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Start the clock; it may not run for a step whose cautions were not read."""
    face, element = text_of(form, "face"), text_of(form, "element", "all")
    if element not in ELEMENTS:
        raise InputError(f"{element!r} is no kind of work.", hint="One of " + ", ".join(ELEMENTS) + ".")
    step = text_of(form, "step")
    kept = desk.plan(job)
    if step and kept is not None:
        desk.check_open(job, kept, step)
    desk.store.work.start(job, face, element)
    return go(_back(form, job, "fit"))


@router.post("/jobs/{job}/clock/stop")
def stop(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Stop the clock and write its hours into the job's log."""
    share = share_done(form)  # read before the clock stops, so that a slip in it loses no hours
    note = text_of(form, "note").strip()[:300]
    timer = desk.store.stop_clock(job, lambda t, text: with_entry(text, entry_of(t, note, share)), author_of(form))
    if timer is not None and timer.set_back:
        raise InputError(
            "This machine's clock stands before the time when the work began: how long it took is not known.",
            hint="The clock is stopped and nothing was written. Write the hours into the log by hand.",
            code="web.clock-set-back",
        )
    return go(_back(form, job, "fit"))


def share_done(form: FormData) -> dict[str, float]:
    """Return the share of a face that a form says was done, as the log holds it; nothing where it says none.

    Raises
    ------
    InputError
        If it is no percentage.
    """
    text = text_of(form, "percent").strip().removesuffix("%").strip().replace(",", ".")
    if not text:
        return {}
    try:
        percent = float(text)
    except ValueError:
        percent = -1.0
    if not 0 <= percent <= 100:
        raise InputError("The share done is no percentage.", hint="Write it as 40.", code="web.percent")
    return {"share_done": percent / 100}


def entry_of(timer: Timer, note: str, share: dict[str, float]) -> dict[str, Any]:
    """Return a stopped clock as an entry of the document's log."""
    entry: dict[str, Any] = {"hours": round(max(timer.hours, 0.01), 2), "element": timer.element}
    entry |= {"face": timer.face} if timer.face else {}
    entry |= {"pieces": list(timer.pieces)} if timer.pieces else {}
    entry |= {"day": (timer.stopped_at or timer.started_at)[:10]}
    entry |= share
    entry |= {"note": note} if note else {}
    return entry


def with_entry(text: str, entry: dict[str, Any]) -> str:
    """Return a document with an entry more in its log."""
    data = toml_data(text)
    log = data.get("log", {})
    if not isinstance(log, dict) or not isinstance(log.get("entries", []), list):
        raise InputError("The log in the document is no list of entries.", where=("log",), hint="Mend it there first.")
    return rewritten(text, {**data, "log": {**log, "entries": [*log.get("entries", []), entry]}})


def add_log(desk: Desk, job: str, entry: dict[str, Any], author: str) -> None:
    """Add an entry to the document's log; entries of two windows are both kept."""
    while True:
        head = desk.store.jobs.head(job)
        saved = desk.store.jobs.save(job, head.number, with_entry(head.text, entry), author, "log")
        if not saved.conflicts:
            return  # else somebody saved between reading and writing: once more on what stands now


def _back(form: Any, job: str, stage: str) -> str:
    back = text_of(form, "back")
    return back if safe_path(back, job) else f"/jobs/{job}/{stage}"
