"""Two- and three-dimensional steady conduction (ISO 10211), junctions of a job, and boards set loosely."""

from snugbay.physics.field.result import FieldResult, Surface, psi_value
from snugbay.physics.field.section import Facing, Point, Region, Section, rectangle
from snugbay.physics.field.solid import AirBlock, Block, Solid
from snugbay.physics.field.solidsolve import SOLID_ACCURACY, SolidResult, solve_solid
from snugbay.physics.field.solve import ISO_10211, Accuracy, solve_section

__all__ = [
    "ISO_10211",
    "SOLID_ACCURACY",
    "Accuracy",
    "AirBlock",
    "Block",
    "Facing",
    "FieldResult",
    "Point",
    "Region",
    "Section",
    "Solid",
    "SolidResult",
    "Surface",
    "psi_value",
    "rectangle",
    "solve_section",
    "solve_solid",
]
