from __future__ import annotations

import re
from math import inf
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import snugbay.booklet
import snugbay.draw
from snugbay.base import DataError, SnugbayError
from snugbay.booklet.texts import catalogue, say
from snugbay.booklet.words import Words, hours_text, listed, number_text
from snugbay.draw.texts import WORDS
from snugbay.draw.texts import say as say_drawing

FT, MM = Words("ft-in", "USD"), Words("mm", "GBP")
BOOKLET = Path(snugbay.booklet.__file__).parent
DRAW = Path(snugbay.draw.__file__).parent


def test_units_of_the_job() -> None:
    assert FT.length(0.3048) == "1' 0\""
    assert MM.length(1.84) == "1840 mm"
    assert FT.run(3.048) == "10 ft"
    assert MM.run(3.04) == "3 m"
    assert FT.area(0.09290304) == "1 ft²"
    assert FT.temperature(10.0) == "50 °F"
    assert FT.length_up(0.0001) == '1/16"'
    assert MM.length_up(0.0012) == "2 mm"


@given(st.floats(-1e5, 1e5))
def test_numbers_have_no_needless_zeros(value: float) -> None:
    text = number_text(value)
    assert not text.endswith((".0", "."))
    assert abs(float(text.replace(",", "")) - value) <= 0.0501
    assert text != "-0"


def test_hours_and_lists() -> None:
    assert (hours_text(9.04), hours_text(38.4), number_text(inf)) == ("9", "38", "-")
    assert listed(["a", "b"]) == "a, b"


def _keys(folder: Path) -> set[str]:
    found: set[str] = set()
    for path in folder.rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        found |= set(re.findall(r'say\(\s*f?"([a-z]+\.[a-z{}._-]+)"', text))
        found |= set(re.findall(r'"((?:hours|spread|sheet|piece|frontier|cover|sheets)\.[a-z-]+)"', text))
    return found


def test_every_key_the_booklet_asks_for_is_in_its_catalogue() -> None:
    for key in _keys(BOOKLET):
        section, name = key.split(".", 1)
        if "{" not in name:
            assert name in catalogue()[section], key


def test_every_booklet_text_is_used() -> None:
    source = "".join(p.read_text(encoding="utf-8") for p in BOOKLET.rglob("*") if p.suffix in (".py", ".typ", ".j2"))
    built = {"edge-bottom", "edge-top", "edge-left", "edge-right", "stop", "warn", "note"}
    for section, texts in catalogue().items():
        for name in texts:
            used = f"{section}.{name}" in source or f"t.{name}" in source or f"['{name}']" in source
            assert used or name in built, f"{section}.{name}"


def test_every_key_the_drawings_ask_for_is_in_their_catalogue_and_used() -> None:
    source = "".join(p.read_text(encoding="utf-8") for p in DRAW.glob("*.py") if p.name != "texts.py")
    for key in _keys(DRAW):
        if "{" not in key:
            assert key in WORDS, key
    built = {"proof.before", "proof.after", "sheet.legend-through", "sheet.legend-stopped", "sheet.legend-plunge"}
    for key in WORDS:
        section, _, name = key.partition(".")
        titled = name in ("title", "about") and f'"{section}"' in source
        assert f'"{key}"' in source or titled or key in built or section == "cut", key


def test_missing_texts_and_parts_are_errors() -> None:
    with pytest.raises(DataError, match=r"nosuch\.text"):
        say("nosuch.text")
    with pytest.raises(DataError, match="hours"):
        say("cover.hours", minutes=3)
    with pytest.raises(SnugbayError, match=r"nosuch\.text"):
        say_drawing("nosuch.text")
