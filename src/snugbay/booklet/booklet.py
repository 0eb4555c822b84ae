"""The printed booklet."""

from __future__ import annotations

from collections.abc import Mapping

from snugbay.booklet import drawings
from snugbay.booklet.content import content
from snugbay.booklet.proof import proof_drawings, proof_section
from snugbay.booklet.typesetting import pdf
from snugbay.draw import Scene
from snugbay.flow import JobPlan
from snugbay.prove.values import ProveAnswer


def booklet_pdf(plan: JobPlan, proof: ProveAnswer | None = None) -> bytes:
    """Print a plan as a PDF booklet: letter paper for feet and inches, A4 for millimetres.

    Cover, cautions, where the heat goes, the choice, the measured faces, pieces, a page for each sheet, buying list,
    sealing, fitting order, work log, appendix. The same plan gives the same bytes.

    Parameters
    ----------
    plan : JobPlan
        The whole answer.
    proof : ProveAnswer or None
        Where work has begun: adds the before-and-after section behind the work log. The plan's own if not given.

    Raises
    ------
    SnugbayError
        If the typesetter refuses.
    """
    scenes: dict[str, Scene] = {f"{name}.svg": scene for name, scene in drawings.charts(plan).items()}
    apart = drawings.apart(plan)
    if apart is not None:
        scenes["apart.svg"] = apart
    names: dict[str, list[str]] = {"sheets": [], "cards": [], "faces": []}
    for kind, made in (
        ("sheets", drawings.sheets(plan)),
        ("cards", drawings.cards(plan)),
        ("faces", drawings.faces(plan)),
    ):
        for n, (_, scene) in enumerate(made):
            file = f"{kind}-{n}.svg"
            scenes[file] = scene
            names[kind].append(file)
    rows_of_parts = []
    for n, sheet in enumerate(plan.sheets.sheets):
        drawn = {f"part-{n}-{k}.svg": scene for k, scene in enumerate(drawings.parts(sheet, plan))}
        scenes |= drawn
        rows_of_parts.append(_in_rows(drawn, drawings.sheet_page(plan).width))
    for number, scene in drawings.steps(plan):
        scenes[f"step-{number}.svg"] = scene
    said = {**content(plan), "drawn": {**names, "parts": rows_of_parts}}
    proof = plan.proof if proof is None else proof
    if proof is not None:
        scenes |= proof_drawings(plan.job, proof)
        said["proof"] = proof_section(plan.job, proof)
    return pdf("booklet.typ", said, scenes)


def _in_rows(drawn: Mapping[str, Scene], width: float) -> list[list[str]]:
    """Set drawings in rows no wider than the page, 6 mm apart."""
    rows: list[list[str]] = []
    left = 0.0
    for name, scene in drawn.items():
        if not rows or left + scene.width > width + 0.1:
            rows.append([])
            left = 0.0
        rows[-1].append(name)
        left += scene.width + 6
    return rows
