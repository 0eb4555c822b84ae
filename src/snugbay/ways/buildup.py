"""Resistance of a face, as it is and with more layers, by the combined method."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from snugbay.base import OutOfRange
from snugbay.job import Layer, ZoneKind
from snugbay.materials import Rates, material
from snugbay.physics.heat import (
    FRONT,
    RSE,
    WALL,
    HeatFlow,
    LayerR,
    airspace_table,
    cellar_wall_u,
    characteristic_dimension,
    combined,
    equivalent_thickness,
    floor_u,
    surface_resistance,
)
from snugbay.ways.measure import Measured

FIBRE = frozenset({"fibre", "foam", "board"})
"""Kinds of material that count as insulation: old insulation comes out of these."""

AIRTIGHT = frozenset(
    {
        "plywood",
        "osb",
        "gypsum",
        "plaster-lath",
        "concrete",
        "concrete-block",
        "polyiso",
        "xps",
        "closed-cell-foam",
        "open-cell-foam",
        "polyethylene",
        "linoleum",
    }
)
"""Materials that stop air once their joints are sealed; boards, masonry and slates are too open."""


@dataclass(frozen=True)
class Added:
    """A layer that a way adds.

    Attributes
    ----------
    r_low, r, r_high : float
        Resistance of the layer itself. [m²·K/W]
    thickness : float
        [m]
    between : bool
        True where it lies between the framing.
    material : str
        Key in the materials table, for moisture.
    """

    r_low: float
    r: float
    r_high: float
    thickness: float
    between: bool
    material: str


@dataclass(frozen=True)
class FaceR:
    """Resistance of a whole face, with films.

    Attributes
    ----------
    upper, lower, total : float
        Limits and mean of the combined method. [m²·K/W]
    """

    upper: float
    lower: float
    total: float


def layer_r(layer: Layer, flow: HeatFlow) -> float:
    """Resistance of one existing layer. [m²·K/W]

    Raises
    ------
    UnknownName
        If the material is not in the table.
    OutOfRange
        If an air layer is deeper than 300 mm (a space).
    """
    if layer.resistance is not None:
        return layer.resistance
    row = material(layer.material)
    if row.conductivity is None:
        return float(airspace_table(layer.thickness, flow))
    return layer.thickness / row.conductivity


def found_layers(face: Measured) -> tuple[Layer, ...]:
    """Layers that count as found: air in bays that are open on the boards' side is no layer."""
    framing = face.face.framing
    if framing is None or not framing.exposed:
        return face.face.layers
    return tuple(k for k in face.face.layers if not (k.between_framing and material(k.material).kind == "air"))


def kept_layers(face: Measured) -> tuple[Layer, ...]:
    """Layers that stay when work is done: old insulation comes out first where the job says so."""
    found = found_layers(face)
    if not face.face.old_insulation:
        return found
    return tuple(k for k in found if not _insulation(k))


def _insulation(layer: Layer) -> bool:
    return material(layer.material).kind in FIBRE and layer.between_framing


def open_depth(face: Measured) -> float:
    """Depth of the bays that is open on the boards' side. [m] Zero without exposed framing."""
    framing = face.face.framing
    if framing is None or not framing.exposed:
        return 0.0
    filled = sum(k.thickness for k in kept_layers(face) if k.between_framing)
    return max(framing.depth - filled, 0.0)


def vented(face: Measured, kinds: Mapping[str, ZoneKind], added: tuple[Added, ...] = ()) -> bool:
    """Tell whether a ventilated space lies between the insulation and the deck.

    Bare bays under a deck have none: the space comes to be when insulation is put under it.
    """
    if not face.face.vent_space or kinds[face.face.cold] is not ZoneKind.OUTSIDE:
        return False
    return bool(added) or any(_insulation(k) for k in face.face.layers)


@dataclass(frozen=True)
class Laid:
    """A layer between warm and cold, between the framing.

    Attributes
    ----------
    material : str
        Key of the materials table.
    thickness : float
        [m]
    r : float
        Resistance. [m²·K/W]
    between : bool
        True where it lies between the framing.
    added : int or None
        Number among the layers that a way adds, None for what is there.
    """

    material: str
    thickness: float
    r: float
    between: bool
    added: int | None = None


def laid(
    face: Measured, kinds: Mapping[str, ZoneKind], added: tuple[Added, ...] = (), *, pick: str = "r", work: bool = False
) -> tuple[Laid, ...]:
    """Layers from warm to cold that count, for heat and for moisture alike; parameters as `slices`.

    Notes
    -----
    A ventilated gap lies on the cold side of what fills the bays, under the deck; outdoor air passes through it, so
    that neither the gap nor anything beyond it counts ([ISO6946:2017] 6.9.4). Where nothing is ventilated, filling
    lies against the deck and the rest of the bay is still air behind a cover.
    """
    own = kept_layers(face) if work else found_layers(face)
    airy = vented(face, kinds, added)
    if airy:
        own = _under_vent(own)
    base = [Laid(k.material, k.thickness, layer_r(k, face.flow), k.between_framing) for k in own]
    bays = [Laid(a.material, a.thickness, getattr(a, pick), True, n) for n, a in enumerate(added) if a.between]
    over = [Laid(a.material, a.thickness, getattr(a, pick), False, n) for n, a in enumerate(added) if not a.between]
    left = open_depth(face) - sum(k.thickness for k in bays)
    if over and left > 1e-3 and not airy:
        over.insert(0, Laid("air", left, float(airspace_table(min(left, 0.3), face.flow)), True))
    more = [*bays, *over]
    return (*reversed(more), *base) if face.from_inside else (*base, *more)


def films(face: Measured, kinds: Mapping[str, ZoneKind], added: tuple[Added, ...] = ()) -> tuple[float, float]:
    """Surface resistance of the warm and of the cold side. [m²·K/W]

    Closed furniture built in on the warm side keeps the room's warmth off (`FRONT`).
    A ventilated space under the deck counts as sheltered, and nothing beyond it counts (ISO 6946, 6.9.4).
    """
    warm = FRONT.get(face.face.in_front, surface_resistance(face.flow))
    kind = kinds[face.face.cold]
    if kind is ZoneKind.GROUND:
        return warm, 0.0
    if kind is ZoneKind.OUTSIDE and not vented(face, kinds, added):
        return warm, RSE
    return warm, surface_resistance(face.flow)


def _bridged(share: float, r: float, thickness: float) -> LayerR:
    if share <= 0.0:
        return r
    wood = material("softwood").conductivity
    assert wood is not None
    return ((1.0 - share, r), (share, thickness / wood if thickness > 0 else r))


def stack(
    face: Measured, kinds: Mapping[str, ZoneKind], added: tuple[Added, ...] = (), *, pick: str = "r", work: bool = False
) -> list[LayerR]:
    """Layers from warm to cold, each as a resistance or as framing beside filling; parameters as `slices`."""
    return [r for _, r in slices(face, kinds, added, pick=pick, work=work)]


def slices(
    face: Measured, kinds: Mapping[str, ZoneKind], added: tuple[Added, ...] = (), *, pick: str = "r", work: bool = False
) -> list[tuple[float, LayerR]]:
    """Layers from warm to cold with their thickness, each as a resistance or as framing beside filling.

    Parameters
    ----------
    face : Measured
        The face.
    kinds : mapping of str to ZoneKind
        Kind of each zone.
    added : tuple of Added
        Layers that a way adds on the boards' side, surface first.
    pick : str
        ``"r_low"``, ``"r"`` or ``"r_high"`` of the added layers.
    work : bool
        True for the state after work (old insulation out).

    Returns
    -------
    list of (thickness, resistance)
        [m], [m²·K/W]

    Notes
    -----
    See `laid`: layers beyond a ventilated space do not count.
    """
    share = face.framing_share
    rows = laid(face, kinds, added, pick=pick, work=work)
    return [(k.thickness, _bridged(share, k.r, k.thickness) if k.between else k.r) for k in rows]


def _under_vent(layers: tuple[Layer, ...]) -> tuple[Layer, ...]:
    """Layers on the warm side of the ventilated gap: up to the last insulation, or to the air in the bays."""
    last = max((i for i, k in enumerate(layers) if _insulation(k)), default=None)
    if last is not None:
        return layers[: last + 1]
    gap = next((i for i, k in enumerate(layers) if k.between_framing and material(k.material).kind == "air"), 0)
    return layers[:gap]


def resistance(
    face: Measured,
    kinds: Mapping[str, ZoneKind],
    rates: Rates,
    added: tuple[Added, ...] = (),
    *,
    pick: str = "r",
    work: bool = False,
) -> FaceR:
    """Resistance of a face with films, by the combined method.

    Parameters
    ----------
    face, kinds, added, pick, work
        See `stack`.
    rates : Rates
        For the soil.

    Returns
    -------
    FaceR
        For faces against the ground the soil is in the figure (ISO 13370).

    References
    ----------
    [ISO6946:2017] 6.7.2; [ISO13370:2017] 9 for walls and floors in the ground.
    """
    rsi, rse = films(face, kinds, added)
    layers = stack(face, kinds, added, pick=pick, work=work) or [0.0]
    found = combined(layers, rsi, rse)
    upper, lower, total = float(found.upper), float(found.lower), float(found.total)
    if kinds[face.face.cold] is ZoneKind.GROUND:
        soil = rates["ways.ground.conductivity"].typical
        upper, lower, total = (ground_r(face, r, soil) for r in (upper, lower, total))
    return FaceR(upper, lower, total)


def ground_r(face: Measured, r_without_soil: float, conductivity: float) -> float:
    """Resistance of a wall or floor in the ground, soil included. [m²·K/W]

    Parameters
    ----------
    face : Measured
        Plumb faces are cellar walls of their own height below ground; level ones are floors on the ground.
    r_without_soil : float
        Film of the room and layers. [m²·K/W]
    conductivity : float
        Of the soil. [W/(m·K)]

    References
    ----------
    [ISO13370:2017] `cellar_wall_u` above the bare floor of the table, `floor_u` within walls of `WALL` thickness.
    """
    if r_without_soil <= 0:
        raise OutOfRange("A face in the ground has no resistance at all.", where=("faces", face.id))
    r = r_without_soil + RSE
    if face.level:
        thickness = equivalent_thickness(WALL, r, conductivity)
        return 1.0 / float(floor_u(characteristic_dimension(face.area, face.perimeter), thickness, conductivity))
    return 1.0 / float(cellar_wall_u(max(face.span[1], 0.1), r, conductivity))
