"""Room materials: catalogue tables as data files, each row with its source."""

from snugbay.materials.catalogue import Board, FuelRow, Material, board, boards, fuel, fuels, material, materials
from snugbay.materials.rates import Rate, Rates, headroom_factor, source_titles
from snugbay.materials.tables import Row, number, rows

__all__ = [
    "Board",
    "FuelRow",
    "Material",
    "Rate",
    "Rates",
    "Row",
    "board",
    "boards",
    "fuel",
    "fuels",
    "headroom_factor",
    "material",
    "materials",
    "number",
    "rows",
    "source_titles",
]
