"""Lengths: every notation, exact values, round trips, and what is refused."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from snugbay.base import UnreadableLength
from snugbay.tape import FOOT, INCH, UNIT_METRES, Rounding, Tape, format_length, parse_length

READ = [
    ("7' 4-1/2\"", "in", Fraction(177, 2) * INCH),
    ("7ft 4.5in", "in", Fraction(177, 2) * INCH),
    ("88 1/2", "in", Fraction(177, 2) * INCH),
    ('88-1/2"', "in", Fraction(177, 2) * INCH),
    ("88½", "in", Fraction(177, 2) * INCH),
    ("7′ 4½″", "mm", Fraction(177, 2) * INCH),
    ("7’ 4½”", "mm", Fraction(177, 2) * INCH),
    ("7'-4 1/2\"", "mm", Fraction(177, 2) * INCH),
    ("7' 4", "mm", 88 * INCH),
    ("7'", "mm", 7 * FOOT),
    ("3/8", "in", Fraction(3, 8) * INCH),
    ("⅜ in", "mm", Fraction(3, 8) * INCH),
    ("5''", "mm", 5 * INCH),
    ("2.25 m", "in", Fraction(9, 4)),
    ("2,25 m", "in", Fraction(9, 4)),
    ("2,250 m", "mm", Fraction(9, 4)),
    ("1840", "mm", Fraction(1840, 1000)),
    ("1 840 mm", "in", Fraction(1840, 1000)),
    ("1 840 mm", "in", Fraction(1840, 1000)),
    ("184,5 cm", "in", Fraction(1845, 1000)),
    (1840, "mm", Fraction(1840, 1000)),
    (46.5, "in", Fraction(93, 2) * INCH),
    (0.1, "m", Fraction(1, 10)),
]


@pytest.mark.parametrize(("text", "unit", "metres"), READ)
def test_notations_are_read_exactly(text: str, unit: str, metres: Fraction) -> None:
    assert parse_length(text, unit).metres == metres


@pytest.mark.parametrize(
    "text",
    [
        "", " ", "abc", "1,840", "1,840 mm", "7' 13", "-5", "5 5", "1/0", "3/2", "1.5 1/2", "7' 4' 3", "1e5", "--5",
        "5-", "4 1/2 1/2", "1 m 20 cm", "nan", "inf", "∞", "5 furlongs", "1,2,3", "1.5' 3", "99999 m", "in", "1 840 12",
        "4\" 7'", "7'4'", "0x10", "½½", True, float("nan"), float("inf"), -1,
    ],
)  # fmt: skip
def test_the_rest_is_refused_with_a_hint(text: str) -> None:
    with pytest.raises(UnreadableLength) as caught:
        parse_length(text, "in")
    assert caught.value.hint
    assert caught.value.code == "tape.unreadable"


@given(st.integers(min_value=0, max_value=39_000), st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_printed_feet_and_inches_read_back_as_the_same_mark(marks: int, parts: int) -> None:
    tape = Tape("in", parts)
    for text in (tape.text(marks * tape.mark), tape.inches(marks * tape.mark)):
        assert parse_length(text, "in").metres == marks * tape.mark


def test_a_length_in_a_sentence_has_its_unit() -> None:
    assert Tape("in", 8).inches(0.7) == '27-1/2"'
    assert Tape("mm", 1).inches(0.7) == "700 mm"


@given(st.integers(min_value=0, max_value=900_000))
def test_printed_millimetres_read_back(mm: int) -> None:
    assert parse_length(format_length(Fraction(mm, 1000), "mm"), "mm").metres == Fraction(mm, 1000)


@given(st.floats(min_value=0, max_value=50), st.sampled_from([Tape("in", 16), Tape("mm", 1), Tape("in", 32)]))
def test_rounding_brackets_the_length(metres: float, tape: Tape) -> None:
    down, up = tape.rounded(metres, Rounding.DOWN), tape.rounded(metres, Rounding.UP)
    near = tape.rounded(metres)
    slack = tape.mark / 10**9
    assert down - slack <= Fraction(metres) <= up + slack
    assert up - down in (0, tape.mark)
    assert abs(near - Fraction(metres)) <= tape.mark / 2


@given(st.integers(0, 40), st.integers(0, 11), st.integers(1, 15), st.sampled_from(["'", "ft", " feet"]), st.booleans())
def test_feet_inches_and_fractions_in_any_dress(feet: int, inch: int, sixteenth: int, word: str, dash: bool) -> None:
    text = f'{feet}{word} {inch}{"-" if dash else " "}{sixteenth}/16"'
    expected = feet * FOOT + (inch + Fraction(sixteenth, 16)) * INCH
    assert parse_length(text).metres == expected


@given(st.text(max_size=12))
def test_any_text_is_read_or_refused_never_a_crash(text: str) -> None:
    try:
        length = parse_length(text, "in")
    except UnreadableLength:
        return
    assert 0 <= length.metres <= 1000


def test_inch_is_exact() -> None:
    """International inch, 25.4 mm exactly (NIST SP 811, from memory)."""
    assert UNIT_METRES["in"] == Fraction(254, 10_000)


def test_float_noise_does_not_move_a_mark() -> None:
    tape = Tape("in", 16)
    assert tape.marks(0.1 * 3 * 0.0254 * 10, Rounding.UP) == tape.marks(3 * INCH)
