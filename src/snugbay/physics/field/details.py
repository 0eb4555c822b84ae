"""Sections of the junctions that a job is made of: framing under a board, corners, seams, the edge of a plug."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from snugbay.base import InputError, OutOfRange
from snugbay.physics.field.result import FieldResult, psi_value
from snugbay.physics.field.section import Facing, Point, Region, Section, rectangle
from snugbay.physics.field.solve import Accuracy, solve_section

WARM, COLD = "warm", "cold"
"""Names of the two spaces of all sections built here."""

CUT_OFF = 1.0
"""Least distance from a junction to the cut-off plane (or three thicknesses, if more). [m] ISO 10211:2017."""


@dataclass(frozen=True)
class Layer:
    """One layer of a part, plain or crossed by framing.

    Attributes
    ----------
    thickness : float
        [m]
    conductivity : float
        [W/(m·K)]
    name : str
        What it is.
    framing_conductivity : float or None
        Of the framing in this layer; None where nothing crosses it. [W/(m·K)]
    framing_width : float
        Width of each framing member in this layer. [m]
    """

    thickness: float
    conductivity: float
    name: str = ""
    framing_conductivity: float | None = None
    framing_width: float = 0.0

    @property
    def resistance(self) -> float:
        """Of the plain layer. [m²·K/W]"""
        return self.thickness / self.conductivity


@dataclass(frozen=True)
class Films:
    """Surface resistances on both sides. [m²·K/W]

    Attributes
    ----------
    warm, cold : float
        Defaults are those of a wall between a room and a sheltered space (ISO 6946:2017: outer side as the inner one).
    """

    warm: float = 0.13
    cold: float = 0.13


@dataclass(frozen=True)
class Junction:
    """A section between `WARM` and `COLD`, and the plane parts that meet in it.

    Attributes
    ----------
    section : Section
    inner_parts : tuple of (U, length)
        Plane parts measured along the warm surface. [W/(m²·K), m]
    outer_parts : tuple of (U, length)
        The same measured along the cold surface.
    name : str
    """

    section: Section
    inner_parts: tuple[tuple[float, float], ...]
    outer_parts: tuple[tuple[float, float], ...]
    name: str = ""


@dataclass(frozen=True, eq=False)
class JunctionLoss:
    """What a junction adds.

    Attributes
    ----------
    psi_inner, psi_outer : float
        Linear thermal transmittance to add when the plane parts are measured inside or outside. [W/(m·K)]
    coupling : float
        L2D of the whole section. [W/(m·K)]
    factor : float
        Surface temperature factor of the coldest spot on the warm side. [-]
    field : FieldResult
        The field, for pictures and other temperatures.
    """

    psi_inner: float
    psi_outer: float
    coupling: float
    factor: float
    field: FieldResult


def junction_loss(
    junction: Junction, *, warm_c: float = 20.0, cold_c: float = 0.0, accuracy: Accuracy | None = None
) -> JunctionLoss:
    """Solve a junction.

    Parameters
    ----------
    junction : Junction
    warm_c, cold_c : float
        Temperatures for the field; psi and factor do not depend on them. [°C]
    accuracy : Accuracy or None

    Returns
    -------
    JunctionLoss

    References
    ----------
    ISO 10211:2017 (psi from L2D), ISO 13788:2012 5.4 (factor; use a warm film of 0.25 m²·K/W where mould is judged).
    """
    field = solve_section(junction.section, {WARM: warm_c, COLD: cold_c}, accuracy=accuracy)
    coupling = field.coupling(WARM, COLD)
    factor = field.at({WARM: 1.0, COLD: 0.0}).factor(WARM, COLD)
    return JunctionLoss(
        psi_value(coupling, junction.inner_parts), psi_value(coupling, junction.outer_parts), coupling, factor, field
    )


def plain_u(layers: Sequence[Layer], films: Films) -> float:
    """Transmittance of plain layers between two films. [W/(m²·K)]"""
    return 1 / (films.warm + sum(layer.resistance for layer in layers) + films.cold)


def framed_part(layers: Sequence[Layer], spacing: float, films: Films | None = None) -> Junction:
    """Half a bay of framing with its boards: knee wall, rafters, studs.

    Parameters
    ----------
    layers : sequence of Layer
        From the warm to the cold side.
    spacing : float
        Centre to centre of the framing. [m]
    films : Films or None

    Returns
    -------
    Junction
        x from the middle of a member to the middle of a bay, y from warm to cold. ``inner_parts`` hold the plain bay
        over half the spacing, so that psi is what half a member adds.

    Raises
    ------
    OutOfRange
        If a member is as wide as the spacing.
    """
    films = films or Films()
    _check_layers(layers)
    half = spacing / 2
    if not all(0 <= layer.framing_width < spacing for layer in layers):
        raise OutOfRange("A framing member is not narrower than its spacing.", where=("framing_width",))
    regions: list[Region] = []
    y = 0.0
    for layer in layers:
        top = y + layer.thickness
        regions.append(rectangle(0, y, half, top, layer.conductivity, layer.name))
        if layer.framing_conductivity is not None and layer.framing_width > 0:
            framing = layer.framing_conductivity
            regions.append(rectangle(0, y, layer.framing_width / 2, top, framing, f"framing in {layer.name}"))
        y = top
    facings = (Facing((0, 0), (half, 0), WARM, films.warm), Facing((0, y), (half, y), COLD, films.cold))
    parts = ((plain_u(layers, films), half),)
    return Junction(Section(tuple(regions), facings), parts, parts, "framing")


def mean_u(framed: JunctionLoss, spacing: float) -> float:
    """Transmittance of a framed part from its half bay, framing included. [W/(m²·K)]"""
    return framed.coupling / (spacing / 2)


def corner(layers: Sequence[Layer], films: Films | None = None, *, cold_outside: bool = True) -> Junction:
    """A right-angled corner of two equal parts whose layers all turn it.

    Parameters
    ----------
    layers : sequence of Layer
        From the warm to the cold side.
    films : Films or None
    cold_outside : bool
        True where the cold space embraces the corner (a box that pokes into it), False where the warm one does.

    Returns
    -------
    Junction
    """
    films = films or Films()
    _check_layers(layers)
    ordered = list(layers) if cold_outside else list(reversed(layers))
    total = sum(layer.thickness for layer in ordered)
    leg = _leg(total)
    regions, done = [], total
    for layer in reversed(ordered):
        outline: tuple[Point, ...] = ((-leg, -leg), (done, -leg), (done, done), (-leg, done))
        regions.append(Region(outline, layer.conductivity, layer.name))
        done -= layer.thickness
    cut = tuple(_without_room(region, leg) for region in regions)
    inner, outer = (WARM, COLD) if cold_outside else (COLD, WARM)
    film = {WARM: films.warm, COLD: films.cold}
    facings = (
        Facing((0, -leg), (0, 0), inner, film[inner]),
        Facing((-leg, 0), (0, 0), inner, film[inner]),
        Facing((total, -leg), (total, total), outer, film[outer]),
        Facing((-leg, total), (total, total), outer, film[outer]),
    )
    return _corner_junction(Section(cut, facings), (plain_u(layers, films),) * 2, leg, total, cold_outside, "corner")


def _without_room(region: Region, leg: float) -> Region:
    """Cut the inner room out of a square: an L round the origin."""
    edge = max(p[0] for p in region.outline)
    outline = ((0.0, -leg), (edge, -leg), (edge, edge), (-leg, edge), (-leg, 0.0), (0.0, 0.0))
    return Region(outline, region.conductivity, region.name)


def _corner_junction(
    section: Section, u: tuple[float, float], leg: float, total: float, cold_outside: bool, name: str
) -> Junction:
    short = tuple((value, leg) for value in u)
    long = tuple((value, leg + total) for value in u)
    return Junction(section, short if cold_outside else long, long if cold_outside else short, name)


def box_corner(
    panel: Layer,
    board: Layer,
    *,
    joint_gap: float = 0.0,
    joint_conductivity: float = 0.029,
    second_board: Layer | None = None,
    films: Films | None = None,
) -> Junction:
    """Corner of a niche box that pokes into a cold space: panels turn it, one board runs past the end of the other.

    Parameters
    ----------
    panel : Layer
        Side of the box (plywood); the same round the corner.
    board : Layer
        Board that runs past.
    joint_gap : float
        Gap between the board that runs past and the end of the other. [m]
    joint_conductivity : float
        Of what fills the gap: gun foam by default; `still_air_conductivity` for an empty one. [W/(m·K)]
    second_board : Layer or None
        Board whose end butts; None for the same as ``board``.
    films : Films or None

    Returns
    -------
    Junction
        x and y from the inner corner of the box outwards; the board that runs past stands at the high-x face.
    """
    films = films or Films()
    other = second_board or board
    _check_layers([panel, board, other])
    if not 0 <= joint_gap < other.thickness + board.thickness:
        raise OutOfRange("The joint is wider than the boards are thick.", where=("joint_gap",))
    t = panel.thickness
    leg = _leg(t + max(board.thickness, other.thickness))
    far_x, far_y = t + board.thickness, t + other.thickness
    regions = [
        _without_room(Region(((t, t),) * 4, panel.conductivity, panel.name), leg),
        rectangle(t, -leg, far_x, far_y, board.conductivity, board.name),
        rectangle(-leg, t, t - joint_gap, far_y, other.conductivity, other.name),
    ]
    if joint_gap > 0:
        regions.append(rectangle(t - joint_gap, t, t, far_y, joint_conductivity, "joint"))
    facings = (
        Facing((0, -leg), (0, 0), WARM, films.warm),
        Facing((-leg, 0), (0, 0), WARM, films.warm),
        Facing((far_x, -leg), (far_x, far_y), COLD, films.cold),
        Facing((-leg, far_y), (far_x, far_y), COLD, films.cold),
    )
    u = (plain_u([panel, board], films), plain_u([panel, other], films))
    inner = ((u[0], leg), (u[1], leg))
    outer = ((u[0], leg + far_y), (u[1], leg + far_x))
    return Junction(Section(tuple(regions), facings), inner, outer, "box corner")


def board_seam(
    back: Sequence[Layer],
    board: Layer,
    *,
    gap: float,
    gap_conductivity: float,
    films: Films | None = None,
) -> Junction:
    """Half of the seam between two boards that lie on a back.

    Parameters
    ----------
    back : sequence of Layer
        From the warm side to the face under the boards; a still channel is a layer of its equivalent conductivity.
    board : Layer
    gap : float
        Whole width of the seam. [m]
    gap_conductivity : float
        Of what fills it. [W/(m·K)]
    films : Films or None

    Returns
    -------
    Junction
        psi is that of half a seam.
    """
    filled = Layer(board.thickness, board.conductivity, board.name, gap_conductivity, gap)
    junction = framed_part([*back, filled], 2 * _leg(sum(x.thickness for x in (*back, board))), films)
    return Junction(junction.section, junction.inner_parts, junction.outer_parts, "seam")


def plug_edge(
    surround: Sequence[Layer],
    plug: Sequence[Layer],
    *,
    jamb: Layer,
    gap: float,
    gasket: Layer,
    gap_conductivity: float,
    taper: float = math.radians(6.0),
    films: Films | None = None,
) -> Junction:
    """Edge of a bevelled plug in its opening: surround, jamb, a slanting gap with a gasket at the warm side, plug.

    Parameters
    ----------
    surround : sequence of Layer
        The part round the opening, from the warm to the cold side.
    plug : sequence of Layer
        The plug, the same way; as thick as the surround or thinner (it ends level with the warm side).
    jamb : Layer
        Lining of the opening; its ``thickness`` is measured across the opening.
    gap : float
        Gap between jamb and plug, square to the plug's edge. [m]
    gasket : Layer
        Its ``thickness`` is the depth of the gap that it fills, from the warm side.
    gap_conductivity : float
        Of the rest of the gap. [W/(m·K)]
    taper : float
        Slant of the plug's edge; it narrows towards the cold side. [rad]
    films : Films or None

    Returns
    -------
    Junction
        y from warm to cold, the plug at high x. ``inner_parts`` count the surround to the warm edge of the jamb's
        inner face and the plug beyond it.

    Raises
    ------
    InputError
        If the plug is thicker than the surround, or the gasket deeper than the plug.
    """
    films = films or Films()
    _check_layers([*surround, *plug, jamb, gasket])
    thick, deep = sum(x.thickness for x in surround), sum(x.thickness for x in plug)
    if deep > thick * (1 + 1e-12) or gasket.thickness > deep or gap <= 0 or not 0 <= taper < math.radians(60):
        raise InputError(
            "The plug does not fit its opening: it is thicker than the surround, its gasket is deeper than the plug, "
            "or it has no gap.",
            where=("plug",),
        )
    leg = _leg(thick)
    slope, wide = math.tan(taper), gap / math.cos(taper)
    edge = _Edge(slope, leg)
    regions = [edge.left(y, top, 0.0, layer) for y, top, layer in _stacked(surround)]
    regions.append(edge.strip(0.0, thick, -jamb.thickness, 0.0, jamb))
    regions.append(edge.strip(0.0, deep, 0.0, wide, Layer(deep, gap_conductivity, "gap")))
    regions.append(edge.strip(0.0, gasket.thickness, 0.0, wide, gasket))
    regions += [edge.right(y, top, wide, layer) for y, top, layer in _stacked(plug)]
    low = edge.at(deep, 0.0)
    facings = [
        Facing((-leg, 0.0), (leg, 0.0), WARM, films.warm),
        Facing((-leg, thick), edge.at(thick, 0.0), COLD, films.cold),
        Facing(low, (leg, deep), COLD, films.cold),
    ]
    if thick > deep:
        facings.append(Facing(low, edge.at(thick, 0.0), COLD, films.cold))
    u_around, u_plug = plain_u(surround, films), plain_u(plug, films)
    inner = ((u_around, leg), (u_plug, leg))
    reach = edge.at(thick, 0.0)[0]
    outer = ((u_around, leg + reach), (u_plug, leg - reach))
    return Junction(Section(tuple(regions), tuple(facings)), inner, outer, "plug edge")


@dataclass(frozen=True)
class _Edge:
    """The slanting inner face of an opening: x = slope·y."""

    slope: float
    leg: float

    def at(self, y: float, offset: float) -> Point:
        return (self.slope * y + offset, y)

    def left(self, y: float, top: float, offset: float, layer: Layer) -> Region:
        outline = ((-self.leg, y), self.at(y, offset), self.at(top, offset), (-self.leg, top))
        return Region(outline, layer.conductivity, layer.name)

    def right(self, y: float, top: float, offset: float, layer: Layer) -> Region:
        outline = ((self.leg, y), self.at(y, offset), self.at(top, offset), (self.leg, top))
        return Region(outline, layer.conductivity, layer.name)

    def strip(self, y: float, top: float, start: float, end: float, layer: Layer) -> Region:
        outline = (self.at(y, start), self.at(y, end), self.at(top, end), self.at(top, start))
        return Region(outline, layer.conductivity, layer.name)


def _stacked(layers: Sequence[Layer]) -> list[tuple[float, float, Layer]]:
    placed, y = [], 0.0
    for layer in layers:
        placed.append((y, y + layer.thickness, layer))
        y += layer.thickness
    return placed


def _leg(thickness: float) -> float:
    return max(CUT_OFF, 3 * thickness)


def _check_layers(layers: Sequence[Layer]) -> None:
    for i, layer in enumerate(layers):
        good = all(math.isfinite(v) and v > 0 for v in (layer.thickness, layer.conductivity))
        framing = layer.framing_conductivity
        if not good or (framing is not None and not framing > 0):
            raise OutOfRange(
                f"{layer.name or 'A layer'} has no thickness or no conductivity.",
                where=("layers", i),
                hint="Give both.",
            )
