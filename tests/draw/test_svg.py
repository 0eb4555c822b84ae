from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from snugbay.base import SnugbayError
from snugbay.draw import Area, Disc, Group, Medium, Scene, Stroke, Text, ink_variables, style_sheet, to_svg
from snugbay.draw.looks import INKS, LOOKS
from snugbay.draw.scene import moved, points_of
from snugbay.draw.svg import number, printable

SVG = "{http://www.w3.org/2000/svg}"
SCENE = Scene(
    120.0,
    80.5,
    (
        Group((Area((((0, 0), (10, 0), (10, 5)),), "board"), Text((5, 5), "N1-1 <&>", 4.0)), "piece", 'a"b', "T<>"),
        Stroke(((1, 2), (3, 4)), "chalk-line"),
        Disc((9, 9), 2.0, "number"),
    ),
    "Sheet <1>",
    "About & so on",
)


@pytest.mark.parametrize("medium", list(Medium))
def test_size_in_millimetres_and_text_stays_text(medium: Medium) -> None:
    root = ElementTree.fromstring(to_svg(SCENE, medium))
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("120mm", "80.5mm", "0 0 120 80.5")
    assert [t.text for t in root.iter(SVG + "text")] == ["N1-1 <&>"]
    title = root.find(SVG + "title")
    assert title is not None
    assert title.text == "Sheet <1>"
    group = root.find(SVG + "g")
    assert group is not None
    assert (group.get("data-layer"), group.get("data-name")) == ("piece", 'a"b')


def test_print_has_plain_colours_and_screen_has_variables() -> None:
    assert "var(" not in to_svg(SCENE, Medium.PRINT)
    assert "--sb-" not in to_svg(SCENE, Medium.PRINT)
    assert "var(--sb-board," in to_svg(SCENE, Medium.SCREEN)
    assert "prefers-color-scheme:dark" in to_svg(SCENE, Medium.SCREEN)
    assert "<style>" not in to_svg(SCENE, Medium.PAGE)


@given(st.text(max_size=40))
def test_any_text_survives_as_it_is_but_for_what_xml_cannot_hold(text: str) -> None:
    if any(0xD800 <= ord(c) < 0xE000 for c in text):
        return
    scene = Scene(9, 9, (Text((1, 1), text, 3.0),), text, text)
    root = ElementTree.fromstring(to_svg(scene).encode())
    found = root.find(SVG + "text")
    assert found is not None
    assert (found.text or "") == printable(text)


def test_unknown_look_is_refused() -> None:
    with pytest.raises(SnugbayError, match="nosuch"):
        to_svg(Scene(9, 9, (Stroke(((0, 0), (1, 1)), "nosuch"),), "t"))


@given(st.floats(-1e5, 1e5))
def test_numbers_are_short_and_near(value: float) -> None:
    assert abs(float(number(value)) - value) <= 0.0005 + 1e-9
    assert re.fullmatch(r"-?\d+(\.\d{1,3})?", number(value))


@given(st.floats(-50, 50), st.floats(-50, 50))
def test_moved_moves_every_point(dx: float, dy: float) -> None:
    for item in SCENE.items:
        for (x, y), (u, v) in zip(points_of(item), points_of(moved(item, dx, dy)), strict=True):
            assert abs(u - x - dx) < 1e-9
            assert abs(v - y - dy) < 1e-9


def _luminance(colour: str) -> float:
    """Relative luminance of sRGB, WCAG 2.2, definition of relative luminance."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def _contrast(a: str, b: str) -> float:
    high, low = sorted((_luminance(a), _luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("dark", [0, 1])
def test_texts_reach_contrast_aa(dark: int) -> None:
    """WCAG 2.2, criterion 1.4.3: 4.5 to 1 for text; 1.4.11: 3 to 1 for lines that carry meaning."""
    grounds = [INKS[g][dark] for g in ("paper", "board", "board-two", "keep", "shade")]
    for ink in ("pencil", "soft", "chalk", "crayon"):
        for ground in grounds:
            assert _contrast(INKS[ink][dark], ground) >= 4.5, (ink, ground)
    for ink in ("pencil", "soft", "chalk", "crayon"):
        assert _contrast(INKS[ink][dark], INKS["paper"][dark]) >= 3


def test_looks_are_told_apart_without_colour() -> None:
    cuts = [(LOOKS[n].width, LOOKS[n].dashes) for n in ("chalk-line", "chalk-stopped", "chalk-plunge")]
    edges = [(LOOKS[n].width, LOOKS[n].dashes) for n in ("foam-edge", "tape-edge", "corner-edge", "gasket-edge")]
    assert len(set(cuts)) == 3
    assert len(set(edges)) == 4
    for name, look in LOOKS.items():
        assert {look.fill, look.line} - {"none"} <= INKS.keys(), name


def test_page_variables_name_every_ink() -> None:
    for dark in (False, True):
        declared = ink_variables(dark=dark)
        assert all(f"--sb-{ink}:" in declared for ink in INKS)
    assert "media" not in style_sheet(None, screen=True, standalone=False)
