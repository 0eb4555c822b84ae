"""The yearly saving restated with what the readings say."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from snugbay.prove.backwards import Inferred
from snugbay.prove.forecast import interval
from snugbay.prove.smc import Floats
from snugbay.prove.values import Interval
from snugbay.ways import Option
from snugbay.ways.balance import season_loss
from snugbay.ways.found import Ground
from snugbay.weigh import AS_FOUND, Weighing
from snugbay.weigh.luck import at_point

ALL_R, OWN_R = 0.8, 0.6
"""Loadings of the unread faces on what goes with all of the work and with the face, as in the plan's spread."""


def planned_option(weighing: Weighing, face: str) -> Option | None:
    """Option that the plan takes for a face; None where it is left as found."""
    way = dict(weighing.plan.ways).get(face, AS_FOUND)
    if way == AS_FOUND:
        return None
    return next((o for o in weighing.options if (o.face, o.way) == (face, way)), None)


def face_heat(
    base: Ground, face: str, option: Option | None, found: Inferred | None, z: Floats
) -> tuple[Floats, Floats]:
    """Conductance of a face before and after the work, shape (n,) each. [W/K]

    Parameters
    ----------
    base : Ground
        Faces as found.
    face : str
        Face id.
    option : Option or None
        What the plan does there.
    found : Inferred or None
        Posterior, where the face was read.
    z : array, shape (n,)
        Standard normal luck of faces that nobody read.

    Notes
    -----
    What is read is the closed part. Its resistance takes the place of the reckoned one in proportion; leaks and doors
    of the face stay as reckoned.
    """
    load, area = base.loads.faces[face], base.by_id[face].area
    n = z.size
    before = np.full(n, load.heat)
    if found is not None:
        d = found.draws
        ratio = load.r.total / d.total(after=False)
        if found.read(after=False):
            before = before + area / load.r.total * (ratio - 1.0)
    if option is None:
        return before, before
    if found is None or not found.read(after=True):
        after = np.asarray(at_point(-z, (option.heat_low, option.heat_after, option.heat_high)), dtype=np.float64)
        return before, after
    u_read = 1.0 / (load.r.total + found.draws.added())
    return before, option.heat_after - area / option.r_typical + area * u_read


def restated(
    base: Ground, weighing: Weighing, found: Mapping[str, Inferred], rng: np.random.Generator
) -> Interval | None:
    """Yearly saving with the evidence. [currency/a]

    Parameters
    ----------
    base : Ground
        Faces and climate.
    weighing : Weighing
        The plan.
    found : Mapping of str to Inferred
        Faces that were read.
    rng : Generator
        Luck of the faces that were not.

    Returns
    -------
    Interval or None
        None where no face that the plan works on was read after the work.
    """
    judged = [f for f, i in found.items() if planned_option(weighing, f) is not None and i.read(after=True)]
    if not judged:
        return None
    n = found[judged[0]].particles.u.shape[0]
    common = rng.standard_normal(n)
    net, faces = base.loads.net, base.faces
    c = np.repeat(base.loads.base[None, :], n, axis=0)
    c_after = c.copy()
    for f in faces:
        if f.face.warm == f.face.cold:
            continue
        z = np.asarray(ALL_R * common + OWN_R * rng.standard_normal(n))
        before, after = face_heat(base, f.id, planned_option(weighing, f.id), found.get(f.id), z)
        pair = net.pair(f.face.warm, f.face.cold)
        c[:, pair] += before
        c_after[:, pair] += after
    kwh = season_loss(net, c, base.air) - season_loss(net, c_after, base.air)
    fuel = base.job.place.fuel
    return interval(kwh / fuel.efficiency * fuel.price_kwh)
