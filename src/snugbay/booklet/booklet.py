"""The printed booklet."""

from __future__ import annotations

from snugbay.booklet import drawings
from snugbay.booklet.content import content
from snugbay.booklet.laying import Leaf
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
    names: dict[str, list[str]] = {"cards": [], "faces": []}
    for kind, made in (
        ("cards", drawings.cards(plan)),
        ("faces", drawings.faces(plan)),
    ):
        for n, (_, scene) in enumerate(made):
            file = f"{kind}-{n}.svg"
            scenes[file] = scene
            names[kind].append(file)
    printed = []
    for n, sheet in enumerate(plan.sheets.sheets):
        pages = drawings.sheet_pages(sheet, plan)
        scenes |= {_drawn(n, k): scene for k, scene in enumerate(pages.drawn)}
        leaves = [_leaf(leaf, n) for leaf in pages.leaves if leaf.spots]
        printed.append({"together": pages.together, "apart": pages.apart, "leaves": leaves})
    for number, scene in drawings.steps(plan):
        scenes[f"step-{number}.svg"] = scene
    said = {**content(plan), "drawn": {**names, "sheets": printed}}
    proof = plan.proof if proof is None else proof
    if proof is not None:
        scenes |= proof_drawings(plan.job, proof)
        said["proof"] = proof_section(plan.job, proof)
    return pdf("booklet.typ", said, scenes)


def _drawn(sheet: int, number: int) -> str:
    """Name of the drawing of a sheet, or of one of its parts."""
    return f"sheet-{sheet}-{number}.svg"


def _leaf(leaf: Leaf, sheet: int) -> dict[str, object]:
    """Say where the parts of a sheet lie on a page. [mm]"""
    spots = [{"name": _drawn(sheet, s.number), "x": s.x, "y": s.y} for s in leaf.spots]
    return {"height": leaf.height, "spots": spots}
