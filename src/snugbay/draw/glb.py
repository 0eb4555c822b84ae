"""The pieces in their places as a binary glTF file, for any 3D viewer."""

from __future__ import annotations

import json
import struct
from collections.abc import Sequence

import mapbox_earcut
import numpy as np

from snugbay.draw.geometry import Point
from snugbay.draw.solid import Place, back_outline, solid_of, to_world
from snugbay.job import Job
from snugbay.pieces import Piece, PieceSet
from snugbay.survey import Survey

_MATERIALS = (
    ("board, odd layer", (0.93, 0.87, 0.70, 1.0)),
    ("board, even layer", (0.70, 0.78, 0.82, 1.0)),
    ("bare face", (0.45, 0.43, 0.40, 0.35)),
)
_ODD, _EVEN, _BARE = 0, 1, 2
_PLUMB_TO_Y = (-(0.5**0.5), 0.0, 0.0, 0.5**0.5)
"""Quarter turn about x: the world here is z up, glTF is y up."""

Mesh = tuple[tuple[Place, ...], tuple[tuple[int, int, int], ...]]


def triangles(rings: Sequence[Sequence[Point]]) -> tuple[tuple[int, int, int], ...]:
    """Cut an outline with holes into triangles; indices count through the rings in order."""
    points = np.array([p for ring in rings for p in ring], dtype=np.float64)
    ends = np.cumsum([len(ring) for ring in rings]).astype(np.uint32)
    flat = mapbox_earcut.triangulate_float64(points, ends)
    found = []
    for a, b, c in np.asarray(flat, dtype=np.int64).reshape(-1, 3).tolist():
        (ax, ay), (bx, by), (cx, cy) = points[a], points[b], points[c]
        left = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
        found.append((a, b, c) if left > 0 else (a, c, b))
    return tuple(found)


def piece_mesh(piece: Piece, frame: object) -> Mesh:
    """Return a piece as a closed surface, triangles counter-clockwise seen from outside. [m]"""
    solid = solid_of(piece, frame)  # type: ignore[arg-type]
    front = tuple(c for ring in solid.front for c in ring)
    back = tuple(c for ring in solid.back for c in ring)
    n = len(front)
    caps = [*triangles((piece.outline, *piece.holes))]
    backs = triangles((back_outline(piece), *piece.holes))
    walls = []
    start = 0
    for ring in solid.front:
        for k in range(len(ring)):
            a, b = start + k, start + (k + 1) % len(ring)
            walls += [(a, a + n, b), (b, a + n, b + n)]
        start += len(ring)
    return (*front, *back), (*caps, *((a + n, c + n, b + n) for a, b, c in backs), *walls)


def model_glb(job: Job, survey: Survey, pieces: PieceSet) -> bytes:
    """Write the pieces in their places as binary glTF 2.0 [Khronos glTF 2.0, chapter 4].

    Every piece is a node named by its label, with face, layer, material and front in its extras; bare faces are
    see-through nodes named ``face N1``. Lengths are metres, y is up.
    """
    frames = {f.id: f.frame for f in survey.faces if f.frame is not None}
    book = _Book()
    inner = []
    for face in survey.faces:
        if face.frame is not None:
            mesh = (tuple(to_world(face.frame, p, 0.0) for p in face.points), triangles((face.points,)))
            inner.append(book.node(f"face {face.id}", mesh, _BARE, {"title": job.face(face.id).title}))
    for piece in pieces.pieces:
        if piece.face in frames:
            extras = {"face": piece.face, "layer": piece.layer, "material": piece.material, "front": piece.front}
            mesh = piece_mesh(piece, frames[piece.face])
            inner.append(book.node(piece.id, mesh, _ODD if piece.layer % 2 else _EVEN, extras))
    return book.bytes(job.title, inner)


class _Book:
    """Collects nodes, meshes and the binary part while the file is put together."""

    def __init__(self) -> None:
        self.nodes: list[dict[str, object]] = []
        self.meshes: list[dict[str, object]] = []
        self.accessors: list[dict[str, object]] = []
        self.views: list[dict[str, object]] = []
        self.data = bytearray()

    def _view(self, data: bytes, target: int) -> int:
        self.views.append({"buffer": 0, "byteOffset": len(self.data), "byteLength": len(data), "target": target})
        self.data += data + b"\0" * (-len(data) % 4)
        return len(self.views) - 1

    def node(self, name: str, mesh: Mesh, material: int, extras: dict[str, object]) -> int:
        places = np.array(mesh[0], dtype="<f4")
        corners = np.array(mesh[1], dtype="<u4").reshape(-1)
        at, index = self._view(places.tobytes(), 34962), self._view(corners.tobytes(), 34963)
        low, high = places.min(axis=0), places.max(axis=0)
        self.accessors.append(
            {
                "bufferView": at,
                "componentType": 5126,
                "count": len(places),
                "type": "VEC3",
                "min": [float(v) for v in low],
                "max": [float(v) for v in high],
            }
        )
        self.accessors.append({"bufferView": index, "componentType": 5125, "count": len(corners), "type": "SCALAR"})
        first = len(self.accessors) - 2
        primitive = {"attributes": {"POSITION": first}, "indices": first + 1, "material": material}
        self.meshes.append({"name": name, "primitives": [primitive]})
        self.nodes.append({"name": name, "mesh": len(self.meshes) - 1, "extras": extras})
        return len(self.nodes) - 1

    def bytes(self, title: str, children: list[int]) -> bytes:
        self.nodes.append({"name": title, "rotation": list(_PLUMB_TO_Y), "children": children})
        body: dict[str, object] = {
            "asset": {"version": "2.0", "generator": "Snugbay"},
            "scene": 0,
            "scenes": [{"name": title, "nodes": [len(self.nodes) - 1]}],
            "nodes": self.nodes,
            "materials": [_material(name, colour) for name, colour in _MATERIALS],
        }
        if not children:
            del self.nodes[-1]["children"]
        else:
            body["meshes"] = self.meshes
            body["accessors"] = self.accessors
            body["bufferViews"] = self.views
            body["buffers"] = [{"byteLength": len(self.data)}]
        text = json.dumps(body, separators=(",", ":"), ensure_ascii=True).encode()
        text += b" " * (-len(text) % 4)
        chunks = struct.pack("<I4s", len(text), b"JSON") + text
        if children:
            chunks += struct.pack("<I4s", len(self.data), b"BIN\0") + bytes(self.data)
        return struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks


def _material(name: str, colour: tuple[float, float, float, float]) -> dict[str, object]:
    found: dict[str, object] = {
        "name": name,
        "pbrMetallicRoughness": {"baseColorFactor": list(colour), "metallicFactor": 0.0, "roughnessFactor": 0.9},
    }
    if colour[3] < 1:
        found |= {"alphaMode": "BLEND", "doubleSided": True}
    return found
