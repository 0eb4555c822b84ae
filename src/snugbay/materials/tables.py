"""Read a bundled CSV table."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files

from snugbay.base import DataError

Row = dict[str, str]


@cache
def rows(table: str) -> tuple[Row, ...]:
    """Return the rows of a bundled table, comment lines left out.

    Parameters
    ----------
    table : str
        Path under the data folder, ``"trade/rates.csv"``.

    Raises
    ------
    DataError
        If the table is not there or a row has the wrong number of cells.
    """
    path = files("snugbay").joinpath("data", *table.split("/"))
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError as error:
        raise DataError(f"The bundled table {table} is missing.", hint="Install Snugbay again.") from error
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    found = []
    for row in csv.DictReader(lines):
        if None in row or any(v is None for v in row.values()):
            raise DataError(f"A row of the bundled table {table} has the wrong number of cells: {row}.")
        found.append(row)
    return tuple(found)


def number(row: Row, column: str) -> float | None:
    """Return a cell as a number, None where it is blank."""
    return float(row[column]) if row[column].strip() else None
