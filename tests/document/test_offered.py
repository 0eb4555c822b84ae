"""What a form offers can be planned: fuels in the job's currency, places by the name that the search box gives."""

from __future__ import annotations

from itertools import product

import pytest

from snugbay.document import read
from snugbay.flow.checks import check_names
from snugbay.materials import fuel_names
from snugbay.physics.climate import find_place, search_places
from snugbay.web.sections import _currency

JOB = """version = 1
name = "offered"
units = "{units}"
[place]
climate = "Portland, ME"
fuel = "{fuel}"
{currency}
[[zones]]
id = "rooms"
kind = "inside"
[[zones]]
id = "out"
kind = "outside"
[access]
width = "900 mm"
height = "2000 mm"
clear_run = "3000 mm"
[[faces]]
id = "W"
part = "wall"
between = ["rooms", "out"]
{must}
outline = {{ shape = "rectangle", width = "2000 mm", height = "1200 mm" }}
"""


def job(units: str = "mm", fuel: str = "gas", currency: str = "", must: str = "") -> str:
    stated = f'currency = "{currency}"' if currency else ""
    return JOB.format(units=units, fuel=fuel, currency=stated, must=must)


OFFERED = [(u, c, f) for u, c in product(("mm", "ft-in"), ("USD", "GBP", "EUR")) for f, _ in fuel_names(c)]


@pytest.mark.parametrize(("units", "currency", "fuel"), OFFERED)
def test_a_fuel_that_is_offered_has_a_price(units: str, currency: str, fuel: str) -> None:
    """The form offered "heat pump" and "wood", which the document refused."""
    place = read(job(units, fuel, currency)).place
    assert place.fuel.name == fuel
    assert place.fuel.price_kwh > 0
    assert place.fuel.efficiency > 0


@pytest.mark.parametrize("units", ["mm", "ft-in"])
def test_fuels_of_a_new_job_are_priced_whatever_its_units(units: str) -> None:
    names = {key for key, _ in fuel_names("USD", "EUR")}
    assert {"gas", "oil", "electricity", "heat-pump", "wood", "pellets"} <= names
    for fuel in names:
        assert read(job(units, fuel)).place.fuel.name == fuel


def test_the_currency_of_the_form_is_that_of_the_job() -> None:
    from types import SimpleNamespace

    for units, stated, expected in (("mm", "", "EUR"), ("ft-in", "", "USD"), ("mm", "GBP", "GBP")):
        held = SimpleNamespace(data={"units": units, "place": {"currency": stated} if stated else {}})
        assert _currency(held) == expected  # type: ignore[arg-type]
        assert read(job(units, currency=stated)).place.currency == expected


@pytest.mark.parametrize("text", ["po", "gl", "new", "san", "ber", "mo", "birm", "york", "saint", "ha"])
def test_a_place_that_the_search_offers_is_found(text: str) -> None:
    offered = search_places(text)
    assert offered
    for name in offered:
        assert find_place(name).name


def test_to_be_left_as_found_is_a_wish_like_any_other() -> None:
    """The page writes it when a plan that leaves a face is held to; planning refused it."""
    check_names(read(job(must='must = "as-found"')))
