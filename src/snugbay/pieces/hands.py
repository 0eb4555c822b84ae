"""How large a board the hands on the job can hold in place."""

from __future__ import annotations

from math import inf

from snugbay.base import NoFit, UnknownName
from snugbay.job import Face, Job
from snugbay.materials import board, headroom_factor
from snugbay.pieces.rates import typical
from snugbay.pieces.stack import Slab
from snugbay.pieces.values import BoardChoice
from snugbay.survey import Survey
from snugbay.survey.clearance import clearance


def mass_per_area(material: str, thickness: float) -> float | None:
    """Return the mass of a board of this thickness, None for a material that the boards table lacks. [kg/m²]"""
    try:
        row = board(material)
    except UnknownName:
        return None
    return row.weight * thickness / row.thickness


def hands_area(job: Job, survey: Survey, face: Face, choice: BoardChoice, slab: Slab) -> float:
    """Return the largest board that the hands can place on this face; infinite where nobody asked. [m²]

    Raises
    ------
    NoFit
        If the face is so low that no board work is done there.

    Notes
    -----
    Area and mass that one or two people hold standing, over the factor by which a low place makes work slower
    (assumption: what takes twice the time is held half as well).
    """
    if not choice.in_hands:
        return inf
    factor = headroom_factor(clearance(job, survey).middle(face))
    if factor is None:
        raise NoFit(
            f"{face.id} is too low to work in: no board can be placed there by hand.",
            where=("faces", face.id, "headroom"),
            hint="Choose another way for this face.",
        )
    pair = "two" if job.you.hands >= 2 else "one"
    area = typical(f"hand_area_{pair}")
    mass = mass_per_area(choice.material, slab.thickness)
    if mass:
        area = min(area, typical(f"hand_mass_{pair}") / mass)
    return area / factor
