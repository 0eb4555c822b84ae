"""Logger files and plate series: a CSV's text to readings, readings to a resistance by the average method."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

import numpy as np
from numpy.typing import NDArray

from snugbay.base import Finding, InputError, Outcome, UnknownName, Weight
from snugbay.job import Temperature, TemperatureKind
from snugbay.physics.insitu import average_method
from snugbay.physics.units import W_M2_PER_BTU_H_FT2, celsius_from_f
from snugbay.prove.backwards import Measured
from snugbay.prove.tables import figure

LEAST_ROWS = 2
TIMES = ("%Y-%m-%d %H:%M:%S", "%Y-%m-%d %H:%M", "%d.%m.%Y %H:%M:%S", "%d.%m.%Y %H:%M")
FAHRENHEIT = re.compile(r"(°\s*F\b|\bdeg\s*F\b|\(F\)|\[F\]|\bfahrenheit\b|_f$)", re.IGNORECASE)
INCH_POUND_FLUX = re.compile(r"btu", re.IGNORECASE)


@dataclass(frozen=True)
class LoggerTable:
    """A logger's file.

    Attributes
    ----------
    times : tuple of datetime
        Time of each row, rising.
    channels : tuple of str
        Heads of the columns as written.
    values : array, shape (rows, channels)
        °C, or W/m² in columns headed with Btu (turned into SI); NaN where a cell is blank.
    step_hours : float
        Usual time between rows. [h]
    """

    times: tuple[datetime, ...]
    channels: tuple[str, ...]
    values: NDArray[np.float64]
    step_hours: float

    def channel(self, name: str) -> NDArray[Any]:
        """Return one column; raise `UnknownName` where there is none of this name."""
        if name not in self.channels:
            raise UnknownName(
                f"The logger has no channel {name!r}.", hint="Channels: " + ", ".join(self.channels) + "."
            )
        return self.values[:, self.channels.index(name)]


def _time(text: str, line: int) -> datetime:
    plain = text.strip()
    try:
        return datetime.fromisoformat(plain).replace(tzinfo=None)
    except ValueError:
        for pattern in TIMES:
            try:
                return datetime.strptime(plain, pattern)
            except ValueError:
                continue
    raise InputError(
        f"The time {text!r} cannot be read.",
        line=line,
        hint="Write times as 2026-01-31 18:00; day and month in another order would be a guess.",
    )


def _number(text: str, line: int, *, comma: bool) -> float:
    plain = text.strip()
    if not plain or plain.lower() in {"nan", "na", "n/a", "-", "--"}:
        return float("nan")
    try:
        return float(plain.replace(",", ".") if comma else plain)
    except ValueError as error:
        raise InputError(
            f"The value {text!r} is not a number.", line=line, hint="Leave missing values blank."
        ) from error


def parse_logger(text: str) -> Outcome[LoggerTable]:
    """Read the text of a logger's CSV file.

    Parameters
    ----------
    text : str
        A head line, then one row a time: the time first, then one column for each channel. Columns parted by commas,
        semicolons or tabs; decimal commas where columns are parted by semicolons. A head with °F is turned into °C.

    Returns
    -------
    Outcome of LoggerTable
        Rows in order of time; findings about gaps and blanks.

    Raises
    ------
    InputError
        If there is no head, a time or a number cannot be read, or fewer than two rows are there.
    """
    lines = [(n, x) for n, x in enumerate(text.lstrip("\ufeff").splitlines(), 1) if x.strip() and not x.startswith("#")]
    if not lines:
        raise InputError("The logger's file is empty.", line=1)
    head = lines[0][1]
    mark = max(";\t,", key=head.count)
    if head.count(mark) == 0:
        raise InputError(
            "The logger's file has one column only.", line=lines[0][0], hint="Time first, then the values."
        )
    cells = [c.strip() for c in next(csv.reader(io.StringIO(head), delimiter=mark))]
    rows: list[tuple[datetime, list[float]]] = []
    for number, line in lines[1:]:
        own = next(csv.reader(io.StringIO(line), delimiter=mark))
        if len(own) != len(cells):
            text_ = f"This row has {len(own)} cells, the head {len(cells)}."
            raise InputError(text_, line=number, hint="Decimal commas need semicolons between columns.")
        rows.append((_time(own[0], number), [_number(c, number, comma=mark != ",") for c in own[1:]]))
    if len(rows) < LEAST_ROWS:
        raise InputError("The logger's file has fewer than two rows.", line=lines[-1][0])
    rows.sort(key=lambda r: r[0])
    values = np.array([r[1] for r in rows], dtype=np.float64)
    for i, name in enumerate(cells[1:]):
        if FAHRENHEIT.search(name):
            values[:, i] = celsius_from_f(values[:, i])
        elif INCH_POUND_FLUX.search(name):
            values[:, i] = values[:, i] * W_M2_PER_BTU_H_FT2
    times = tuple(r[0] for r in rows)
    gaps = np.diff([t.timestamp() for t in times]) / 3600.0
    step = float(np.median(gaps))
    table = LoggerTable(times, tuple(cells[1:]), values, step)
    return Outcome(table, _table_findings(table, gaps))


def _table_findings(table: LoggerTable, gaps: NDArray[Any]) -> tuple[Finding, ...]:
    out = []
    if np.any(gaps <= 0):
        out.append(Finding("prove.logger-times", "Two rows of the logger have the same time.", Weight.WARN))
    if np.any(gaps > 1.5 * table.step_hours):
        text = (
            f"The logger has gaps: up to {gaps.max():.1f} h between rows that are usually {table.step_hours:g} h apart."
        )
        out.append(Finding("prove.logger-gaps", text, Weight.WARN, numbers={"longest_h": float(gaps.max())}))
    blank = int(np.isnan(table.values).sum())
    if blank:
        out.append(Finding("prove.logger-blanks", f"{blank} values of the logger are blank.", Weight.NOTE))
    return tuple(out)


def readings_from_logger(table: LoggerTable, channels: Mapping[str, Temperature]) -> tuple[Temperature, ...]:
    """Turn a logger's columns into readings.

    Parameters
    ----------
    table : LoggerTable
        As read.
    channels : Mapping of str to Temperature
        For each column to be used a reading that says what it is; its value and time are replaced. Blanks are left out.

    Raises
    ------
    UnknownName
        If the logger has no such column.
    """
    out: list[Temperature] = []
    for name, like in channels.items():
        for time, value in zip(table.times, table.channel(name), strict=True):
            if not np.isnan(value):
                out.append(replace(like, value=float(value), time=time.isoformat()))
    return tuple(out)


def plate_series(
    readings: Sequence[Temperature], face: str
) -> tuple[tuple[Measured, ...], tuple[Finding, ...], frozenset[int]]:
    """Resistance of a face by the average method, where a plate and both surfaces were logged together.

    Parameters
    ----------
    readings : sequence of Temperature
        All of the job.
    face : str
        Face id.

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
        rows = np.array([[x[k][1].value for x in (warm, cold, flux)] for k in both])
        made, found = _averaged(rows, both, f"{face}, {name or when}", after=when == "after")
        findings.extend(found)
        if made is not None:
            out.append(made)
    return tuple(out), tuple(findings), frozenset(used)


def _averaged(
    rows: NDArray[Any], times: Sequence[str], title: str, *, after: bool
) -> tuple[Measured | None, list[Finding]]:
    try:
        at = [datetime.fromisoformat(t).timestamp() / 3600.0 for t in times]
    except ValueError:
        text = f"Plate series {title}: a time is not in the form 2026-01-31T18:00. Set aside."
        return None, [Finding("prove.series-time", text, Weight.WARN, ("temperatures",))]
    gaps = np.diff(at)
    step = float(np.median(gaps))
    good = np.isfinite(rows).all(axis=1)
    if step <= 0 or np.any(np.abs(gaps - step) > 0.5 * step) or not good.all():
        text = f"Plate series {title}: rows are missing or not evenly spaced, so the end tests mean nothing. Set aside."
        return None, [Finding("prove.series-gaps", text, Weight.WARN, ("temperatures",))]
    total = rows.sum(axis=0)
    if not (total[2] > 0 and total[0] > total[1]):
        text = f"Plate series {title}: heat and temperatures do not run the same way. Plate turned round? Set aside."
        return None, [Finding("prove.plate-turned", text, Weight.WARN, ("temperatures",))]
    answer = average_method(rows[:, 0], rows[:, 1], rows[:, 2], step_hours=step)
    if not answer.passed:
        why = " ".join(f.text for f in answer.findings)
        text = f"Plate series {title}: {why} No figure is taken from it yet: go on logging."
        return None, [Finding("prove.series-open", text, Weight.WARN, ("temperatures",), "ISO9869-1:2014 7.2")]
    return Measured(after, answer.resistance, figure("readings", "errors", "series_share")), []
