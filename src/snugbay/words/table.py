"""The table of words: a row a code, a template with named fields; a folder a language."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from string import Formatter

from snugbay.base import DataError

LANGUAGE = "en"
"""Language that is written where no other is asked for."""
Table = Mapping[str, str]
"""Templates by code."""
_CODE = re.compile(r"[a-z0-9-]+(\.[a-z0-9-]+)+")


def languages() -> tuple[str, ...]:
    """Return the languages for which there are words."""
    return tuple(sorted(p.name for p in _folder().iterdir() if p.is_dir() and len(p.name) == 2))


@cache
def table_of(language: str = LANGUAGE) -> Table:
    """Return the rows of a language, all its files together.

    Raises
    ------
    DataError
        If there is no such language, a code stands twice, or a row is no template.
    """
    if language not in languages():
        raise DataError(f"There are no words in {language!r}.", hint=f"There are: {', '.join(languages())}.")
    rows: dict[str, str] = {}
    for file in sorted(_folder().joinpath(language).iterdir(), key=lambda p: p.name):
        if file.name.endswith(".toml"):
            for code, text in _rows(tomllib.loads(file.read_text(encoding="utf-8"))):
                if code in rows or not _CODE.fullmatch(code):
                    raise DataError(f"{file.name}: {code!r} stands twice, or is no code.")
                rows[code] = text
    return rows


def _folder() -> Traversable:
    return files("snugbay").joinpath("data", "words")


def _rows(data: Mapping[str, object], head: str = "") -> Iterator[tuple[str, str]]:
    for key, value in data.items():
        code = f"{head}.{key}" if head else key
        if isinstance(value, dict):
            yield from _rows(value, code)
        elif isinstance(value, str):
            yield code, value
        else:
            raise DataError(f"The row {code!r} of the words is no text.")


def fields_of(template: str) -> Iterator[tuple[str, str, str]]:
    """Yield the pieces of a template: text before a field, the field's name (empty at the end), how it is written."""
    for before, name, how, _ in Formatter().parse(template):
        yield before, name or "", how or ""
