"""A three-dimensional body as frozen values: blocks of material and blocks of air, all along the axes."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from snugbay.base import InputError, OutOfRange, Problems, SnugbayError

Corner = tuple[float, float, float]
"""A point in space, x, y, z; z points up. [m]"""


@dataclass(frozen=True)
class Block:
    """A box of one material.

    Attributes
    ----------
    low, high : Corner
        Opposite corners, each coordinate of ``high`` the greater. [m]
    conductivity : float
        [W/(m·K)]
    name : str
        What it is.
    """

    low: Corner
    high: Corner
    conductivity: float
    name: str = ""


@dataclass(frozen=True)
class AirBlock:
    """A box of the air of one space; every face of material against it exchanges heat through a film.

    Attributes
    ----------
    low, high : Corner
        Opposite corners; material blocks take what they cover. [m]
    air : str
        Name of the space.
    resistance : float
        Surface resistance; 0 where the surface is held at the temperature. [m²·K/W]
    floor_resistance, ceiling_resistance : float or None
        The same for level faces under and over this air; None for ``resistance``. [m²·K/W]
    """

    low: Corner
    high: Corner
    air: str
    resistance: float
    floor_resistance: float | None = None
    ceiling_resistance: float | None = None

    def film(self, axis: int, material_below: bool) -> float:
        """Resistance of faces square to an axis (0, 1, 2), with the material at the lower or the higher side."""
        if axis == 2:
            level = self.floor_resistance if material_below else self.ceiling_resistance
            return self.resistance if level is None else level
        return self.resistance


@dataclass(frozen=True)
class Solid:
    """A body; faces against neither material nor air are adiabatic.

    Attributes
    ----------
    blocks : tuple of Block
        Material; where blocks overlap, the later one counts.
    airs : tuple of AirBlock
        Air; where they overlap, the later one counts, and material before air.
    """

    blocks: tuple[Block, ...]
    airs: tuple[AirBlock, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the spaces, in the order of the air blocks."""
        return tuple(dict.fromkeys(a.air for a in self.airs))

    @property
    def size(self) -> float:
        """Longest side of the box round the material. [m]"""
        return max(max(b.high[k] for b in self.blocks) - min(b.low[k] for b in self.blocks) for k in range(3))


def check_solid(solid: Solid) -> None:
    """Raise for everything in the body that cannot be computed, all faults together.

    Raises
    ------
    Problems
    """
    faults: list[SnugbayError] = []
    for i, block in enumerate(solid.blocks):
        faults.extend(fault.at("blocks", i) for fault in _block_faults(block))
    for i, air in enumerate(solid.airs):
        faults.extend(fault.at("airs", i) for fault in _air_faults(air))
    if not solid.blocks or not solid.airs:
        faults.append(InputError("The body needs at least one block of material and one of air."))
    if faults:
        raise Problems(faults)


def _box_faults(low: Corner, high: Corner) -> Iterable[SnugbayError]:
    if not all(math.isfinite(a) and math.isfinite(b) and a < b for a, b in zip(low, high, strict=True)):
        yield InputError("A box has no volume.", hint="Give the lower corner first, then the higher one.")


def _block_faults(block: Block) -> Iterable[SnugbayError]:
    yield from _box_faults(block.low, block.high)
    if not (math.isfinite(block.conductivity) and block.conductivity > 0):
        yield OutOfRange(
            f"The conductivity of {block.name or 'a block'} is {block.conductivity} W/(m·K).", where=("conductivity",)
        )


def _air_faults(air: AirBlock) -> Iterable[SnugbayError]:
    yield from _box_faults(air.low, air.high)
    films = (air.resistance, air.floor_resistance, air.ceiling_resistance)
    if not all(f is None or (math.isfinite(f) and f >= 0) for f in films):
        yield OutOfRange(f"A surface resistance towards {air.air} is negative or unknown.", where=("resistance",))
