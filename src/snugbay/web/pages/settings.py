"""The job: place, spaces, way in, you, wishes, stock; and adding and removing whole entries."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from snugbay.base import InputError, Where
from snugbay.document.bounded import toml_data
from snugbay.job.space import kinds
from snugbay.store import Conflict, rewritten
from snugbay.store.jobs import slug
from snugbay.web.desk import Desk
from snugbay.web.forms import spec_at
from snugbay.web.opened import follow
from snugbay.web.pages.common import PLACED, TheDesk, TheForm, author_of, frame, go, number_of, safe_path, text_of
from snugbay.web.pointer import changed, place
from snugbay.web.render import page
from snugbay.web.sections import job_sections
from snugbay.web.texts import texts

router = APIRouter(include_in_schema=False)

Change = Callable[[dict[str, Any]], dict[str, Any]]


@router.get("/jobs/{job}/about")
def about(request: Request, desk: TheDesk, job: str) -> Response:
    """Show everything in the document that is no face."""
    version, opened = desk.open(job)
    said = request.query_params.get("said", "")
    sections = job_sections(opened, texts())
    faults = [f for f in opened.faults if not f.where or f.where[0] not in PLACED]
    context = frame(desk, job, "", version, opened)
    return page("about.html", sections=sections, said=said, clashes=(), faults=faults, **context)


def restructure(desk: Desk, job: str, base: int, change: Change, author: str, what: str) -> tuple[Conflict, ...]:
    """Change the shape of a document from the version that the page showed; returns what conflicts."""
    started = desk.store.jobs.version(job, base) if base else desk.store.jobs.head(job)
    data = change(toml_data(started.text))
    saved = desk.store.jobs.save(job, started.number, rewritten(started.text, data), author, what)
    return saved.conflicts


@router.post("/jobs/{job}/rows")
def rows(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Add an empty entry to a list, or take one out."""
    at = text_of(form, "at")
    where = place(at)
    _, opened = desk.open(job)
    spec_at(opened.data, where)  # refuses what no document can hold
    removing = text_of(form, "do") == "remove"

    def change(data: dict[str, Any]) -> dict[str, Any]:
        if removing:
            return changed(data, where, None)
        held = follow(data, where)
        return changed(data, where, [*(held if isinstance(held, list) else []), {}])

    base = number_of(form, "version")
    conflicts = restructure(desk, job, base, change, author_of(form), f"{'remove' if removing else 'add'} {at}")
    back = text_of(form, "back")
    target = back if safe_path(back, job) else f"/jobs/{job}/about"
    return go(_told(target, "moved-on") if conflicts else target)


def _told(target: str, said: str) -> str:
    return f"{target}{'&' if '?' in target else '?'}said={said}"


@router.post("/jobs/{job}/faces")
def add_face(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Add a face or a shape and go to its readings."""
    shape = text_of(form, "shape")
    _, opened = desk.open(job)
    title = text_of(form, "title").strip()[:80]
    kind = shape.removeprefix("space ")
    if kind != shape and kind in kinds():
        return _add_space(desk, job, kind, title, author_of(form))
    group = "faces" if shape in OUTLINES else "shapes"
    ident = _free_id(opened.data, title or shape)
    between = [text_of(form, "warm"), text_of(form, "cold")]
    table = _new_face(ident, title, shape, between) if group == "faces" else _new_shape(ident, title, shape, between)

    def change(data: dict[str, Any]) -> dict[str, Any]:
        return {**data, group: [*data.get(group, []), table]}

    restructure(desk, job, 0, change, author_of(form), f"add /{group}/{ident}")
    return go(f"/jobs/{job}/measure?item={group}/{ident}")


def _add_space(desk: Desk, job: str, kind: str, title: str, author: str) -> Response:
    def change(data: dict[str, Any]) -> dict[str, Any]:
        space = {"kind": kind, **({"title": title} if title else {})}
        return {**data, "spaces": [*data.get("spaces", []), space]}

    restructure(desk, job, 0, change, author, f"add a space: {kind}")
    spaces = desk.open(job)[1].data.get("spaces", [])
    return go(f"/jobs/{job}/measure?item=spaces/{len(spaces) - 1}")


OUTLINES = ("rectangle", "triangle", "stations", "polygon")
_SHORT = {"knee wall": "K", "niche box": "B", "gable triangle": "G", "rafter slope": "S", "dormer cheek": "D"}
_SHORT |= {"rim joist row": "R", "cellar wall": "C"}


def _free_id(data: Any, name: str) -> str:
    """Return a short id that no face has: a letter and a number."""
    taken = {str(t.get("id")) for g in ("faces", "shapes") for t in data.get(g, []) if isinstance(t, dict)}
    letter = _SHORT.get(name) or (slug(name)[:1].upper() or "F")
    number = next(n for n in range(1, 10_000) if f"{letter}{n}" not in taken)
    return f"{letter}{number}"


def _new_face(ident: str, title: str, shape: str, between: list[str]) -> dict[str, Any]:
    outline: dict[str, Any] = {"shape": shape}
    if shape == "stations":
        outline["stations"] = [{}, {}]
    if shape == "polygon":
        outline |= {"corners": list("ABCD"), "readings": [{"side": e} for e in ("A-B", "B-C", "C-D", "D-A")]}
        outline["readings"] += [{"diagonal": "A-C"}]
    named = {"title": title} if title else {}
    return {"id": ident, **named, "part": "wall", "between": between, "outline": outline}


def _new_shape(ident: str, title: str, shape: str, between: list[str]) -> dict[str, Any]:
    if shape not in _SHORT:
        raise InputError(f"{shape!r} is no shape.", hint="Choose one from the list.", code="web.shape")
    named = {"title": title} if title else {}
    pockets: dict[str, Any] = {"pockets": [{}]} if shape == "rim joist row" else {}
    return {"shape": shape, "id": ident, **named, "between": between, **pockets}


@router.post("/jobs/{job}/faces/remove")
def remove_face(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Take a face, shape or space out, and the joins that name it."""
    where = place(text_of(form, "at"))
    if len(where) != 2 or where[0] not in PLACED:
        raise InputError("That is no face.", code="web.pointer")

    def change(data: dict[str, Any]) -> dict[str, Any]:
        ident = str(where[1])
        joins = [j for j in data.get("joins", []) if not _names(j, ident)]
        kept = changed(data, where, None)
        return {**kept, "joins": joins} if "joins" in kept else kept

    conflicts = restructure(
        desk, job, number_of(form, "version"), change, author_of(form), f"remove /{where[0]}/{where[1]}"
    )
    return go(f"/jobs/{job}/measure" + ("?said=moved-on" if conflicts else ""))


def _names(join: Any, ident: str) -> bool:
    ends = [join.get("a"), join.get("b")] if isinstance(join, dict) else []
    return any(isinstance(e, list) and e and (e[0] == ident or str(e[0]).startswith(f"{ident}-")) for e in ends)


@router.post("/jobs/{job}/readings")
def add_reading(desk: TheDesk, job: str, form: TheForm) -> Response:
    """Add a reading to a face with lettered corners, or to a shape."""
    where = place(text_of(form, "at"))
    kind, edge = text_of(form, "kind"), text_of(form, "edge").strip().upper()
    to = text_of(form, "to").strip().upper()

    def change(data: dict[str, Any]) -> dict[str, Any]:
        held = follow(data, (*where, "readings"))
        row: dict[str, Any] = {kind: edge, **({"to": to} if to else {})}
        return changed(data, (*where, "readings"), [*(held if isinstance(held, list) else []), row])

    _check_reading(where, kind)
    restructure(desk, job, number_of(form, "version"), change, author_of(form), "add reading")
    back = text_of(form, "back")
    return go(back if safe_path(back, job) else f"/jobs/{job}/measure")


def _check_reading(where: Where, kind: str) -> None:
    kinds = ("side", "diagonal", "angle", "square", "along", "offset", "plumb", "level", "twist")
    if len(where) != 3 or where[0] != "faces" or where[2] != "outline" or kind not in kinds:
        raise InputError("A reading cannot stand there.", code="web.pointer")
