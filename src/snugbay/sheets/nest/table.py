"""Pieces of an instance as flat arrays for the compiled search: kinds, turns, convex parts, edges."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from snugbay.sheets.nest.convex import convex_parts, grown, without_flat_corners
from snugbay.sheets.nest.instance import Outline, area, box, moved, sides, turned

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class Shapes(NamedTuple):
    """All shapes in all turns. A *kind* is a shape that one or more pieces have; a *variant* is a kind in one turn.

    Lengths are in the search's own unit: the instance's times `scale_of`, a power of two, so that nothing is rounded.
    Parts are convex, grown by half the kerf, and start at their lowest corner. Outline edges are grown lines
    ``normal . p = off`` with their true ends along ``(-ny, nx)``.
    """

    kind_first: Ints  # variants of kind k: kind_first[k] .. kind_first[k + 1]
    kind_area: Floats
    kind_perimeter: Floats
    variant_kind: Ints
    variant_angle: Floats  # degrees
    box: Floats  # (variants, 4) x0 y0 x1 y1 of the true outline
    part_first: Ints  # parts of variant v
    part_box: Floats  # (parts, 4) of the grown part
    corner_first: Ints  # corners of part p
    corner: Floats  # (corners, 5) x, y, normal of the edge that starts there (nx, ny), its direction 0 .. 2 pi
    mirror: Floats  # the same, mirrored through the origin
    edge_first: Ints  # outline edges of variant v
    edge_dir: Ints
    edge: Floats  # (edges, 3) off, from, to
    dirs: Floats  # (directions, 2) nx, ny
    dir_opposite: Ints
    half_kerf: float


def scale_of(width: float, height: float) -> float:
    """Power of two that brings the longer side of a sheet to between 512 and 1024 units."""
    return float(2.0 ** (9 - math.floor(math.log2(max(width, height)))))


def kinds_of(pieces: Iterable[Outline]) -> tuple[list[Outline], list[int], list[tuple[float, float]]]:
    """Sort pieces into kinds of equal shape and turn.

    Returns the outline of each kind (its box at the origin), the kind of each piece, and what moves each piece there.
    """
    kinds: dict[Outline, int] = {}
    number: list[int] = []
    offset: list[tuple[float, float]] = []
    for outline in pieces:
        x0, y0, _, _ = box(outline)
        key = _rolled(moved(outline, -x0, -y0))
        number.append(kinds.setdefault(key, len(kinds)))
        offset.append((x0, y0))
    return list(kinds), number, offset


def _rolled(outline: Outline) -> Outline:
    first = outline.index(min(outline))
    return outline[first:] + outline[:first]


def _same(one: Outline, two: Outline) -> bool:
    ax, ay, _, _ = box(one)
    bx, by, _, _ = box(two)
    a, b = _rolled(moved(one, -ax, -ay)), _rolled(moved(two, -bx, -by))
    return len(a) == len(b) and all(math.dist(p, q) < 1e-9 for p, q in zip(a, b, strict=True))


def angles_of(outline: Outline, angles: Iterable[float]) -> list[float]:
    """Angles that give different shapes."""
    kept: list[float] = []
    for angle in angles:
        if not any(_same(turned(outline, angle), turned(outline, other)) for other in kept):
            kept.append(angle)
    return kept


def tabulate(kinds: list[Outline], angles: list[list[float]], kerf: float) -> Shapes:
    """Build the arrays.

    Parameters
    ----------
    kinds : list of Outline
        Shapes, already scaled.
    angles : list of list of float
        Turns of each kind, degrees.
    kerf : float
        Scaled.
    """
    build = _Builder(kerf / 2.0)
    for kind, (outline, turns) in enumerate(zip(kinds, angles, strict=True)):
        build.add_kind(kind, outline, turns)
    return build.finish()


class _Builder:
    def __init__(self, half_kerf: float) -> None:
        self.half_kerf = half_kerf
        self.kind_first, self.variant_kind, self.variant_angle = [0], [], []  # type: list[int], list[int], list[float]
        self.kind_area: list[float] = []
        self.kind_perimeter: list[float] = []
        self.boxes: list[tuple[float, float, float, float]] = []
        self.part_first, self.corner_first, self.edge_first = [0], [0], [0]
        self.part_boxes: list[tuple[float, float, float, float]] = []
        self.corners: list[tuple[float, float, float, float, float]] = []
        self.mirrored: list[tuple[float, float, float, float, float]] = []
        self.edges: list[tuple[float, float, float, float, float]] = []

    def add_kind(self, kind: int, outline: Outline, turns: list[float]) -> None:
        clean = without_flat_corners(outline)
        parts = convex_parts(clean)
        self.kind_area.append(area(outline))
        self.kind_perimeter.append(sum(math.dist(a, b) for a, b in sides(outline)))
        for angle in turns:
            self.variant_kind.append(kind)
            self.variant_angle.append(angle)
            self.boxes.append(box(turned(outline, angle)))
            for part in parts:
                self._add_part(grown(turned(part, angle), self.half_kerf))
            self.part_first.append(len(self.part_boxes))
            for a, b in sides(turned(clean, angle)):
                self._add_edge(a, b)
            self.edge_first.append(len(self.edges))
        self.kind_first.append(len(self.variant_kind))

    def _add_part(self, part: Outline) -> None:
        self.part_boxes.append(box(part))
        self.corners += edge_rows(part)
        self.mirrored += edge_rows(tuple((-x, -y) for x, y in part))
        self.corner_first.append(len(self.corners))

    def _add_edge(self, a: tuple[float, float], b: tuple[float, float]) -> None:
        length = math.dist(a, b)
        nx, ny = (b[1] - a[1]) / length, (a[0] - b[0]) / length
        off = nx * a[0] + ny * a[1] + self.half_kerf
        self.edges.append((nx, ny, off, -ny * a[0] + nx * a[1], -ny * b[0] + nx * b[1]))

    def finish(self) -> Shapes:
        edges = np.array(self.edges)
        number, dirs, opposite = _directions(edges[:, :2])
        return Shapes(
            _ints(self.kind_first),
            np.array(self.kind_area),
            np.array(self.kind_perimeter),
            _ints(self.variant_kind),
            np.array(self.variant_angle, dtype=np.float64),
            np.array(self.boxes, dtype=np.float64),
            _ints(self.part_first),
            np.array(self.part_boxes, dtype=np.float64),
            _ints(self.corner_first),
            np.array(self.corners, dtype=np.float64),
            np.array(self.mirrored, dtype=np.float64),
            _ints(self.edge_first),
            number,
            np.ascontiguousarray(edges[:, 2:]),
            np.ascontiguousarray(dirs),
            opposite,
            self.half_kerf,
        )


def _ints(values: list[int]) -> Ints:
    return np.array(values, dtype=np.int64)


def edge_rows(part: Outline) -> list[tuple[float, float, float, float, float]]:
    """Corner, normal and direction of each edge, in order of direction, so from the lowest corner on."""
    rows = []
    for a, b in sides(part):
        dx, dy = b[0] - a[0], b[1] - a[1]
        length = math.hypot(dx, dy)
        key = math.atan2(dy, dx) % (2 * math.pi)
        rows.append((a[0], a[1], dy / length, -dx / length, 0.0 if key > 2 * math.pi - 1e-9 else key))
    first = min(range(len(rows)), key=lambda i: rows[i][4])
    return rows[first:] + rows[:first]


def _directions(normals: Floats) -> tuple[Ints, Floats, Ints]:
    """Number the directions of the normals; which number is opposite, -1 where none is."""
    angle = np.round(np.mod(np.arctan2(normals[:, 1], normals[:, 0]) + 1e-9, 2 * np.pi), 7)
    found, first, number = np.unique(angle, return_index=True, return_inverse=True)
    dirs = normals[first]
    opposite = np.full(len(found), -1, dtype=np.int64)
    gap = np.abs(dirs[:, None, :] + dirs[None, :, :]).max(axis=2)
    for i, j in zip(*np.nonzero(gap < 1e-6), strict=True):
        opposite[i] = j
    return number.astype(np.int64), dirs, opposite
