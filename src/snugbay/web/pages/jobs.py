"""The list of jobs: start one, open an example or a file, take one off the list."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import tomlkit
from fastapi import APIRouter, Request
from starlette.datastructures import UploadFile
from starlette.responses import Response

from snugbay.base import InputError
from snugbay.document import EXAMPLES, example
from snugbay.document.bounded import toml_data
from snugbay.materials import fuel_names
from snugbay.physics.climate import search_places
from snugbay.store.jobs import slug
from snugbay.tape import parse_length
from snugbay.web.incoming import put_on_list
from snugbay.web.pages.common import TheDesk, TheForm, author_of, go, text_of
from snugbay.web.render import page, render

router = APIRouter(include_in_schema=False)

SPACE_SIZE = ("space_length", "space_width", "space_height")


@router.get("/")
def jobs(desk: TheDesk, removed: str = "") -> Response:
    """Show the jobs, examples and the ways to start."""
    gone = desk.store.jobs.row(removed) if removed else None
    rows = [(row, desk.progress_of(row.id)) for row in desk.store.jobs.all()]
    examples = [(name, str(toml_data(example(name)).get("title", name))) for name in EXAMPLES]
    heats = fuel_names("USD", "EUR")  # the currencies of the two units; another is set on the page of the place
    return page("jobs.html", rows=rows, examples=examples, share=desk.share, removed=gone, fuels=heats)


@router.post("/jobs/example")
def open_example(desk: TheDesk, form: TheForm) -> Response:
    """Open an example as a job of one's own."""
    name = text_of(form, "name")
    text = example(name)
    version = desk.store.jobs.create(str(toml_data(text).get("title", name)), text, author_of(form), f"example {name}")
    return go(f"/jobs/{version.job}/measure")


@router.post("/jobs/file")
async def open_file(desk: TheDesk, form: TheForm) -> Response:
    """Open a job document from a file."""
    upload = form.get("file")
    if not isinstance(upload, UploadFile) or not upload.filename:
        raise InputError("No file was chosen.", hint="Choose a job document (TOML).", code="web.file")
    try:
        text = (await upload.read()).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError("The file is not text in UTF-8.", hint="Is it a job document?", code="web.file") from None
    job = put_on_list(desk.store, text, upload.filename, author_of(form))
    return go(f"/jobs/{job}/measure")


@router.post("/jobs")
def new_job(desk: TheDesk, form: TheForm) -> Response:
    """Start an empty job."""
    title = text_of(form, "title").strip()[:120]
    if not title:
        raise InputError("The job needs a name.", hint="Write what you call it: the north eaves.", code="web.title")
    version = desk.store.jobs.create(title, blank_document(title, form_values(form)), author_of(form))
    return go(f"/jobs/{version.job}/measure")


def form_values(form: Any) -> dict[str, str]:
    """Return what the form for a new job says."""
    names = ("units", "climate", "fuel", "space", *SPACE_SIZE, "width", "height", "clear_run")
    return {name: text_of(form, name).strip() for name in names}


def blank_document(title: str, values: dict[str, str]) -> str:
    """Return the document of a job without faces.

    Parameters
    ----------
    title : str
        Name for people.
    values : dict
        units, climate, fuel, space (name of the cold space, or empty) and its rough sizes, width, height, clear_run (of
        the way in).

    Raises
    ------
    InputError
        If a size of the cold space cannot be read.
    """
    document = tomlkit.document()
    units = "mm" if values["units"] == "mm" else "ft-in"
    for key, value in (("version", 1), ("name", slug(title)[:40]), ("title", title), ("units", units)):
        document.add(key, tomlkit.item(value))
    place = tomlkit.table()
    place.add("climate", values["climate"])
    place.add("fuel", values["fuel"] or "gas")
    document.add("place", place)
    zones = tomlkit.aot()
    kept = [("inside", "Rooms", "inside"), ("outside", "Outdoors", "outside")]
    if values["space"]:
        kept.append((slug(values["space"])[:24], values["space"][:80], "buffer"))
    for ident, name, kind in kept:
        zone = tomlkit.table()
        for key, text in (("id", ident), ("title", name), ("kind", kind)):
            zone.add(key, text)
        if kind == "buffer":
            zone.add("may_come_inside", True)
            volume = rough_volume([values.get(name, "") for name in SPACE_SIZE], units)
            if volume is not None:
                zone.add("volume_m3", volume)
        zones.append(zone)
    document.add("zones", zones)
    access = tomlkit.table()
    for key in ("width", "height", "clear_run"):
        if values[key]:
            access.add(key, values[key])
    document.add("access", access)
    return tomlkit.dumps(document)


def rough_volume(sizes: Sequence[str], units: str) -> float | None:
    """Return the air volume of a space under a slope: half of length, width and greatest height. [m³]

    None where one of them was not said; raises `InputError` where one cannot be read.
    """
    if not all(sizes):
        return None
    long, wide, high = (float(parse_length(size, "in" if units == "ft-in" else "mm")) for size in sizes)
    return round(long * wide * high / 2, 1)


@router.post("/jobs/{job}/remove")
def remove(desk: TheDesk, job: str) -> Response:
    """Take a job off the list; the page offers to bring it back."""
    desk.store.jobs.remove(job)
    return go(f"/?removed={job}")


@router.post("/jobs/{job}/bring-back")
def bring_back(desk: TheDesk, job: str) -> Response:
    """Put a job back on the list."""
    desk.store.jobs.bring_back(job)
    return go("/")


@router.get("/places")
def places(request: Request) -> Response:
    """Return names of places with a bundled climate, for the field that asks for one."""
    text = request.query_params.get("q", "") or request.query_params.get("climate", "")
    found = search_places(text[:60]) if len(text) >= 2 else ()
    return Response(render("places.html", {"places": found}), media_type="text/html")
