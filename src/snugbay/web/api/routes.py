"""Routes of the API."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends
from starlette.responses import JSONResponse, Response

from snugbay.base import InputError, Run, SnugbayError, UnknownName
from snugbay.document import schema
from snugbay.document.answers import MeasureAnswer, PlanAnswer, measure_answer, plan_answer, to_json
from snugbay.document.bounded import toml_data
from snugbay.store import KeptPlan, Saved, Version
from snugbay.web.api.models import (
    ConflictBody,
    Document,
    DocumentChange,
    Fault,
    Faults,
    FieldEdits,
    FileLine,
    JobLine,
    NewJob,
    SavedBody,
    StandingBody,
    Step,
    Tick,
    Ticks,
    VersionLine,
    WorkOrder,
)
from snugbay.web.crew import Standing
from snugbay.web.desk import Desk
from snugbay.web.edits import Edit
from snugbay.web.forms import spec_at
from snugbay.web.opened import open_text
from snugbay.web.pages.common import desk_of
from snugbay.web.pointer import as_text, place
from snugbay.web.takeaway import file_names
from snugbay.words import writer_for

REFUSALS: dict[int | str, dict[str, Any]] = {
    404: {"model": Faults, "description": "No such job, version or plan."},
    422: {"model": Faults, "description": "Something in what was sent, or in the document, cannot be used."},
}
router = APIRouter(prefix="/api", tags=["jobs"], responses=REFUSALS)
TheDesk = Annotated[Desk, Depends(desk_of)]
CONFLICT: dict[int | str, dict[str, Any]] = {409: {"model": SavedBody, "description": "Others changed the same field."}}


def fault_body(error: SnugbayError) -> Fault:
    """Return a fault as the API tells it."""
    writer = writer_for(error)
    return Fault(
        code=error.code, what=writer.what(error), hint=writer.hint(error), where=list(error.where), line=error.line
    )


def _line(desk: Desk, job: str) -> JobLine:
    row = desk.store.jobs.row(job)
    return JobLine(
        id=row.id, title=row.title, version=row.head, changed_at=row.changed_at, plan=desk.progress_of(row.id).plan
    )


def _saved(saved: Saved) -> Response:
    conflicts = [
        ConflictBody(where=list(c.where), mine=as_text(c.mine), theirs=as_text(c.theirs)) for c in saved.conflicts
    ]
    body = SavedBody(version=saved.version.number, merged=saved.merged, conflicts=conflicts)
    return JSONResponse(body.model_dump(), 409 if conflicts else 200)


def _standing(standing: Standing) -> StandingBody:
    error = None if standing.error is None else fault_body(standing.error)
    return StandingBody(
        number=standing.number, stage=standing.stage, share=standing.share, over=standing.over, error=error
    )


def _kept(desk: Desk, job: str) -> KeptPlan:
    desk.store.jobs.row(job)
    kept = desk.plan(job)
    if kept is None:
        raise UnknownName(f"The job {job!r} has no plan yet.", hint="Start work on it first.", code="store.no-plan")
    return kept


@router.get("/jobs")
def list_jobs(desk: TheDesk) -> list[JobLine]:
    """List the saved jobs, last changed first."""
    return [_line(desk, row.id) for row in desk.store.jobs.all()]


@router.post("/jobs", status_code=201)
def create_job(desk: TheDesk, body: NewJob) -> JobLine:
    """Keep a new job. Any TOML is kept; what is wrong with it is told with the document."""
    data = toml_data(body.document)
    title = body.title or str(data.get("title") or data.get("name") or "job")
    return _line(desk, desk.store.jobs.create(title[:120], body.document, "api").job)


@router.get("/jobs/{job}")
def read_job(desk: TheDesk, job: str) -> JobLine:
    """Return one job's line."""
    return _line(desk, job)


@router.delete("/jobs/{job}", status_code=204)
def remove_job(desk: TheDesk, job: str) -> None:
    """Take a job off the list; its history is kept."""
    desk.store.jobs.remove(job)


@router.get("/jobs/{job}/document")
def read_document(desk: TheDesk, job: str) -> Document:
    """Return a job's document and what is wrong with it."""
    version, opened = desk.open(job)
    return Document(version=version.number, text=version.text, faults=[fault_body(f) for f in opened.faults])


@router.put("/jobs/{job}/document", response_model=SavedBody, responses=CONFLICT)
def write_document(desk: TheDesk, job: str, body: DocumentChange) -> Response:
    """Save a changed document; changes that others made to other fields meanwhile are merged."""
    return _saved(desk.store.jobs.save(job, body.version, body.text, body.author, "document"))


@router.patch("/jobs/{job}/fields", response_model=SavedBody, responses=CONFLICT)
def edit_fields(desk: TheDesk, job: str, body: FieldEdits) -> Response:
    """Change single fields; a field that others changed meanwhile is told and left, the rest is saved."""
    _, opened = desk.open(job)
    edits = []
    for edit in body.edits:
        where = place(edit.at)
        edits.append(Edit(where, edit.was, edit.now, spec_at(opened.data, where)))
    kept = desk.keep(job, edits, body.author)
    conflicts = [ConflictBody(where=list(place(c.at)), mine=c.mine, theirs=c.theirs) for c in kept.clashes]
    answer = SavedBody(version=kept.version.number, merged=False, conflicts=conflicts)
    return JSONResponse(answer.model_dump(), 409 if conflicts else 200)


@router.post("/jobs/{job}/undo", response_model=SavedBody, responses=CONFLICT)
def undo(desk: TheDesk, job: str, body: Step) -> Response:
    """Take the last change back, as a new version."""
    return _saved(desk.store.jobs.undo(job, body.author, body.version))


@router.post("/jobs/{job}/redo", response_model=SavedBody, responses=CONFLICT)
def redo(desk: TheDesk, job: str, body: Step) -> Response:
    """Make the change again that was taken back."""
    return _saved(desk.store.jobs.redo(job, body.author, body.version))


@router.get("/jobs/{job}/history")
def history(desk: TheDesk, job: str, limit: int = 100) -> list[VersionLine]:
    """List the newest versions, newest first."""
    versions: tuple[Version, ...] = desk.store.jobs.history(job, max(1, min(limit, 1000)))
    return [VersionLine(number=v.number, kind=v.kind, what=v.what, author=v.author, at=v.at) for v in versions]


@router.get("/jobs/{job}/survey", response_model=MeasureAnswer, tags=["measure"])
def survey(desk: TheDesk, job: str) -> Response:
    """Adjust the readings: faces, suspects, what nothing checks. Faces that cannot be surveyed are refused by name."""
    _, opened = desk.open(job)
    surveyed = desk.measured(opened)
    faults = (*opened.faults, *surveyed.faults)
    if surveyed.job is None or surveyed.survey is None or faults:
        raise faults[0] if faults else InputError("The job has no faces.", hint="Add one.", code="web.no-faces")
    return _json(to_json(measure_answer(surveyed.job, surveyed.survey, surveyed.findings)))


@router.post("/jobs/{job}/work", status_code=202, tags=["plan"])
def start_work(desk: TheDesk, job: str, body: WorkOrder) -> StandingBody:
    """Start planning a job, or tell how the planning that runs already stands."""
    return _standing(desk.start_plan(job, Run(body.seed, body.effort)))


@router.get("/jobs/{job}/work", tags=["plan"])
def work(desk: TheDesk, job: str) -> StandingBody:
    """Tell how a job's newest work stands; the page follows it by server-sent events at ``/jobs/{job}/work``."""
    desk.store.jobs.row(job)
    latest = desk.crew.latest(job)
    if latest is None:
        raise UnknownName(f"Nothing was started for the job {job!r}.", code="store.no-plan")
    return _standing(latest)


@router.delete("/jobs/{job}/work", tags=["plan"])
def stop_work(desk: TheDesk, job: str) -> StandingBody:
    """Stop planning; the best so far is kept."""
    running = desk.crew.running(job)
    if running is not None:
        desk.crew.stop(running.number)
    return work(desk, job)


@router.get("/jobs/{job}/plan", response_model=PlanAnswer, tags=["plan"])
def read_plan(desk: TheDesk, job: str) -> Response:
    """Return a job's newest plan."""
    return _json(to_json(plan_answer(_kept(desk, job).plan)))


@router.get("/jobs/{job}/files", tags=["plan"])
def files(desk: TheDesk, job: str) -> list[FileLine]:
    """List what there is to take away."""
    names = file_names(_kept(desk, job).plan)
    return [FileLine(name=name, address=f"/jobs/{job}/files/{name}") for name in names]


@router.get("/jobs/{job}/ticks", tags=["work"])
def ticks(desk: TheDesk, job: str) -> Ticks:
    """Tell what is ticked off of the newest plan."""
    number = _kept(desk, job).number
    kinds = {kind: sorted(desk.store.work.ticks(job, number, kind)) for kind in ("cut", "piece", "step", "bought")}
    return Ticks(plan=number, cuts=kinds["cut"], pieces=kinds["piece"], steps=kinds["step"], bought=kinds["bought"])


@router.put("/jobs/{job}/ticks", tags=["work"])
def tick(desk: TheDesk, job: str, body: Tick) -> Ticks:
    """Tick something off or take the tick back; a guarded step needs its cautions acknowledged first."""
    desk.tick(job, _kept(desk, job), body.kind, body.key, body.done)
    return ticks(desk, job)


@router.get("/schema/job", tags=["schemas"])
def job_schema() -> dict[str, Any]:
    """Return the JSON Schema of the job document."""
    return schema()


@router.post("/check", tags=["schemas"])
def check(body: NewJob) -> list[Fault]:
    """Tell what is wrong with a document, without keeping it."""
    return [fault_body(f) for f in open_text(body.document).faults]


def _json(text: str) -> Response:
    return Response(text, media_type="application/json")
