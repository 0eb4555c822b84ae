"""Random small spaces with everything that makes geometry hard, cut, proved, laid and drawn.

Skew boxes from inside and outside, eaves with a skew knee wall, several boxes apart; thin ones; notches, holes that
something runs through, hatches with plugs, framing with bays, loose surveys, one to three layers, behind a hatch.
"""

from __future__ import annotations

from dataclasses import replace
from math import radians

import numpy as np
from tests.pieces.rooms import Corners, box_faces, room
from tests.pieces.test_boxes import random_box

from snugbay.base import Effort, NoFit, OutOfRange, Run, SurveyError
from snugbay.draw import (
    exploded,
    model_glb,
    part_drawings,
    piece_drawing,
    pieces_dxf,
    pieces_overview,
    sheet_drawing,
    step_drawing,
    to_svg,
)
from snugbay.job import Access, Face, Framing, Hole, Job, Notch, Opening, Part, Units
from snugbay.pieces import BoardChoice, Fitting, blank, pieces_that_go_in, prove_in_solids
from snugbay.sheets import plan_sheets
from snugbay.survey import JoinCheck, Survey
from snugbay.tape import tape_for
from snugbay.ways import rates_of

REFUSED = (NoFit, OutOfRange, SurveyError)
"""What may be said of a space instead of drawing it."""

Space = tuple[Job, Survey, tuple[BoardChoice, ...]]


def eaves(long: float, deep: float, high: float, skew: float) -> dict[str, Corners]:
    """A floor, a knee wall, a slope and two gable triangles, seen from inside; the floor's front edge runs askew."""
    a, b, c = (0.0, 0.0, 0.0), (long, skew, 0.0), (long, deep, 0.0)
    d, e, f = (0.0, deep, 0.0), (0.0, deep, high), (long, deep, high)
    return {"F": [a, b, c, d], "K": [d, c, f, e], "L": [a, d, e], "R": [b, f, c]}


def random_space(rng: np.random.Generator) -> Space:
    kind = int(rng.integers(0, 4))
    parts: dict[str, Part] = {}
    if kind == 0:
        corners, _, _ = random_box(rng, bool(rng.integers(0, 2)))
    elif kind == 1:
        deep, high = rng.uniform(0.7, 2.2), rng.uniform(0.5, 1.5)
        corners = eaves(float(rng.uniform(0.8, 5.0)), float(deep), float(high), float(rng.uniform(-0.2, 0.2)))
        parts = {"F": Part.FLOOR, "K": Part.KNEE_WALL, "L": Part.GABLE, "R": Part.GABLE}
    elif kind == 2:
        corners = {}
        for k in range(int(rng.integers(2, 4))):
            one, _, _ = random_box(rng, False)
            shift = np.array([4.0 * k, 0.0, 0.0])
            kept = list(one)[: int(rng.integers(2, 6))]
            corners |= {f"{name}{k}": [tuple(np.array(p) + shift) for p in one[name]] for name in kept}
    else:
        w, d, h = (float(x) for x in rng.uniform(0.25, 3.0, 3))
        corners = box_faces(w, d, h, bool(rng.integers(0, 2)))
        for _ in range(int(rng.integers(0, 4))):
            corners.pop(list(corners)[int(rng.integers(0, len(corners)))])
    job, taped = room(corners, parts, sigma=float(rng.choice([0.0005, 0.002, 0.006])))
    known = tuple(
        JoinCheck(j.a, j.b, "", 0.0, 0.0, None, j.opening, radians(float(rng.choice([0.1, 0.5, 3.0]))))
        for j in job.joins
    )
    faces = tuple(_dressed(f, taped, rng) for f in job.faces)
    access = Access(0.5588, 0.762, 1.5, 1.2) if rng.random() < 0.4 else job.access
    units = Units.FT_IN if rng.random() < 0.5 else Units.MM
    choices = tuple(_choice(f, rng) for f in faces)
    return replace(job, faces=faces, access=access, units=units), replace(taped, joins=known), choices


def _dressed(face: Face, taped: Survey, rng: np.random.Generator) -> Face:
    """A face with some of what interrupts it."""
    points = np.array(taped.face(face.id).points)
    long = float(np.hypot(*(points[1] - points[0])))
    middle = points.mean(axis=0)
    notches: tuple[Notch, ...] = ()
    holes: tuple[Hole, ...] = ()
    openings: tuple[Opening, ...] = ()
    if rng.random() < 0.3:
        wide = float(rng.uniform(0.02, 0.2))
        skew = float(rng.choice([0.0, 0.0, 0.4, -0.3]))
        at = float(rng.uniform(-0.02, max(long - wide, 0.0)))
        notches = (Notch("tie", (face.corners[0], face.corners[1]), at, wide, float(rng.uniform(0.03, 0.3)), skew),)
    if rng.random() < 0.3:
        size = float(rng.uniform(0.02, 0.15))
        holes = tuple(
            Hole(f"pipe {k}", float(x), float(y), size, size, bool(k % 2))
            for k, (x, y) in enumerate(middle + rng.uniform(-0.3, 0.3, (int(rng.integers(1, 3)), 2)))
        )
    if rng.random() < 0.2:
        x, y = (float(v) for v in middle - rng.uniform(0.1, 0.3, 2))
        wide, high = (float(v) for v in rng.uniform(0.15, 0.5, 2))
        openings = (Opening("hatch", x, y, wide, high, bool(rng.integers(0, 2))),)
    edges = tuple(zip(face.corners, (*face.corners[1:], face.corners[0]), strict=True))
    rough = tuple(e for e in edges if rng.random() < 0.4)
    framing = None
    if rng.random() < 0.3:
        way = "up" if rng.random() < 0.7 else "across"
        framing = Framing(float(rng.choice([0.4064, 0.6])), 0.0381, 0.14, way, float(rng.uniform(0.0, 0.4)))
    return replace(face, notches=notches, holes=holes, openings=openings, rough_edges=rough, framing=framing)


def _choice(face: Face, rng: np.random.Generator) -> BoardChoice:
    thick = float(rng.choice([0.0254, 0.0508, 0.08]))
    if face.framing is not None and rng.random() < 0.5:
        layers: tuple[tuple[float, Fitting], ...] = ((thick, Fitting.IN_BAYS),)
    else:
        over = Fitting.OVER if face.framing is not None else Fitting.ON_FACE
        layers = ((thick, over),) * int(rng.integers(1, 4))
    return BoardChoice(face.id, "polyiso-2in", layers, 1.2192, 2.4384)


def drawn(space: Space) -> int:
    """Cut, prove, lay and draw a space; return how many boards it has. Refusals are raised as they come."""
    job, taped, choices = space
    run = Run(effort=Effort.QUICK)
    made = pieces_that_go_in(job, taped, choices, run).value
    pieces = replace(made, proof=prove_in_solids(job, taped, made, run))
    fmt = tape_for(job.units).text
    scenes = [exploded(job, taped, pieces), pieces_overview(pieces, fmt)]
    ids = [p.id for p in pieces.pieces]
    half = len(ids) // 2
    step = step_drawing(taped, pieces, ids[half:], ids[:half])
    scenes += [step] if step is not None else []
    scenes += [piece_drawing(p, fmt) for p in pieces.pieces]
    sheets = plan_sheets(
        tuple(blank(p) for p in pieces.pieces), job.stock, job.you.tools, rates_of(job), tape_for(job.units), run
    ).value
    for sheet in sheets.sheets[:3]:
        scenes += [sheet_drawing(sheet, fmt), *part_drawings(sheet, fmt)]
    assert all(to_svg(s) for s in scenes)
    assert pieces_dxf(pieces)
    assert model_glb(job, taped, pieces)
    return len(ids)
