"""Units: faces that are done alike are one choice, so that a box or a row gets one way all over.

Faces are alike where they are built alike between the same spaces, the same ways fit all of them and the job asks the
same of them: the sides of a box, the pockets of a row, mirror images. A person keeps one thickness for them; parting
them is a choice of its own (`snugbay.weigh.dry`).
"""

from __future__ import annotations

from collections.abc import Container, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from snugbay.job import Job
from snugbay.ways import Option
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.problem import FaceChoices, Problem
from snugbay.weigh.pruning import kept_of, picked

Group = tuple[int, ...]
"""Numbers of faces that are done alike, in the job's order."""


@dataclass(frozen=True)
class Units:
    """A question whose faces are the units of another one.

    Attributes
    ----------
    whole : Problem
        The question face by face, all options in it.
    problem : Problem
        The question unit by unit; an option that another one of its unit beats or equals in everything is left out.
    groups : tuple of tuple of int
        Faces of each unit.
    numbers : tuple of tuple of tuple of int
        For each unit and each of its options: the option's number at each of the unit's faces.
    """

    whole: Problem
    problem: Problem
    groups: tuple[Group, ...]
    numbers: tuple[tuple[tuple[int, ...], ...], ...]

    def by_face(self, plan: Plan) -> Plan:
        """Spread a plan of the units over their faces."""
        picks = [0] * len(self.whole.faces)
        for group, numbers, pick in zip(self.groups, self.numbers, plan.picks, strict=True):
            for face, number in zip(group, numbers[pick], strict=True):
                picks[face] = number
        return Plan(plan.inside, tuple(picks))

    def by_unit(self, plan: Plan) -> Plan | None:
        """Gather a plan of the faces; None where a unit's faces differ or its option was left out."""
        picks = []
        for group, numbers in zip(self.groups, self.numbers, strict=True):
            own = tuple(plan.picks[face] for face in group)
            if own not in numbers:
                return None
            picks.append(numbers.index(own))
        return Plan(plan.inside, tuple(picks))


def alike_groups(job: Job, p: Problem) -> tuple[Group, ...]:
    """Put faces together that are done alike.

    Parameters
    ----------
    job : Job
        How faces are built and what is asked of them.
    p : Problem
        Face by face, with all options that fit.
    """
    found: dict[Hashable, list[int]] = {}
    for number, choices in enumerate(p.faces):
        face = job.face(choices.id)
        built = (face.layers, face.framing, face.depth, face.warm, face.cold, face.board_side, face.vent_space)
        asked = (face.must, face.never, choices.must)
        mark = p.told_apart[number] if p.told_apart else ""
        ways = frozenset(o.way for o in choices.options)
        found.setdefault((built, asked, mark, ways), []).append(number)
    return tuple(tuple(group) for group in found.values())


def each_by_itself(p: Problem) -> tuple[Group, ...]:
    """Every face a unit of its own."""
    return tuple((n,) for n in range(len(p.faces)))


def units_of(p: Problem, groups: Sequence[Group], doubted: Mapping[str, Container[str]] | None = None) -> Units:
    """Make units of groups of faces.

    Parameters
    ----------
    p : Problem
        Face by face, with all options that fit.
    groups : sequence of tuple of int
        Faces of each unit; all of a group divide the same two spaces.
    doubted : mapping of str to container of str
        By the first face of a unit: ways that may be ruled out, so that what they beat is kept.
    """
    faces, numbers = [], []
    for group in groups:
        unit, own = _unit([p.faces[n] for n in group])
        keep = kept_of(unit, (doubted or {}).get(unit.id, ()))
        faces.append(picked(unit, keep))
        numbers.append(tuple(own[k] for k in keep))
    marks = tuple(p.told_apart[g[0]] for g in groups) if p.told_apart else ()
    return Units(p, replace(p, faces=tuple(faces), told_apart=marks), tuple(groups), tuple(numbers))


def _unit(faces: Sequence[FaceChoices]) -> tuple[FaceChoices, list[tuple[int, ...]]]:
    """Add faces up, way by way."""
    first = faces[0]
    if len(faces) == 1:
        return first, [(n,) for n in range(len(first.options))]
    places = [{o.way: n for n, o in enumerate(f.options)} for f in faces]
    ways = [o.way for o in first.options if all(o.way in own for own in places)]
    numbers = [tuple(own[way] for own in places) for way in ways]
    own = [[f.options[n] for f, n in zip(faces, row, strict=True)] for row in numbers]
    needs = []
    for row in numbers:
        total: dict[str, float] = {}
        for f, n in zip(faces, row, strict=True):
            for r, amount in f.needs[n].items():
                total[r] = total.get(r, 0.0) + amount
        needs.append(total)

    def sums(name: str) -> np.ndarray:
        return np.array([sum(getattr(f, name)[n] for f, n in zip(faces, row, strict=True)) for row in numbers])

    def alls(name: str) -> np.ndarray:
        return np.array([all(getattr(f, name)[n] for f, n in zip(faces, row, strict=True)) for row in numbers])

    unit = FaceChoices(
        first.id,
        first.pair,
        first.zones,
        tuple(_together(options) for options in own),
        sums("heat"),
        sums("hours"),
        sums("charge"),
        tuple(needs),
        alls("airtight"),
        alls("deep"),
        first.must,
    )
    return unit, numbers


def _together(options: Sequence[Option]) -> Option:
    """The first face's option, with the gear and the shared work of all."""
    first = options[0]
    gear = tuple(dict.fromkeys(g for o in options for g in o.gear))
    shared = {s: h for o in options for s, h in o.shared_hours}
    notched = sum(o.notches * o.notch_hours for o in options)
    notches = sum(o.notches for o in options)
    return replace(
        first,
        gear=gear,
        shared=tuple(dict.fromkeys(s for o in options for s in o.shared)),
        shared_hours=tuple(shared.items()),
        notches=notches,
        notch_hours=notched / notches if notches else 0.0,
    )
