"""A logger's CSV file: columns, decimals, units and dates as loggers write them."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from snugbay.base import Finding, InputError, Outcome, UnknownName, Weight
from snugbay.base.facts import Count, Name, Span
from snugbay.job import Temperature
from snugbay.physics.units import W_M2_PER_BTU_H_FT2, celsius_from_f
from snugbay.prove.clock import day_first, looks_like_time, read_time

LEAST_ROWS = 2
FAHRENHEIT = re.compile(r"(°\s*F\b|\bdeg\s*F\b|\(F\)|\[F\]|\bfahrenheit\b|_f$|\s°?F$)", re.IGNORECASE)
CELSIUS = re.compile(r"(°\s*C\b|\bdeg\s*C\b|\(C\)|\[C\]|\bcelsius\b|_c$|\s°?C$)", re.IGNORECASE)
INCH_POUND_FLUX = re.compile(r"btu", re.IGNORECASE)
FLUX = re.compile(r"w\s*/\s*m|w m-2|btu", re.IGNORECASE)
UNIT_ALONE = re.compile(r"^[\[(]?\s*(°?\s*[CF]|deg\s*[CF]|W/m.*|Btu.*|)\s*[\])]?$", re.IGNORECASE)
NUMBER = re.compile(r"^([+-]?\d*[.,]?\d+(?:e[+-]?\d+)?)\s*(°?\s*[CF])?$", re.IGNORECASE)
BLANK = frozenset({"", "nan", "na", "n/a", "#n/a", "-", "--", "---", "null", "none", "err", "error", "ol"})
NO_FIGURE = 900.0
"""From here up, or below minus as much, a value is a logger's mark for a fault."""


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


@dataclass(frozen=True)
class _Raw:
    """Cells as written: head, and rows with their line numbers."""

    head: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]


def _mark(line: str) -> str:
    return next((m for m in ";\t|" if m in line), ",")


def _cells(line: str, mark: str) -> tuple[str, ...]:
    try:
        return tuple(c.strip() for c in next(csv.reader(io.StringIO(line), delimiter=mark)))
    except csv.Error:
        raise InputError(
            "A cell of the logger's file is longer than any reading.", hint="Is it the right file?"
        ) from None


def _raw(text: str) -> _Raw:
    """Find the head: the last line before the first that starts with a time; what stands above it is passed over."""
    lines = [(n, x) for n, x in enumerate(text.lstrip("\ufeff").splitlines(), 1) if x.strip() and not x.startswith("#")]
    if not lines:
        raise InputError("The logger's file is empty.", line=1)
    first = next((i for i, (_, x) in enumerate(lines) if looks_like_time(_cells(x, _mark(x))[0])), None)
    if first is None:
        raise InputError(
            "No line of the logger's file starts with a time.", line=lines[0][0], hint="Time first, then the values."
        )
    mark = _mark(lines[first][1])
    if first == 0:
        raise InputError("The logger's file has no head that names its columns.", line=lines[0][0])
    head = _cells(lines[first - 1][1], mark)
    if first >= 2 and all(UNIT_ALONE.match(c) for c in head[1:]):
        above = _cells(lines[first - 2][1], mark)
        if len(above) == len(head):
            head = tuple(f"{a} {u}".strip() for a, u in zip(above, head, strict=True))
    if len(head) < 2 or mark not in lines[first][1]:
        raise InputError(
            "The logger's file has one column only.", line=lines[first - 1][0], hint="Time first, then the values."
        )
    rows = []
    for number, line in lines[first:]:
        own = _cells(line, mark)
        while len(own) > len(head) and own[-1] == "":
            own = own[:-1]
        if len(own) != len(head):
            raise InputError(
                f"This row has {len(own)} cells, the head {len(head)}.",
                line=number,
                hint="Decimal commas need semicolons between columns.",
            )
        rows.append((number, own))
    return _Raw(head, tuple(rows))


def _one_clock(raw: _Raw) -> _Raw:
    """Join a column of dates and a column of hours that stands beside it."""
    if len(raw.head) > 2 and all(re.match(r"^\d{1,2}:\d{2}", own[1]) for _, own in raw.rows):
        rows = tuple((n, (f"{own[0]} {own[1]}", *own[2:])) for n, own in raw.rows)
        return _Raw((raw.head[0], *raw.head[2:]), rows)
    return raw


def _number(text: str, line: int) -> tuple[float, str]:
    """Value of a cell, and its unit where it has one."""
    plain = text.strip()
    if plain.lower() in BLANK:
        return float("nan"), ""
    found = NUMBER.match(plain)
    if found is None:
        raise InputError(f"The value {text!r} is not a number.", line=line, hint="Leave missing values blank.")
    return float(found[1].replace(",", ".")), (found[2] or "").replace("°", "").strip().upper()


def parse_logger(text: str, dates: str = "") -> Outcome[LoggerTable]:
    """Read the text of a logger's CSV file.

    Parameters
    ----------
    text : str
        A head line, then one row a time: the time first (or date and hour in two columns), then one column for each
        channel. What stands above the head is passed over; a line of units below it is read. Columns parted by
        semicolons, tabs, bars or commas; decimal commas where columns are parted by another mark, or in quotes. Columns
        with °F or Btu in their head are turned into °C and W/m².
    dates : str
        ``"day first"`` or ``"month first"``, where dates such as 01/02/2026 could be read either way.

    Returns
    -------
    Outcome of LoggerTable
        Rows in order of time; findings about gaps, blanks, marks of faults, rows that are there twice, missing units.

    Raises
    ------
    InputError
        If there is no head, a time or a number cannot be read, or fewer than two rows are there.
    """
    raw = _one_clock(_raw(text))
    order = day_first([own[0] for _, own in raw.rows], dates)
    rows = [
        (read_time(own[0], number, order), [_number(c, number) for c in own[1:]], number) for number, own in raw.rows
    ]
    if len(rows) < LEAST_ROWS:
        raise InputError("The logger's file has fewer than two rows.", line=rows[-1][2])
    rows.sort(key=lambda r: r[0])
    once = [r for i, r in enumerate(rows) if i == 0 or r[0] != rows[i - 1][0]]
    values = np.array([[v for v, _ in r[1]] for r in once], dtype=np.float64)
    findings = [] if len(once) == len(rows) else [_twice(len(rows) - len(once))]
    marked = np.abs(values) >= NO_FIGURE
    if marked.any():
        values[marked] = np.nan
        findings.append(Finding.of("prove.logger-faults", Weight.WARN, (), at=None, n=Count(int(marked.sum()))))
    for i, name in enumerate(raw.head[1:]):
        units = {u for r in once for u in (r[1][i][1],) if u}
        values[:, i] = _in_si(values[:, i], name, units, findings)
    times = tuple(r[0] for r in once)
    gaps = np.array([(b - a).total_seconds() / 3600.0 for a, b in pairwise(times)])
    table = LoggerTable(times, raw.head[1:], values, float(np.median(gaps)) if gaps.size else 0.0)
    return Outcome(table, (*findings, *_table_findings(table, gaps)))


def _in_si(column: NDArray[Any], name: str, units: set[str], findings: list[Finding]) -> NDArray[Any]:
    if len(units) > 1:
        raise InputError(f"Column {name!r} has values in °C and in °F.", hint="Let the logger write one unit.")
    if FAHRENHEIT.search(name) or "F" in units:
        return np.asarray(celsius_from_f(column))
    if INCH_POUND_FLUX.search(name):
        return np.asarray(column * W_M2_PER_BTU_H_FT2)
    if not (CELSIUS.search(name) or FLUX.search(name) or units):
        findings.append(Finding.of("prove.logger-unit", Weight.NOTE, (), at=None, column=Name(name), unit=Name("°C")))
    return column


def _twice(n: int) -> Finding:
    return Finding.of("prove.logger-times", Weight.WARN, (), at=None, n=Count(n))


def _table_findings(table: LoggerTable, gaps: NDArray[Any]) -> tuple[Finding, ...]:
    out = []
    if np.any(gaps > 1.5 * table.step_hours):
        longest, usual = Span(float(gaps.max())), Span(table.step_hours)
        out.append(Finding.of("prove.logger-gaps", Weight.WARN, (), at=None, longest=longest, usual=usual))
    blank = int(np.isnan(table.values).sum())
    if blank:
        out.append(Finding.of("prove.logger-blanks", Weight.NOTE, (), at=None, n=Count(blank)))
    return tuple(out)


def readings_from_logger(
    table: LoggerTable, channels: Mapping[str, Temperature] | Sequence[tuple[str, Temperature]]
) -> tuple[Temperature, ...]:
    """Turn a logger's columns into readings.

    Parameters
    ----------
    table : LoggerTable
        As read.
    channels : Mapping of str to Temperature, or pairs
        For each column to be used a reading that says what it is; its value and time are replaced. Blanks are left out.

    Raises
    ------
    UnknownName
        If the logger has no such column.
    """
    out: list[Temperature] = []
    for name, like in channels.items() if isinstance(channels, Mapping) else channels:
        for time, value in zip(table.times, table.channel(name), strict=True):
            if not np.isnan(value):
                out.append(replace(like, value=float(value), time=time.isoformat()))
    return tuple(out)
