"""The booklet's sentences, read from ``texts.toml``."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from snugbay.base import DataError


@cache
def catalogue() -> Mapping[str, Mapping[str, str]]:
    """Return section -> name -> text."""
    raw = files("snugbay.booklet").joinpath("texts.toml").read_text(encoding="utf-8")
    found = {section: MappingProxyType(dict(words)) for section, words in tomllib.loads(raw).items()}
    return MappingProxyType(found)


def say(key: str, **parts: object) -> str:
    """Return the text ``"section.name"`` with its parts filled in.

    Raises
    ------
    DataError
        If the catalogue has no such text or a part is missing.
    """
    section, _, name = key.partition(".")
    try:
        pattern = catalogue()[section][name]
        return pattern.format(**{k.replace("_", "-"): v for k, v in parts.items()}) if parts else pattern
    except KeyError as error:
        raise DataError(f"The booklet's text {key!r} is missing or lacks the part {error}.") from error


def headings(section: str) -> Mapping[str, str]:
    """Return every text of a section, for tables' heads in templates."""
    return catalogue()[section]
