"""Cut: one sheet at a time, on the bench."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from snugbay.base import InputError
from snugbay.draw import Scene, SheetPage, part_drawings, sheet_drawing
from snugbay.materials import boards
from snugbay.sheets import SheetPlan
from snugbay.store import KeptPlan
from snugbay.web.desk import Desk
from snugbay.web.pages.common import TheDesk, TheForm, go, number_of, safe_path, text_of
from snugbay.web.pages.work import planned_frame
from snugbay.web.printing import Printer
from snugbay.web.render import drawn, page, partial
from snugbay.web.texts import texts
from snugbay.web.views import SheetView, open_stops, sheet_view

router = APIRouter(include_in_schema=False)

PAGE = SheetPage(width=150.0, height=112.0)
PART, PART_CROWDED = (96.0, 90.0), (150.0, 112.0)
"""Room for the drawing of a part with one cut, and with several. [mm]"""


@router.get("/jobs/{job}/cut")
def cut(desk: TheDesk, job: str, sheet: int = 0) -> Response:
    """Show a sheet with its cuts in order; without a number the first that is not finished."""
    kept, context = planned_frame(desk, job, "cut")
    if kept is None:
        return page("cut.html", **context)
    return page("cut.html", **context, **cut_view(desk, job, kept, sheet))


def cut_view(desk: Desk, job: str, kept: KeptPlan, number: int) -> dict[str, Any]:
    """Return what the page shows of the sheets."""
    sheets = desk.sheets(job, kept)
    views = views_of(desk, job, kept, sheets)
    at = next((n for n, v in enumerate(views) if v.sheet.number == number), None)
    if at is None:
        at = next((n for n, v in enumerate(views) if not v.done and not v.broken), 0)
    here = views[at] if views else None
    names = {b.key: b.name for b in boards()}
    printer = context_printer(kept)
    drawing = part = None
    if here is not None:
        name = names.get(here.sheet.material, here.sheet.material)
        sheet = here.sheet
        drawing = drawn(lambda: sheet_drawing(sheet, printer.bare, PAGE, name, parts=False))
        part = part_of(here, printer)
    laying = desk.store.work.laying(job, kept.number)
    return {
        "sheets": views,
        "promise": printer.said(kept.plan.pieces.promise.said) if kept.plan.pieces.promise is not None else "",
        "stops": open_stops(kept.plan, desk.store.work.ticks(job, 0, "caution")),
        "here": here,
        "sheet_scene": drawing,
        "part_scene": part,
        "before": views[at - 1] if views and at > 0 else None,
        "after": views[at + 1] if views and at + 1 < len(views) else None,
        "names": names,
        "laid_why": "" if laying is None else why_words(laying.why),
        "supplies": () if laying is None else desk.supplies(job, kept),
        "timer": desk.store.work.running(job),
    }


def why_words(why: str) -> str:
    """Return why the rest was laid again, for people."""
    kind, _, name = why.partition(" ")
    return texts()(f"cut.why-{kind}", name=name) if texts().has(f"cut.why-{kind}") else why


def part_of(view: SheetView, printer: Printer) -> Scene | None:
    """Return the drawing of the part that the next cut goes through; None where that is the whole sheet."""
    if view.next is None or view.next.cut.blank == "sheet":
        return None
    scenes = part_drawings(view.sheet, printer.bare, PART, PART_CROWDED)
    return next((s for s in scenes if s.note("part") == view.next.cut.blank), None)


def context_printer(kept: KeptPlan) -> Printer:
    """Return how the plan's lengths are printed."""
    return Printer(kept.plan.job.units.value, kept.plan.job.place.currency)


def views_of(desk: Desk, job: str, kept: KeptPlan, sheets: SheetPlan) -> list[SheetView]:
    """Return every sheet with its ticks."""
    work = desk.store.work
    cuts, pieces, wrong, broken = (work.ticks(job, kept.number, k) for k in ("cut", "piece", "wrong", "broken"))
    return [sheet_view(s, cuts, pieces, wrong, broken) for s in sheets.sheets]


@router.post("/jobs/{job}/tick")
def tick(request: Request, desk: TheDesk, job: str, form: TheForm) -> Response:
    """Tick a cut, a piece, a step or a thing bought off, or take the tick back."""
    kept = desk.plan(job)
    kind, key = text_of(form, "kind"), text_of(form, "key")
    if kept is None:
        raise InputError("There is no plan to tick off.", hint="Plan the job first.", code="web.no-plan")
    desk.tick(job, kept, kind, key, text_of(form, "done") == "yes")
    back = text_of(form, "back")
    if partial(request) and kind in ("cut", "piece"):
        _, context = planned_frame(desk, job, "cut")
        return page("cut_ticked.html", **context, **cut_view(desk, job, kept, number_of(form, "sheet")))
    if partial(request):
        return Response(status_code=204)
    return go(back if safe_path(back, job) else f"/jobs/{job}/cut")


@router.post("/jobs/{job}/cut/trouble")
def trouble(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Say that a piece came out wrong or a sheet broke: the rest is laid again."""
    kept = desk.plan(job)
    kind, key = text_of(form, "kind"), text_of(form, "key")
    if kept is None or kind not in ("wrong", "broken"):
        raise InputError("That cannot be laid again.", hint="Load the page again.", code="web.trouble")
    desk.trouble(job, kept, kind, key)
    return go(f"/jobs/{job}/cut")
