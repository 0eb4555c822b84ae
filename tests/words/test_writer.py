"""The one writer: figures come back as they went in, units are the job's, and what differs reads differently."""

from __future__ import annotations

import re
from math import inf, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from snugbay.base import DataError, Finding, Said, Weight
from snugbay.base.facts import FaceRef, Length, MassPerArea, Money, PieceRef, names
from snugbay.tape import FOOT_M, R_SI_PER_R_IP, parse_length
from snugbay.words import Writer, gathered, other_system

FT, MM = Writer("ft-in", "USD"), Writer("mm", "GBP")


@pytest.mark.parametrize(
    ("amount", "currency", "text"),
    [
        (1234.4, "USD", "$1,234"),
        (-20.0, "GBP", "-£20"),
        (3.5, "EUR", "€3.50"),
        (3.0, "EUR", "€3"),
        (-0.001, "USD", "$0"),
        (50.0, "SEK", "SEK 50"),
        (inf, "USD", "-"),
    ],
)
def test_money(amount: float, currency: str, text: str) -> None:
    assert Writer("mm", currency).money(amount) == text


@pytest.mark.parametrize(
    ("feet", "metric"),
    [
        (FT.length(0.0026), MM.length(0.0026)),
        (FT.length(0.086), MM.length(0.086)),
        (FT.area(0.4815), MM.area(0.4815)),
        (FT.area(0.004), MM.area(0.004)),
        (FT.difference(10.0), MM.difference(10.0)),
        (FT.temperature(-1.6), MM.temperature(-1.6)),
        (FT.resistance(13 * R_SI_PER_R_IP), MM.resistance(2.29)),
        (FT.mass_per_area(0.03), MM.mass_per_area(0.03)),
        (FT.angle(pi / 3), MM.angle(pi / 3)),
        (FT.distance(64_000.0), MM.distance(64_000.0)),
    ],
)
def test_each_system_has_its_own_units(feet: str, metric: str) -> None:
    assert not other_system(feet, "ft-in")
    assert not other_system(metric, "mm")
    assert feet == metric or (other_system(feet, "mm") and other_system(metric, "ft-in"))


def test_figures_as_people_read_them() -> None:
    """Definitions: 1 in = 25.4 mm; a difference of 10 K is one of 18 °F; R-13 is 2.289 m²K/W (Btu of the IT)."""
    assert (FT.length(0.0026), MM.length(0.0026)) == ('1/8"', "2.6 mm")
    assert (FT.length(0.0003), FT.length(2.2479)) == ('0.01"', "7' 4-1/2\"")
    assert (FT.area(0.4815), MM.area(0.4815)) == ("5.2 ft²", "0.48 m²")
    assert (FT.difference(10.0), MM.difference(10.0)) == ("18 °F", "10 K")
    assert (FT.resistance(2.289), MM.resistance(2.289)) == ("R-13", "2.29 m²K/W")
    assert (FT.hours(0.4), FT.hours(6.51), FT.hours(38.4)) == ("24 min", "6.5 h", "38 h")
    assert (FT.share(0.464), FT.share(0.021), FT.share(0.0)) == ("46 %", "2.1 %", "0 %")


@given(st.floats(0.002, 30.0))
def test_lengths_read_back_to_half_a_mark(metres: float) -> None:
    for writer, unit, mark in ((FT, "in", 0.0254 / 16), (MM, "mm", 0.001)):
        back = float(parse_length(writer.length(metres), unit).metres)
        assert abs(back - metres) <= mark / 2 * (1 + 1e-9)


@given(st.floats(-40.0, 60.0), st.floats(0.0, 60.0))
def test_temperatures_read_back_to_half_a_degree(celsius: float, kelvin: float) -> None:
    degrees = float(FT.temperature(celsius).removesuffix(" °F"))
    assert abs(degrees - (celsius * 1.8 + 32)) <= 0.5 + 1e-9
    assert abs(float(FT.difference(kelvin).removesuffix(" °F")) - kelvin * 1.8) <= 0.5 + 1e-9


@given(st.floats(0.0, 1e7))
def test_money_and_areas_read_back(value: float) -> None:
    assert abs(float(FT.money(value)[1:].replace(",", "")) - value) <= 0.5 + 1e-9 * value
    feet = re.sub(r"[^\d.]", "", FT.area(value + 1.0).removesuffix(" ft²"))
    assert abs(float(feet) * FOOT_M**2 - value - 1.0) <= 0.051 * (value + 1.0)


def test_what_differs_in_a_sentence_reads_differently() -> None:
    """0.7 lb/ft² that is more than the 0.7 that may gather says nothing."""
    said = Said.of("pieces.overlap", pieces=names(("A", "B")), depth=Length(0.002))
    assert MM.said(said) == "A and B overlap by 2 mm on average."
    over = Said.of("fit.over-budget", bought=Money(500.2), over=Money(0.2), reckoned=Money(499.8), reasons=names("x"))
    text = FT.said(over)
    assert "$500.20" in text
    assert "$499.80" in text
    extra = FT._decimals(Said.of("x", a=MassPerArea(3.42), b=MassPerArea(3.41)))
    assert FT.mass_per_area(3.42, extra[MassPerArea]) != FT.mass_per_area(3.41, extra[MassPerArea])


def test_words_follow_how_many_there_are() -> None:
    one = Finding.of("pieces.way-in", Weight.STOP, ("access",), piece=PieceRef("S-1"), how=names(("too long",)))
    other = Finding.of("pieces.way-in", Weight.STOP, ("access",), piece=PieceRef("S-2"), how=names(("too long",)))
    assert MM.finding(one) == "S-1 does not come in: too long."
    assert [MM.finding(f) for f in gathered((one, other))] == ["S-1 and S-2 do not come in: too long."]
    assert len(gathered((one, Finding.of("pieces.put-in", Weight.WARN, (), piece=PieceRef("S-3"))))) == 2
    many = gathered(Finding.of("pieces.put-in", Weight.WARN, (), piece=PieceRef(f"S-{n}")) for n in range(9))
    assert "S-5 and 3 more in" in MM.finding(many[0])


def test_a_phrase_without_words_or_facts_is_an_error() -> None:
    with pytest.raises(DataError, match=r"no-such\.code"):
        MM.said(Said.of("no-such.code"))
    with pytest.raises(DataError, match="piece"):
        MM.said(Said.of("pieces.put-in", face=FaceRef("A")))
    with pytest.raises(DataError, match="'xx'"):
        Writer(language="xx").said(Said.of("pieces.put-in"))
