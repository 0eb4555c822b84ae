"""What is laid as one: a piece, or several that were put together beforehand."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.sheets.nest.convex import without_notches
from snugbay.sheets.nest.instance import XY, Instance, Laid, Outline, box, cos_sin, moved, turned

IDLE_NOTCH = 0.012
"""Notches up to this share of a sheet, cut into a straight edge, are laid as if they were filled."""


@dataclass(frozen=True)
class Item:
    """An outline that is laid as one, with the pieces inside.

    Attributes
    ----------
    outline : Outline
        Covers all its pieces.
    pieces : tuple of Laid
        Where each piece lies in the item's own coordinates.
    """

    outline: Outline
    pieces: tuple[Laid, ...]

    def laid(self, angle_deg: float, x: float, y: float) -> tuple[Laid, ...]:
        """Give the pieces' places once the item is turned about (0, 0) and moved."""
        cos, sin = cos_sin(angle_deg)
        return tuple(
            Laid(
                p.piece,
                cos * p.x - sin * p.y + x,
                sin * p.x + cos * p.y + y,
                (p.angle_deg + angle_deg) % 360.0,
            )
            for p in self.pieces
        )

    def turned(self, angle_deg: float) -> Item:
        """Turn the item about (0, 0)."""
        return Item(turned(self.outline, angle_deg), self.laid(angle_deg, 0.0, 0.0))

    def moved(self, by: XY) -> Item:
        """Move the item."""
        return Item(moved(self.outline, *by), self.laid(0.0, *by))

    def at_origin(self) -> Item:
        """Move the item so that its box starts at (0, 0)."""
        x0, y0, _, _ = box(self.outline)
        return self.moved((-x0, -y0))


def single_items(instance: Instance) -> list[Item]:
    """Each piece on its own; with a kerf, notches that nothing useful would go into are filled."""
    most = IDLE_NOTCH * instance.sheet.width * instance.sheet.height if instance.kerf > 0 else 0.0
    return [
        Item(without_notches(outline, most) if most > 0 else outline, (Laid(number, 0.0, 0.0, 0.0),)).at_origin()
        for number, outline in enumerate(instance.pieces)
    ]
