"""Keeping the newest few of what takes long to make."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

T = TypeVar("T")


class Shelf(Generic[T]):
    """Keeps the newest few of something that takes long to make.

    Parameters
    ----------
    size : int
        How many are kept.
    """

    def __init__(self, size: int) -> None:
        self._size = size
        self._lock = threading.Lock()
        self._items: OrderedDict[Hashable, T] = OrderedDict()

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return what is kept under a key, making it where it is not there."""
        with self._lock:
            if key in self._items:
                self._items.move_to_end(key)
                return self._items[key]
        made = make()
        with self._lock:
            self._items[key] = made
            self._items.move_to_end(key)
            while len(self._items) > self._size:
                self._items.popitem(last=False)
        return made
