"""What another window, phone or program did to a job meanwhile: asked every few seconds by a page that is looked at."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import JSONResponse, Response

from snugbay.web.pages.common import TheDesk

router = APIRouter(include_in_schema=False)


@router.get("/jobs/{job}/news")
def news(desk: TheDesk, job: str, since: int = 0, stamp: str = "", tab: str = "") -> Response:
    """Answer whether anybody but this tab changed the document, and whether a plan or a tick came; 204 for neither."""
    head, others = desk.store.jobs.by_others(job, since, tab)
    now = desk.store.work.stamp(job)
    if head == since and now == stamp:
        return Response(status_code=204)
    return JSONResponse({"version": head, "stamp": now, "changed": others, "worked": now != stamp})
