"""Every finding has words and all words are of something found: the table and the code name the same codes."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import snugbay
from snugbay.base import Said
from snugbay.base import facts as f
from snugbay.words import Writer, languages, other_system, table_of
from snugbay.words.table import fields_of

SRC = Path(snugbay.__file__).parent
LISTS = re.compile(r"(?:list|month)\.")
"""Rows that the writer itself asks for."""


@cache
def _all_calls() -> tuple[tuple[Path, ast.Call, str], ...]:
    """Return every call in the source, with the dotted name of what is called."""
    found = []
    for path in sorted(SRC.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                func = node.func
                if isinstance(func, ast.Attribute):
                    head = func.value.id if isinstance(func.value, ast.Name) else ""
                    found.append((path, node, f"{head}.{func.attr}"))
                elif isinstance(func, ast.Name):
                    found.append((path, node, func.id))
    return tuple(found)


def _calls() -> Iterator[tuple[Path, ast.Call, str]]:
    """Yield every call that makes a finding or a phrase, with its code where that is written out."""
    for path, node, name in _all_calls():
        if name in ("Finding.of", "Said.of") and node.args:
            first = node.args[0]
            yield path, node, str(first.value) if isinstance(first, ast.Constant) else ""


def _written() -> str:
    return "\n".join(p.read_text(encoding="utf-8") for p in sorted(SRC.rglob("*.py")))


@pytest.mark.parametrize("language", languages())
def test_every_code_has_words_and_every_row_is_used(language: str) -> None:
    table, source = table_of(language), _written()
    for path, call, code in _calls():
        assert not code or code in table, f"{path.name}:{call.lineno}: no words for {code!r}"
    for code in table:
        assert LISTS.match(code) or f'"{code}"' in source, f"nobody says {code!r}"


def _put_in() -> set[str]:
    """Names of facts that are put into a finding by who passes it on."""
    return {str(k.arg) for _, node, name in _all_calls() if name.endswith(".having") for k in node.keywords}


def test_every_field_of_a_row_is_among_the_facts_of_those_who_say_it() -> None:
    later = _put_in()
    for path, call, code in _calls():
        named = {str(k.arg) for k in call.keywords}
        spread = any(k.arg is None for k in call.keywords)
        if code and not spread:
            fields = {name for _, name, _ in fields_of(table_of()[code]) if name}
            assert fields <= named | later, f"{path.name}:{call.lineno}: {code!r} needs {sorted(fields - named)}"


def test_no_finding_is_made_with_prose() -> None:
    """A finding is made by `Finding.of`, or from the facts of a phrase; a sentence in it is an error."""
    for path, node, name in _all_calls():
        if name == "Finding":
            plain = len(node.args) > 1
            assert not plain, f"{path.name}:{node.lineno}"


@pytest.mark.parametrize("units", ["ft-in", "mm"])
def test_no_row_names_a_unit_itself(units: str) -> None:
    """Each row is said with lengths for facts; figures of the other system could only stand in the row itself."""
    writer = Writer(units)
    for code, template in table_of().items():
        facts = {name: f.Length(0.3) for _, name, _ in fields_of(template) if name}
        if not LISTS.match(code):
            said = writer.said(Said.of(code, **facts))
            assert not other_system(said, units), said
