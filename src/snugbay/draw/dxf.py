"""All pieces side by side in a DXF file, for whoever has a cutting machine or a drawing program."""

from __future__ import annotations

import io
from math import atan2, degrees

import ezdxf
import ezdxf.document
from ezdxf.enums import TextEntityAlignment

from snugbay.draw.geometry import Point, bounds, spot_inside
from snugbay.draw.solid import back_outline, is_bevelled
from snugbay.draw.symbols import degrees_text
from snugbay.draw.texts import say
from snugbay.pieces import Piece, PieceSet

LAYERS = (("CUT", 7), ("MARK", 5), ("LABEL", 3), ("BEVEL", 1))
"""Layer names and their colour numbers."""
_GAP = 60.0
"""Between pieces. [mm]"""
_ROW = 6000.0
"""Length of a row of pieces. [mm]"""


def pieces_dxf(pieces: PieceSet) -> str:
    """Write every piece at full size in millimetres, fronts up, none mirrored, none turned.

    Layers: CUT closed outlines and holes, open slits; MARK up arrows; LABEL piece label, front and board; BEVEL the
    larger or smaller back outline and the angle at each bevelled edge. The header says millimetres ($INSUNITS 4,
    $MEASUREMENT 1). The same pieces give the same text: no date, no random id.
    """
    kept = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        doc = ezdxf.new("R2010", setup=False, units=4)
        doc.header["$INSUNITS"] = 4
        doc.header["$MEASUREMENT"] = 1
        for name, colour in LAYERS:
            doc.layers.add(name, color=colour)
        x, y, row = 0.0, 0.0, 0.0
        for piece in pieces.pieces:
            left, low, right, high = bounds(_millimetres((*piece.outline, *back_outline(piece))))
            if x > 0 and x + right - left > _ROW:
                x, y, row = 0.0, y - row - _GAP, 0.0
            _add(doc, piece, (x - left, y - high))
            x += right - left + _GAP
            row = max(row, high - low)
        text = io.StringIO()
        doc.write(text)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = kept
    return text.getvalue()


def _millimetres(points: tuple[Point, ...]) -> tuple[Point, ...]:
    return tuple((1000 * x, 1000 * y) for x, y in points)


def _add(doc: ezdxf.document.Drawing, piece: Piece, by: Point) -> None:
    def put(points: tuple[Point, ...]) -> tuple[Point, ...]:
        return tuple((x + by[0], y + by[1]) for x, y in _millimetres(points))

    space = doc.modelspace()
    outline = put(piece.outline)
    holes = tuple(put(hole) for hole in piece.holes)
    for ring in (outline, *holes):
        space.add_lwpolyline(ring, close=True, dxfattribs={"layer": "CUT"})
    for slit in piece.slits:
        space.add_lwpolyline(put(slit), dxfattribs={"layer": "CUT"})
    spot, depth = spot_inside((outline, *holes), 1.0)
    _arrow(doc, spot, piece.up, depth)
    size = max(6.0, min(40.0, 0.35 * depth))
    words = f"{piece.id} {say('piece.front', front=piece.front)} {piece.material} {1000 * piece.thickness:g} mm"
    label = space.add_text(words, height=size, dxfattribs={"layer": "LABEL"})
    label.set_placement((spot[0], spot[1] - 1.6 * size), align=TextEntityAlignment.TOP_CENTER)
    if is_bevelled(piece):
        _bevels(doc, piece, outline, put(back_outline(piece)), size)


def _arrow(doc: ezdxf.document.Drawing, spot: Point, up: Point, depth: float) -> None:
    long = max(10.0, min(150.0, depth))
    tip = (spot[0] + 0.8 * long * up[0], spot[1] + 0.8 * long * up[1])
    side = (-up[1], up[0])
    neck = (tip[0] - 0.3 * long * up[0], tip[1] - 0.3 * long * up[1])
    wings = [(neck[0] + s * 0.12 * long * side[0], neck[1] + s * 0.12 * long * side[1]) for s in (1, -1)]
    doc.modelspace().add_lwpolyline([spot, tip], dxfattribs={"layer": "MARK"})
    doc.modelspace().add_lwpolyline([wings[0], tip, wings[1]], dxfattribs={"layer": "MARK"})


def _bevels(
    doc: ezdxf.document.Drawing, piece: Piece, front: tuple[Point, ...], back: tuple[Point, ...], size: float
) -> None:
    space = doc.modelspace()
    space.add_lwpolyline(back, close=True, dxfattribs={"layer": "BEVEL"})
    for k, edge in enumerate(piece.edges):
        if abs(edge.bevel) > 1e-6:
            a, b = front[k], front[(k + 1) % len(front)]
            side = say("piece.back") if edge.bevel > 0 else say("piece.bevel-front")
            words = say("piece.bevel", angle=degrees_text(abs(edge.bevel)), side=side)
            text = space.add_text(words, height=0.7 * size, dxfattribs={"layer": "BEVEL"})
            text.dxf.rotation = degrees(atan2(b[1] - a[1], b[0] - a[0]))
            text.set_placement(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), align=TextEntityAlignment.BOTTOM_CENTER)
