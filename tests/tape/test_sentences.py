"""Figures in sentences are written in the units of the job."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from snugbay.tape import in_units


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        ("a gap of 86 mm, foam fills 38 mm at most", 'a gap of 3-3/8", foam fills 1-1/2" at most'),
        ("-1 C on a design day instead of 11 C", "30 °F on a design day instead of 52 °F"),
        ("9 K colder in the coldest month (5 °C)", "16 °F colder in the coldest month (41 °F)"),
        ("22 m of cuts", "72 ft of cuts"),
        ("600 x 1840 x 50 mm board", '1\' 11-5/8" x 6\' 0-7/16" x 1-15/16" board'),
        ("Saves 1,200 kg a year, between 800 and 1,600 kg", "Saves 2,646 lb a year, between 1,764 and 3,527 lb"),
        ("6.31 kg/m² of water", "1.3 lb/ft² of water"),
        ("2.5 m² of board", "27 ft² of board"),
        ("350 m³", "12,360 ft³"),
        ("R of 2.5 m²K/W", "R of R-14.2"),
        ("0.2 mm", '0.01"'),
    ],
)
def test_si_is_turned_into_the_jobs_units(said: str, wanted: str) -> None:
    """One page said 29 °F and -1 C, gaps in millimetres and cuts in metres, to a person with a tape in inches."""
    assert in_units(said, "ft-in") == wanted
    assert in_units(said, "mm") == said


@pytest.mark.parametrize(
    "said",
    [
        "narrower than 1 in (25 mm) falls off",
        "120 to 150 °F (50 to 65 °C) and more; above 105 °F (40 °C)",
        "R-14 (2.5 m²K/W)",
        "2.5 m²K/W (R-14)",
        "100 mm (4 in)",
        "20 °C (68 °F)",
        "Below 36 in (0.9 m)",
        "faces K1 and C-2, ISO 6946, 3 m2 rooms, 5 kWh, 4 miles",
        "Boards K-1 to K-3 in 2 kits",
    ],
)
def test_pairs_and_what_is_no_measure_stay(said: str) -> None:
    assert in_units(said, "ft-in") == said


def test_a_name_keeps_its_figure() -> None:
    assert in_units("15 mm pipe needs 30 mm", "ft-in", ("15 mm pipe",)) == '15 mm pipe needs 1-3/16"'


@given(st.integers(1, 5000))
def test_a_length_is_off_by_half_a_sixteenth_at_most(mm: int) -> None:
    text = in_units(f"{mm} mm", "ft-in")
    feet, _, rest = text.removesuffix('"').rpartition("' ")
    whole, _, part = rest.rpartition("-") if "/" in rest else (rest, "", "0/1")
    top, _, bottom = part.partition("/")
    inches = 12 * int(feet or 0) + int(whole or 0) + int(top) / int(bottom)
    assert abs(inches * 25.4 - mm) <= 25.4 / 32 + 1e-6
    assert in_units(text, "ft-in") == text
