"""Everything to take away from a plan, as named files."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator

from snugbay.booklet import booklet_pdf, pocket_html
from snugbay.document.answers import PlanAnswer, answer_schema, buying_csv, plan_answer, to_json
from snugbay.draw import exploded, model_glb, pieces_dxf, pieces_overview, sheet_drawing, to_svg
from snugbay.flow import JobPlan
from snugbay.tape import tape_for

NamedFile = tuple[str, bytes]
"""Path below the output folder, content."""


def plan_files(plan: JobPlan) -> Iterator[NamedFile]:
    """Yield every file of a plan, the quick and the needed ones first.

    Parameters
    ----------
    plan : JobPlan
        The answer.
    """
    job = plan.job
    fmt = tape_for(job.units).text
    yield "plan.json", to_json(plan_answer(plan)).encode()
    yield "plan.schema.json", (json.dumps(answer_schema(PlanAnswer), indent=1) + "\n").encode()
    yield "buying.csv", buying_csv(plan.buying, job.place.currency).encode()
    for sheet in plan.sheets.sheets:
        yield f"sheets/sheet-{sheet.number:02d}.svg", to_svg(sheet_drawing(sheet, fmt)).encode()
    yield from _drawings(plan, fmt)
    yield "booklet.pdf", booklet_pdf(plan)
    yield "pocket.html", pocket_html(plan).encode()


def _drawings(plan: JobPlan, fmt: Callable[[float], str]) -> Iterator[NamedFile]:
    yield "pieces.svg", to_svg(pieces_overview(plan.pieces, fmt)).encode()
    yield "pieces.dxf", pieces_dxf(plan.pieces).encode()
    if plan.pieces.pieces:
        yield "exploded.svg", to_svg(exploded(plan.job, plan.survey, plan.pieces)).encode()
        yield "model.glb", model_glb(plan.job, plan.survey, plan.pieces)
