"""Every text of the page, in one catalogue for each language."""

from __future__ import annotations

import string
import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from snugbay.base import DataError, UnknownName


class Texts:
    """The texts of one language.

    Parameters
    ----------
    language : str
        ISO 639 code of the catalogue.
    entries : Mapping
        Dotted key to text, a `str.format` pattern.
    """

    def __init__(self, language: str, entries: Mapping[str, str]) -> None:
        self.language = language
        self.entries = MappingProxyType(dict(entries))

    def __call__(self, key: str, **parts: object) -> str:
        """Return a text with its parts filled in; raises `DataError` for a key that is not there."""
        try:
            text = self.entries[key]
        except KeyError:
            raise DataError(f"The catalogue {self.language!r} has no text {key!r}.", code="web.text") from None
        return text.format(**parts) if parts else text

    def has(self, key: str) -> bool:
        """Tell whether there is such a text."""
        return key in self.entries

    def count(self, key: str, number: int, **parts: object) -> str:
        """Return the text for one (``key.one``) or for many (``key.many``)."""
        return self(f"{key}.{'one' if number == 1 else 'many'}", n=number, **parts)


def parts_of(text: str) -> frozenset[str]:
    """Return the names of the parts that vary in a text."""
    return frozenset(name for _, name, _, _ in string.Formatter().parse(text) if name)


def _flat(table: Mapping[str, object], head: str = "") -> Iterator[tuple[str, str]]:
    for key, value in table.items():
        if isinstance(value, Mapping):
            yield from _flat(value, f"{head}{key}.")
        else:
            yield f"{head}{key}", str(value)


@cache
def texts(language: str = "en") -> Texts:
    """Return the catalogue of a language; raises `UnknownName` where there is none."""
    path = files("snugbay.web").joinpath("texts", f"{language}.toml")
    if not language.isalpha() or not path.is_file():
        raise UnknownName(f"There is no catalogue of texts for {language!r}.", code="web.text")
    return Texts(language, dict(_flat(tomllib.loads(path.read_text(encoding="utf-8")))))
