"""The saw's gate: a sheet is sawn by its printed instructions alone, and what comes off must be the pieces.

Nothing is known here of the layout. A board lies front face up; its marks are measured from the lower left corner of
the sheet or of the part that is named; a cut takes its kerf to the right of its line and ends where the instruction
says, or at the edge it meets. What comes off is held against the pieces: within their outline on both faces, no smaller
than the tape's rounding makes them, each alone, with nothing that a tool took in passing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, sin, tan

from shapely import union_all
from shapely.affinity import affine_transform
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as ShapelyPoint
from shapely.geometry.base import BaseGeometry
from shapely.prepared import prep

from snugbay.job import Tool
from snugbay.materials import Rates
from snugbay.pieces import Piece
from snugbay.pieces.plane import offset_outline
from snugbay.sheets.cutting.bevels import SQUARE
from snugbay.sheets.cutting.lines import THREAD, Swath
from snugbay.sheets.cutting.minutes import kerf_of, overrun, sweep
from snugbay.sheets.cutting.patterns import thickest
from snugbay.sheets.cutting.rounds import SIDES, without_bites
from snugbay.sheets.values import Cut, End, Mark, Placement, Sheet
from snugbay.survey import Point
from snugbay.tape import Tape

LARGER = 1e-4
"""A piece may be larger than its outline by so much; one as long as the board keeps its ends, up to a mark. [m]"""
FINE = 1e-4
"""Nobody sees less. [m]"""
OPEN = 0.0015
"""A saw's slit is no wider. [m]"""
SCAR = 1e-3
"""A slit in a face as short as this harms nothing. [m]"""
CRUMB = 1e-9
"""Smaller parts are dust. [m²]"""
NEAR = 1e-6
"""Places that are nearer are the same. [m]"""


class Wrong(Exception):
    """An instruction that nobody can follow, or that spoils a piece."""


@dataclass(frozen=True)
class Slab:
    """A part of a board: what is there of its front and of its back. [m]"""

    front: BaseGeometry
    back: BaseGeometry


@dataclass(frozen=True)
class Place:
    """Where a part lay when it came off: its datum corner and its size. [m]"""

    x: float
    y: float
    width: float
    height: float


def faults(sheet: Sheet, pieces: Sequence[Piece], rates: Rates, tape: Tape) -> tuple[str, ...]:
    """Saw a sheet as it is printed and say what is wrong with what comes off.

    Parameters
    ----------
    sheet : Sheet
        Cuts, marks, labels; no more of it is looked at before the last cut is made.
    pieces : sequence of Piece
        What is wanted, at least the pieces of this sheet.
    rates : Rates
        Kerf, overrun and blade of the tools.
    tape : Tape
        On whose marks every figure is read.

    Returns
    -------
    tuple of str
        Empty where every piece comes out.
    """
    try:
        bench = _Bench(sheet, rates, float(tape.mark))
        for number, cut in enumerate(sheet.cuts, start=1):
            if cut.number != number:
                raise Wrong(f"cut {cut.number} stands where cut {number} is due")
            bench.make(cut)
        return tuple(_judged(bench, sheet, {p.id: p for p in pieces}, float(tape.mark)))
    except Wrong as wrong:
        return (str(wrong),)


class _Bench:
    """A sheet while it is sawn."""

    def __init__(self, sheet: Sheet, rates: Rates, mark: float) -> None:
        whole = Polygon([(0, 0), (sheet.length, 0), (sheet.length, sheet.width), (0, sheet.width)])
        self.thickness = sheet.thickness
        self.rates = rates
        self.mark = mark
        self.labels = {p.piece: ShapelyPoint(p.label_at) for p in sheet.placements}
        self.marks = sheet.marks
        self.slabs = [Slab(whole, whole)]
        self.places = {"sheet": Place(0.0, 0.0, sheet.length, sheet.width)}
        self.slits: list[tuple[str, LineString, BaseGeometry]] = []
        self.scars: list[tuple[int, str, BaseGeometry]] = []
        self.kerf = max((kerf_of(_tool(cut), rates) for cut in sheet.cuts), default=0.0)

    def as_long(self, face: BaseGeometry) -> bool:
        """True for a piece as long as the board, or as wide: nobody takes less than a mark off a factory end."""
        x0, y0, x1, y1 = face.bounds
        board = self.places["sheet"]
        return any(abs(a - b) < self.mark for a in (x1 - x0, y1 - y0) for b in (board.width, board.height))

    def make(self, cut: Cut) -> None:
        """Make one cut in the part in hand."""
        place = self.places.get(cut.blank)
        if place is None:
            raise Wrong(f"cut {cut.number} is to be made in part {cut.blank}, which no cut gave")
        tool = _tool(cut)
        at = [_read(mark, place, self.mark) for mark in self.marks if mark.cut == cut.number]
        if len(at) != (1 if cut.radius else 2):
            raise Wrong(f"cut {cut.number} has {len(at)} marks")
        hand = self._in_hand(cut, at)
        if cut.radius:
            if tool is Tool.CIRCULAR:
                raise Wrong(f"cut {cut.number} turns, which no circular saw does")
            disc = ShapelyPoint(at[0]).buffer(_on_mark(cut.radius, self.mark) / cos(pi / SIDES), quad_segs=SIDES // 4)
            self._replace(hand, hand.front.difference(disc), hand.back.difference(disc))
            return
        start, end = at
        if hypot(end[0] - start[0], end[1] - start[1]) < NEAR:
            raise Wrong(f"cut {cut.number} has no length")
        if tool is Tool.CIRCULAR and any(e is not End.RUN for e in cut.ends):
            raise Wrong(f"cut {cut.number} stops within the board, where a circular saw kicks back")
        self._saw(cut, tool, hand, start, end)

    def _in_hand(self, cut: Cut, at: Sequence[Point]) -> Slab:
        """Return the part that is picked up: the one with the pieces' labels, else the one that the line is on."""
        missing = [name for name in cut.pieces if name not in self.labels]
        if missing:
            raise Wrong(f"cut {cut.number} makes an edge of {missing[0]}, which is not drawn on this sheet")
        spots = [self.labels[name] for name in cut.pieces]
        if spots:
            found = [slab for slab in self.slabs if any(slab.front.intersects(spot) for spot in spots)]
            if len(found) != 1:
                raise Wrong(f"cut {cut.number} serves {', '.join(cut.pieces)}, which lie on {len(found)} parts")
            return found[0]
        line = LineString(at)
        return max(self.slabs, key=lambda s: float(s.front.buffer(NEAR).intersection(line).length))

    def _saw(self, cut: Cut, tool: Tool, hand: Slab, start: Point, end: Point) -> None:
        """Take away what the tool takes on both faces, and name the two sides of a cut that parts the board."""
        lean = self.thickness * tan(abs(cut.bevel)) if abs(cut.bevel) > SQUARE else 0.0
        wide = kerf_of(tool, self.rates) / cos(cut.bevel)
        front_lean, back_lean = (lean, 0.0) if cut.bevel > 0 else (0.0, lean)
        gone = self._taken(cut, tool, hand.front, _aside(start, end, front_lean, wide))
        front = back = hand.front.difference(gone)
        scars = [(cut.number, "front", gone.intersection(hand.front))]
        if lean or hand.back is not hand.front:
            behind = self._taken(cut, tool, hand.back, _aside(start, end, back_lean, wide))
            back = hand.back.difference(behind)
            scars.append((cut.number, "back", behind.intersection(hand.back)))
        rest = self._replace(hand, front, back)
        self.scars += scars
        if len(rest) == 1 and cut.kind == "stopped":
            self.slits += [(name, LineString([start, end]), gone) for name in cut.pieces]
        if len(rest) > 1 and all(e is End.RUN for e in cut.ends):
            self._name(cut, rest, start, end)

    def _taken(self, cut: Cut, tool: Tool, face: BaseGeometry, took: Swath) -> BaseGeometry:
        """Return what a tool takes of one face between its ends, and past them."""
        parts = [took.between(-THREAD, took.length + THREAD)]
        for last, end in ((False, cut.ends[0]), (True, cut.ends[1])):
            if end is End.RUN:
                out = took.runs(face, last=last)
                past = sweep(tool, self.rates, self.thickness) or overrun(self.rates)
                parts.append(took.beyond(-THREAD, out + THREAD, last=last))
                parts.append(took.beyond(out, out + past, last=last))
            elif end is End.STOP:
                parts.append(took.beyond(-THREAD, overrun(self.rates), last=last))
        return union_all([p for p in parts if p.area > 0])

    def _replace(self, hand: Slab, front: BaseGeometry, back: BaseGeometry) -> list[Slab]:
        """Put what is left of a part in its place and return it: each part of the front with its own back."""
        self.slabs = [slab for slab in self.slabs if slab is not hand]
        fronts = _parts(front)
        if back is front:
            found = [Slab(one, one) for one in fronts]
        else:
            backs: list[list[BaseGeometry]] = [[] for _ in fronts]
            loose: list[BaseGeometry] = []
            for one in _parts(back):
                shares = [float(one.intersection(other).area) for other in fronts]
                best = max(range(len(fronts)), key=lambda k: shares[k], default=-1)
                (backs[best] if best >= 0 and shares[best] > CRUMB else loose).append(one)
            found = [Slab(one, _largest(own)) for one, own in zip(fronts, backs, strict=True)]
            found += [Slab(Polygon(), one) for one in loose]
        self.slabs += found
        return found

    def _name(self, cut: Cut, rest: Sequence[Slab], start: Point, end: Point) -> None:
        """Name what lies left of a cut, or below it, a, and the other side b."""
        across = abs(end[0] - start[0]) < abs(end[1] - start[1])
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        sides: dict[str, list[BaseGeometry]] = {"a": [], "b": []}
        for slab in (s for s in rest if not s.front.is_empty):
            spot = slab.front.centroid
            low = spot.x < middle[0] if across else spot.y < middle[1]
            sides["a" if low else "b"].append(slab.front)
        for letter, shapes in sides.items():
            if shapes:
                x0, y0, x1, y1 = union_all(shapes).bounds
                self.places[f"{cut.number}{letter}"] = Place(x0, y0, x1 - x0, y1 - y0)


def _aside(start: Point, end: Point, lean: float, wide: float) -> Swath:
    """Return a cut on one face: its line, or as far inside it as a slanting blade comes out there."""
    long = hypot(end[0] - start[0], end[1] - start[1])
    dx, dy = -lean * (end[1] - start[1]) / long, lean * (end[0] - start[0]) / long
    return Swath((start[0] + dx, start[1] + dy), (end[0] + dx, end[1] + dy), wide)


def _tool(cut: Cut) -> Tool:
    try:
        return Tool(cut.tool)
    except ValueError:
        raise Wrong(f"cut {cut.number} names no tool: {cut.tool}") from None


def _on_mark(value: float, mark: float) -> float:
    return round(value / mark) * mark


def _read(mark: Mark, place: Place, step: float) -> Point:
    """Return where a mark is by its figures: read off the tape, or a corner of the part where that is its size."""

    def along(value: float, size: float) -> float:
        read = size if abs(value - size) < NEAR else _on_mark(value, step)
        if abs(read - value) > NEAR:
            raise Wrong(f"a mark of cut {mark.cut} lies between two marks of the tape")
        return read

    x, y, wide, high = place.x, place.y, place.width, place.height
    figures = {
        "bottom": lambda: (x + along(mark.distance, wide), y),
        "top": lambda: (x + along(mark.distance, wide), y + high),
        "left": lambda: (x, y + along(mark.distance, high)),
        "right": lambda: (x + wide, y + along(mark.distance, high)),
        "inside": lambda: (x + along(mark.distance, wide), y + along(mark.across, high)),
    }
    if mark.edge not in figures:
        raise Wrong(f"a mark of cut {mark.cut} lies along no edge: {mark.edge}")
    return figures[mark.edge]()


def _parts(shape: BaseGeometry) -> list[BaseGeometry]:
    return [p for p in getattr(shape, "geoms", [shape]) if isinstance(p, Polygon) and p.area > CRUMB]


def _largest(shapes: Sequence[BaseGeometry]) -> BaseGeometry:
    return max(shapes, key=lambda s: float(s.area), default=Polygon())


def _judged(bench: _Bench, sheet: Sheet, pieces: dict[str, Piece], mark: float) -> list[str]:
    """Hold what came off against the pieces."""
    found = []
    seen: dict[int, str] = {}
    for placed in sheet.placements:
        label = placed.piece
        if label not in pieces:
            found.append(f"{label} is no piece of this job")
            continue
        slab = next((s for s in bench.slabs if s.front.intersects(bench.labels[label])), None)
        if slab is None:
            found.append(f"{label} does not come out: nothing is left at its label")
            continue
        if id(slab) in seen:
            found.append(f"{label} and {seen[id(slab)]} still hang together")
            continue
        seen[id(slab)] = label
        found += _came_out(pieces[label], placed, slab, bench, mark)
    return found


def _came_out(piece: Piece, placed: Placement, slab: Slab, bench: _Bench, mark: float) -> list[str]:
    """Say what is wrong with one piece as it came off."""
    up = _turned(piece.up, placed.turn)
    if hypot(up[0] - placed.up[0], up[1] - placed.up[1]) > 1e-6:
        return [f"{piece.id}: its up arrow does not lie as it does"]
    nick = bench.kerf if _front(piece).area < Polygon(piece.outline).convex_hull.area - CRUMB else 0.0
    near = nick + FINE
    for side, whole, face in (("front", _front(piece), slab.front), ("back", _back(piece), slab.back)):
        want = _laid(whole, placed)
        have = _healed(face, want, piece, placed, bench)
        more = have.difference(want.buffer(mark if bench.as_long(want) else LARGER, join_style="mitre"))
        if any(p.area > CRUMB for p in _parts(more)):
            return [f"{piece.id}: its {side} comes out {1000 * thickest(more):.1f} mm larger than it should be"]
        round_ = 2 * mark if any(r for r in without_bites(piece.outline, mark)[1]) or piece.holes else 0.0
        lost = thickest(want.difference(have))
        if lost > placed.body + mark + near + round_:
            return [f"{piece.id}: {1000 * lost:.1f} mm of its {side} is cut away"]
        far = max(have.distance(ShapelyPoint(p)) for p in want.exterior.coords)
        healed = union_all([_slit(slit, placed, mark) for slit in piece.slits])
        scar = _scarred(bench, side, want.buffer(-placed.body - mark - near - round_).difference(healed))
        if scar:
            return [f"{piece.id}: cut {scar} runs into its {side}"]
        if far > placed.tip + mark + 1.5 * near + round_:
            return [f"{piece.id}: a corner of its {side} comes out {1000 * far:.1f} mm short"]
    return []


def _scarred(bench: _Bench, side: str, inner: BaseGeometry) -> int:
    """Return the number of a cut that ran into a face, seen from a little within its outline; 0 where none did."""
    shape = prep(inner)
    for number, face, gone in bench.scars:
        if face == side and shape.intersects(gone) and inner.intersection(gone).length > 2 * SCAR:
            return number
    return 0


def _slit(slit: tuple[Point, Point], placed: Placement, mark: float) -> BaseGeometry:
    """Return where a slit may be cut, with what a tool goes past it."""
    return LineString([_moved(p, placed) for p in slit]).buffer(OPEN + 2 * mark)


def _healed(have: BaseGeometry, want: BaseGeometry, piece: Piece, placed: Placement, bench: _Bench) -> BaseGeometry:
    """Return a face with the slits closed that the piece is to have."""
    own = [_slit(slit, placed, bench.mark) for slit in piece.slits]
    for name, line, gone in bench.slits:
        if name == piece.id and any(slit.covers(line) for slit in own):
            have = have.union(gone.intersection(want)).buffer(NEAR, join_style="mitre")
    return have


def _front(piece: Piece) -> Polygon:
    return Polygon(piece.outline, piece.holes)


def _back(piece: Piece) -> BaseGeometry:
    """Return the back of a piece: every side moved out or in by its bevel."""
    if all(abs(e.bevel) < SQUARE for e in piece.edges):
        return _front(piece)
    points, _ = offset_outline(piece.outline, [-piece.thickness * tan(e.bevel) for e in piece.edges])
    whole = Polygon(points).buffer(0)
    return whole.difference(union_all([Polygon(hole) for hole in piece.holes]))


def _laid(shape: BaseGeometry, placed: Placement) -> BaseGeometry:
    """Return a piece's face where the piece lies on the sheet."""
    c, s = round(cos(placed.turn)), round(sin(placed.turn))
    return affine_transform(shape, [c, -s, s, c, *placed.origin])


def _turned(point: Point, turn: float) -> Point:
    c, s = round(cos(turn)), round(sin(turn))
    return c * point[0] - s * point[1], s * point[0] + c * point[1]


def _moved(point: Point, placed: Placement) -> Point:
    x, y = _turned(point, placed.turn)
    return x + placed.origin[0], y + placed.origin[1]
