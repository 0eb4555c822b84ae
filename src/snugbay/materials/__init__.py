"""Room materials: catalogue tables as data files, each row with its source."""

from snugbay.materials.catalogue import (
    Board,
    FuelRow,
    Material,
    board,
    boards,
    fuel,
    fuel_names,
    fuels,
    material,
    materials,
)
from snugbay.materials.items import (
    HOME,
    Item,
    board_price,
    currency_factor,
    item,
    item_ids,
    money_rate,
    name_and_unit,
    stated_price,
    usual_boards,
)
from snugbay.materials.rates import OWN, Rate, Rates, headroom_factor, source_titles
from snugbay.materials.tables import Row, number, rows

__all__ = [
    "HOME",
    "OWN",
    "Board",
    "FuelRow",
    "Item",
    "Material",
    "Rate",
    "Rates",
    "Row",
    "board",
    "board_price",
    "boards",
    "currency_factor",
    "fuel",
    "fuel_names",
    "fuels",
    "headroom_factor",
    "item",
    "item_ids",
    "material",
    "materials",
    "money_rate",
    "name_and_unit",
    "number",
    "rows",
    "source_titles",
    "stated_price",
    "usual_boards",
]
