"""All texts in one catalogue: none missing, none left over, none written into a template."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from importlib.resources import files
from itertools import chain
from pathlib import Path

import pytest

from snugbay.base import DataError, UnknownName
from snugbay.document import EXAMPLES, example, schema
from snugbay.web.measured import items_of, rows_of
from snugbay.web.opened import open_text
from snugbay.web.printing import Printer
from snugbay.web.render import STAGES, environment
from snugbay.web.sections import face_section, job_sections
from snugbay.web.texts import Texts, parts_of, texts

WEB = Path(str(files("snugbay.web")))
TEMPLATES = sorted(WEB.joinpath("templates").glob("*.html"))
CALL = re.compile(r"""(?<![A-Za-z_.])(?:t|words|has_text|texts(?:\(\))?)\(\s*(f?)["']([^"']+)["'](\s*~)?""")
COUNT = re.compile(r"""(?<![A-Za-z_.])count\(\s*["']([^"']+)["']""")


def calls() -> set[tuple[str, bool]]:
    """Every key that a template or a module names; True where it is only the beginning of one."""
    found = set()
    for path in [*TEMPLATES, *WEB.rglob("*.py")]:
        text = path.read_text(encoding="utf-8")
        for formatted, key, joined in CALL.findall(text):
            begin = key.split("{")[0] if formatted else key
            found.add((begin, bool(formatted and "{" in key) or bool(joined)))
        for key in COUNT.findall(text):
            found |= {(f"{key}.one", False), (f"{key}.many", False)}
    return found


def test_every_text_that_is_named_is_there() -> None:
    words = texts()
    for key, begins in calls():
        if begins:
            assert any(k.startswith(key) for k in words.entries), key
        else:
            assert words.has(key), key


class Listening(Texts):
    """A catalogue that notes what is asked for."""

    def __init__(self) -> None:
        super().__init__("en", texts().entries)
        self.asked: set[str] = set()

    def __call__(self, key: str, **parts: object) -> str:
        self.asked.add(key)
        return super().__call__(key, **parts)

    def has(self, key: str) -> bool:
        self.asked.add(key)
        return super().has(key)


def test_every_field_of_every_example_has_its_text() -> None:
    words = Listening()
    for name in EXAMPLES:
        opened = open_text(example(name))
        job_sections(opened, words)
        for item in items_of(opened):
            face_section(item, opened, words)
            rows_of(item, opened, words, None, Printer())
    assert len(words.asked) > 100


def test_no_text_is_left_over() -> None:
    named = calls()
    whole = {key for key, begins in named if not begins}
    heads = tuple(key for key, begins in named if begins)
    listening = Listening()
    for name in EXAMPLES:
        opened = open_text(example(name))
        job_sections(opened, listening)
        for item in items_of(opened):
            face_section(item, opened, listening)
    schema_made = ("field.", "help.", "choice.", "reading.")
    for key in texts().entries:
        assert key in whole or key.startswith((*heads, *schema_made)), key


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda p: p.name)
def test_texts_get_all_the_parts_they_need(path: Path) -> None:
    words = texts()
    call = re.compile(
        r"""(?<![A-Za-z_.])t\(\s*["']([^"'~]+)["']\s*((?:,(?:[^()]|\((?:[^()]|\((?:[^()]|\([^()]*\))*\))*\))*)?)\)"""
    )
    for key, given in call.findall(path.read_text(encoding="utf-8")):
        if words.has(key):
            names = set(re.findall(r"(?:,|^)\s*(\w+)=", given))
            assert names == parts_of(words.entries[key]), (path.name, key)


class Bare(HTMLParser):
    """Collects the text of a template that stands outside its expressions."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_data(self, data: str) -> None:
        self.found.append(data)

    def handle_starttag(self, _: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if name in ("aria-label", "title", "placeholder", "alt") and value:
                self.found.append(value)


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda p: p.name)
def test_templates_hold_no_words_of_their_own(path: Path) -> None:
    text = re.sub(r"\{#.*?#\}|\{%.*?%\}|\{\{.*?\}\}", " ", path.read_text(encoding="utf-8"), flags=re.S)
    bare = Bare()
    bare.feed(text)
    assert re.findall(r"[A-Za-z]{2,}", " ".join(bare.found)) == []


def test_a_missing_text_or_language_is_an_error() -> None:
    with pytest.raises(DataError):
        texts()("nothing.here")
    with pytest.raises(UnknownName):
        texts("xx")
    with pytest.raises(UnknownName):
        texts("../en")


def test_every_template_compiles_and_every_stage_has_a_name() -> None:
    for path in TEMPLATES:
        environment().get_template(path.name)
    assert all(texts().has(f"stage.{s}") for s in chain(STAGES))


def test_no_field_text_is_left_over() -> None:
    models = {m: set(d.get("properties", {})) for m, d in schema()["$defs"].items()} | {
        "JobDoc": set(schema()["properties"])
    }
    every = set(chain.from_iterable(models.values()))
    for key in texts().entries:
        head, _, rest = key.partition(".")
        if head in ("field", "help"):
            model, _, name = rest.rpartition(".")
            assert name in (models.get(model, set()) if model else every), key
        if head == "choice":
            assert rest.split(".")[0] in every, key
