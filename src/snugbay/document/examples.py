"""The example jobs: four invented households, none of them anyone's real house."""

from __future__ import annotations

from importlib.resources import files

from snugbay.base import UnknownName

EXAMPLES = ("ferry-cottage", "mill-cellar", "bakery-rim", "chapel-dormers")


def example(name: str) -> str:
    """Return the TOML text of an example job; raise `UnknownName` otherwise."""
    if name not in EXAMPLES:
        raise UnknownName(f"There is no example {name!r}.", hint="Examples: " + ", ".join(EXAMPLES) + ".")
    return files("snugbay").joinpath("data", "examples", f"{name}.toml").read_text(encoding="utf-8")
