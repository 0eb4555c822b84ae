"""What all pages share."""

from __future__ import annotations

from collections.abc import AsyncIterator, Mapping, Sequence
from typing import Annotated, Any

from fastapi import Depends, Request
from starlette.datastructures import FormData, UploadFile
from starlette.responses import RedirectResponse, Response

from snugbay.base import Where
from snugbay.store import Version
from snugbay.web.desk import Desk
from snugbay.web.edits import Clash, Edit
from snugbay.web.forms import Spec, page_id, spec_at
from snugbay.web.opened import Opened
from snugbay.web.pointer import place
from snugbay.web.render import page
from snugbay.web.surveying import printer_of

FIELD, WAS = "f:", "w:"
"""Heads of form names: what stands in a field now, and what stood in it when the page was made."""


def desk_of(request: Request) -> Desk:
    """Return the desk of the app that answers."""
    desk: Desk = request.app.state.desk
    return desk


TheDesk = Annotated[Desk, Depends(desk_of)]


async def form_of(request: Request) -> AsyncIterator[FormData]:
    """Yield the form that was sent; files in it are closed when it has been answered."""
    async with request.form(max_files=4, max_fields=4000) as form:
        yield form


TheForm = Annotated[FormData, Depends(form_of)]


def text_of(form: FormData, name: str, default: str = "") -> str:
    """Return one text of a form."""
    value = form.get(name, default)
    return default if isinstance(value, UploadFile) else str(value)


def frame(desk: Desk, job: str, stage: str, version: Version, opened: Opened) -> dict[str, Any]:
    """Return what the frame of a job's page shows."""
    undo, redo = desk.store.jobs.can(job)
    return {
        "job": desk.store.jobs.row(job),
        "stage": stage,
        "version": version,
        "opened": opened,
        "printer": printer_of(opened.job, opened.data),
        "can_undo": undo,
        "can_redo": redo,
        "share": desk.share,
        "stamp": desk.store.work.stamp(job),
    }


def job_page(desk: Desk, job: str, stage: str, template: str, **context: Any) -> Response:
    """Answer with a page of a job."""
    version, opened = desk.open(job)
    return page(template, **{**frame(desk, job, stage, version, opened), **context})


def go(url: str) -> Response:
    """Send the browser on after a form was taken."""
    return RedirectResponse(url, 303)


def author_of(form: FormData) -> str:
    """Return which tab sent a form."""
    return text_of(form, "tab", "page")[:40] or "page"


def number_of(form: FormData, name: str) -> int:
    """Return a whole number of a form; 0 where there is none."""
    text = text_of(form, name)
    return int(text) if text.isdigit() and len(text) < 10 else 0


def edits_of(form: FormData, data: Mapping[str, Any]) -> tuple[Edit, ...]:
    """Return the fields of a form that were changed since its page was made.

    Raises
    ------
    InputError
        If a field has no place in the document.
    """
    edits = []
    for name in dict.fromkeys(form.keys()):
        if not name.startswith(WAS):
            continue
        at = name.removeprefix(WAS)
        where = place(at)
        spec = spec_at(data, where)
        edit = Edit(where, text_of(form, name), _now(form, at, spec), spec)
        if edit.was.strip() != edit.now.strip():
            edits.append(edit)
    return tuple(edits)


def _now(form: FormData, at: str, spec: Spec) -> str:
    values = [str(v) for v in form.getlist(FIELD + at) if not isinstance(v, UploadFile)]
    return ", ".join(v for v in values if v) if spec.kind in ("many", "list") else (values[-1] if values else "")


def clash_views(clashes: Sequence[Clash]) -> list[dict[str, str]]:
    """Return what the page shows of fields that somebody else changed too."""
    return [{"at": c.at, "id": page_id(c.at), "mine": c.mine, "theirs": c.theirs} for c in clashes]


def safe_path(back: str, job: str) -> bool:
    """Tell whether an address lies within the job's own pages."""
    return back.startswith(f"/jobs/{job}/") and "\\" not in back and "//" not in back


PLACED = ("spaces", "shapes", "faces")
"""What of a document is measured; each entry has a page of its own."""


def item_where(text: str) -> Where | None:
    """Read which face, shape or space a page is about: ``faces/K1``."""
    group, _, ident = text.partition("/")
    return (group, ident) if group in PLACED and ident else None
