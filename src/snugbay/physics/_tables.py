"""Reading of bundled tables; the room's only reading, through importlib.resources."""

from __future__ import annotations

import csv
import gzip
from functools import cache
from importlib import resources
from types import MappingProxyType

from snugbay.base import DataError

Row = MappingProxyType[str, str]


def text_of(folder: str, name: str) -> str:
    """Return the text of a bundled file, gunzipped where its name ends in ``.gz``."""
    try:
        raw = resources.files("snugbay").joinpath("data", folder, name).read_bytes()
    except FileNotFoundError as error:
        raise DataError(f"The bundled table {folder}/{name} is missing.", hint="Reinstall the program.") from error
    try:
        return (gzip.decompress(raw) if name.endswith(".gz") else raw).decode("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise DataError(f"The bundled table {folder}/{name} is damaged.", hint="Reinstall the program.") from error


@cache
def rows_of(folder: str, name: str) -> tuple[Row, ...]:
    """Return a bundled CSV table as rows by column name; lines that begin with ``#`` are remarks."""
    lines = [line for line in text_of(folder, name).splitlines() if line and not line.startswith("#")]
    return tuple(MappingProxyType(row) for row in csv.DictReader(lines))
