"""What a work log taught of the hours to come, as draws, and the hours of a plan for what is left by them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from snugbay.ways import Option
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.problem import Problem
from snugbay.weigh.spread import METHOD, OWN, WORKER, Draws, Spreads, at_point

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Learned:
    """Draws that go together, each of shape (n,).

    Attributes
    ----------
    faces : Mapping of str to array
        Hours needed over hours planned, for what is left of each face the way that it was planned. [-]
    pace : array
        The same for all that is left. [-]
    worker : array
        The worker's standard normal luck with hours, as in the plan's spread. [-]
    """

    faces: Mapping[str, Floats]
    pace: Floats
    worker: Floats

    def drawn(self, n: int, rng: np.random.Generator) -> Learned:
        """Return n draws taken at random, the same for all."""
        at = rng.integers(0, self.pace.size, n)
        return Learned({f: v[at] for f, v in self.faces.items()}, self.pace[at], self.worker[at])


@dataclass(frozen=True)
class Known:
    """What is learned, and of which ways.

    Attributes
    ----------
    learned : Learned
        Draws.
    planned : Mapping of str to str
        Group of the way that each face was planned with.
    worked : frozenset of str
        Groups of ways worked in so far.
    """

    learned: Learned
    planned: Mapping[str, str]
    worked: frozenset[str]

    def factor(self, face: str, group: str) -> Floats | None:
        """Hours needed over hours planned of a group of ways on a face, draws; None where nobody worked in it."""
        if group == self.planned.get(face) and face in self.learned.faces:
            return self.learned.faces[face]
        return self.learned.pace if group in self.worked else None

    def pace(self, face: str, option: Option) -> float:
        """Median of it for an option; of a way that nobody worked in, the worker's part alone. [-]"""
        known = self.factor(face, option.group)
        if known is not None:
            return float(np.median(known))
        luck = WORKER * float(np.median(self.learned.worker))
        three = (sum(h.low for h in option.hours), option.hours_typical, sum(h.high for h in option.hours))
        if three[1] <= 0:
            return 1.0
        return float(at_point(np.array([luck]), three)[0]) / three[1]


def learned_hours(p: Problem, plan: Plan, s: Spreads, d: Draws, known: Known) -> Floats:
    """Hours of a plan for what is left, by what the log taught, shape (n,). [h]

    Parameters
    ----------
    p : Problem
        Its options' hours are already scaled by `Known.pace`.
    plan : Plan
        The plan.
    s : Spreads
        Shared hours, those of work begun at zero.
    d : Draws
        Luck with ways that nobody worked in, and of their faces; as many draws as `known` has.
    known : Known
        Draws of what was learned.
    """
    worker = known.learned.worker
    middle = float(np.median(worker))
    total = np.zeros(worker.size)
    shared: dict[str, tuple[str, str]] = {}
    for number, (face, pick) in enumerate(zip(p.faces, plan.picks, strict=True)):
        option = face.options[pick]
        shared |= {k: (face.id, option.group) for k, _ in option.shared_hours}
        if option.hours_typical <= 0:
            continue
        factor = known.factor(face.id, option.group)
        if factor is not None:
            total += option.hours_typical * factor / float(np.median(factor))
            continue
        three = (sum(h.low for h in option.hours), option.hours_typical, sum(h.high for h in option.hours))
        luck = WORKER * (worker - middle) + METHOD * d.methods[option.group] + OWN * d.face_hours[number]
        total += at_point(luck, three)
    for k, (_, group) in shared.items():
        if group in known.worked:
            total += s.shared[k][1] * known.learned.pace
        else:
            total += at_point(WORKER * worker + math.hypot(METHOD, OWN) * d.methods[group], s.shared[k])
    return total
