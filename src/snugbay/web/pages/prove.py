"""Prove: readings in, what was expected against what was seen; the log and what it teaches."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.responses import Response

from snugbay.base import InputError, SnugbayError
from snugbay.disk import decoded
from snugbay.draw import Scene, cold_spots, forecast_bar, resistance_bars
from snugbay.flow import JobPlan
from snugbay.job import TemperatureKind
from snugbay.prove import ColdSeam, ProveAnswer
from snugbay.prove.names import check_day, hours_on
from snugbay.tape.quantities import R_SI_PER_R_IP
from snugbay.web.beside import take_in
from snugbay.web.desk import Desk
from snugbay.web.forms import Spec, read_value
from snugbay.web.opened import Opened
from snugbay.web.pages.common import TheDesk, TheForm, author_of, go, text_of
from snugbay.web.pages.fit import ELEMENTS, add_log, share_done
from snugbay.web.pages.settings import restructure
from snugbay.web.pages.work import planned_frame
from snugbay.web.printing import Printer
from snugbay.web.render import drawn, page
from snugbay.web.surveying import printer_of
from snugbay.web.texts import texts
from snugbay.words import gathered

router = APIRouter(include_in_schema=False)

CHART = 120.0
"""Width of a chart. [mm]"""


@router.get("/jobs/{job}/prove")
def prove(request: Request, desk: TheDesk, job: str) -> Response:
    """Show the readings, the log, and what they prove."""
    kept, context = planned_frame(desk, job, "prove")
    opened = context["opened"]
    data = opened.data
    view: dict[str, Any] = {
        "log": list(enumerate(data.get("log", {}).get("entries", []))),
        "readings": list(enumerate(data.get("temperatures", []))),
        "faces": [(f.id, f.title) for f in opened.job.faces] if opened.job else [],
        "zones": [(z.id, z.title) for z in opened.job.zones] if opened.job else [],
        "kinds": [k.value for k in TemperatureKind],
        "elements": ELEMENTS,
        "loggers": logger_views(desk, job, opened),
        "timer": desk.store.work.running(job),
        "faults": [f for f in opened.faults if f.where and f.where[0] in ("log", "temperatures", "loggers")],
        "said": request.query_params.get("said", ""),
    }
    if kept is not None and request.query_params.get("verdict") == "yes":
        view |= _verdict(desk, job)
    return page("prove.html", **context, **view)


@router.get("/jobs/{job}/prove/verdict")
def verdict(desk: TheDesk, job: str) -> Response:
    """Answer with what the log and the readings prove, for the page to put in when it is there."""
    _, context = planned_frame(desk, job, "prove")
    return page("proof.html", **context, **_verdict(desk, job))


def _verdict(desk: Desk, job: str) -> dict[str, Any]:
    version, opened = desk.open(job)
    kept = desk.plan(job)
    if kept is None:
        return {"proof": None, "proof_fault": None, "charts": {}, "cold": [], "notes": ()}
    try:
        proof = desk.prove(job, version, opened, kept)
    except SnugbayError as error:
        return {"proof": None, "proof_fault": error, "charts": {}, "cold": [], "notes": ()}
    charts = _charts(proof, printer_of(opened.job, opened.data))
    writer = printer_of(opened.job, opened.data)
    findings = gathered(proof.findings, 8) if proof is not None else ()
    notes = tuple((f.weight, writer.finding(f)) for f in findings)
    cold = cold_scenes(proof, kept.plan)
    return {"proof": proof, "proof_fault": None, "charts": charts, "cold": cold, "notes": notes}


def cold_scenes(proof: ProveAnswer | None, plan: JobPlan) -> list[Scene | None]:
    """Return a drawing of each face on which cold spots were read, the face of the likeliest leak first."""
    seams: dict[str, list[ColdSeam]] = {}
    for seam in proof.seams if proof is not None else ():
        seams.setdefault(seam.face, []).append(seam)
    titles = {f.id: f"{f.id} {f.title}".strip() for f in plan.job.faces}
    known = {f.id: f for f in plan.survey.faces}
    nowhere = texts()("prove.nowhere")
    return [
        drawn(partial(cold_spots, known[face], plan.pieces.pieces, own, titles[face], nowhere))
        for face, own in seams.items()
        if face in known
    ]


def _charts(proof: ProveAnswer | None, printer: Printer) -> dict[str, Scene | None]:
    """Return what the hours and the resistances look like; none where there is nothing to show."""
    made: dict[str, Scene | None] = {}
    if proof is not None and proof.forecast.spent > 0:
        made["forecast"] = drawn(lambda: forecast_bar(proof.forecast, CHART))
    if proof is not None and proof.faces:
        per, unit = (1 / R_SI_PER_R_IP, "h·ft²·°F/Btu") if printer.inch else (1.0, "m²K/W")
        made["faces"] = drawn(lambda: resistance_bars(proof, per, unit, CHART))
    return made


@router.post("/jobs/{job}/log")
def log(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Write hours into the log by hand."""
    hours = read_value(Spec("LogEntryDoc", "hours", "number"), text_of(form, "hours"))
    if not isinstance(hours, (int, float)) or not 0 <= hours <= 100:
        raise InputError("The hours cannot be read.", hint="Write them as 2.5.", code="web.hours")
    entry: dict[str, Any] = {"hours": hours, "element": text_of(form, "element", "all")}
    for name in ("face", "day", "note"):
        if text_of(form, name).strip():
            entry[name] = text_of(form, name).strip()[:300]
    pieces = [p.strip() for p in text_of(form, "pieces").split(",") if p.strip()]
    if pieces:
        entry["pieces"] = pieces
    entry |= share_done(form)
    replaces = text_of(form, "replaces")
    if replaces.isdigit():
        entry["replaces"] = int(replaces)
    _check_day(desk, job, entry)
    add_log(desk, job, entry, author_of(form))
    return go(f"/jobs/{job}/prove#log")


def _check_day(desk: Desk, job: str, entry: dict[str, Any]) -> None:
    """Refuse more hours than the entry's day has for the people on the job; where it names none, than any day has."""
    known, day = desk.open(job)[1].job, entry.get("day", "")
    before = hours_on(known.log, day, entry.get("replaces")) if known is not None and day else 0.0
    check_day(day, entry["hours"], before, known.you.hands if known is not None else 1)


@router.post("/jobs/{job}/temperatures")
def reading(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Write a thermometer's reading into the job."""
    entry = temperature_entry({name: text_of(form, name).strip() for name in form})

    def change(data: dict[str, Any]) -> dict[str, Any]:
        return {**data, "temperatures": [*data.get("temperatures", []), entry]}

    while restructure(desk, job, 0, change, author_of(form), "reading"):
        pass
    return go(f"/jobs/{job}/prove#readings")


@dataclass(frozen=True)
class LoggerView:
    """A logger that the job names.

    Attributes
    ----------
    file, when : str
        Its file, and whether it logged before or after the work.
    columns : tuple of str
        Those that are used.
    at : str
        When the file came in; empty where it did not.
    numbers : range
        Of its rows among all readings, as findings name them.
    """

    file: str
    when: str
    columns: tuple[str, ...]
    at: str
    numbers: range


def logger_views(desk: Desk, job: str, opened: Opened) -> tuple[LoggerView, ...]:
    """Return the loggers of a job, in the document's order."""
    there = {row.name: row.at for row in desk.store.beside.all(job)}
    numbers = desk.reading_numbers(job, opened)
    return tuple(
        LoggerView(
            logger.file,
            ", ".join(dict.fromkeys(like.when for _, like in logger.channels)),
            tuple(column for column, _ in logger.channels),
            there.get(logger.file, "")[:16].replace("T", " "),
            own,
        )
        for logger, own in zip(opened.job.loggers if opened.job is not None else (), numbers, strict=True)
    )


@router.post("/jobs/{job}/loggers")
async def logger(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Take in the file of a logger that the job names."""
    upload = form.get("file")
    if not isinstance(upload, UploadFile) or not upload.filename:
        raise InputError("No file was chosen.", hint="Choose the logger's CSV file.", code="web.file")
    text = decoded(await upload.read())
    _, opened = desk.open(job)
    if opened.job is None:
        raise opened.faults[0]
    await run_in_threadpool(take_in, desk.store, job, opened.job, text_of(form, "name"), text)
    return go(f"/jobs/{job}/prove#loggers")


def temperature_entry(said: dict[str, str]) -> dict[str, Any]:
    """Return a reading as the document holds it; what cannot be read stays as typed, and the page says so."""
    kind = said.get("kind", "")
    if kind not in {k.value for k in TemperatureKind}:
        raise InputError(f"{kind!r} is no kind of reading.", code="web.reading")
    entry: dict[str, Any] = {"kind": kind}
    flux = kind == TemperatureKind.HEAT_FLUX.value
    spec = Spec("TemperatureDoc", "value", "number" if flux else "temperature")
    value = read_value(spec, said.get("value", ""))
    if value is None:
        raise InputError("The reading has no value.", hint="Write it as 50 F or 10.5 C.", code="web.reading")
    entry["flux_w_m2" if flux else "value"] = value
    for name in ("when", "set", "face", "zone", "spot", "side", "time", "reflected", "wind"):
        if said.get(name):
            entry[name] = said[name]
    for name in ("emissivity", "meter_emissivity", "steady_hours", "sigma_k"):
        number = read_value(Spec("TemperatureDoc", name, "number"), said.get(name, ""))
        if number is not None:
            entry[name] = number
    if said.get("sun") == "yes":
        entry["sun"] = True
    return entry
