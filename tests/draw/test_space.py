"""The pieces in space: exploded view, glTF, DXF."""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import pairwise
from math import sqrt

import ezdxf
import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon
from tests.booklet.plan_fixture import JOB, PIECE_SET, PIECES, SURVEY
from tests.draw.looking import outside, overlapping, words

from snugbay.draw import exploded, model_glb, pieces_dxf, step_drawing
from snugbay.draw.glb import piece_mesh, triangles
from snugbay.draw.scene import Area, groups
from snugbay.draw.sight import LEAST_FACING, best_eye, cross, dot, drawing_order, eye_at, eyes
from snugbay.draw.solid import back_outline, outline_area, solid_of
from snugbay.pieces import Edge, EdgeKind, Piece, solid
from snugbay.survey import Frame

LEVEL = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


@pytest.mark.parametrize("explode", [0.0, 1.0, 2.0])
def test_every_piece_is_drawn_and_labelled_once(explode: float) -> None:
    scene = exploded(JOB, SURVEY, PIECE_SET, explode)
    assert sorted(g.name for g in groups(scene, "piece")) == sorted(p.id for p in PIECES)
    assert all(words(scene).count(p.id) == 1 for p in PIECES)
    assert overlapping(scene) == []
    assert outside(scene) == []
    assert bool(groups(scene, "wayin")) == (explode > 0)


def test_faces_without_a_place_are_named_not_dropped() -> None:
    loose = replace(SURVEY, faces=tuple(replace(f, frame=None) if f.id == "K1" else f for f in SURVEY.faces))
    scene = exploded(JOB, loose, PIECE_SET)
    assert scene.note("missing") == "K1"
    assert any("K1" in w and "Not drawn" in w for w in words(scene))
    assert sorted(g.name for g in groups(scene, "piece")) == ["N1-1", "N2-1", "N3-1", "N4-1"]


def test_eye_is_a_right_handed_frame_of_unit_vectors() -> None:
    eye = best_eye([(f.frame.normal, f.area) for f in SURVEY.faces if f.frame])
    for v in (eye.right, eye.up, eye.towards):
        assert dot(v, v) == pytest.approx(1)
    assert cross(eye.right, eye.up) == pytest.approx(eye.towards)
    assert eye.up[2] > 0


def test_every_direction_is_seen_by_some_view() -> None:
    random = np.random.default_rng(7)
    for v in random.normal(size=(500, 3)):
        normal = tuple(map(float, v / np.linalg.norm(v)))
        assert max(dot(normal, eye.towards) for eye in eyes()) > LEAST_FACING  # type: ignore[arg-type]


def test_fronts_that_one_view_hides_get_a_view_of_their_own() -> None:
    """A knee wall and a slope over it face each other: from above one sees the wall, from below the slope."""
    h = sqrt(0.5)
    down = Frame((2.4, 0.0, 1.2), (-1.0, 0.0, 0.0), (0.0, h, -h), (0.0, -h, -h))
    slope = replace(SURVEY.face("K1"), id="S1", frame=down)
    survey = replace(SURVEY, faces=(*SURVEY.faces, slope))
    over = replace(PIECES[5], id="S1-1", face="S1")
    pieces = replace(PIECE_SET, pieces=(*PIECES, over, replace(over, id="S1-2")))
    scene = exploded(JOB, survey, pieces)
    assert scene.note("views") == "2"
    views = groups(scene, "view")
    assert [g.name for g in views] == ["view 1", "view 2"]
    assert sorted(g.name for g in groups(scene, "piece")) == sorted(p.id for p in pieces.pieces)
    assert overlapping(scene) == []
    assert outside(scene) == []


def test_step_drawing_shows_what_goes_in_over_what_is_in() -> None:
    scene = step_drawing(SURVEY, PIECE_SET, {"N4-1"}, {"N1-1", "N2-1", "N3-1"})
    assert scene is not None
    assert [g.name for g in groups(scene, "piece")] == ["N4-1"]
    done = [g.name for g in groups(scene, "done")]
    assert "N1-1" in done
    assert set(done) <= {"N1-1", "N2-1", "N3-1"}
    assert "N4-1" in words(scene)
    assert not set(done) & set(words(scene))
    assert outside(scene) == []
    assert step_drawing(SURVEY, PIECE_SET, {"nothing"}, set()) is None


def test_drawn_solids_are_those_that_were_proved() -> None:
    """The pieces room proves its own solids; the drawings' must be the same bodies."""
    for piece in PIECES:
        frame = SURVEY.face(piece.face).frame
        assert frame is not None
        points, faces = piece_mesh(piece, frame)
        ours = trimesh.Trimesh(np.array(points), np.array(faces), process=False)
        theirs = trimesh.Trimesh(*solid(piece, frame), process=False)
        assert ours.volume == pytest.approx(theirs.volume)
        assert ours.bounds == pytest.approx(theirs.bounds)


def test_area_of_an_outline() -> None:
    for piece in PIECES:
        assert outline_area(piece.outline) == pytest.approx(Polygon(piece.outline).area)


def box(name: str, at: tuple[float, ...], size: tuple[float, ...]) -> Piece:
    x, y, _ = at
    w, d, h = size
    ring = ((x, y), (x + w, y), (x + w, y + d), (x, y + d))
    return Piece(name, "F", 1, "polyiso-2in", h, ring, (Edge(EdgeKind.FREE),) * 4, depth=at[2])


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10**6), st.sampled_from([22.5, 67.5, 112.5, 202.5]), st.sampled_from([25.0, -25.0]))
def test_nearer_boxes_come_after_those_they_hide(seed: int, azimuth: float, elevation: float) -> None:
    """Against rays: where a line of sight meets two boxes, the one it meets first from the eye is drawn later."""
    random = np.random.default_rng(seed)
    grid = [(i, j, k) for i in range(3) for j in range(3) for k in range(3)]
    random.shuffle(grid)
    pieces, boxes = [], []
    for n, cell in enumerate(grid[:9]):
        size = random.uniform(0.3, 0.95, 3)
        low = np.array(cell) + random.uniform(0, 1 - size)
        pieces.append(box(str(n), tuple(map(float, low)), tuple(map(float, size))))
        boxes.append((low, low + size))
    eye = eye_at(azimuth, elevation)
    order = drawing_order([solid_of(p, LEVEL) for p in pieces], eye)
    rank = {k: n for n, k in enumerate(order)}
    towards = np.array(eye.towards)
    for start in random.uniform(0, 3, (150, 3)):
        hits = []
        for k, (low, high) in enumerate(boxes):
            with np.errstate(divide="ignore"):
                t = np.sort(np.array([(low - start) / towards, (high - start) / towards]), axis=0)
            enter, leave = t[0].max(), t[1].min()
            if leave > enter + 1e-9:
                hits.append((enter, k))
        hits.sort()
        assert all(rank[a] < rank[b] for (_, a), (_, b) in pairwise(hits))


def test_glb_holds_every_piece_closed_and_in_its_place() -> None:
    data = model_glb(JOB, SURVEY, PIECE_SET)
    assert data == model_glb(JOB, SURVEY, PIECE_SET)
    scene = trimesh.load(io.BytesIO(data), file_type="glb")
    names = set(scene.graph.nodes_geometry)
    assert {p.id for p in PIECES} <= names
    assert {f"face {f.id}" for f in SURVEY.faces} == names - {p.id for p in PIECES}
    for piece in PIECES:
        turn, geometry = scene.graph[piece.id]
        mesh = scene.geometry[geometry].copy()
        assert mesh.is_watertight
        assert mesh.volume > 0
        front = Polygon(piece.outline, piece.holes)
        if all(e.bevel == 0 for e in piece.edges):
            assert mesh.volume == pytest.approx(front.area * piece.thickness, rel=1e-4)
        mesh.apply_transform(turn)
        tall = mesh.bounds[1][1] - mesh.bounds[0][1]  # y is up in glTF
        if piece.face != "N4":
            both = [y for _, y in (*piece.outline, *back_outline(piece))]
            assert tall == pytest.approx(max(both) - min(both), abs=1e-5)


def test_bevelled_plug_has_the_volume_of_a_frustum() -> None:
    """V = h/3 (A1 + A2 + sqrt(A1 A2)) holds for similar faces; a square plug has them."""
    edges = (Edge(EdgeKind.PLUG, 0.0, 0.2),) * 4
    plug = Piece("P", "F", 1, "b", 0.05, ((0, 0), (0.4, 0), (0.4, 0.4), (0, 0.4)), edges)
    points, faces = piece_mesh(plug, LEVEL)
    mesh = trimesh.Trimesh(np.array(points), np.array(faces), process=False)
    front, back = 0.16, Polygon(back_outline(plug)).area
    assert mesh.volume == pytest.approx(0.05 / 3 * (front + back + sqrt(front * back)))


def test_triangles_cover_an_outline_with_holes() -> None:
    piece = next(p for p in PIECES if p.holes)
    rings = (piece.outline, *piece.holes)
    points = [p for ring in rings for p in ring]
    area = sum(Polygon([points[i] for i in t]).area for t in triangles(rings))
    assert area == pytest.approx(Polygon(piece.outline, piece.holes).area)


def test_empty_model_is_still_valid() -> None:
    none = replace(PIECE_SET, pieces=())
    data = model_glb(JOB, replace(SURVEY, faces=()), none)
    assert data[:4] == b"glTF"
    assert int.from_bytes(data[8:12], "little") == len(data)


def test_dxf_units_layers_and_true_sizes() -> None:
    text = pieces_dxf(PIECE_SET)
    assert text == pieces_dxf(PIECE_SET)
    doc = ezdxf.read(io.StringIO(text))
    assert not doc.audit().errors
    assert (doc.header["$INSUNITS"], doc.header["$MEASUREMENT"]) == (4, 1)
    assert {"CUT", "MARK", "LABEL", "BEVEL"} <= {layer.dxf.name for layer in doc.layers}
    space = doc.modelspace()
    rings = [Polygon([p[:2] for p in e.get_points()]) for e in space.query('LWPOLYLINE[layer=="CUT"]') if e.closed]
    assert len(rings) == sum(1 + len(p.holes) for p in PIECES)
    meant = sorted(Polygon(r).area * 1e6 for p in PIECES for r in (p.outline, *p.holes))
    assert sorted(r.area for r in rings) == pytest.approx(meant)
    open_cuts = [e for e in space.query('LWPOLYLINE[layer=="CUT"]') if not e.closed]
    assert len(open_cuts) == sum(len(p.slits) for p in PIECES)
    labels = [t.dxf.text for t in space.query('TEXT[layer=="LABEL"]')]
    assert sorted(t.split()[0] for t in labels) == sorted(p.id for p in PIECES)
    assert len(space.query('LWPOLYLINE[layer=="BEVEL"]')) == sum(any(e.bevel for e in p.edges) for p in PIECES)


def test_dxf_pieces_lie_apart_and_none_is_mirrored() -> None:
    doc = ezdxf.read(io.StringIO(pieces_dxf(PIECE_SET)))
    outlines = []
    for e in doc.modelspace().query('LWPOLYLINE[layer=="CUT"]'):
        ring = [p[:2] for p in e.get_points()]
        if e.closed and sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, ring[1:] + ring[:1], strict=True)) > 0:
            outlines.append(Polygon(ring))
    assert len(outlines) == len(PIECES)  # counter-clockwise outlines stay so; holes run clockwise
    for i, a in enumerate(outlines):
        assert all(a.distance(b) > 1 for b in outlines[i + 1 :])


def test_walls_and_caps_that_face_away_are_not_drawn() -> None:
    scene = exploded(JOB, SURVEY, PIECE_SET)
    for group in groups(scene, "piece"):
        assert sum(isinstance(i, Area) for i in group.items) >= 2
