"""Start with a space: pictures of the kinds, a few numbers, the space as it stands, the rough answer, on to the job."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from snugbay.base import Effort, InputError, Run, SnugbayError
from snugbay.document.roughly import LIMITS, danger_lines, rough_lines, understood
from snugbay.document.spacing import shown
from snugbay.document.starting import OTHER, USUAL_PLACE, Asked, Started, asked, started
from snugbay.draw import Scene
from snugbay.draw.space import space_drawing
from snugbay.flow import measured
from snugbay.flow.rough import RoughAnswer
from snugbay.job import Units
from snugbay.job.space import Kind, kind_of
from snugbay.job.space.kinds import kinds
from snugbay.materials import fuel_names
from snugbay.web.desk import Desk
from snugbay.web.opened import errors_of
from snugbay.web.pages.common import TheDesk, TheForm, author_of, go, text_of
from snugbay.web.render import drawn, page
from snugbay.web.tasks import Task
from snugbay.web.texts import texts
from snugbay.words import writer_of

router = APIRouter(include_in_schema=False)

ROUGH_SECONDS = 120.0
"""How long the page waits for the rough answer on a busy machine. [s]"""
WITH_BOXES = ("eaves", "open eaves")


@router.get("/start")
def gallery(units: str = Units.FT_IN.value) -> Response:
    """Show the kinds of spaces."""
    wanted = _units(units)
    return page("start.html", kinds=[(k, _usual(k.name)) for k in kinds().values()], units=wanted.value)


@router.get("/start/{name}")
def space(request: Request, desk: TheDesk, name: str) -> Response:
    """Ask for the numbers of a kind; with enough of them show the space and, if asked, the rough answer."""
    kind = kind_of(name)
    given = {k: v.strip() for k, v in request.query_params.items() if v.strip()}
    begun, faults = _begun(kind, given) if "ask" in given else (None, ())
    context: dict[str, Any] = {"scene": _usual(kind.name), "rough": None, "busy": False}
    if begun is not None:
        what, start = begun
        context["scene"] = drawn(lambda: _standing(start))
        if given["ask"] == "rough":
            context |= _rough(desk, what, start)
    return page("start_space.html", **_form(kind, given, faults), **context)


@router.post("/start/{name}")
def begin(desk: TheDesk, name: str, form: TheForm) -> Response:
    """Keep the space as a new job and go on to its readings."""
    kind = kind_of(name)
    given = {key: text_of(form, key).strip() for key in form if text_of(form, key).strip()}
    begun, faults = _begun(kind, given)
    if begun is None:
        context = {"scene": _usual(kind.name), "rough": None, "busy": False}
        return page("start_space.html", 422, **_form(kind, given, faults), **context)
    title = given.get("title", "")[:120] or kind.title
    version = desk.store.jobs.create(title, begun[1].text, author_of(form), f"new {kind.name}")
    return go(f"/jobs/{version.job}/measure")


def _units(text: str) -> Units:
    return Units(text) if text in list(Units) else Units.FT_IN


def _begun(kind: Kind, given: Mapping[str, str]) -> tuple[tuple[Asked, Started] | None, tuple[SnugbayError, ...]]:
    """Read what was typed; what is wrong with it where it cannot be."""
    known = [n.name for n in kind.numbers] + list(OTHER)
    missing = [n.name for n in kind.numbers if n.main and n.name not in given]
    if missing:
        needed = texts()("start.missing")
        return None, tuple(InputError(needed, where=(name,), code="web.needed") for name in missing)
    try:
        what = asked(kind.name, [f"{key}={given[key]}" for key in known if key in given])
        return (what, started(what)), ()
    except SnugbayError as error:
        return None, errors_of(error)


def _form(kind: Kind, given: Mapping[str, str], faults: tuple[SnugbayError, ...]) -> dict[str, Any]:
    units = _units(given.get("units", ""))
    numbers = [
        {
            "name": n.name,
            "title": n.title,
            "main": n.main,
            "value": given.get(n.name, ""),
            "usual": "" if n.main else shown(n, n.guess, units),
            "why": n.why,
            "faults": [f for f in faults if n.name in f.where],
        }
        for n in kind.numbers
    ]
    placed = {n.name for n in kind.numbers}
    return {
        "kind": kind,
        "numbers": numbers,
        "given": given,
        "units": units.value,
        "boxes": kind.name in WITH_BOXES,
        "usual_place": USUAL_PLACE[units],
        "fuels": fuel_names("USD", "EUR"),
        "faults": [f for f in faults if not placed & set(f.where)],
    }


def _standing(begun: Started) -> Scene:
    return space_drawing(begun.job, measured(begun.job, Run(effort=Effort.QUICK)).value)


@cache
def _usual(name: str) -> Scene | None:
    """Return the picture of a kind as it usually is."""
    kind = kind_of(name)
    words = [f"{n.name}={n.guess * (1000 if n.unit == 'length' else 1):g}" for n in kind.numbers if n.main]
    return drawn(lambda: _standing(started(asked(name, [*words, "units=mm"]))))


def _rough(desk: Desk, what: Asked, begun: Started) -> dict[str, Any]:
    """Return the rough answer as the page shows it; busy where the worker has another job in hand."""
    task = Task("rough", begun.job, (begun.space, "hour" in what.others))
    answer = desk.crew.ask("start", task, ROUGH_SECONDS)
    if not isinstance(answer, RoughAnswer):
        return {"busy": True}
    write = writer_of(begun.job)

    def band(b: Any, text: Any) -> str:
        return f"{text(b.p50)} ({text(b.p10)} to {text(b.p90)})"

    writers = (write.hours, write.money, write.money)
    rows = [
        (
            w.name,
            *(band(b, text) for b, text in zip((w.hours, w.cash, w.saving), writers, strict=True)),
            f"{w.regret:.0%}",
        )
        for w in answer.ways
    ]
    first, *lines = rough_lines(what, begun.job, answer)
    shown_lines = {"first": first, "lines": lines, "understood": understood(what, begun, answer), "limits": LIMITS}
    return {"rough": {"rows": rows, "dangers": list(danger_lines(answer)), **shown_lines}}
