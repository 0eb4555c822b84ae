"""Patterns of cutting a region, tried in turn until its boards can be put in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from snugbay.job import Face
from snugbay.pieces.obstacles import Obstacle
from snugbay.pieces.plane import inward
from snugbay.pieces.regions import SLIGHT, Region
from snugbay.pieces.seams import Ask


@dataclass(frozen=True)
class Pattern:
    """What a cutting has to keep to.

    Attributes
    ----------
    widest : (float, float)
        Largest shares of the region that one piece may take along x and y.
    beside : (bool, bool)
        Whether seams along x and y have to be where things stand out that a board cannot be tilted past.
    """

    widest: tuple[float, float]
    beside: tuple[bool, bool] = (False, False)


_SHARES = ((1.0, 1.0), (0.8, 1.0), (1.0, 0.8), (0.8, 0.8), (0.45, 1.0), (1.0, 0.45), (0.45, 0.45))

PATTERNS = (
    Pattern(_SHARES[0]),
    Pattern(_SHARES[0], (True, False)),
    Pattern(_SHARES[0], (False, True)),
    *(Pattern(s) for s in _SHARES[1:]),
    *(Pattern(s, (True, False)) for s in _SHARES[1:4]),
)


def patterns(face: Face, region: Region, things: Sequence[Obstacle], stuck: bool) -> list[Pattern]:
    """Return the patterns to try.

    Parameters
    ----------
    face, region
        Bays are only cut across.
    things : sequence of Obstacle
        What the region has to go round.
    stuck : bool
        Whether boards of this region were found to stick. If not, only the way that something leans in from is cut.
    """
    leaning = [inward(ln.start, ln.end) for ln in region.lines if ln.captive and ln.overhang > SLIGHT]
    cut = [stuck or any(abs(n[axis]) > 0.4 for n in leaning) for axis in (0, 1)]
    if region.bay and face.framing is not None:
        cut[0 if face.framing.direction == "up" else 1] = False
    proud = any(t.proud for t in things)
    return [
        p
        for p in PATTERNS
        if all(cut[axis] or (p.widest[axis] == 1.0 and not p.beside[axis]) for axis in (0, 1))
        and (proud or not any(p.beside))
    ]


def asked(ask: Ask, pattern: Pattern, things: Sequence[Obstacle]) -> Ask:
    """Return what the seams must heed to keep to a pattern."""
    bounds = [t.shape.bounds for t in things if t.proud]
    must = [sorted({b[k] for b in bounds for k in (axis, axis + 2)}) if pattern.beside[axis] else [] for axis in (0, 1)]
    return replace(ask, widest=pattern.widest, must=(tuple(must[0]), tuple(must[1])))
