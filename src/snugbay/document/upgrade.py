"""Documents of older versions are brought up to date before they are read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from snugbay.base import InputError
from snugbay.document.models import VERSION

Step = Callable[[dict[str, Any]], dict[str, Any]]

STEPS: Mapping[int, Step] = {}
"""From version n to n + 1."""


def _shown(version: object) -> str:
    if isinstance(version, bool):
        return "true" if version else "false"
    return f'"{version}"' if isinstance(version, str) else f"{version}"


def upgraded(data: dict[str, Any]) -> dict[str, Any]:
    """Return the document's data in the present version.

    Raises
    ------
    InputError
        If the version is newer than this program, or no number.
    """
    version = data.get("version", VERSION)
    if isinstance(version, bool) or not isinstance(version, int) or not version >= 1:
        raise InputError(
            f"{_shown(version)} is no document version.", where=("version",), hint=f"Write version = {VERSION}."
        )
    if version > VERSION:
        raise InputError(
            f"This document has version {version}; this Snugbay reads up to {VERSION}.",
            where=("version",),
            hint="Install a newer Snugbay.",
        )
    for at in range(version, VERSION):
        data = STEPS[at](data)
    return data
