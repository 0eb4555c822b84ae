"""Checks a layout by shapely alone: shares no code with the search."""

from __future__ import annotations

import json
from itertools import combinations
from pathlib import Path

import shapely
from shapely import STRtree
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon, box

from snugbay.sheets import Instance, Layout, instances_from_json

DATA = Path(__file__).parents[1] / "data"


def lists(name: str) -> dict[str, Instance]:
    """Instances of a data file by name."""
    return {i.name: i for i in instances_from_json(json.loads((DATA / f"{name}.json").read_text()))}


def faults(instance: Instance, layout: Layout) -> list[str]:
    """All that is wrong with a layout; lengths to 1e-6 of the sheet's longer side."""
    found = []
    near = 1e-6 * max(instance.sheet.width, instance.sheet.height)
    seen: list[int] = []
    for number, sheet in enumerate(layout.sheets):
        size = sheet.size if sheet.offcut is None else instance.offcuts[sheet.offcut]
        room = box(-near, -near, size.width + near, size.height + near)
        shapes = []
        for laid in sheet.laid:
            seen.append(laid.piece)
            if not instance.free and min(abs(laid.angle_deg - a) for a in instance.rotations) > 1e-9:
                found.append(f"piece {laid.piece} is turned by {laid.angle_deg}")
            shape = rotate(Polygon(instance.pieces[laid.piece]), laid.angle_deg, origin=(0, 0))
            shapes.append(translate(shape, laid.x, laid.y))
            if not room.covers(shapes[-1]):
                found.append(f"piece {laid.piece} sticks out of sheet {number}")
            for x, y, w, h in size.spoiled:
                if box(x, y, x + w, y + h).intersection(shapes[-1]).area > near * max(size.width, size.height):
                    found.append(f"piece {laid.piece} lies in a spoiled zone of sheet {number}")
        tree = STRtree(shapes)
        for a, b in combinations(range(len(shapes)), 2):
            if b in tree.query(shapes[a].buffer(instance.kerf + near)):
                if (
                    shapely.intersection(shapes[a], shapes[b], grid_size=near * 1e-3).area
                    > 1e-6 * size.width * size.height
                ):
                    found.append(f"pieces {sheet.laid[a].piece} and {sheet.laid[b].piece} overlap on sheet {number}")
                if shapes[a].distance(shapes[b]) < instance.kerf - near:
                    found.append(f"pieces {sheet.laid[a].piece} and {sheet.laid[b].piece} are nearer than the kerf")
    if sorted(seen) != list(range(len(instance.pieces))):
        found.append("not every piece is laid exactly once")
    return found


def blocked(instance: Instance, layout: Layout) -> float:
    """Area of the reported leftover that some piece of the last sheet covers."""
    x, y, w, h = layout.leftover
    free = box(x, y, x + w, y + h)
    sheet = layout.sheets[-1]
    total = 0.0
    for laid in sheet.laid:
        shape = translate(rotate(Polygon(instance.pieces[laid.piece]), laid.angle_deg, origin=(0, 0)), laid.x, laid.y)
        total += float(shape.intersection(free).area)
    return total
