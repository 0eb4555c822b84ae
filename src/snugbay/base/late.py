"""Names of a room that are loaded when they are first asked for, so that a quick command loads little."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Mapping
from importlib import import_module
from types import ModuleType
from typing import Any


class _Room(ModuleType):
    """A room whose names win over its modules of the same name: ``document.read`` is the function."""

    _homes: Mapping[str, str] = {}

    def __setattr__(self, name: str, value: Any) -> None:
        if isinstance(value, ModuleType) and self._homes.get(name) == name:
            value = getattr(value, name)
        super().__setattr__(name, value)


def late(room: str, homes: Mapping[str, Iterable[str]]) -> Callable[[str], Any]:
    """Return a room's ``__getattr__`` (PEP 562).

    Parameters
    ----------
    room : str
        The room, ``__name__``.
    homes : Mapping of str to iterable of str
        Module in the room to the names that it gives.
    """
    home = {name: module for module, names in homes.items() for name in names}
    here = sys.modules[room]
    here.__class__ = _Room
    here._homes = home  # type: ignore[attr-defined]

    def get(name: str) -> Any:
        if name not in home:
            raise AttributeError(f"module {room!r} has no attribute {name!r}")
        value = getattr(import_module(f"{room}.{home[name]}"), name)
        setattr(here, name, value)
        return value

    return get
