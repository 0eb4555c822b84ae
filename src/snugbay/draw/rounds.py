"""Round cuts in drawings: the rim that is cut, the centre and radius that give it."""

from __future__ import annotations

from shapely import LineString, Polygon
from shapely import Point as PointShape

from snugbay.draw.geometry import Point, line_parts
from snugbay.draw.symbols import Format, is_inch
from snugbay.draw.texts import say
from snugbay.pieces import Piece
from snugbay.sheets import Cut, Mark, Sheet
from snugbay.sheets.cutting.rounds import Round, compass, round_hole, without_bites
from snugbay.tape import INCH_M

_NEAR = 0.003
"""A rim lies this near to what is left of its piece. [m]"""


def rims(sheet: Sheet, cut: Cut) -> tuple[tuple[Point, ...], ...]:
    """Return the lines along which a round cut runs, only where its piece is; empty for any other cut. [m]"""
    if not cut.radius:
        return ()
    circle = LineString(PointShape(cut.start).buffer(cut.radius, quad_segs=24).exterior.coords)
    own = [Polygon(p.outline).buffer(_NEAR) for p in sheet.placements if p.piece in cut.pieces]
    found = tuple(part for shape in own for part in line_parts(circle.intersection(shape)))
    return found or (tuple((float(x), float(y)) for x, y in circle.coords),)


def rounds_of(piece: Piece, fmt: Format) -> tuple[Round, ...]:
    """Return the round holes and bites of a piece, centre and radius on marks from its lower left datum. [m]"""
    mark = INCH_M / 16 if is_inch(fmt) else 0.001
    left, low = datum_of(piece)
    bites = without_bites(piece.outline, mark)[1]
    holes = (round_hole([(x - left, y - low) for x, y in hole], mark) for hole in piece.holes)
    return (*(b.moved(-left, -low).settled(mark) for b in bites), *(h for h in holes if h is not None))


def datum_of(piece: Piece) -> Point:
    """Return the lower left corner of the box round a piece's front. [m]"""
    return min(x for x, _ in piece.outline), min(y for _, y in piece.outline)


def corners_of(piece: Piece) -> tuple[Point, ...]:
    """Return the corners of a piece that are measured one by one: none of a round hole, of a bite only its ends. [m]"""
    inner = {p for bite in without_bites(piece.outline, 1e-3)[1] for p in bite.rim[1:-1]}
    holes = (p for hole in piece.holes if compass(hole) is None for p in hole)
    slits = (p for slit in piece.slits for p in slit)
    return (*(p for p in piece.outline if p not in inner), *holes, *slits)


def off_board(mark: Mark, sheet: Sheet) -> bool:
    """True for a centre that lies beside the board it is for."""
    x, y = mark.at
    return not (-1e-9 <= x <= sheet.length + 1e-9 and -1e-9 <= y <= sheet.width + 1e-9)


def centre_words(mark: Mark, fmt: Format) -> tuple[str, str]:
    """Return both running dimensions of a centre; beyond the hook corner's edges it is said to which side. [m]"""
    along, across = fmt(abs(mark.distance)), fmt(abs(mark.across))
    return (
        say("round.left", distance=along) if mark.distance < 0 else along,
        say("round.below", distance=across) if mark.across < 0 else across,
    )


def centre_text(one: Round, fmt: Format) -> str:
    """Write where the centre of a round bite lies, from its piece's datum."""
    mark = Mark(0, "inside", one.centre, *one.centre, one.centre[0])
    along, across = centre_words(mark, fmt)
    return say("round.centre", along=along, across=across)


def round_words(mark: Mark, cut: Cut, fmt: Format) -> str:
    """Write centre and radius in short, as beside a mark."""
    along, across = centre_words(mark, fmt)
    return say("round.mark", along=along, across=across, radius=fmt(cut.radius))
