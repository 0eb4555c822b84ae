"""The general form against hand values and the independent mesh library trimesh."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from shapely.geometry import Polygon
from tests.spaces_made import spaces

from snugbay.job.space import Solid, Space, kind_of, prism
from snugbay.job.space.expand import numbers_of, solid_of
from snugbay.job.space.put import axes_of


def mesh_of(solid: Solid) -> trimesh.Trimesh:
    """Return the body as a mesh: faces cut into triangles by their own plane, corners merged by trimesh."""
    names = list(solid.at)
    triangles = []
    for face in solid.faces:
        axes = axes_of(solid, face)
        flat = np.array([axes.flat(solid.at[c]) for c in face.loop])
        _, cut = trimesh.creation.triangulate_polygon(Polygon(flat), engine="earcut")
        ring = [names.index(c) for c in face.loop]
        triangles += [[ring[i] for i in t] for t in cut]
    mesh = trimesh.Trimesh(np.array([solid.at[n] for n in names]), np.array(triangles), process=True)
    trimesh.repair.fix_normals(mesh)
    return mesh


def test_a_full_triangle_by_hand() -> None:
    numbers = {"length": 4.0, "height": 1.2, "depth": 1.6, "outer": 0.0, "skew_left": 0.0, "skew_right": 0.0}
    solid = solid_of(kind_of("eaves"), numbers)
    assert [f.name for f in solid.faces] == ["floor", "knee wall", "slope", "left end", "right end"]
    assert solid.volume == pytest.approx(4.0 * 1.2 * 1.6 / 2)
    slope = solid.face("slope")
    assert solid.length(slope.loop[1], slope.loop[2]) == pytest.approx(2.0)  # 1.2, 1.6, 2.0
    assert slope.tilt == pytest.approx(math.atan2(1.2, 1.6))
    assert slope.overhead
    assert not solid.face("floor").overhead


def test_angles_of_a_full_triangle_by_hand() -> None:
    solid = prism(
        [("plate", 0.0, 0.0), ("foot", 3.0, 0.0), ("head", 3.0, 3.0)],
        ["floor", "wall", "slope"],
        ("left", "right"),
        5.0,
    )
    floor, wall, slope = (solid.face(n) for n in ("floor", "wall", "slope"))
    left, right = ("plate", "left"), ("plate", "right")
    assert solid.opening(floor, slope, left, right) == pytest.approx(math.pi / 4)
    foot = (("foot", "right"), ("foot", "left"))
    assert solid.opening(floor, wall, *foot) == pytest.approx(math.pi / 2)


def test_from_outside_a_corner_opens_the_other_way() -> None:
    inside = prism([("a", 0, 0), ("b", 2, 0), ("c", 2, 1), ("d", 0, 1)], "pqrs", ("floor", "top"), 1.0, up=True)
    outside = prism(
        [("a", 0, 0), ("b", 2, 0), ("c", 2, 1), ("d", 0, 1)], "pqrs", ("floor", "top"), 1.0, up=True, outside=True
    )
    for solid, angle in ((inside, math.pi / 2), (outside, 3 * math.pi / 2)):
        p, q = solid.face("p"), solid.face("q")
        shared = [c for c in p.loop if c in q.loop]
        first = p.loop.index(shared[0])
        ends = shared if p.loop[(first + 1) % 4] == shared[1] else shared[::-1]
        assert solid.opening(p, q, ends[0], ends[1]) == pytest.approx(angle)


def test_a_skew_end_by_hand() -> None:
    skew = math.radians(30)
    solid = prism(
        [("plate", 0.0, 0.0), ("foot", 2.0, 0.0), ("head", 2.0, 1.0)], ["floor", "wall", "slope"], ("l", "r"), 5.0,
        skews=(0.0, skew),
    )  # fmt: skip
    assert solid.length(("foot", "l"), ("foot", "r")) == pytest.approx(5.0 + 2.0 * math.tan(skew))
    assert solid.length(("plate", "r"), ("foot", "r")) == pytest.approx(2.0 / math.cos(skew))


@settings(deadline=None, max_examples=20)
@given(spaces())
def test_volume_and_areas_are_those_of_a_closed_mesh(space: Space) -> None:
    solid = solid_of(space.kind, numbers_of(space.kind, space.numbers))
    mesh = mesh_of(solid)
    assert mesh.is_watertight
    assert abs(mesh.volume) == pytest.approx(solid.volume, rel=1e-6)


@settings(deadline=None, max_examples=20)
@given(spaces())
def test_dihedral_angles_are_those_of_the_mesh(space: Space) -> None:
    solid = solid_of(space.kind, numbers_of(space.kind, space.numbers))
    mesh = mesh_of(solid)
    ours = []
    for i, a in enumerate(solid.faces):
        for b in solid.faces[i + 1 :]:
            for k, first in enumerate(a.loop):
                second = a.loop[(k + 1) % len(a.loop)]
                if first in b.loop and second in b.loop:
                    ours.append(abs(math.pi - solid.opening(a, b, first, second)))
    theirs = mesh.face_adjacency_angles
    theirs = theirs[theirs > 1e-6]
    assert sorted(a for a in ours if a > 1e-6) == pytest.approx(sorted(theirs), abs=1e-6)
