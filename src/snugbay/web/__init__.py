"""Room web: the local page: server-rendered, partial updates, the same drawings as in print, and the API under it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from snugbay.web.app import make_app
    from snugbay.web.serving import serve

__all__ = ["make_app", "serve"]


def __getattr__(name: str) -> object:
    """Load the application only where it is asked for: the worker process does without it."""
    if name == "make_app":
        from snugbay.web.app import make_app

        return make_app
    if name == "serve":
        from snugbay.web.serving import serve

        return serve
    raise AttributeError(name)
