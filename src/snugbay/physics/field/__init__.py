"""Two- and three-dimensional steady conduction (ISO 10211), junctions of a job, and boards set loosely."""

from snugbay.physics.field.result import FieldResult, Surface, psi_value
from snugbay.physics.field.section import Facing, Point, Region, Section, rectangle
from snugbay.physics.field.solve import ISO_10211, Accuracy, solve_section

__all__ = [
    "ISO_10211",
    "Accuracy",
    "Facing",
    "FieldResult",
    "Point",
    "Region",
    "Section",
    "Surface",
    "psi_value",
    "rectangle",
    "solve_section",
]
