from __future__ import annotations

from importlib.resources import as_file, files

from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from hypothesis import given
from hypothesis import strategies as st

from snugbay.draw.lettering import CAPITAL, FAMILY, in_lettering, shortened, text_width, wrapped

PLAIN = st.text(st.sampled_from("abc XYZ 0123/\"'-éß€½W"), max_size=60)


def test_widths_and_names_are_those_of_the_shipped_font() -> None:
    for name, bold in (("Regular", False), ("Bold", True)):
        with as_file(files("snugbay").joinpath("data", "fonts", f"BarlowSemiCondensed-{name}.ttf")) as path:
            font = TTFont(path)
        assert str(font["name"].getDebugName(1)) == FAMILY
        assert "SIL Open Font License" in str(font["name"].getDebugName(13))
        assert font["OS/2"].sCapHeight / font["head"].unitsPerEm == CAPITAL
        for code, glyph in font.getBestCmap().items():
            assert text_width(chr(code), 1000.0, bold=bold) == font["hmtx"][glyph][0]


def test_lettering_has_what_the_trade_writes() -> None:
    assert in_lettering("7' 4-1/2\" 1840 mm 33.5° ½ ¾ R-13 m²K/W €£$ × – … ü ø")
    assert not in_lettering("棚")
    assert text_width("棚", 4.0) == 4.0


@given(PLAIN, st.floats(5, 80))
def test_wrapped_keeps_every_word_and_the_width(text: str, width: float) -> None:
    lines = wrapped(text, width, 4.0)
    assert " ".join(lines).split() == text.split()
    for line in lines:
        assert text_width(line, 4.0) <= width or " " not in line


@given(PLAIN, st.floats(3, 80))
def test_shortened_fits_and_says_so(text: str, width: float) -> None:
    cut = shortened(text, width, 4.0)
    assert cut == text or cut.endswith("…")
    assert text_width(cut, 4.0) <= width or cut == "…"
    assert (cut == text) == (text_width(text, 4.0) <= width) or cut == "…"
