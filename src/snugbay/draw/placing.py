"""Finding room for labels, so that no two of them lie on each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from math import cos, pi, sin

from snugbay.draw.geometry import Box, Point, bounds
from snugbay.draw.scene import Text

Quad = tuple[Point, ...]


def grown(corners: Sequence[Point], by: float) -> Quad:
    """Return a turned box grown by the same amount on all four sides."""
    a, b, c, d = corners

    def unit(p: Point, q: Point) -> Point:
        long = ((q[0] - p[0]) ** 2 + (q[1] - p[1]) ** 2) ** 0.5
        return ((q[0] - p[0]) / long, (q[1] - p[1]) / long) if long > 0 else (0.0, 0.0)

    u, v = unit(a, b), unit(a, d)
    signs = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    return tuple(
        (p[0] + by * (su * u[0] + sv * v[0]), p[1] + by * (su * u[1] + sv * v[1]))
        for p, (su, sv) in zip((a, b, c, d), signs, strict=True)
    )


def apart(a: Quad, b: Quad) -> bool:
    """Answer whether two convex outlines have no point in common, by the separating axes of their edges."""
    for first, second in ((a, b), (b, a)):
        for i, p in enumerate(first):
            q = first[(i + 1) % len(first)]
            nx, ny = q[1] - p[1], p[0] - q[0]
            if nx == 0 and ny == 0:
                continue
            own = [nx * x + ny * y for x, y in first]
            far = [nx * x + ny * y for x, y in second]
            if max(own) <= min(far) or max(far) <= min(own):
                return True
    return False


class Room:
    """The page as it fills up with labels.

    Parameters
    ----------
    page : Box
        Left, top, right, bottom within which labels must lie. [mm]
    gap : float
        Least distance between two labels. [mm]

    Attributes
    ----------
    missed, crossed : int
        Texts put where something lay already, and on something disliked, because no other place was left.
    """

    def __init__(self, page: Box, gap: float = 0.6) -> None:
        self.page = page
        self.gap = gap
        self.missed = 0
        self.crossed = 0
        self._hard: list[tuple[Box, Quad]] = []
        self._soft: list[tuple[Box, Quad]] = []
        self._names: list[str] = []

    def take(self, corners: Sequence[Point]) -> None:
        """Mark a convex outline as taken."""
        self._hard.append((bounds(corners), tuple(corners)))

    def dislike(self, corners: Sequence[Point], name: str = "") -> None:
        """Mark a convex outline or a line as a place that labels should rather not lie on; parts of one have a name."""
        self._soft.append((bounds(corners), tuple(corners)))
        self._names.append(name or str(len(self._names)))

    def copied(self) -> Room:
        """Return the page as it is now, to try on it."""
        other = Room(self.page, self.gap)
        other._hard, other._soft, other._names = [*self._hard], [*self._soft], [*self._names]
        return other

    def disliked(self, corners: Sequence[Point], *but: str) -> int:
        """Return how many disliked things lie under a box, those left out that are named."""
        found = {self._names[k] for k in self._hits(self._soft, tuple(corners))}
        return len(found - set(but))

    def within(self, corners: Sequence[Point]) -> bool:
        """Answer whether a box lies on the page."""
        left, top, right, bottom = bounds(corners)
        return left >= self.page[0] and top >= self.page[1] and right <= self.page[2] and bottom <= self.page[3]

    def free(self, corners: Sequence[Point]) -> bool:
        """Answer whether nothing taken lies under a box and it lies on the page."""
        return self.within(corners) and next(self._hits(self._hard, grown(corners, self.gap)), None) is None

    def _hits(self, kept: list[tuple[Box, Quad]], quad: Quad) -> Iterator[int]:
        """Yield the numbers of what lies under a box."""
        left, top, right, bottom = bounds(quad)
        for k, (box, other) in enumerate(kept):
            if box[0] < right and box[2] > left and box[1] < bottom and box[3] > top and not apart(quad, other):
                yield k

    def near(self, at: Point, radius: float, reach: float = 160.0, detour: float = 0.0) -> Point:
        """Return the free place for a square of half side ``radius`` nearest to ``at``; ``at`` where there is none.

        A place that lies on nothing disliked is taken instead if it is no more than ``detour`` further away. [mm]
        """
        step = max(0.6, 0.5 * radius)
        far = 1.4 * radius
        first: Point | None = None
        while far <= reach:
            for n in range(24):
                angle = 2 * pi * n / 24
                x, y = at[0] + far * cos(angle), at[1] + far * sin(angle)
                square = (
                    (x - radius, y - radius),
                    (x + radius, y - radius),
                    (x + radius, y + radius),
                    (x - radius, y + radius),
                )
                if self.free(square):
                    if detour == 0 or not self.disliked(square):
                        return (x, y)
                    if first is None:
                        first, reach = (x, y), min(reach, far + detour)
            far += step
        return at if first is None else first

    def put(self, candidates: Iterable[Text], reach: float = 160.0, detour: float = 0.0) -> tuple[Text, bool]:
        """Place a text at the best of its candidate places and mark it as taken.

        The first free candidate that lies on nothing disliked wins; else a free place that does so round the first
        candidate, within ``detour``; else the free candidate with the fewest disliked things under it, else the nearest
        free place round the first candidate on growing circles.

        Parameters
        ----------
        candidates : iterable of Text
            The same text in different places, best liked first.
        reach : float
            How far from the first candidate to look. [mm]
        detour : float
            How far a text may move away, with a leader, to lie on nothing disliked. [mm]

        Returns
        -------
        Text, bool
            The text where it lies, and True where it had to move away from every candidate (it then wants a leader).
        """
        tried = list(candidates)
        best: tuple[int, Text] | None = None
        for text in tried:
            if not self.free(text.corners):
                continue
            hits = self.disliked(text.corners)
            if hits == 0:
                best = (0, text)
                break
            if best is None or hits < best[0]:
                best = (hits, text)
        if detour and (best is None or best[0] > 0):
            clear = self._round_about(tried[0], detour, clear=True)
            if clear is not None:
                self.take(clear.corners)
                return clear, True
        if best is not None:
            self.crossed += best[0] > 0
            self.take(best[1].corners)
            return best[1], False
        found = self._round_about(tried[0], reach)
        moved = tried[0] if found is None else found
        self.missed += found is None
        self.crossed += self.disliked(moved.corners) > 0
        self.take(moved.corners)
        return moved, True

    def _round_about(self, text: Text, reach: float, *, clear: bool = False) -> Text | None:
        """Return the nearest free place for a text, only one on nothing disliked if it must be clear."""
        step = max(0.8, 0.5 * text.size)
        best: tuple[int, Text] | None = None
        radius = step
        while radius <= reach:
            for n in range(16):
                angle = 2 * pi * n / 16
                other = replace(text, at=(text.at[0] + radius * cos(angle), text.at[1] + radius * sin(angle)))
                if not self.free(other.corners):
                    continue
                hits = self.disliked(other.corners)
                if (not clear or hits == 0) and (best is None or hits < best[0]):
                    best = (hits, other)
            if best is not None:
                return best[1]
            radius += step
        return None


def spread(places: Sequence[float], widths: Sequence[float], low: float, high: float) -> tuple[float, ...]:
    """Move places along a line just far enough that boxes round them do not overlap.

    Least squares in the order given by ``places`` (touching boxes share their mean), then pushed within bounds.

    Parameters
    ----------
    places, widths : sequence of float
        Wanted middles in any order, and the length of each box. [mm]
    low, high : float
        Bounds of the boxes; they are kept where the boxes fit at all. [mm]

    Returns
    -------
    tuple of float
        The middles, in the order given. [mm]
    """
    order = sorted(range(len(places)), key=lambda i: (places[i], i))
    ahead = 0.0
    wanted, lead = [], []
    for i in order:
        lead.append(ahead + widths[i] / 2)
        wanted.append(places[i] - lead[-1])
        ahead += widths[i]
    pools: list[tuple[float, int]] = []
    for value in wanted:
        pools.append((value, 1))
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (m1, n1), (m2, n2) = pools[-2], pools.pop()
            pools[-1] = ((m1 * n1 + m2 * n2) / (n1 + n2), n1 + n2)
    level = [mean for mean, count in pools for _ in range(count)]
    top = max(low, high - ahead)
    level = [min(max(value, low), top) for value in level]
    result = [0.0] * len(places)
    for rank, i in enumerate(order):
        result[i] = level[rank] + lead[rank]
    return tuple(result)
