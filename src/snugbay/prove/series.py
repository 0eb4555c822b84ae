"""Plate series: heat flux and both surfaces logged together, to a resistance by the average method."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import Name, told_all
from snugbay.job import Temperature, TemperatureKind
from snugbay.physics.insitu import average_method
from snugbay.prove.backwards import Measured
from snugbay.prove.sets import time_of
from snugbay.prove.tables import figure

LEAST_ROWS = 2


def plate_series(
    readings: Sequence[Temperature], face: str, stale: Mapping[int, Finding] = MappingProxyType({})
) -> tuple[tuple[Measured, ...], tuple[Finding, ...], frozenset[int]]:
    """Resistance of a face by the average method, where a plate and both surfaces were logged together.

    Parameters
    ----------
    readings : sequence of Temperature
        All of the job.
    face : str
        Face id.
    stale : Mapping of int to Finding
        Readings that are not as old as they are said to be: no figure is taken from their series.

    Returns
    -------
    tuple of Measured
        Only series that pass every end test of the standard.
    tuple of Finding
        Which tests a series failed.
    frozenset of int
        Numbers of the readings that belong to a series: they count here and nowhere else.

    References
    ----------
    [ISO9869-1:2014] 7.1 and 7.2.
    """
    out: list[Measured] = []
    findings: list[Finding] = []
    used: set[int] = set()
    for when, name in dict.fromkeys((t.when, t.set) for t in readings if t.face == face):
        own = [(i, t) for i, t in enumerate(readings) if (t.face, t.when, t.set) == (face, when, name) and t.time]
        flux = {t.time: (i, t) for i, t in own if t.kind is TemperatureKind.HEAT_FLUX}
        warm = {t.time: (i, t) for i, t in own if t.kind is TemperatureKind.SURFACE_CONTACT and t.side == "warm"}
        cold = {t.time: (i, t) for i, t in own if t.kind is TemperatureKind.SURFACE_CONTACT and t.side == "cold"}
        both = sorted(set(flux) & set(warm) & set(cold))
        if len(both) < LEAST_ROWS:
            continue
        used |= {x[k][0] for x in (flux, warm, cold) for k in x}
        old = next((stale[i] for i, _ in own if i in stale), None)
        if old is not None:
            findings.append(old)
            continue
        rows = np.array([[x[k][1].value for x in (warm, cold, flux)] for k in both])
        made, found = _averaged(rows, both, f"{face}, {name or when}", after=when == "after")
        findings.extend(found)
        if made is not None:
            out.append(made)
    return tuple(out), tuple(findings), frozenset(used)


def _averaged(
    rows: NDArray[Any], times: Sequence[str], title: str, *, after: bool
) -> tuple[Measured | None, list[Finding]]:
    times_read = [time_of(t) for t in times]
    start = times_read[0]
    at = [(t - start).total_seconds() / 3600.0 for t in times_read if t is not None and start is not None]
    if len(at) < len(times):
        return None, [_found(Said.of("prove.series-time"), title)]
    order = np.argsort(at)
    rows, gaps = rows[order], np.diff(np.array(at)[order])
    step = float(np.median(gaps))
    good = np.isfinite(rows).all(axis=1)
    if step <= 0 or np.any(np.abs(gaps - step) > 0.5 * step) or not good.all():
        return None, [_found(Said.of("prove.series-gaps"), title)]
    fault = _unlikely(rows, title)
    if fault is not None:
        return None, [fault]
    answer = average_method(rows[:, 0], rows[:, 1], rows[:, 2], step_hours=step)
    if not answer.passed:
        why = told_all(f.said for f in answer.findings)
        return None, [replace(_found(Said.of("prove.series-open", why=why), title), source="ISO9869-1:2014 7.2")]
    return Measured(after, answer.resistance, figure("readings", "errors", "series_share")), []


def _found(said: Said, title: str) -> Finding:
    found = Finding(said.code, weight=Weight.WARN, where=("temperatures",), facts=said.facts)
    return found.having(series=Name(title))


def _unlikely(rows: NDArray[Any], title: str) -> Finding | None:
    """Finding where a series cannot be what it is said to be; rows of warm surface, cold surface, flux."""
    low, high = (figure("readings", "limits", f"room_{k}_c") for k in ("low", "high"))
    cold, hot = (figure("readings", "limits", f"surface_{k}_c") for k in ("low", "high"))
    means = rows.mean(axis=0)
    if rows[:, :2].min() < cold or rows[:, :2].max() > hot or not low - 10.0 <= means[0] <= high:
        return _found(Said.of("prove.series-unit", unit=Name("°F")), title)
    total = rows.sum(axis=0)
    if not (total[2] > 0 and total[0] > total[1]):
        return _found(Said.of("prove.plate-turned"), title)
    if means[0] - means[1] < figure("readings", "limits", "series_difference_k"):
        return _found(Said.of("prove.series-mild"), title)
    return None
