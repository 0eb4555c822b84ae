"""Whether a build-up traps water: a year of condensation and drying, and the model code's share for unvented roofs."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from snugbay.base import OutOfRange, Said, Told, Weight
from snugbay.base.facts import Fault
from snugbay.job import Part, ZoneKind
from snugbay.materials import material
from snugbay.physics.moisture import (
    condensation_year,
    indoor_vapour_pressure,
    judge_condensate,
    unvented_roof_r_ip,
)
from snugbay.physics.units import r_ip_from_si
from snugbay.ways.balance import zone_kinds
from snugbay.ways.buildup import Added, films, laid
from snugbay.ways.found import Ground
from snugbay.ways.measure import Measured

PAINT_SD = 0.6
"""Vapour diffusion thickness of primer and two coats of paint towards a room. [m] About 5 perms, seen in trade data."""

OF_AIR = 0.01
"""The same of an air layer, in which the air moves. [m] (ISO 13788)"""

PAINTED = frozenset({"gypsum", "plaster-lath"})
ABSORBS = frozenset({"solid"})
SHEDS = frozenset({"foam", "board", "sheet"})


class PathLayer(NamedTuple):
    """A layer on the way between the framing.

    Attributes
    ----------
    material : str
        Key of the materials table, or ``"paint"``.
    r, sd, thickness : float
        [m²·K/W], [m], [m]
    added : int or None
        Number among the layers that the way adds, None for what is there.
    """

    material: str
    r: float
    sd: float
    thickness: float
    added: int | None = None


def path_layers(base: Ground, face: Measured, added: tuple[Added, ...]) -> list[PathLayer]:
    """Layers between the framing, warm side first."""
    kinds = zone_kinds(base.job)
    rows = []
    for k in laid(face, kinds, added, work=True):
        row = material(k.material)
        sd = OF_AIR if row.conductivity is None and row.kind == "air" else row.sd_of(k.thickness)
        rows.append(PathLayer(k.material, k.r, sd, k.thickness, k.added))
    own = next((i for i, k in enumerate(rows) if k.added is None), None)
    if own is not None and kinds[face.face.warm] is ZoneKind.INSIDE and rows[own].material in PAINTED:
        rows.insert(own, PathLayer("paint", 0.0, PAINT_SD, 0.0))
    return rows


def vapour_reasons(base: Ground, face: Measured, added: tuple[Added, ...]) -> tuple[Told, ...]:
    """Reasons of moisture against a build-up; empty where it may be offered.

    Parameters
    ----------
    base : Ground
        Climate, humidity class.
    face : Measured
        The face.
    added : tuple of Added
        Layers that the way adds, surface first.

    Notes
    -----
    The cold side is taken as cold as outdoors, which a space behind good insulation nearly is; the warm side as warm
    and as damp as the rooms, which a space brought inside nearly is. Faces in the ground are not judged here.

    References
    ----------
    [ISO13788:2012] 6; limits of `judge_condensate`; model code R806.5 for unvented roofs.
    """
    kinds = zone_kinds(base.job)
    if not added or ZoneKind.GROUND in (kinds[face.face.cold], kinds[face.face.warm]):
        return ()
    rows = path_layers(base, face, added)
    air = base.air
    te, pe = np.asarray(air.outdoor_c), np.asarray(air.outdoor_pa)
    pi = np.asarray(indoor_vapour_pressure(pe, te, base.job.place.humidity_class))
    rsi, rse = films(face, kinds, added)
    try:
        year = condensation_year(
            [(k.r, k.sd) for k in rows],
            te,
            pe,
            pi,
            inside_c=air.setpoint_c,
            rsi=rsi,
            rse=rse,
        )
    except OutOfRange as error:
        return (Said.of("ways.said.moisture-unknown", fault=Fault.of(error)),)
    out: list[Told] = []
    if year.condenses:
        absorbing = any(k.material != "paint" and material(k.material).kind in ABSORBS for k in _beside(rows))
        if not year.dries:
            out.append(Said.of("ways.said.traps-water", why=Said.of("ways.said.winter")))
        out += [
            Said.of("ways.said.traps-water", why=f.said)
            for f in judge_condensate(year, absorbing=absorbing)
            if f.weight is Weight.STOP
        ]
    out += _unvented(base, face, added)
    return tuple(out)


def _beside(rows: list[PathLayer]) -> list[PathLayer]:
    """Layers on the cold side of the insulation, where water gathers."""
    first = next((i for i, k in enumerate(rows) if k.material != "paint" and _insulates(k.material)), 0)
    return rows[first:]


def _insulates(name: str) -> bool:
    return material(name).kind in {"fibre", "foam", "board"}


def _unvented(base: Ground, face: Measured, added: tuple[Added, ...]) -> list[str]:
    """Model code: share of air-impermeable insulation against an unvented deck, where fibre lies inside of it."""
    kinds = zone_kinds(base.job)
    roof = face.face.part in {Part.SLOPE, Part.CEILING} and kinds[face.face.cold] is ZoneKind.OUTSIDE
    if not roof or face.face.vent_space:
        return []
    fibre = [a for a in added if material(a.material).kind == "fibre"]
    if not fibre:
        return []
    tight = sum(a.r for a in added if material(a.material).kind in {"foam", "board"} and a.between)
    try:
        least = float(unvented_roof_r_ip(base.air.zone))
    except (OutOfRange, LookupError, ValueError):
        return []
    have = float(r_ip_from_si(tight))
    if have + 0.05 < least:
        return [
            f"the deck is not vented: zone {base.air.zone} wants R-{least:.0f} of foam against it before fibre, "
            f"this has R-{have:.0f} (model code R806.5)"
        ]
    return []
