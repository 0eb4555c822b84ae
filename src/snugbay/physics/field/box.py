"""A niche box that pokes into a cold space, as a body: panels, boards round them, all edges and corners."""

from __future__ import annotations

from dataclasses import dataclass, field

from snugbay.base import OutOfRange
from snugbay.physics.field.details import COLD, WARM, Films, Layer, plain_u
from snugbay.physics.field.solid import AirBlock, Block, Corner, Solid
from snugbay.physics.field.solidsolve import SOLID_ACCURACY, SolidResult, solve_solid
from snugbay.physics.field.solve import Accuracy


@dataclass(frozen=True)
class NicheBox:
    """A box open to the room, its other five sides in the cold.

    Attributes
    ----------
    width, height, depth : float
        Inside, between the panels; depth from the line of the wall to the back. [m]
    panel : Layer
        Sides, back, top and bottom alike (plywood).
    board : Layer
        Round them, joints closed.
    films : Films
    """

    width: float
    height: float
    depth: float
    panel: Layer
    board: Layer
    films: Films = field(default_factory=Films)

    @property
    def inner_area(self) -> float:
        """Five sides measured inside. [m²]"""
        return 2 * self.depth * (self.width + self.height) + self.width * self.height

    @property
    def inner_edges(self) -> float:
        """Length of the eight edges between the five sides, measured inside. [m]"""
        return 4 * self.depth + 2 * (self.width + self.height)

    @property
    def plain_u(self) -> float:
        """Of a side away from edges. [W/(m²·K)]"""
        return plain_u([self.panel, self.board], self.films)


@dataclass(frozen=True, eq=False)
class BoxLoss:
    """Loss of a box.

    Attributes
    ----------
    coupling : float
        L3D of the whole box. [W/K]
    beyond_sides : float
        Part of it that edges and corners add to the sides measured inside. [W/K]
    factor : float
        Surface temperature factor of the coldest corner inside. [-]
    quarter : SolidResult
        A quarter of the box.
    """

    coupling: float
    beyond_sides: float
    factor: float
    quarter: SolidResult


def box_loss(box: NicheBox, accuracy: Accuracy = SOLID_ACCURACY) -> BoxLoss:
    """Solve a quarter of a niche box.

    Parameters
    ----------
    box : NicheBox
    accuracy : Accuracy

    Returns
    -------
    BoxLoss

    Raises
    ------
    OutOfRange
        If a size is not positive.

    Notes
    -----
    The cut at the line of the wall is adiabatic: what passes between the box and the wall's own insulation is a
    junction of its own.

    References
    ----------
    ISO 10211:2017, three-dimensional calculation with planes of symmetry.
    """
    if not all(v > 0 for v in (box.width, box.height, box.depth, box.panel.thickness, box.board.thickness)):
        raise OutOfRange("A box needs a width, a height, a depth, panels and boards.", where=("box",))
    solved = solve_solid(quarter(box), {WARM: 1.0, COLD: 0.0}, accuracy=accuracy)
    whole = 4 * solved.coupling(WARM, COLD)
    return BoxLoss(whole, whole - box.plain_u * box.inner_area, solved.factor(WARM, COLD), solved)


def quarter(box: NicheBox) -> Solid:
    """Return a quarter of a box, its planes of symmetry at x = 0 and z = 0, the wall's line at y = 0."""
    inner = (box.width / 2, box.depth, box.height / 2)
    middle = _grown(inner, box.panel.thickness)
    outer = _grown(middle, box.board.thickness)
    far = _grown(outer, outer[0])
    blocks = (*_shell(middle, outer, box.board), *_shell(inner, middle, box.panel))
    cold = [AirBlock(_low(k, outer), far, COLD, box.films.cold) for k in range(3)]
    return Solid(blocks, (*cold, AirBlock((0, 0, 0), inner, WARM, box.films.warm)))


def _grown(corner: Corner, by: float) -> Corner:
    return (corner[0] + by, corner[1] + by, corner[2] + by)


def _low(axis: int, corner: Corner) -> Corner:
    """Lower corner of what lies beyond a corner along one axis."""
    x, y, z = (corner[k] if k == axis else 0.0 for k in range(3))
    return (x, y, z)


def _shell(inner: Corner, outer: Corner, layer: Layer) -> tuple[Block, ...]:
    return tuple(Block(_low(k, inner), outer, layer.conductivity, layer.name) for k in range(3))
