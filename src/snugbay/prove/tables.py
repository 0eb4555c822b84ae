"""Figures of the room, from its data files."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from snugbay.base import DataError


@cache
def table(name: str) -> Mapping[str, Any]:
    """Return a bundled table of room prove, ``"learning"`` or ``"readings"``.

    Raises
    ------
    DataError
        If the table is missing or damaged.
    """
    path = files("snugbay").joinpath("data", "prove", f"{name}.toml")
    try:
        found = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError as error:
        raise DataError(f"The bundled table prove/{name} is missing.", hint="Install Snugbay again.") from error
    except tomllib.TOMLDecodeError as error:
        raise DataError(
            f"The bundled table prove/{name} is damaged: {error}.", hint="Install Snugbay again."
        ) from error
    return MappingProxyType(found)


def figure(name: str, group: str, key: str) -> float:
    """Return one figure of a table.

    Raises
    ------
    DataError
        If there is no such figure.
    """
    try:
        return float(table(name)[group][key])
    except (KeyError, TypeError, ValueError) as error:
        raise DataError(f"The bundled table prove/{name} has no figure {group}.{key}.") from error


def words(name: str, group: str, key: str) -> tuple[str, ...]:
    """Return one list of words of a table; see `figure`."""
    try:
        return tuple(str(w) for w in table(name)[group][key])
    except (KeyError, TypeError) as error:
        raise DataError(f"The bundled table prove/{name} has no list {group}.{key}.") from error
