"""Starting shapes: corners placed one after another from whatever readings fix them.

A corner is placed where two loci meet: the circle of a distance, the ray of an angle, the circle over which an angle is
seen, the two lines of a station. Mirror images are kept side by side and the best is taken: the outline must run
counter-clockwise and not cross itself, and the readings must agree.
"""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from snugbay.job import Corner, Face, Reading, ReadingKind
from snugbay.survey.network import arms

Placed = dict[Corner, complex]
Edge = tuple[Corner, Corner]

_KEPT = 10
"""Mirror images kept side by side."""
_SEEDS = 6
SAME = 0.012
"""Corners placed nearer to each other than this are one place, found in several ways. [m]"""
_LOCI = 5


@dataclass(frozen=True)
class Circle:
    """All points at one distance from a centre."""

    centre: complex
    radius: float


@dataclass(frozen=True)
class Line:
    """All points on a line."""

    point: complex
    direction: complex


Locus = Circle | Line


@dataclass(frozen=True)
class Built:
    """A shape as far as it could be built: corners in the plane and how badly the readings agree (lower is better)."""

    points: Mapping[Corner, complex]
    score: float
    whole: bool


def meet(one: Locus, two: Locus) -> tuple[complex, ...]:
    """Return where two loci meet; where they just miss, the point between them."""
    if isinstance(one, Line) and isinstance(two, Line):
        turn = (one.direction.conjugate() * two.direction).imag
        if abs(turn) < 1e-9:
            return ()
        t = ((two.point - one.point).conjugate() * two.direction).imag / turn
        return (one.point + t * one.direction,)
    if isinstance(one, Circle) and isinstance(two, Circle):
        return _circles(one, two)
    line, circle = (one, two) if isinstance(one, Line) else (two, one)
    assert isinstance(line, Line)
    assert isinstance(circle, Circle)
    foot = line.point + ((circle.centre - line.point) * line.direction.conjugate()).real * line.direction
    short = circle.radius**2 - abs(foot - circle.centre) ** 2
    if short <= 0.0:
        return (foot,)
    half = math.sqrt(short) * line.direction
    return (foot + half, foot - half)


def _circles(one: Circle, two: Circle) -> tuple[complex, ...]:
    apart = two.centre - one.centre
    d = abs(apart)
    if d < 1e-12:
        return ()
    u = apart / d
    x = (d * d + one.radius**2 - two.radius**2) / (2.0 * d)
    short = one.radius**2 - x * x
    if short <= 0.0:
        # they miss: halfway across the gap, a hair off the line so that nothing starts dead flat
        near = one.centre + math.copysign(one.radius, x) * u
        far = two.centre - math.copysign(two.radius, d - x) * u
        middle = (near + far) / 2.0
        hair = 1e-3 * (one.radius + two.radius)
        return (middle + 1j * u * hair, middle - 1j * u * hair)
    foot, half = one.centre + x * u, 1j * math.sqrt(short) * u
    return (foot + half, foot - half)


def seen_over(first: complex, last: complex, angle: float) -> Circle | None:
    """Return the circle from which ``last`` is seen ``angle`` counter-clockwise of ``first``. [rad]"""
    s = math.sin(angle)
    if abs(s) < 1e-6:
        return None
    chord = last - first
    return Circle((first + last) / 2.0 + 0.5j * chord * math.cos(angle) / s, abs(chord / (2.0 * s)))


class Builder:
    """Places the corners of one face."""

    def __init__(self, face: Face, edges: Mapping[Edge, float]) -> None:
        self.face = face
        self.order = {name: i for i, name in enumerate(face.corners)}
        known = tuple(Reading(ReadingKind.DISTANCE, pair, length, 0.003, name="edge") for pair, length in edges.items())
        self.readings = tuple(r for r in face.readings if r.kind is not ReadingKind.TWIST) + known
        self.about: dict[Corner, list[Reading]] = {name: [] for name in face.corners}
        for r in self.readings:
            for name in r.corners:
                self.about[name].append(r)

    def seeds(self) -> list[tuple[Corner, Corner, float]]:
        """Return pairs to start from: base lines of stations first, then pairs with most readings about them."""
        bases = {r.corners[:2] for r in self.readings if r.kind in {ReadingKind.ALONG, ReadingKind.OFFSET}}
        rated: list[tuple[int, int, int, int, tuple[Corner, Corner, float]]] = []
        for r in self.readings:
            if r.kind is ReadingKind.DISTANCE and r.value > 0.0:
                p, q = r.corners
                base = (p, q) in bases or (q, p) in bases
                leaning = any(s.kind is ReadingKind.LEAN and set(s.corners) == {p, q} for s in self.readings)
                weight = len(self.about[p]) + len(self.about[q])
                rated.append((-int(base), -int(leaning), -weight, len(rated), (p, q, r.value)))
        rated.sort()
        return [item[-1] for item in rated[:_SEEDS]]

    def loci(self, name: Corner, placed: Placed) -> list[Locus]:
        """Return where the readings let a corner lie, given the corners placed already."""
        found: list[Locus] = []
        for r in self.about[name]:
            if all(other in placed for other in r.corners if other != name):
                locus = self._locus(r, name, placed)
                if locus is not None:
                    found.append(locus)
        return found

    def _locus(self, r: Reading, name: Corner, placed: Placed) -> Locus | None:
        if r.kind is ReadingKind.DISTANCE:
            other = r.corners[0] if r.corners[1] == name else r.corners[1]
            return Circle(placed[other], r.value)
        if r.kind is ReadingKind.ANGLE:
            return self._angle_locus(r, name, placed)
        if r.kind in {ReadingKind.ALONG, ReadingKind.OFFSET} and r.corners[2] == name:
            p, q = placed[r.corners[0]], placed[r.corners[1]]
            if p == q:
                return None
            u = (q - p) / abs(q - p)
            if r.kind is ReadingKind.ALONG:
                return Line(p + r.value * u, 1j * u)
            return Line(p + 1j * r.value * u, u)
        if r.kind is ReadingKind.LEAN:
            up = self._up(placed)
            if up is not None:
                other = r.corners[0] if r.corners[1] == name else r.corners[1]
                return Line(placed[other], up * cmath.exp(-1j * r.value))
        return None

    def _angle_locus(self, r: Reading, name: Corner, placed: Placed) -> Locus | None:
        first, vertex, last = arms(self.face, r.corners)
        if name == vertex:
            return seen_over(placed[first], placed[last], r.value)
        other = placed[last if name == first else first] - placed[vertex]
        if other == 0:
            return None
        turn = -r.value if name == first else r.value
        return Line(placed[vertex], other / abs(other) * cmath.exp(1j * turn))

    def _up(self, placed: Placed) -> complex | None:
        for r in self.readings:
            if r.kind is ReadingKind.LEAN and r.corners[0] in placed and r.corners[1] in placed:
                d = placed[r.corners[1]] - placed[r.corners[0]]
                if d != 0:
                    return d / abs(d) * cmath.exp(1j * r.value)
        return None

    def wrong(self, r: Reading, placed: Placed) -> float:
        """Return read minus built in standard deviations, none smaller than 3 mm or half a degree."""
        value = _value(self.face, r, placed)
        if value is None:
            return 0.0
        off = value - r.value
        if r.kind in {ReadingKind.ANGLE, ReadingKind.LEAN}:
            off = (off + math.pi) % (2.0 * math.pi) - math.pi
            return off / max(r.sigma, 0.009)
        return off / max(r.sigma, 0.003)

    def misfit(self, readings: Iterable[Reading], placed: Placed) -> float:
        """Return how badly readings agree; one wild reading counts little more than a wrong one."""
        done = (r for r in readings if all(c in placed for c in r.corners))
        return sum(math.log1p(self.wrong(r, placed) ** 2 / 4.0) for r in done)

    def out_of_shape(self, placed: Placed) -> float:
        """Return a penalty for an outline that runs clockwise or crosses itself."""
        ring = [placed[n] for n in self.face.corners if n in placed]
        if len(ring) < 3:
            return 0.0
        area = signed_area(ring)
        size = max(abs(a - b) for a, b in zip(ring, ring[1:] + ring[:1], strict=True))
        # a flat triangle (stations on a line) is neither
        clockwise = 4.0 if area < -1e-6 * size * size else 0.0
        return clockwise + 4.0 * crossings(ring)

    def build(self) -> tuple[Built, ...]:
        """Return the shapes that the readings build up, mirror images beside each other, best first.

        Shapes are whole, or the farthest that the construction came.
        """
        found: list[Built] = []
        for p, q, length in self.seeds():
            for kept in self._grow({p: 0j, q: complex(length)}):
                whole = len(kept) == len(self.order)
                score = self.misfit(self.readings, kept) + self.out_of_shape(kept)
                found.append(Built(kept, score, whole))
            found.sort(key=lambda b: (not b.whole, -len(b.points), b.score))
            if found[0].whole and found[0].score < 2.0 + 0.5 * len(self.readings):
                break
        return tuple(found)

    def _grow(self, seed: Placed) -> list[Placed]:
        kept: list[Placed] = [seed]
        while len(kept[0]) < len(self.order):
            name, count = self._next(kept[0])
            if count < 2:
                break
            tried: list[tuple[float, Placed]] = []
            for placed in kept:
                for point in self._candidates(name, placed):
                    more = {**placed, name: point}
                    tried.append((self.misfit(self.readings, more) + self.out_of_shape(more), more))
            if not tried:
                break
            tried.sort(key=lambda item: item[0])
            kept = [placed for _, placed in _distinct(tried)[:_KEPT]]
        return kept

    def _next(self, placed: Placed) -> tuple[Corner, int]:
        open_corners = [n for n in self.order if n not in placed]
        rated = [(len(self.loci(n, placed)), n) for n in open_corners]
        best = max(rated, key=lambda item: item[0])
        return best[1], best[0]

    def _candidates(self, name: Corner, placed: Placed) -> list[complex]:
        loci = self.loci(name, placed)[:_LOCI]
        found: list[complex] = []
        for one, two in itertools.combinations(loci, 2):
            for point in meet(one, two):
                if all(abs(point - other) > 1e-4 for other in found):
                    found.append(point)
        return found


def _distinct(tried: Sequence[tuple[float, Placed]]) -> list[tuple[float, Placed]]:
    out: list[tuple[float, Placed]] = []
    for score, placed in tried:
        if all(any(abs(placed[n] - other[n]) > SAME for n in placed) for _, other in out):
            out.append((score, placed))
            if len(out) == _KEPT:
                break
    return out


def _value(face: Face, r: Reading, placed: Placed) -> float | None:
    if r.kind is ReadingKind.DISTANCE:
        return abs(placed[r.corners[1]] - placed[r.corners[0]])
    if r.kind is ReadingKind.ANGLE:
        first, vertex, last = (placed[n] for n in arms(face, r.corners))
        if first == vertex:
            return None
        return cmath.phase((last - vertex) * (first - vertex).conjugate()) % (2.0 * math.pi)
    if r.kind in {ReadingKind.ALONG, ReadingKind.OFFSET}:
        p, q, s = (placed[n] for n in r.corners)
        if p == q:
            return None
        rel = (s - p) * ((q - p) / abs(q - p)).conjugate()
        return rel.real if r.kind is ReadingKind.ALONG else rel.imag
    return None


def signed_area(ring: Sequence[complex]) -> float:
    """Return the area of an outline, positive where it runs counter-clockwise. [m²]"""
    return 0.5 * sum((a.conjugate() * b).imag for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))


def crossings(ring: Sequence[complex]) -> int:
    """Return how often an outline crosses itself."""
    n = len(ring)
    count = 0
    for i in range(n):
        a, b = ring[i], ring[(i + 1) % n]
        for j in range(i + 2, n):
            if i == 0 and j == n - 1:
                continue
            c, d = ring[j], ring[(j + 1) % n]
            count += _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0
    return count


def _side(a: complex, b: complex, p: complex) -> int:
    turn = ((b - a).conjugate() * (p - a)).imag
    limit = 1e-9 * abs(b - a) * (abs(p - a) + 1e-12)
    return int(turn > limit) - int(turn < -limit)
