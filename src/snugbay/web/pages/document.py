"""The document as text, its history, and going back."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from snugbay.web.pages.common import TheDesk, TheForm, author_of, frame, go, number_of, text_of
from snugbay.web.render import page

router = APIRouter(include_in_schema=False)


@router.get("/jobs/{job}/document")
def document(request: Request, desk: TheDesk, job: str) -> Response:
    """Show the document with what is wrong in it."""
    version = desk.store.jobs.newest(job)
    opened = desk.opened(version)
    said = "damaged" if version.damaged else request.query_params.get("said", "")
    history = desk.store.jobs.history(job, 100)
    context = frame(desk, job, "", version, opened)
    return page("document.html", text=version.text, said=said, history=history, conflicts=(), **context)


@router.post("/jobs/{job}/document")
def save_document(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Save the whole text; changes that another window made to other fields are merged."""
    text = text_of(form, "text").replace("\r\n", "\n")
    saved = desk.store.jobs.save(job, number_of(form, "version"), text, author_of(form), "document")
    if not saved.conflicts:
        return go(f"/jobs/{job}/document")
    version, opened = desk.open(job)
    context = frame(desk, job, "", version, opened)
    history = desk.store.jobs.history(job, 100)
    return page("document.html", 409, text=text, said="", history=history, conflicts=saved.conflicts, **context)


@router.get("/jobs/{job}/job.toml")
def download(desk: TheDesk, job: str) -> Response:
    """Send the document as a file."""
    text = desk.store.jobs.head(job).text
    headers = {"content-disposition": f'attachment; filename="{job}.toml"'}
    return Response(text, media_type="application/toml; charset=utf-8", headers=headers)


@router.post("/jobs/{job}/restore")
def restore(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Make an old version stand again."""
    desk.store.jobs.restore(job, number_of(form, "number"), author_of(form))
    return go(f"/jobs/{job}/document?said=restored")
