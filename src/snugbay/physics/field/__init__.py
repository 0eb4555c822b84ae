"""Two- and three-dimensional steady conduction (ISO 10211), junctions of a job, and boards set loosely."""

from snugbay.physics.field.airgap import GapFlow, still_air_conductance, still_air_conductivity
from snugbay.physics.field.box import BoxLoss, NicheBox, box_loss
from snugbay.physics.field.channel import LooseBoard, loose_board
from snugbay.physics.field.details import (
    COLD,
    WARM,
    Films,
    Junction,
    JunctionLoss,
    Layer,
    board_seam,
    box_corner,
    corner,
    framed_part,
    junction_loss,
    mean_u,
    plain_u,
    plug_edge,
)
from snugbay.physics.field.loose import LooseField, loose_field
from snugbay.physics.field.result import FieldResult, Surface, psi_value
from snugbay.physics.field.section import Facing, Point, Region, Section, rectangle
from snugbay.physics.field.solid import AirBlock, Block, Solid
from snugbay.physics.field.solidsolve import SOLID_ACCURACY, SolidResult, solve_solid
from snugbay.physics.field.solve import ISO_10211, Accuracy, solve_section

__all__ = [
    "COLD",
    "ISO_10211",
    "SOLID_ACCURACY",
    "WARM",
    "Accuracy",
    "AirBlock",
    "Block",
    "BoxLoss",
    "Facing",
    "FieldResult",
    "Films",
    "GapFlow",
    "Junction",
    "JunctionLoss",
    "Layer",
    "LooseBoard",
    "LooseField",
    "NicheBox",
    "Point",
    "Region",
    "Section",
    "Solid",
    "SolidResult",
    "Surface",
    "board_seam",
    "box_corner",
    "box_loss",
    "corner",
    "framed_part",
    "junction_loss",
    "loose_board",
    "loose_field",
    "mean_u",
    "plain_u",
    "plug_edge",
    "psi_value",
    "rectangle",
    "solve_section",
    "solve_solid",
    "still_air_conductance",
    "still_air_conductivity",
]
