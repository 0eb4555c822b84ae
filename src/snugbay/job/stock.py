"""Sheets and offcuts on hand, what can be bought, and prices the user states."""

from __future__ import annotations

from dataclasses import dataclass

Rect = tuple[float, float, float, float]
"""x, y, width, height from the sheet's datum corner. [m]"""


@dataclass(frozen=True)
class SheetStock:
    """A sheet that the shop sells or the shed holds.

    Attributes
    ----------
    material : str
        Key in the boards table.
    thickness, width, length : float
        Size. [m]
    price : float or None
        Price of one sheet; None takes the table's.
    on_hand : int
        Whole sheets already in the shed.
    """

    material: str
    thickness: float
    width: float
    length: float
    price: float | None = None
    on_hand: int = 0


@dataclass(frozen=True)
class Offcut:
    """A part sheet on hand.

    Attributes
    ----------
    material : str
        Key in the boards table.
    thickness, width, length : float
        Size of the rectangle. [m]
    damaged : tuple of Rect
        Zones not to be used.
    name : str
        What is written on it.
    """

    material: str
    thickness: float
    width: float
    length: float
    damaged: tuple[Rect, ...] = ()
    name: str = ""


@dataclass(frozen=True)
class PriceOverride:
    """A price or rate that the user states instead of the table's.

    Attributes
    ----------
    item : str
        Id of the row in the prices or rates table.
    low, typical, high : float
        In the unit of that row.
    hours : float
        Logged hours that a learned rate rests on; 0 for a figure that the user states. [h]
    """

    item: str
    low: float
    typical: float
    high: float
    hours: float = 0.0


@dataclass(frozen=True)
class Stock:
    """All that is on hand or can be bought.

    Attributes
    ----------
    sheets : tuple of SheetStock
        Kinds of sheets to choose from; empty takes the catalogue's usual ones.
    offcuts : tuple of Offcut
        Part sheets on hand.
    on_hand : tuple of (str, float)
        Other things in the shed: item id and quantity in its selling unit.
    prices : tuple of PriceOverride
        Prices and rates that the user states.
    """

    sheets: tuple[SheetStock, ...] = ()
    offcuts: tuple[Offcut, ...] = ()
    on_hand: tuple[tuple[str, float], ...] = ()
    prices: tuple[PriceOverride, ...] = ()
