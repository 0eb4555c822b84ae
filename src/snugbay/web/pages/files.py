"""Take away: every file of a plan, and the job itself."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from snugbay.base import UnknownName
from snugbay.web.assets import media_of
from snugbay.web.pages.common import TheDesk
from snugbay.web.pages.work import planned_frame
from snugbay.web.render import page
from snugbay.web.takeaway import archive, file_names

DRAWING_POLICY = "default-src 'none'; style-src 'unsafe-inline'; font-src 'self' data:; frame-ancestors 'none'; sandbox"
"""A drawing by itself carries its own style sheet; nothing in it runs, and nothing is fetched. (CSP Level 3)"""

router = APIRouter(include_in_schema=False)


@router.get("/jobs/{job}/files")
def files(desk: TheDesk, job: str) -> Response:
    """Show what there is to take away."""
    kept, context = planned_frame(desk, job, "files")
    names = () if kept is None else file_names(kept.plan)
    return page("files.html", **{**context, "stage": ""}, names=names)


@router.get("/jobs/{job}/files/{name:path}")
def one_file(desk: TheDesk, job: str, name: str) -> Response:
    """Send one file of the newest plan; names are looked up, never opened as paths."""
    kept = desk.plan(job)
    if kept is None:
        raise UnknownName("There is no plan yet.", hint="Plan the job first.", code="store.no-plan")
    if name == "all.zip":
        body = archive(desk.files(job, kept).all(), {"job.toml": desk.store.jobs.head(job).text.encode()})
        return _sent(body, f"{job}.zip", "application/zip")
    if name not in file_names(kept.plan):
        raise UnknownName(f"The plan has no file {name!r}.", code="store.no-plan")
    return _sent(desk.files(job, kept).get(name), f"{job}-{name.rpartition('/')[2]}", media_of(name))


def _sent(body: bytes, name: str, media: str) -> Response:
    shown = media in ("application/pdf", "image/svg+xml")
    kind = "inline" if shown else "attachment"
    headers = {"content-disposition": f'{kind}; filename="{name}"'}
    if media == "image/svg+xml":
        headers["content-security-policy"] = DRAWING_POLICY
    return Response(body, media_type=media, headers=headers)
