"""Measure: faces and shapes, their readings, the sketch that follows the typing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial as partial_of
from typing import Any
from urllib.parse import quote

from fastapi import APIRouter, Request
from starlette.responses import Response

from snugbay.base import Finding, Run, SnugbayError, UnknownName
from snugbay.draw.face import SketchPage, face_sketch
from snugbay.draw.scene import Scene
from snugbay.flow import Measured, measured_so_far, only
from snugbay.job import Job
from snugbay.job.space import kinds
from snugbay.survey import Survey
from snugbay.web.desk import Desk
from snugbay.web.edits import Clash
from snugbay.web.forms import page_id
from snugbay.web.measured import items_of, rows_of, still_to_tape, suspects_of, unchecked_of
from snugbay.web.opened import Opened, narrowed
from snugbay.web.pages.common import (
    FIELD,
    PLACED,
    WAS,
    TheDesk,
    TheForm,
    author_of,
    clash_views,
    edits_of,
    frame,
    go,
    item_where,
    safe_path,
    text_of,
)
from snugbay.web.pointer import changed, place
from snugbay.web.printing import Printer
from snugbay.web.render import drawn, page, partial
from snugbay.web.sections import face_section, zones_of
from snugbay.web.surveying import printer_of
from snugbay.web.taped import Item, Row, State, taped_rows
from snugbay.web.texts import texts
from snugbay.words import gathered

router = APIRouter(include_in_schema=False)

SKETCH = SketchPage(width=122.0, height=112.0)
MOST_SKETCHES = 6
"""A shape with more faces than this (a row of pockets) is sketched by its first ones."""
MOST_OF_A_SPACE = 16
"""Of a space, its faces and those of the boxes in it."""


SHOWN_WITH_FACE = ("survey.suspect", "survey.unchecked")
"""Findings that stand beside the readings of their face already."""


def item_view(item: Item, opened: Opened, surveyed: Measured) -> dict[str, Any]:
    """Return what the page shows of one face or shape."""
    printer = printer_of(opened.job, opened.data)
    survey = surveyed.survey
    rows = rows_of(item, opened, texts(), survey, printer)
    faults = [
        f
        for f in opened.faults_at(item.where)
        if not any(f in r.field.faults for r in rows) and not still_to_tape(f, rows, opened)
    ]
    faults += [f for f in surveyed.faults if set(map(str, f.where)) & set(item.faces)]
    return {
        "item": item,
        "rows": rows,
        "faults": faults,
        "sketches": sketches(item, surveyed.job, survey, printer),
        "more_faces": max(0, len(item.faces) - most_sketches(item)),
        "suspects": suspects_of(item, survey) if survey else (),
        "unchecked": unchecked_of(item, survey) if survey else (),
    }


def most_sketches(item: Item) -> int:
    """Return how many faces of an item are sketched: all of a body, the first of a row of equal ones."""
    kind = kinds().get(item.shape)
    return MOST_OF_A_SPACE if kind is not None and not kind.counts else MOST_SKETCHES


def sketches(item: Item, job: Job | None, survey: Survey | None, printer: Printer) -> list[Scene | None]:
    """Return the sketches of faces that could be surveyed."""
    if job is None or survey is None:
        return []
    known = {f.id for f in survey.faces}
    shown = [f for f in item.faces if f in known][: most_sketches(item)]
    return [drawn(partial_of(face_sketch, job, survey, face, printer.bare, SKETCH)) for face in shown]


def badge(item: Item, opened: Opened, surveyed: Measured) -> str:
    """Return how an item stands: fault, suspect, unchecked, good, or empty."""
    faults = opened.faults_at(item.where)
    if faults or any(set(map(str, f.where)) & set(item.faces) for f in surveyed.faults):
        rows = tuple(taped_rows(item, opened, texts()))
        return "wanted" if faults and all(still_to_tape(f, rows, opened) for f in faults) else "fault"
    if surveyed.survey is None:
        return "empty"
    if suspects_of(item, surveyed.survey):
        return "suspect"
    return "unchecked" if unchecked_of(item, surveyed.survey) else "good"


def chosen(items: Sequence[Item], text: str) -> Item | None:
    """Return the item that an address names, or the first one."""
    where = item_where(text)
    for item in items:
        if item.where == where:
            return item
    if where is not None:
        raise UnknownName(f"There is no face {where[1]!r} in this job.", code="web.no-face")
    return items[0] if items else None


@router.get("/jobs/{job}")
def job_door(desk: TheDesk, job: str) -> Response:
    """Send on to the first stage."""
    desk.store.jobs.row(job)
    return go(f"/jobs/{job}/measure")


@router.get("/jobs/{job}/measure")
def measure(request: Request, desk: TheDesk, job: str, item: str = "") -> Response:
    """Show a face's readings beside its sketch."""
    return measure_page(desk, job, item, request.query_params.get("said", ""))


def measure_page(desk: Desk, job: str, item: str, said: str = "", clashes: Sequence[Clash] = ()) -> Response:
    """Answer with the whole page."""
    version, opened = desk.open(job)
    surveyed = desk.measured(opened)
    items = items_of(opened)
    here = chosen(items, item)
    view = item_view(here, opened, surveyed) if here else None
    context = {
        **frame(desk, job, "measure", version, opened),
        "items": [(i, badge(i, opened, surveyed)) for i in items],
        "view": view,
        "here": here,
        "next": _next(items, here),
        "findings": _other_findings(surveyed),
        "survey": surveyed.survey,
        "elsewhere": [f for f in opened.faults if opened.data and f.where[:1] not in [(p,) for p in PLACED]],
        "said": said,
        "clashes": clash_views(clashes),
        "zones": zones_of(opened),
        "space_kinds": tuple(kinds().values()),
        "section": face_section(here, opened, texts()) if here else None,
        "back": f"/jobs/{job}/measure?item={quote(here.address)}" if here else f"/jobs/{job}/measure",
    }
    return page("measure.html", **context)


def _next(items: Sequence[Item], here: Item | None) -> Item | None:
    if here is None:
        return None
    at = items.index(here)
    return items[at + 1] if at + 1 < len(items) else None


def _other_findings(surveyed: Measured) -> tuple[Finding, ...]:
    """Return what the survey found beside what each face shows of its own readings."""
    return gathered(f for f in surveyed.findings if f.code not in SHOWN_WITH_FACE)


@router.post("/jobs/{job}/sketch")
def sketch(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Answer while somebody types: the item on its own with what stands in the fields, nothing saved."""
    _, opened = desk.open(job)
    data = opened.data
    try:
        for edit in edits_of(form, data):
            data = changed(data, edit.where, edit.value())
    except SnugbayError:
        return Response(status_code=204)  # a field that is gone: saving will say so
    where = item_where(text_of(form, "item"))
    if where is None:
        return Response(status_code=204)
    typed = narrowed(data, where)
    item = next(iter(items_of(typed)), None)
    if item is None:
        return Response(status_code=204)
    alone = Measured(None, None)
    before = desk.measured(opened).survey
    if typed.job is not None:
        alone = measured_so_far(only(typed.job, set(item.faces)), Run(), before)
    view = item_view(item, typed, alone)
    left_open = {"unchecked"} if joined(opened.job, item.faces) else set()
    survey = alone.survey
    left_open |= {"checked"} if survey is not None and survey.chi2 > survey.chi2_limit else set()
    if left_open:
        view |= {"rows": [_open_verdict(row, left_open) for row in view["rows"]], "unchecked": ()}
    return page("measure_live.html", view=view, saved=False, **_live_frame(typed))


def joined(job: Job | None, faces: Sequence[str]) -> bool:
    """Tell whether faces meet others, whose readings check theirs too."""
    return job is not None and any((j.a in faces) != (j.b in faces) for j in job.joins)


def _open_verdict(row: Row, kinds: set[str]) -> Row:
    """Leave open what is said of a reading while its neighbours, or which of all are wrong, have not been asked."""
    if row.state.kind not in kinds:
        return row
    return replace(row, state=State("waiting", texts()("measure.when-saved")))


def _live_frame(opened: Opened) -> dict[str, Any]:
    return {"printer": printer_of(opened.job, opened.data)}


@router.post("/jobs/{job}/fields")
def fields(request: Request, desk: TheDesk, job: str, form: TheForm) -> Response:
    """Save what was typed; answer with the parts that changed, or with the whole page where there is no script."""
    _, opened = desk.open(job)
    kept = desk.keep(job, edits_of(form, opened.data), author_of(form))
    back = text_of(form, "back")
    if not partial(request):
        if kept.clashes:
            return clash_page(desk, job, back, kept.clashes)
        return go(back if safe_path(back, job) else f"/jobs/{job}/measure")
    version, now = desk.open(job)
    context: dict[str, Any] = {**frame(desk, job, "measure", version, now), "saved": True}
    context["clashes"] = clash_views(kept.clashes)
    where = item_where(text_of(form, "item"))
    item = next((i for i in items_of(now) if i.where == where), None)
    if item is None:
        return page("saved.html", back=back, edited=_edited(form, now), **context)
    surveyed = desk.measured(now)
    rows = [(i, badge(i, now, surveyed)) for i in items_of(now)]
    view = item_view(item, now, surveyed)
    context["findings"] = _other_findings(surveyed)
    typed = {e["at"]: e["now"] for e in _edited(form, now)}
    return page("measure_saved.html", view=view, items=rows, here=item, back=back, typed=typed, **context)


def _edited(form: Any, opened: Opened) -> list[dict[str, Any]]:
    """Return the fields of a form with what now stands in them, so that the next change starts from there."""
    names = [n.removeprefix(WAS) for n in dict.fromkeys(form.keys()) if n.startswith(WAS)]
    return [
        {
            "at": at,
            "id": page_id(at),
            "now": ", ".join(str(v) for v in form.getlist(FIELD + at) if v),
            "faults": opened.faults_at(place(at)),
        }
        for at in names
    ]


def clash_page(desk: Desk, job: str, back: str, clashes: Sequence[Clash]) -> Response:
    """Show what was typed and what somebody else saved, to choose from."""
    version, opened = desk.open(job)
    context = frame(desk, job, "", version, opened)
    target = back if safe_path(back, job) else f"/jobs/{job}/measure"
    return page("clash.html", 409, clashes=clash_views(clashes), back=target, **context)


@router.post("/jobs/{job}/undo")
def undo(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Take the last change back."""
    return _step(desk, job, form, undone=True)


@router.post("/jobs/{job}/redo")
def redo(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Make the change again that was taken back."""
    return _step(desk, job, form, undone=False)


def _step(desk: Desk, job: str, form: Any, *, undone: bool) -> Response:
    jobs = desk.store.jobs
    base = text_of(form, "version")
    number = int(base) if base.isdigit() else None
    saved = (jobs.undo if undone else jobs.redo)(job, author_of(form), number)
    back = text_of(form, "back")
    target = back if safe_path(back, job) else f"/jobs/{job}/measure"
    if saved.conflicts:
        joint = "&" if "?" in target else "?"
        return go(f"{target}{joint}said=moved-on")
    return go(target)
