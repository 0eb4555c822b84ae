"""The learner's model: worker, element, face and learning curve behind the logarithm of the hours.

Hours really needed for a cell = planned hours x exp(s·(w·W + e·E + f·F + c·C) + b·(g - g_mean)). Here s is the cell's
own log-spread; W, E, F, C are standard normal (the worker, the element, the face, the cell) and w, e, f, c their
loadings, whose squares make 1, so that a cell is as spread as the plan has it; b is the logarithm of the slope of
learning, g the doublings so far (up to the plateau) and g_mean its mean over the run, since the planned hours have the
mean of the learning in them. A logged entry is the sum of what it covers, times noise with heavy tails.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from snugbay.materials import Rate
from snugbay.prove.log import Part, Record
from snugbay.prove.tables import figure
from snugbay.prove.work import Cell, Work, log_spread

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Learning:
    """The learning curve.

    Attributes
    ----------
    slope : float
        Logarithm of the time of a piece over that of the piece half as far in the run, typical. [-]
    spread : float
        Standard deviation of it. [-]
    doublings : float
        After which the plateau is reached.
    """

    slope: float
    spread: float
    doublings: float

    def mean_between(self, start: float, end: float) -> float:
        """Mean doublings of the pieces from ``start`` to ``end`` of a run, counted through from 0. [-]"""
        if end <= start:
            return self._g(math.floor(start) + 1)
        return (self._sum(end) - self._sum(start)) / (end - start)

    def _g(self, n: int) -> float:
        return min(math.log2(max(n, 1)), self.doublings)

    def _sum(self, x: float) -> float:
        whole = math.floor(x)
        return sum(self._g(n) for n in range(1, whole + 1)) + (x - whole) * self._g(whole + 1)


def learning_of(slope: Rate, plateau: Rate) -> Learning:
    """Build the learning curve from the rates of slope and plateau, each low, typical, high."""
    typical = math.log(slope.typical)
    return Learning(typical, log_spread(slope.low, slope.typical, slope.high), math.log(plateau.typical) / typical)


@dataclass(frozen=True)
class Terms:
    """Logarithm of the factor on some parts: ``load @ theta + offset``.

    Attributes
    ----------
    load : array, shape (n, p)
        Loadings on the standard normal parameters.
    offset : array, shape (n,)
        What the typical learning curve gives.
    """

    load: Floats
    offset: Floats


@dataclass(frozen=True)
class Model:
    """Everything the sampler needs.

    Attributes
    ----------
    names : tuple of (str, str)
        Of the parameters: ("worker", ""), ("element", name), ("face", id), ("cell", "face/element"),
        ("learning", "").
    entry : array of int, shape (n,)
        Entry of each part.
    hours : array, shape (n,)
        Planned hours of each part. [h]
    terms : Terms
        Of the parts.
    logged : array, shape (m,)
        Logarithm of the logged hours of each entry.
    variance : array, shape (m,)
        Variance of an entry's noise over that of one lump. [-]
    cells : Terms
        Of what is left of each cell.
    left : array, shape (cells,)
        Planned hours left. [h]
    left_variance : array, shape (cells,)
        As ``variance``.
    """

    names: tuple[tuple[str, str], ...]
    entry: NDArray[np.intp]
    hours: Floats
    terms: Terms
    logged: Floats
    variance: Floats
    cells: Terms
    left: Floats
    left_variance: Floats


def lump_share(hours: Any, *, clocked: bool = True) -> Any:
    """Variance of the noise of an entry over that of one lump of work. [-]

    Parameters
    ----------
    hours : float or array
        Planned hours of the entry. [h]
    clocked : bool
        False for work still to come: how the clock is kept does not make the work longer.

    Notes
    -----
    A lasting share (how the clock was kept) and the rest, which averages out over lumps.
    """
    lasting, lump = figure("learning", "noise", "lasting"), figure("learning", "noise", "lump_hours")
    return lasting * clocked + (1.0 - lasting) / np.maximum(np.asarray(hours) / lump, 1.0)


def _names(work: Work) -> tuple[tuple[str, str], ...]:
    elements = dict.fromkeys(c.element for c in work.cells)
    faces = dict.fromkeys(c.face for c in work.cells)
    return (
        ("worker", ""),
        *(("element", e) for e in elements),
        *(("face", f) for f in faces),
        *(("cell", _cell(c)) for c in work.cells),
        ("learning", ""),
    )


def _cell(c: Cell) -> str:
    return f"{c.face}/{c.element}"


def _terms(names: Sequence[tuple[str, str]], rows: Sequence[tuple[Cell, float]], learning: Learning) -> Terms:
    """Loadings of cells with their doublings over the mean of their run."""
    at = {n: i for i, n in enumerate(names)}
    load, offset = np.zeros((len(rows), len(names))), np.zeros(len(rows))
    for i, (c, g) in enumerate(rows):
        load[i, at["worker", ""]] = c.spread * figure("learning", "loadings", "worker")
        load[i, at["element", c.element]] = c.spread * figure("learning", "loadings", "element")
        load[i, at["face", c.face]] = c.spread * figure("learning", "loadings", "face")
        load[i, at["cell", _cell(c)]] = c.spread * figure("learning", "loadings", "cell")
        load[i, at["learning", ""]] = g * learning.spread
        offset[i] = g * learning.slope
    return Terms(load, offset)


def _over_mean(work: Work, c: Cell, start: float, end: float, learning: Learning) -> float:
    run = work.runs.get(c.family, 0)
    if run == 0 or end <= start:
        return 0.0
    return learning.mean_between(start, end) - learning.mean_between(0.0, float(run))


def build(work: Work, record: Record, learning: Learning) -> Model:
    """Put the model together from the planned work and the log."""
    names = _names(work)
    parts: list[tuple[int, Part]] = [(n, p) for n, w in enumerate(record.worked) for p in w.parts]
    rows = [(work.cells[p.cell], _over_mean(work, work.cells[p.cell], p.start, p.end, learning)) for _, p in parts]
    hours = np.array([work.cells[p.cell].hours * p.share for _, p in parts])
    entry = np.array([n for n, _ in parts], dtype=np.intp)
    planned = np.bincount(entry, hours, minlength=len(record.worked)) if parts else np.zeros(0)
    rest = []
    for c, at in zip(work.cells, record.at, strict=True):
        run = float(work.runs.get(c.family, 0))
        rest.append((c, _over_mean(work, c, at, run, learning) if at > 0 else 0.0))
    left = np.array([c.hours * (1.0 - d) * (not c.closed) for c, d in zip(work.cells, record.done, strict=True)])
    return Model(
        names,
        entry,
        hours,
        _terms(names, rows, learning),
        np.log(np.array([w.hours for w in record.worked])),
        np.asarray(lump_share(planned)),
        _terms(names, rest, learning),
        left,
        np.asarray(lump_share(left, clocked=False)),
    )
