"""Cuts a sheet plan by its printed marks and looks at what comes out; shares no code with the plan's makers.

The board is a region; a cut takes away a strip as wide as the kerf to the right of the line through its printed marks.
After the last cut, the part round each label must be the piece.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise, product
from math import cos, hypot, pi, sin, tan

import numpy as np
from scipy.optimize import linprog
from shapely import prepare, union_all
from shapely.geometry import LineString, MultiPolygon, Point, Polygon, box

from snugbay.pieces import Piece
from snugbay.sheets import Cut, End, Mark, Placement, Sheet, SheetPlan
from snugbay.tape import Tape

XY = tuple[float, float]
LARGER = 1e-6
"""A piece may be larger than its outline by so much. [m]"""
OVERCUT = 1e-5
"""A tool goes past its marks by so much, so that strips meet at corners. [m]"""
FINE = 40
"""Steps in two marks of the last look for a place."""
FINE_RIM = 256
"""Sides of a quarter of a disc; with so many its corners lie within a thousandth of a millimetre of the rim."""
THIN = 2e-6
"""Width of a knife's strip. [m]"""
KERFS = {"long knife": 0.0, "circular saw": 0.125 * 0.0254}
"""Width that a tool takes (fitting practice, section 3); saws not named take 0.06 in. [m]"""
FAR = 10.0
"""Longer than any board. [m]"""


@dataclass
class Blank:
    """A rectangle on the sheet from which marks are measured."""

    x: float
    y: float
    width: float
    height: float


@dataclass
class Bench:
    """A sheet while it is being cut."""

    sheet: Sheet
    kerf: float
    mark: float
    blanks: dict[str, Blank] = field(default_factory=dict)
    board: Polygon | MultiPolygon = field(default_factory=Polygon)
    faults: list[str] = field(default_factory=list)
    discs: list[tuple[str, XY, float]] = field(default_factory=list)
    left: dict[str, tuple[float, float]] = field(default_factory=dict)

    def fault(self, text: str) -> None:
        self.faults.append(f"sheet {self.sheet.number}: {text}")


def check_plan(plan: SheetPlan, pieces: Sequence[Piece], tape: Tape, kerf: float) -> list[str]:
    """Return all faults of a plan, in words; empty where it can be cut as printed."""
    by_label = {p.id: p for p in pieces}
    placed = Counter(p.piece for s in plan.sheets for p in s.placements)
    faults = [f"{label} is placed {n} times" for label, n in placed.items() if n != 1]
    faults += [f"{p.id} is not placed" for p in pieces if p.id not in placed]
    for sheet in plan.sheets:
        faults += _sheet(sheet, by_label, tape, kerf)
    return faults


def _sheet(sheet: Sheet, pieces: dict[str, Piece], tape: Tape, kerf: float) -> list[str]:
    bench = Bench(sheet, kerf, float(tape.mark))
    bench.blanks["sheet"] = Blank(0.0, 0.0, sheet.length, sheet.width)
    bench.board = box(0.0, 0.0, sheet.length, sheet.width)
    if [c.number for c in sheet.cuts] != list(range(1, len(sheet.cuts) + 1)):
        bench.fault("cuts are not numbered in order")
    _edge_to_edge_first(bench)
    slits: list[Polygon | MultiPolygon] = []
    for cut in sheet.cuts:
        _carry_out(bench, cut, pieces, slits)
    for placement in sheet.placements:
        _came_out(bench, placement, pieces[placement.piece], placement.tip, slits)
    _apart(bench)
    return bench.faults


def _edge_to_edge_first(bench: Bench) -> None:
    seen_inside = False
    for cut in bench.sheet.cuts:
        splits = cut.kind in ("edge to edge", "through the blank") and _crosses(bench, cut)
        if cut.kind == "edge to edge" and cut.blank != "sheet":
            bench.fault(f"cut {cut.number} is edge to edge but not across the sheet")
        if cut.kind == "edge to edge" and seen_inside:
            bench.fault(f"cut {cut.number} comes after a cut inside a blank")
        seen_inside = seen_inside or (not splits)


def _crosses(bench: Bench, cut: Cut) -> bool:
    """True for a cut parallel to the sheet's sides."""
    return min(abs(cut.start[0] - cut.end[0]), abs(cut.start[1] - cut.end[1])) < bench.mark / 10


def _printed(bench: Bench, cut: Cut) -> list[XY]:
    """Return where the marks of a cut are, by nothing but their printed figures."""
    blank = bench.blanks.get(cut.blank)
    if blank is None:
        bench.fault(f"cut {cut.number} is in blank {cut.blank}, which no cut gave")
        return []
    found = []
    for mark in (m for m in bench.sheet.marks if m.cut == cut.number):
        at = _place(bench, blank, mark)
        if hypot(at[0] - mark.at[0], at[1] - mark.at[1]) > 1e-6:
            bench.fault(f"a mark of cut {cut.number} is drawn elsewhere than its figures say")
        found.append(at)
    if len(found) != 2:
        bench.fault(f"cut {cut.number} has {len(found)} marks")
        return []
    if hypot(found[0][0] - cut.start[0], found[0][1] - cut.start[1]) > hypot(
        found[1][0] - cut.start[0], found[1][1] - cut.start[1]
    ):
        found.reverse()
    return found


def _centre(bench: Bench, cut: Cut) -> XY | None:
    """Return where the centre of a round cut is, by its printed figures; it may lie off the board."""
    blank = bench.blanks.get(cut.blank)
    marks = [m for m in bench.sheet.marks if m.cut == cut.number]
    if blank is None or len(marks) != 1 or marks[0].edge != "inside":
        bench.fault(f"cut {cut.number} is round and wants one mark, its centre")
        return None
    at = (blank.x + _whole(bench, blank, marks[0], marks[0].distance), 0.0)
    at = (at[0], blank.y + _whole(bench, blank, marks[0], marks[0].across))
    if hypot(at[0] - marks[0].at[0], at[1] - marks[0].at[1]) > 1e-6:
        bench.fault(f"the centre of cut {cut.number} is drawn elsewhere than its figures say")
    return at


def _round(bench: Bench, cut: Cut) -> None:
    """Take the disc of a round cut out of the part that its piece is; nothing else may hang on to it where it cuts."""
    centre = _centre(bench, cut)
    if centre is None:
        return
    radius = round(cut.radius / bench.mark) * bench.mark
    if abs(radius - cut.radius) > 1e-7:
        bench.fault(f"the radius of cut {cut.number} is no whole mark")
    disc = Point(centre).buffer(radius / cos(pi / (4 * FINE_RIM)), quad_segs=FINE_RIM)
    own = next(p for p in bench.sheet.placements if p.piece in cut.pieces)
    part = _part_with(bench, Point(own.label_at))
    if part is None or not part.intersects(disc):
        bench.fault(f"cut {cut.number} lies on no board")
        return
    bench.discs.append((own.piece, centre, radius))
    others = [p for p in getattr(bench.board, "geoms", [bench.board]) if p is not part and not p.equals(part)]
    rest = part.difference(disc)
    left = [*others, *getattr(rest, "geoms", [rest])]
    bench.board = MultiPolygon([p for p in left if isinstance(p, Polygon) and p.area > 0])


def _place(bench: Bench, blank: Blank, mark: Mark) -> XY:
    distance = _whole(bench, blank, mark, mark.distance)
    far = blank.height if mark.edge in ("left", "right") else blank.width
    if not (-1e-7 <= mark.distance <= far + 1e-7 and -1e-7 <= mark.across <= blank.height + 1e-7):
        bench.fault(f"a mark of cut {mark.cut} lies off the board")
    if mark.edge == "inside":
        return blank.x + distance, blank.y + _whole(bench, blank, mark, mark.across)
    if mark.across:
        bench.fault(f"a mark of cut {mark.cut} on an edge has a second figure")
    if mark.edge in ("bottom", "top"):
        return blank.x + distance, blank.y + (blank.height if mark.edge == "top" else 0.0)
    return blank.x + (blank.width if mark.edge == "right" else 0.0), blank.y + distance


def _whole(bench: Bench, blank: Blank, mark: Mark, value: float) -> float:
    """Return a figure as read off the tape: a whole mark, or the corner of the blank where it is the blank's size."""
    read = round(value / bench.mark) * bench.mark
    if abs(read - value) < 1e-7:
        return read
    corner = blank.width if mark.edge in ("bottom", "top") else blank.height
    if mark.edge != "inside" and abs(corner - value) < 1e-7:
        return corner
    bench.fault(f"a mark of cut {mark.cut} at {value * 1000:.4f} mm is no whole mark")
    return read


def _strip(start: XY, end: XY, kerf: float, beyond: float = OVERCUT) -> Polygon:
    length = hypot(end[0] - start[0], end[1] - start[1])
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    wide = max(kerf, THIN)
    a = np.array(start) - beyond * np.array((ux, uy))
    b = np.array(end) + beyond * np.array((ux, uy))
    right = wide * np.array((uy, -ux))
    return Polygon([a, b, b + right, a + right])


def _carry_out(bench: Bench, cut: Cut, pieces: dict[str, Piece], slits: list[Polygon | MultiPolygon]) -> None:
    if cut.kind == "round":
        _round(bench, cut)
        return
    marks = _printed(bench, cut)
    if len(marks) != 2:
        return
    start, end = marks
    if hypot(end[0] - start[0], end[1] - start[1]) < 1e-9:
        bench.fault(f"cut {cut.number} has no length")
        return
    strip = _run_out(bench, cut, start, end)
    if _is_slit(bench, cut, pieces):
        slits.append(strip)
    bench.board = bench.board.difference(strip)
    if _gives_blanks(bench, cut):
        _new_blanks(bench, cut, start, end)


def _run_out(bench: Bench, cut: Cut, start: XY, end: XY) -> Polygon | MultiPolygon:
    """Return what a cut takes away: from mark to mark, and on to the next edge of the part where it does not stop."""
    kerf = _kerf(cut)
    if kerf > bench.kerf + 1e-9:
        bench.fault(f"cut {cut.number} takes more than the layout leaves")
    stops = [e is not End.RUN for e in cut.ends]
    if cut.tool == "circular saw" and (any(stops) or cut.kind == "round"):
        bench.fault(f"cut {cut.number}: a circular saw ends within the board")
    if sum(stops) != {"stopped": 1, "plunge": 2}.get(cut.kind, 0):
        bench.fault(f"cut {cut.number} is said to be {cut.kind} and has {sum(stops)} stops")
    part = _hand(bench, cut, start, end)
    gone = [_strip(start, end, kerf)]
    ux, uy = np.array((end[0] - start[0], end[1] - start[1])) / hypot(end[0] - start[0], end[1] - start[1])
    for stop, (x, y), way in ((stops[0], start, -1.0), (stops[1], end, 1.0)):
        if not stop and part is not None:
            far = (x + way * FAR * ux, y + way * FAR * uy)
            ahead = (_strip((x, y), far, kerf) if way > 0 else _strip(far, (x, y), kerf)).intersection(part)
            near = [p for p in getattr(ahead, "geoms", [ahead]) if p.distance(Point(x, y)) < 1.5 * OVERCUT + kerf]
            gone += [p for p in near if isinstance(p, Polygon)]
    return union_all(gone)


def _hand(bench: Bench, cut: Cut, start: XY, end: XY) -> Polygon | None:
    """Return the part that is cut: the one with the label of a piece on it, else the one that the line is on."""
    own = next((p for p in bench.sheet.placements if p.piece in cut.pieces), None)
    if own is not None:
        return _part_with(bench, Point(own.label_at))
    line = LineString([start, end])
    parts = [p for p in getattr(bench.board, "geoms", [bench.board]) if isinstance(p, Polygon)]
    return max(parts, key=lambda p: p.intersection(line).length, default=None)


def _kerf(cut: Cut) -> float:
    return KERFS.get(cut.tool, 0.06 * 0.0254)


def _is_slit(bench: Bench, cut: Cut, pieces: dict[str, Piece]) -> bool:
    """True for a cut right into a piece, which has slits."""
    if cut.kind != "stopped" or not any(pieces[n].slits for n in cut.pieces):
        return False
    line = LineString([cut.start, cut.end])
    own = [Polygon(p.outline, p.holes) for p in bench.sheet.placements if p.piece in cut.pieces]
    return any(line.intersection(o.buffer(-bench.mark / 2)).length > line.length / 2 for o in own)


def _gives_blanks(bench: Bench, cut: Cut) -> bool:
    """True for a cut from side to side of its blank."""
    blank = bench.blanks[cut.blank]
    across = abs(cut.start[0] - cut.end[0]) < 1e-9 and abs(abs(cut.start[1] - cut.end[1]) - blank.height) < 1e-6
    along = abs(cut.start[1] - cut.end[1]) < 1e-9 and abs(abs(cut.start[0] - cut.end[0]) - blank.width) < 1e-6
    return across or along


def _new_blanks(bench: Bench, cut: Cut, start: XY, end: XY) -> None:
    old = bench.blanks[cut.blank]
    kerf = bench.kerf
    wide, high = bench.left.get(cut.blank, (old.width, old.height))
    if abs(start[0] - end[0]) < 1e-9:
        at = start[0] - old.x
        bench.left[cut.blank] = (at, high)
        bench.blanks[f"{cut.number}a"] = Blank(old.x, old.y, at, high)
        bench.blanks[f"{cut.number}b"] = Blank(old.x + at + kerf, old.y, wide - at - kerf, high)
    else:
        at = start[1] - old.y
        bench.left[cut.blank] = (wide, at)
        bench.blanks[f"{cut.number}a"] = Blank(old.x, old.y, wide, at)
        bench.blanks[f"{cut.number}b"] = Blank(old.x, old.y + at + kerf, wide, high - at - kerf)


def _part_with(bench: Bench, spot: Point) -> Polygon | None:
    for one in getattr(bench.board, "geoms", [bench.board]):
        if one.intersects(spot):
            return one if isinstance(one, Polygon) else None
    return None


def _back(piece: Piece) -> list[XY]:
    """Return the outline of the back, corner for corner: every side moved out by its bevel."""
    points = np.array(piece.outline)
    lines = []
    for i, edge in enumerate(piece.edges):
        a, b = points[i], points[(i + 1) % len(points)]
        ux, uy = (b - a) / np.linalg.norm(b - a)
        lines.append((uy, -ux, uy * a[0] - ux * a[1] + piece.thickness * tan(edge.bevel)))
    back: list[XY] = []
    for i in range(len(points)):
        (a1, b1, c1), (a2, b2, c2) = lines[i - 1], lines[i]
        x, y = np.linalg.solve(np.array([[a1, b1], [a2, b2]]), np.array([c1, c2]))
        back.append((float(x), float(y)))
    return back


def _outer(piece: Piece) -> Polygon:
    """Return what a piece covers: front, back, and what every side sweeps between them. Notches stay open."""
    front = Polygon(piece.outline)
    if all(abs(e.bevel) < 1e-9 for e in piece.edges):
        return front
    back = _back(piece)
    found = union_all([front, Polygon(back), *_swept(list(piece.outline), back)], grid_size=1e-10)
    found = found.buffer(1e-9, join_style="mitre").buffer(-1e-9, join_style="mitre")
    return Polygon(found.exterior)


def _swept(front: list[XY], back: list[XY]) -> list[Polygon]:
    count = len(front)
    swept = []
    for i in range(count):
        j = (i + 1) % count
        quad = Polygon([front[i], front[j], back[j], back[i]])
        swept.append(quad if quad.is_valid else quad.convex_hull)
    return [q for q in swept if q.area > 0]


def _bevels(bench: Bench, placement: Placement, piece: Piece, move: XY) -> None:
    """Every bevelled side has a cut at its angle, and no such cut runs along a square side."""
    if all(abs(e.bevel) < 1e-6 for e in piece.edges):
        slanting = [c.number for c in bench.sheet.cuts if abs(c.bevel) > 1e-6 and c.pieces == (piece.id,)]
        if slanting:
            bench.fault(f"{piece.id} is square all round, but cuts {slanting} are bevelled")
        return
    front, back = list(piece.outline), _back(piece)
    own = [c for c in bench.sheet.cuts if piece.id in c.pieces]
    for i, edge in enumerate(piece.edges):
        j = (i + 1) % len(front)
        line = [back[i], back[j]] if edge.bevel > 0 else [front[i], front[j]]
        a, b = _turned_points(line, placement.turn, move)
        made = [c.bevel for c in own if _runs_along(bench, c, a, b)]
        if abs(edge.bevel) > 1e-6 and not any(abs(m - edge.bevel) < 1e-3 for m in made):
            bench.fault(f"{piece.id}: side {i} has no cut at its bevel")
        if (
            abs(edge.bevel) <= 1e-6
            and hypot(a[0] - b[0], a[1] - b[1]) > 8 * bench.mark
            and any(abs(m) > 1e-6 for m in made)
        ):
            bench.fault(f"{piece.id}: side {i} is square and gets bevelled")


def _turned_points(points: list[XY], turn: float, move: XY) -> list[XY]:
    c, s = round(cos(turn), 12), round(sin(turn), 12)
    return [(c * x - s * y - move[0], s * x + c * y - move[1]) for x, y in points]


def _runs_along(bench: Bench, cut: Cut, a: XY, b: XY) -> bool:
    """True where a cut covers a side, the piece to its left, but for what rounding takes off."""
    line = LineString([cut.start, cut.end])
    ahead = (b[0] - a[0]) * (cut.end[0] - cut.start[0]) + (b[1] - a[1]) * (cut.end[1] - cut.start[1])
    near = 5 * bench.mark
    return ahead > 0 and line.distance(Point(a)) < near and line.distance(Point(b)) < near


def _turned(shape: Polygon, turn: float) -> Polygon:
    c, s = round(cos(turn), 12), round(sin(turn), 12)

    def turn_all(points: Sequence[XY]) -> list[XY]:
        return [(c * p[0] - s * p[1], s * p[0] + c * p[1]) for p in points]

    return Polygon(turn_all(list(shape.exterior.coords)), [turn_all(list(h.coords)) for h in shape.interiors])


def _moves(part: Polygon, outer: Polygon, mark: float, kerf: float, discs: Sequence[Disc]) -> Iterator[XY]:
    """Yield moves that bring a part into an outline, looking nearer and nearer to inside corners.

    Where cuts end at an inside corner, the kerf leaves nicks; first all corners count, then those between long sides.
    """
    low, high = (0, 1), (2, 3)
    for ends in (low, high):
        first = (outer.bounds[ends[0]] - part.bounds[ends[0]], outer.bounds[ends[1]] - part.bounds[ends[1]])
        yield first
        for nick in (0.0, 4 * kerf + 1e-4):
            move = first
            for short in (2 * mark, mark / 2, 1e-4, 2e-5):
                move = _best_move(part, outer, mark, move, short, nick, discs)
                yield move
    x, y = outer.bounds[0] - part.bounds[0], outer.bounds[1] - part.bounds[1]
    for i, j in product(range(-FINE, FINE + 1), repeat=2):
        yield x + 2 * mark * i / FINE, y + 2 * mark * j / FINE
    # a side that leaned and was cut straight lies anywhere between the outline's two ends
    far_x, far_y = outer.bounds[2] - part.bounds[2], outer.bounds[3] - part.bounds[3]
    for i, j in product(range(2 * FINE + 1), repeat=2):
        yield x + (far_x - x) * i / (2 * FINE), y + (far_y - y) * j / (2 * FINE)


def _corners(part: Polygon, nick: float) -> list[XY]:
    points = part.exterior.coords[:-1]
    found = []
    for i, p in enumerate(points):
        a, b = points[i - 1], points[(i + 1) % len(points)]
        if min(hypot(p[0] - a[0], p[1] - a[1]), hypot(p[0] - b[0], p[1] - b[1])) >= nick:
            found.append(p)
    return found


def _best_move(
    part: Polygon, outer: Polygon, mark: float, start: XY, short: float, nick: float, discs: Sequence[Disc]
) -> XY:
    """Return the move that brings the part deepest into the outline.

    Each corner of the part must lie inside every side of the outline that is near it. Of a bite, each corner of the
    outline's rim must lie in the disc that was cut; the many corners of the disc itself do not count.
    """
    points = list(outer.exterior.coords)
    points = points if outer.exterior.is_ccw else points[::-1]
    edges = list(pairwise(points))
    dx, dy = start
    rows, limits = [], []
    near = 4 * mark
    bites = [((c[0] + dx, c[1] + dy), r) for c, r in discs]
    sides = [_side(edges, i, near, short) for i, e in enumerate(edges) if not any(_is_chord(e, b, near) for b in bites)]
    for (cx, cy), r in bites:
        for x, y in (p for p in points[:-1] if abs(hypot(p[0] - cx, p[1] - cy) - r) < max(near, 0.02 * r)):
            far = hypot(x - cx, y - cy)
            rows.append([-(x - cx) / far, -(y - cy) / far, 1.0])
            limits.append(r - far - (x - cx) / far * dx - (y - cy) / far * dy)
    for x, y in (p for p in _corners(part, nick) if not any(_on_rim(p, disc) for disc in discs)):
        for (ax, ay), (ux, uy), low, high in sides:
            along = ux * (x + dx - ax) + uy * (y + dy - ay)
            aside = ux * (y + dy - ay) - uy * (x + dx - ax)
            if low <= along <= high and abs(aside) <= near:
                rows.append([uy, -ux, 1.0])
                limits.append(-uy * (x - ax) + ux * (y - ay))
    for x, y in (p for p in _inside_corners(edges) if not any(_on_rim_of(p, b, near) for b in bites)):
        for a, b in pairwise(part.exterior.coords):
            length = hypot(b[0] - a[0], b[1] - a[1])
            if length < near:
                continue
            ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
            ux, uy = (ux, uy) if part.exterior.is_ccw else (-ux, -uy)
            along, aside = ux * (x - dx - a[0]) + uy * (y - dy - a[1]), ux * (y - dy - a[1]) - uy * (x - dx - a[0])
            if abs(aside) <= near and -1e-4 <= along * (1 if part.exterior.is_ccw else -1) <= length + 1e-4:
                rows.append([uy, -ux, 1.0])
                limits.append(uy * (x - a[0]) - ux * (y - a[1]))
    if not rows:
        return dx, dy
    found = linprog(
        [0, 0, -1], A_ub=rows, b_ub=limits, bounds=[(dx - near, dx + near), (dy - near, dy + near), (-near, near)]
    )
    if not found.success or found.x is None:
        return dx, dy
    return float(found.x[0]), float(found.x[1])


Disc = tuple[XY, float]
"""Centre and radius of a round cut. [m]"""


def _on_rim(p: XY, disc: Disc) -> bool:
    (cx, cy), r = disc
    return abs(hypot(p[0] - cx, p[1] - cy) - r) < 1e-5


def _on_rim_of(p: XY, disc: Disc, near: float) -> bool:
    (cx, cy), r = disc
    return abs(hypot(p[0] - cx, p[1] - cy) - r) < max(near, 0.02 * r)


def _is_chord(edge: tuple[XY, XY], disc: Disc, near: float) -> bool:
    """True for a side of the outline along a bite's rim."""
    a, b = edge
    return all(_on_rim_of(p, disc, near) for p in (a, b, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)))


def _inside_corners(edges: list[tuple[XY, XY]]) -> list[XY]:
    return [b for (a, b), (_, c) in zip(edges, [*edges[1:], edges[0]], strict=True) if _turn(a, b, c) < -1e-9]


def _turn(a: XY, b: XY, c: XY) -> float:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def _side(edges: list[tuple[XY, XY]], i: int, near: float, short: float) -> tuple[XY, XY, float, float]:
    """Return start and direction of a side, and the stretch along it where it bounds: past outside corners as well."""
    (p, _), (a, b), (_, n) = edges[i - 1], edges[i], edges[(i + 1) % len(edges)]
    length = hypot(b[0] - a[0], b[1] - a[1])
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    at_start = (a[0] - p[0]) * uy - (a[1] - p[1]) * ux
    at_end = ux * (n[1] - b[1]) - uy * (n[0] - b[0])
    return a, (ux, uy), -near if at_start >= 0 else short, length + (near if at_end >= 0 else -short)


def _came_out(
    bench: Bench, placement: Placement, piece: Piece, worst: float, slits: list[Polygon | MultiPolygon]
) -> None:
    label = placement.piece
    part = _part_with(bench, Point(placement.label_at))
    if part is None:
        bench.fault(f"{label} does not come out: nothing is left at its label")
        return
    solid = _healed(part, slits)
    outer = _turned(_outer(piece), placement.turn)
    up = _turned_up(piece.up, placement.turn)
    if hypot(up[0] - placement.up[0], up[1] - placement.up[1]) > 1e-6:
        bench.fault(f"{label}: the up arrow is turned otherwise than the piece")
    full = any(
        abs((outer.bounds[a + 2] - outer.bounds[a]) - size) < bench.mark
        for a in (0, 1)
        for size in (bench.sheet.length, bench.sheet.width)
    )
    grow = LARGER + 2 * OVERCUT * bool(slits) + (bench.mark if full else 0.0)
    room = outer.buffer(grow, join_style="mitre")
    nicks = bench.kerf if outer.area < outer.convex_hull.area - 1e-9 else 0.0  # a saw's square end at inside corners
    prepare(room)
    allowed = worst + nicks + bench.mark + 1e-4
    fits: list[tuple[float, XY]] = []
    discs = [(c, r) for name, c, r in bench.discs if name == label]
    for dx, dy in _moves(solid, outer, bench.mark, bench.kerf, discs):
        moved = Polygon([(x + dx, y + dy) for x, y in solid.exterior.coords])
        if room.covers(moved):
            fits.append((max(Point(p).distance(moved) for p in outer.exterior.coords), (dx, dy)))
            if fits[-1][0] <= allowed:
                break
    if not fits:
        bench.fault(f"{label} is larger than its outline")
        return
    lost, (dx, dy) = min(fits)
    if lost > allowed:
        bench.fault(f"{label} is smaller by {lost * 1000:.2f} mm, said {worst * 1000:.2f} mm")
    _holes(bench, label, part, piece, placement, (dx, dy))
    _bevels(bench, placement, piece, (dx, dy))
    _off_damage(bench, label, part)


def _healed(part: Polygon, slits: list[Polygon | MultiPolygon]) -> Polygon:
    """Return a part with its slits closed and its holes filled."""
    for slit in slits:
        closed = (
            part.union(slit.buffer(OVERCUT).intersection(part.convex_hull)) if slit.distance(part) < OVERCUT else part
        )
        part = closed if isinstance(closed, Polygon) else part
    return Polygon(part.exterior)


def _turned_up(up: XY, turn: float) -> XY:
    return cos(turn) * up[0] - sin(turn) * up[1], sin(turn) * up[0] + cos(turn) * up[1]


def _holes(bench: Bench, label: str, part: Polygon, piece: Piece, placement: Placement, move: XY) -> None:
    """Nothing is left in a hole of the piece; rounded by at most two marks it may lie aside."""
    for hole in piece.holes:
        there = _turned(Polygon(hole), placement.turn)
        there = Polygon([(x - move[0], y - move[1]) for x, y in there.exterior.coords]).buffer(-2 * bench.mark)
        if there.intersection(part).area > 1e-9:
            bench.fault(f"{label}: a hole is not open")


def _off_damage(bench: Bench, label: str, part: Polygon) -> None:
    for x, y, w, h in bench.sheet.damaged:
        if part.intersection(box(x, y, x + w, y + h)).area > 1e-8:
            bench.fault(f"{label} lies on a damaged zone")


def _apart(bench: Bench) -> None:
    """No two labels are left on one part."""
    seen: dict[int, str] = {}
    parts = list(getattr(bench.board, "geoms", [bench.board]))
    for p in bench.sheet.placements:
        spot = Point(p.label_at)
        for i, part in enumerate(parts):
            if part.intersects(spot):
                if i in seen:
                    bench.fault(f"{p.piece} and {seen[i]} still hang together")
                seen[i] = p.piece
