"""What a work log taught of the hours to come, as draws, and the hours of a plan for what is left by them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from snugbay.ways import HourElement, Option
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.luck import METHOD, OWN, WORKER, Draws, at_point
from snugbay.weigh.problem import Problem
from snugbay.weigh.spread import Spreads

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Learned:
    """Draws that go together, each of shape (n,).

    Attributes
    ----------
    faces : Mapping of str to array
        Hours needed over hours planned, for what is left of each face the way that it was planned; of what is done once
        for the job under the empty name. [-]
    pace : array
        The same for all that is left. [-]
    worker : array
        The worker's standard normal luck with hours, as in the plan's spread. [-]
    once_done : frozenset of str
        Elements of what is done once for the job that are done: set-up, preparation, clean-up.
    """

    faces: Mapping[str, Floats]
    pace: Floats
    worker: Floats
    once_done: frozenset[str] = frozenset()

    def drawn(self, n: int, rng: np.random.Generator) -> Learned:
        """Return n draws taken at random, the same for all."""
        at = rng.integers(0, self.pace.size, n)
        return Learned({f: v[at] for f, v in self.faces.items()}, self.pace[at], self.worker[at], self.once_done)


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
        of_face = group in self.worked if face == "" else group == self.planned.get(face)
        if of_face and face in self.learned.faces:
            return self.learned.faces[face]
        return self.learned.pace if group in self.worked else None

    def pace(self, face: str, group: str, hours: Iterable[HourElement]) -> float:
        """Median of it for hours of a group; of ways that nobody worked in, the worker's part alone. [-]"""
        known = self.factor(face, group)
        if known is not None:
            return float(np.median(known))
        luck = WORKER * float(np.median(self.learned.worker))
        three = _three(hours)
        return float(at_point(np.array([luck]), three)[0]) / three[1] if three[1] > 0 else 1.0

    def once(self, option: Option) -> tuple[tuple[str, HourElement], ...]:
        """Hours of an option that are done once for the job, at the pace learned; nothing of what is done."""
        out = []
        for k, h in option.shared_hours:
            x = 0.0 if h.element in self.learned.once_done else self.pace("", option.group, (h,))
            out.append((k, replace(h, low=h.low * x, typical=h.typical * x, high=h.high * x)))
        return tuple(out)


def _three(hours: Iterable[HourElement]) -> tuple[float, float, float]:
    own = list(hours)
    return sum(h.low for h in own), sum(h.typical for h in own), sum(h.high for h in own)


def learned_hours(p: Problem, plan: Plan, s: Spreads, d: Draws, known: Known) -> Floats:
    """Hours of a plan for what is left, by what the log taught, shape (n,). [h]

    Parameters
    ----------
    p : Problem
        Its options' hours are already scaled by `Known.pace` and `Known.once`.
    plan : Plan
        The plan.
    s : Spreads
        Shared hours, scaled alike.
    d : Draws
        Luck with ways that nobody worked in, and of their faces; as many draws as `known` has.
    known : Known
        Draws of what was learned.
    """
    luck = WORKER * (known.learned.worker - float(np.median(known.learned.worker)))
    total = np.zeros(luck.size)
    shared: dict[str, str] = {}
    for number, (face, pick) in enumerate(zip(p.faces, plan.picks, strict=True)):
        option = face.options[pick]
        shared |= {k: option.group for k, _ in option.shared_hours}
        if option.hours_typical > 0:
            own = METHOD * d.methods[option.group] + OWN * d.face_hours[number]
            total += _drawn(known.factor(face.id, option.group), _three(option.hours), luck + own)
    for k, group in shared.items():
        own = math.hypot(METHOD, OWN) * d.methods[group]
        total += _drawn(known.factor("", group), s.shared[k], luck + own)
    return total


def _drawn(factor: Floats | None, three: tuple[float, float, float], z: Floats) -> Floats:
    """Hours by the draws of what was learned, else by their own spread."""
    if factor is not None:
        return np.asarray(three[1] * factor / float(np.median(factor)))
    return np.asarray(at_point(z, three), dtype=np.float64)
