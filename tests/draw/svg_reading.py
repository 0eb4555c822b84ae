"""Reads a sheet drawing back from its SVG: boxes of texts, rings of numbers, cut lines. Knows nothing of its makers."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import combinations
from math import cos, radians, sin

from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

SVG = "{http://www.w3.org/2000/svg}"
CAPITAL = 0.7
"""Height of a figure over its em, of the bundled lettering."""
NAMED = ("cut", "blank-cut", "cutnumber", "blank-cutnumber")
ON_BOARD = ("label", "blank-label", "mark", "gives", "keep", "blank-keep")
"""Layers whose texts stand among the cuts."""
ROOM = 1.6
"""A ring wants so many times its radius clear on all sides: the square round it and a little."""
SPOTS = 60
"""Places on a line at which a ring might lie."""


@dataclass
class Reading:
    """What a drawing shows. [mm]"""

    texts: list[tuple[str, str, Polygon]] = field(default_factory=list)
    rings: list[tuple[str, Point, float]] = field(default_factory=list)
    cuts: dict[str, list[LineString]] = field(default_factory=dict)


SIGNS = {"kerf", "stop", "arrow"}
"""Small signs on a cut's line: which side the saw takes, where the tool stops, where it goes on to the edge."""


def read(svg: str) -> Reading:
    found = Reading()
    for layers, name, element in _elements(ET.fromstring(svg), (), ""):
        tag = element.tag.removeprefix(SVG)
        if tag == "text" and "number" not in layers and element.text and element.text.strip():
            layer = next((part for part in reversed(layers) if part in ON_BOARD), "")
            found.texts.append((layer, element.text, _box(element)))
        elif tag == "circle" and "number" in layers:
            x, y, r = (float(element.attrib[k]) for k in ("cx", "cy", "r"))
            found.rings.append((name, Point(x, y), r))
        elif tag in ("polyline", "polygon") and {"cut", "blank-cut"} & set(layers) and not SIGNS & set(layers):
            points = [tuple(map(float, p.split(","))) for p in element.attrib["points"].split()]
            found.cuts.setdefault(name, []).append(LineString(points))
    return found


def _elements(
    node: ET.Element, layers: tuple[str, ...], name: str
) -> Iterator[tuple[tuple[str, ...], str, ET.Element]]:
    for child in node:
        layer = child.attrib.get("data-layer", "")
        inner = child.attrib.get("data-name", "") if layer in NAMED else name
        yield layers, inner, child
        yield from _elements(child, (*layers, layer) if layer else layers, inner)


def _box(text: ET.Element) -> Polygon:
    long, size = float(text.attrib["textLength"]), float(text.attrib["font-size"])
    foot = float(text.attrib["y"])
    left = {"end": -long, "middle": -long / 2}.get(text.attrib.get("text-anchor", ""), 0.0)
    corners = [(left, foot - CAPITAL * size), (left + long, foot - CAPITAL * size), (left + long, foot), (left, foot)]
    x, y, turn = float(text.attrib.get("x", 0.0)), 0.0, 0.0
    if "transform" in text.attrib:
        x, y, turn = (float(v) for v in re.findall(r"-?\d+\.?\d*", text.attrib["transform"]))
    c, s = cos(radians(turn)), sin(radians(turn))
    return Polygon([(x + c * u - s * v, y + s * u + c * v) for u, v in corners])


def faults(svg: str) -> list[str]:
    """Return what cannot be read: texts and rings on each other, labels on cuts, rings on others' cuts without need."""
    seen = read(svg)
    boxes = [(text, box.buffer(-0.1)) for _, text, box in seen.texts]
    boxes += [(f"no. {name}", at.buffer(r - 0.2)) for name, at, r in seen.rings]
    found = [f"{a} lies on {b}" for (a, one), (b, two) in combinations(boxes, 2) if one.intersects(two)]
    lines = [(name, line) for name, parts in seen.cuts.items() for line in parts]
    for layer, text, box in seen.texts:
        if layer:
            found += [f"{text} lies on cut {name}" for name, line in lines if line.intersects(box.buffer(-0.25))]
    for name, at, r in seen.rings:
        others = [(n, line) for n, line in lines if n != name]
        hit = [n for n, line in others if line.distance(at) < r - 0.4]
        taken = [box for text, box in boxes if text != f"no. {name}"] + [line for _, line in others]
        if hit and (spot := _free_spot(seen.cuts.get(name, []), taken, ROOM * r)):
            found.append(f"no. {name} lies on cut {', '.join(hit)} and had room at {spot.x:.0f}, {spot.y:.0f}")
    return found


def _free_spot(own: list[LineString], taken: list[BaseGeometry], radius: float) -> Point | None:
    """Return a place on a cut's own line where a ring lies on nothing else; None where there is none."""
    for line in own:
        for k in range(1, SPOTS):
            spot = line.interpolate(k / SPOTS, normalized=True)
            near = min(line.length * min(k, SPOTS - k) / SPOTS, radius)
            if near >= radius and all(shape.distance(spot) >= radius for shape in taken):
                return spot
    return None
