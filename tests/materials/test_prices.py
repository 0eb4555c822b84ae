"""Items, their prices and the second table of rates."""

from __future__ import annotations

import pytest

from snugbay.base import UnknownName
from snugbay.materials import (
    OWN,
    Rates,
    board,
    board_price,
    boards,
    currency_factor,
    fuel,
    fuels,
    headroom_factor,
    item,
    item_ids,
    material,
    money_rate,
    name_and_unit,
    rows,
    source_titles,
    usual_boards,
)

CURRENCIES = ("USD", "GBP", "EUR", "CAD", "AUD")

ENTERED_TWICE = {
    # methods.md section 1 and rates.json, read again by hand
    "methods.two_component_kit.price_kit_600": (750, 900, 1150),
    "time_model.cutting.knife_pass_rate": (0.02, 0.033, 0.06),
    "time_model.handling.carry_and_trial_fit": (1.0, 2.0, 4.0),
    "methods.contractor_spray_foam.minimum_job": (1000, 1500, 2000),
    "time_model.learning_curve.slope": (0.85, 0.92, 0.97),
    "methods.batts.labour": (0.005, 0.008, 0.016),
}


@pytest.mark.parametrize("rate_id", sorted(ENTERED_TWICE))
def test_a_sample_of_rates_entered_twice(rate_id: str) -> None:
    rate = Rates()[rate_id]
    assert (rate.low, rate.typical, rate.high) == ENTERED_TWICE[rate_id]


def test_no_id_stands_in_both_tables_and_all_rows_are_in_order() -> None:
    both = [r["id"] for t in ("trade/rates.csv", "ways/rates.csv") for r in rows(t)]
    assert len(both) == len(set(both))
    for rate_id in both:
        rate = Rates()[rate_id]
        assert rate.low <= rate.typical <= rate.high, rate_id
        assert rate.status, rate_id
        assert rate.source, rate_id


def test_own_figures_of_the_second_table_name_their_source() -> None:
    known = {*source_titles(), "ASM", "MEM", "model code R316.5.11 as quoted in the check tables"}
    for row in rows("ways/rates.csv"):
        assert row["source"] in known, row["id"]


@pytest.mark.parametrize("currency", CURRENCIES)
def test_everything_has_a_price_in_every_currency(currency: str) -> None:
    for name in item_ids():
        thing = item(name, currency, Rates())
        assert 0 <= thing.price.low <= thing.price.typical <= thing.price.high
        assert thing.amount > 0
        assert thing.price.status
    for b in boards():
        assert board_price(b, currency, Rates()).typical > 0


def test_a_price_reckoned_from_another_currency_says_so() -> None:
    assert "assumption: USD price" in item("kit-600", "EUR", Rates()).price.status
    assert item("gun-can", "EUR", Rates()).price.id == "gun_foam.price_eu_can"
    assert board_price(board("polyiso-2in"), "CAD", Rates()).typical == pytest.approx(47 * 1.37)


@pytest.mark.parametrize("own_id", ["kit-600", "methods.two_component_kit.price_kit_600"])
def test_own_prices_stand_as_stated_in_any_currency(own_id: str) -> None:
    """An own price is in the job's currency, under the item's id or its rate's: nothing is turned over."""
    rates = Rates(((own_id, 500.0, 555.0, 600.0),))
    for currency in CURRENCIES:
        thing = item("kit-600", currency, rates)
        assert (thing.price.typical, thing.price.status) == (555.0, OWN)


def test_money_rates_turn_over_unless_they_are_own() -> None:
    name = "methods.contractor_spray_foam.price_closed_per_bf"
    assert money_rate(name, "GBP", Rates()).typical == pytest.approx(2.25 * 0.78)
    assert money_rate(name, "GBP", Rates(((name, 1.0, 2.0, 3.0),))).typical == 2.0


def test_unknown_names_list_close_ones() -> None:
    with pytest.raises(UnknownName, match="kit-600"):
        item("kit-60", "USD", Rates())
    with pytest.raises(UnknownName, match="USD, AUD"):
        currency_factor("XYZ", Rates())


def test_boards_of_the_place() -> None:
    assert {b.currency for b in usual_boards("GBP", metric=True)} == {"GBP"}
    assert {b.currency for b in usual_boards("CAD", metric=False)} == {"USD"}
    assert {b.currency for b in usual_boards("SEK", metric=True)} == {"EUR"}


def test_headroom_curve_passes_its_rows_and_ends_where_nobody_works() -> None:
    """Trade table: 72 in 1.0, 27 in 1.5, 18 in 2.25, 15 in 3.0 (assumption fitted through the cost handbook [S01])."""
    inch = 0.0254
    for height, factor in ((72, 1.0), (48, 1.15), (36, 1.25), (27, 1.5), (18, 2.25), (15, 3.0)):
        assert headroom_factor(height * inch) == pytest.approx(factor)
    assert headroom_factor(14.9 * inch) is None
    assert headroom_factor(3.0) == 1.0


def test_things_are_called_by_name_with_their_selling_unit() -> None:
    for key in item_ids():
        name, unit = name_and_unit(key)
        assert name
        assert name != key
        assert unit
    for sheet in boards():
        assert name_and_unit(sheet.key) == (sheet.name, "sheet")
    assert name_and_unit("straw-bale") == ("straw-bale", "")


@pytest.mark.parametrize("currency", ["USD", "GBP", "EUR"])
def test_every_fuel_of_the_table_can_be_planned_in_every_currency(currency: str) -> None:
    for key in {f.key for f in fuels()}:
        assert fuel(key, currency).price > 0
    assert fuel("heat pump", currency).key == fuel("heat_pump", currency).key == "heat-pump"
    assert fuel("wood", currency).efficiency < fuel("pellets", currency).efficiency


def test_rows_that_were_wrong_once() -> None:
    # Handbook of Fundamentals, from memory: a layer of asphalt shingles as laid has R 0.44 h·ft²·°F/Btu, 0.077 m²·K/W
    shingle = material("asphalt-shingle")
    assert shingle.conductivity is not None
    assert 0.006 / shingle.conductivity == pytest.approx(0.077, rel=0.1)
    # a foil face has 0.03 to 0.05 perm (seen): a board with two is a class I retarder, at most 0.1 perm, sd 35 m
    assert material("polyiso").sd_of(0.05) == pytest.approx(2 * 3.4957 / 0.05, rel=0.01)
    # no source has one figure for taking out batts that holds in an attic as over open joists
    old = Rates()["methods.batts.remove_old"]
    assert old.low < old.typical < old.high
