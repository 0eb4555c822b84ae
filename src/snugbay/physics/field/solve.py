"""Solving a section to a wanted accuracy: refine where the error sits, then double everything and compare."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from snugbay.base import Finding, InputError, OutOfRange, Run, Said, Stopped, Weight
from snugbay.base.facts import Name, Share
from snugbay.physics.field.error import grid_errors, triangle_errors
from snugbay.physics.field.exchange import known_temps
from snugbay.physics.field.grid import GridNet, first_net, is_rectilinear
from snugbay.physics.field.probe import shares_at
from snugbay.physics.field.result import FieldResult
from snugbay.physics.field.section import Point, Section, check_section
from snugbay.physics.field.triangles import TriangleNet, first_triangles
from snugbay.physics.field.unit import UnitFields, unit_fields

Floats = NDArray[np.float64]
AnyNet = GridNet | TriangleNet

FLOOR = 1e-5
"""Cells narrower than this share of the section are refined no further."""

COARSE_FLOOR = 4e-3
"""The same where fixed temperatures touch: the error there never ends, and matters only nearby."""


@dataclass(frozen=True)
class Accuracy:
    """When a field is fine enough.

    Attributes
    ----------
    flow : float
        Largest change of the exchange between spaces on doubling all subdivisions, share of the largest exchange.
        ISO 10211 asks for 0.01.
    temp : float
        Largest change of surface and asked temperatures on the same doubling, share of the temperature difference.
    max_unknowns : int
        No net larger than this is solved; where that ends the work, a finding says so.
    """

    flow: float = 3e-4
    temp: float = 3e-4
    max_unknowns: int = 120_000


ISO_10211 = Accuracy(flow=0.01, temp=0.005)
"""The standard's own criterion: 1 % of the flow; temperatures to 0.1 K in 20 K."""


def solve_section(
    section: Section,
    temps_c: Mapping[str, float],
    *,
    points: Sequence[Point] = (),
    accuracy: Accuracy | None = None,
    run: Run | None = None,
) -> FieldResult:
    """Steady heat conduction in a section.

    Parameters
    ----------
    section : Section
        Material and facings. Edges that nothing faces are adiabatic.
    temps_c : Mapping[str, float]
        Temperature of each space that the section faces; nan gives nan. [°C]
    points : sequence of Point
        Points whose temperature must be settled as well as the surfaces. [m]
    accuracy : Accuracy or None
        When to stop; None for the default, finer than the standard.
    run : Run or None
        Progress and stop; a stopped solution is the best so far, with a finding.

    Returns
    -------
    FieldResult

    Raises
    ------
    Problems, InputError
        If the section cannot be computed.
    UnknownName
        If the temperature of a space is missing.
    Stopped
        If stopped before the first solution.

    Notes
    -----
    Quadratic finite elements on a product of graded lines where all edges run along x or y, else on triangles. The net
    is refined where the flux jumps most; the answer is always that of a net with every subdivision doubled, and the
    change by that doubling is the standard's criterion. Conductivities do not depend on temperature.

    References
    ----------
    ISO 10211:2017, numerical calculation: the number of subdivisions is enough when doubling it changes the total
    flow by less than 1 %. Clause numbers differ between editions.
    """
    check_section(section)
    known_temps(section.airs, temps_c)
    wanted = accuracy or Accuracy()
    if not (wanted.flow > 0 and wanted.temp > 0 and wanted.max_unknowns > 0):
        raise OutOfRange("The accuracy asked for is not positive.", where=("accuracy",))
    return _refine(section, temps_c, tuple(points), wanted, run or Run())


@dataclass(frozen=True)
class _Change:
    flow: float
    temp: float

    def within(self, wanted: Accuracy, part: float = 1.0) -> bool:
        flow_ok = math.isnan(self.flow) or self.flow <= part * wanted.flow
        return flow_ok and self.temp <= part * wanted.temp


def _refine(
    section: Section, temps_c: Mapping[str, float], points: tuple[Point, ...], wanted: Accuracy, run: Run
) -> FieldResult:
    if run.stop():
        raise Stopped("The field was stopped before its first solution.")
    touch = touching_fixed(section)
    net: AnyNet = first_net(section) if is_rectilinear(section) else first_triangles(section)
    fields = unit_fields(net)
    _check_connected(fields)
    nets, stopped = 1, False
    while not stopped:
        step = _next(net, fields, COARSE_FLOOR if touch else FLOOR)
        if _guess(step.doubled()) > wanted.max_unknowns:
            break
        trial = unit_fields(step)
        change = _change(fields, trial, points, touch)
        net, fields, nets = step, trial, nets + 1
        run.progress("field", min(0.9, min(wanted.flow, wanted.temp) / max(change.flow, change.temp, 1e-12)))
        stopped = run.stop()
        if change.within(wanted) and not stopped:
            double = unit_fields(net.doubled())
            nets += 1
            last = _change(fields, double, points, touch)
            if last.within(wanted):
                return _result(section, temps_c, double, last, wanted, nets, touch, stopped)
    double = unit_fields(net.doubled())
    last = _change(fields, double, points, touch)
    return _result(section, temps_c, double, last, wanted, nets + 1, touch, stopped)


def _next(net: AnyNet, fields: UnitFields, floor: float) -> AnyNet:
    if isinstance(net, GridNet):
        return net.refined(*grid_errors(net, fields), floor)
    return net.refined(triangle_errors(net, fields), floor)


def _guess(net: AnyNet) -> int:
    """Unknowns of the quadratic elements on a net: four for a quadrilateral, two for a triangle, nearly."""
    return (4 if isinstance(net, GridNet) else 2) * net.size


def _change(coarse: UnitFields, fine: UnitFields, points: tuple[Point, ...], touch: bool) -> _Change:
    scale = float(np.abs(fine.exchange).max())
    flow = float(np.abs(fine.exchange - coarse.exchange).max()) / scale if scale > 0 else 0.0
    temp = float(np.abs(_marks(fine, points) - _marks(coarse, points)).max())
    return _Change(math.nan if touch else flow, temp)


def _marks(fields: UnitFields, points: tuple[Point, ...]) -> Floats:
    """Extremes of the shares on each facing, and the shares at the asked points."""
    faces = [fields.shares[n] for n in fields.facing_nodes]
    rows = [f.min(0) for f in faces] + [f.max(0) for f in faces]
    return np.vstack([*rows, shares_at(fields, points)])


def touching_fixed(section: Section) -> bool:
    """Tell whether fixed surfaces of two spaces meet in a point, where the flow between them has no limit."""
    tiny = 1e-7 * section.size
    fixed = [f for f in section.facings if f.resistance == 0]
    return any(
        one.air != other.air and math.dist(p, q) < tiny
        for one in fixed
        for other in fixed
        for p in (one.start, one.end)
        for q in (other.start, other.end)
    )


def _check_connected(fields: UnitFields) -> None:
    """Raise where a part of the section touches neither a facing nor a part that does."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    dofs = fields.basis.element_dofs
    ends = (np.repeat(dofs[:1], len(dofs) - 1, axis=0).ravel(), dofs[1:].ravel())
    size = fields.basis.unknowns
    count, label = connected_components(coo_matrix((np.ones(len(ends[0])), ends), shape=(size, size)), directed=False)
    reached = np.unique(label[np.concatenate(fields.facing_nodes)])
    if len(reached) < count:
        lost = int(np.setdiff1d(np.arange(count), reached)[0])
        x, y = fields.basis.doflocs[:, label == lost].mean(1)
        raise InputError(
            f"The part round ({x:.3g}, {y:.3g}) m touches nothing that settles its temperature.",
            where=("regions",),
            hint="Join it to the rest or let it face a space.",
        )


def _result(
    section: Section,
    temps_c: Mapping[str, float],
    fields: UnitFields,
    last: _Change,
    wanted: Accuracy,
    nets: int,
    touch: bool,
    stopped: bool,
) -> FieldResult:
    met = last.within(wanted)
    return FieldResult(
        section,
        known_temps(section.airs, temps_c),
        fields,
        last.flow,
        last.temp,
        met,
        int(fields.basis.unknowns),
        nets,
        tuple(_findings(last, wanted, met, touch, stopped)),
    )


def _findings(last: _Change, wanted: Accuracy, met: bool, touch: bool, stopped: bool) -> list[Finding]:
    found = []
    if not met:
        why = "it was stopped" if stopped else f"its largest net of {wanted.max_unknowns} unknowns was reached"
        found.append(
            Finding.of(
                "field.coarse",
                Weight.NOTE if last.within(ISO_10211) else Weight.WARN,
                (),
                "ISO 10211:2017",
                why=Said.of("field.said.because", why=Name(why)),
                flow=Share(last.flow),
                temp=Share(last.temp),
            )
        )
    if touch:
        found.append(Finding.of("field.touching", Weight.WARN))
    return found
