"""Bundled tables of the room: sources known, figures plausible, notices kept."""

from __future__ import annotations

import tomllib
from importlib import resources

import pytest

from snugbay.base import DataError
from snugbay.physics import season
from snugbay.physics._tables import rows_of, text_of

TABLES = [
    "code_insulation.csv",
    "code_moisture.csv",
    "emissivity.csv",
    "foam_temperature.csv",
    "fuels.csv",
    "infiltration.csv",
    "leaks.csv",
]


def test_every_table_is_listed() -> None:
    folder = resources.files("snugbay").joinpath("data", "physics")
    assert sorted(p.name for p in folder.iterdir() if p.name.endswith(".csv")) == TABLES


@pytest.mark.parametrize("table", TABLES)
def test_every_row_names_a_known_source(table: str) -> None:
    known = tomllib.loads(text_of("physics", "sources.toml"))
    rows = rows_of("physics", table)
    assert rows
    assert {r["source"] for r in rows} <= set(known)
    for source in known.values():
        assert {"title", "publisher", "taken", "status"} <= set(source)


def test_figures_are_plausible() -> None:
    for r in rows_of("physics", "leaks.csv"):
        assert 0.05 <= float(r["typical_cm2"]) <= 100
    for r in rows_of("physics", "emissivity.csv"):
        assert 0 < float(r["low"]) <= float(r["high"]) <= 1
    for r in rows_of("physics", "fuels.csv"):
        assert 1000 <= float(r["btu_per_unit"]) <= 3e7
        assert r["like"]  # efficiency and carbon have one home, the materials' table
    for one in season.fuels().values():
        assert 0 <= one.carbon_kg_per_kwh <= 1.2
        assert 0 < one.efficiency_low <= one.efficiency <= one.efficiency_high <= 4
    for r in rows_of("physics", "foam_temperature.csv"):
        assert 1.0 <= float(r["aged_over_fresh"]) <= 1.2
    zones = [float(r["unvented_roof"]) for r in rows_of("physics", "code_moisture.csv") if r["zone"].isdigit()]
    assert zones == sorted(zones)  # colder zones ask for more


def test_rows_entered_a_second_time() -> None:
    # IECC 2021 Table R402.1.3 zone 4, IRC R806.5 zone 6, EIA oil, NIST hatch: typed again from the sources
    by = {t: {next(iter(r.values())): r for r in rows_of("physics", t)} for t in TABLES}
    assert by["code_insulation.csv"]["4"]["wood_wall"] == "30 or 20+5ci or 13+10ci or 0+20ci"
    assert by["code_moisture.csv"]["6"]["unvented_roof"] == "25"
    assert by["code_moisture.csv"]["7"]["class3_2x6"] == "15"
    assert by["fuels.csv"]["heating_oil"]["btu_per_unit"] == "137381"
    assert by["leaks.csv"]["attic_hatch"]["tight_cm2"] == "18"


def test_the_notice_that_must_go_with_copies_is_there() -> None:
    text = text_of("climate", "README.md")
    assert "ALL COPIES OF THE DATA" in text.upper()
    assert "ARE DISCLAIMED" in text
    assert "Deutscher Wetterdienst" in text
    assert "GeoNames" in text


def test_a_missing_table_is_said() -> None:
    with pytest.raises(DataError, match="missing"):
        text_of("physics", "nothing.csv")
