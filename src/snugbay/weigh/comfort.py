"""What a plan means to people and to the corners: surface temperatures, radiant asymmetry, the coldest corner."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from snugbay.base import Finding, Said
from snugbay.base.facts import FaceRef
from snugbay.job import ZoneKind
from snugbay.physics import moisture, season
from snugbay.physics.heat import FRONT
from snugbay.physics.season.comfort import Side
from snugbay.ways import Option
from snugbay.ways.balance import zone_kinds
from snugbay.ways.buildup import films
from snugbay.ways.edges import corner_of
from snugbay.ways.found import Ground
from snugbay.ways.measure import Measured
from snugbay.weigh.afterwards import Corners, FaceComfort
from snugbay.weigh.spaces import FaceState

IN_FRONT = 1.0
"""Distance from the face at which somebody sits. [m]"""

RSI_MOULD = 0.25
"""Surface resistance where mould is judged. [m²·K/W] ISO 13788:2012"""


def _side(face: Measured) -> Side:
    return "cool ceiling" if face.face.tilt < math.radians(60) else "cool wall"


def comfort_of(
    base: Ground,
    done: tuple[Option, ...],
    design: Mapping[str, tuple[float, float]],
) -> tuple[tuple[FaceComfort, ...], tuple[Finding, ...]]:
    """Inner surfaces of the faces that get work, on a design day, as found and after the work.

    Parameters
    ----------
    base : Ground
        The job, measured.
    done : tuple of Option
        What the plan does.
    design : mapping of str to (before, after)
        Temperature of each zone on a design day. [°C]
    """
    kinds, room = zone_kinds(base.job), base.air.setpoint_c
    rows, found = [], []
    for option in done:
        face = base.by_id[option.face]
        if kinds[face.face.warm] is not ZoneKind.INSIDE:
            continue
        side = _side(face)
        rsi, _ = films(face, kinds)
        view = float(season.view_factor_centred(*face.span, IN_FRONT))
        sides = []
        for u, k in ((option.u_before, 0), (option.u_after, 1)):
            warm, cold = design[face.face.warm][k], design[face.face.cold][k]
            surface = float(season.inner_surface(u, warm, cold, rsi=rsi))
            gap = float(season.radiant_asymmetry(view, surface, warm))
            sides.append((surface, gap, float(season.displeased(gap, side))))
        (s0, a0, d0), (s1, a1, d1) = sides
        rows.append(FaceComfort(option.face, s0, s1, a0, a1, d0, d1))
        found += [
            replace(f, where=("faces", option.face)).having(
                at=Said.of("weigh.said.after-the-work", face=FaceRef(option.face))
            )
            for f in season.check_comfort(s1, room, a1, side)
        ]
    return tuple(rows), tuple(found)


def corners_of(
    base: Ground,
    options: tuple[Option, ...],
    after: Mapping[str, FaceState],
    inside: tuple[str, ...],
) -> tuple[Corners, tuple[Finding, ...]]:
    """What corners add to the loss, and whether the coldest of the faces that get work is warm enough against mould."""
    kinds = zone_kinds(base.job)
    before = sum(load.edges for load in base.loads.faces.values())
    added = {o.face: o.edges if o.layers else base.loads.faces[o.face].edges for o in options}
    whole = sum(s.heat for s in after.values())
    coldest: tuple[float, str] | None = None
    for option in options:
        face = base.by_id[option.face]
        warm = kinds[face.face.warm] is ZoneKind.INSIDE or face.face.warm in inside
        if not option.layers or not warm or kinds[face.face.cold] is ZoneKind.GROUND or face.face.cold in inside:
            continue
        for angle in {c.open_angle for c in base.corners[option.face]}:
            lost = corner_of(
                face,
                kinds,
                angle,
                option.layers,
                work=True,
                warm_film=max(RSI_MOULD, FRONT.get(face.face.in_front, 0.0)),
            )
            if lost is not None and (coldest is None or lost.factor < coldest[0]):
                coldest = (lost.factor, option.face)
    total = sum(added.values())
    share = total / whole if whole > 0 else 0.0
    if coldest is None:
        return Corners(before, total, share), ()
    needed = moisture.least_temperature_factor(
        np.asarray(base.air.outdoor_c),
        np.asarray(base.air.outdoor_pa),
        base.air.setpoint_c,
        humidity_class=base.job.place.humidity_class,
    )
    found = tuple(
        replace(f, where=("faces", coldest[1])).having(at=Said.of("weigh.said.corner-of", face=FaceRef(coldest[1])))
        for f in moisture.check_mould(coldest[0], needed)
    )
    return Corners(before, total, share, coldest[0], float(needed.design), coldest[1]), found
