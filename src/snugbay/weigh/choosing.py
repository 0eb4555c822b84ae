"""Choosing: the proved best plan of a question, like parts alike, every plan judged by the hour before it is named.

A plan that does not stay dry is no plan: it is left out together with all that get wet for the same reason (the same
way on the same part, with the same air behind it), and the next best takes its place, until one stays dry. Whoever asks
gets plans judged so: the choice, the second best, the frontier, both sides of a tipping point.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from snugbay.base import Fact, Run, SnugbayError
from snugbay.base.facts import told_all
from snugbay.job import ZoneKind
from snugbay.ways import Option
from snugbay.ways.balance import ONE_DEGREE, temperatures
from snugbay.ways.found import Ground
from snugbay.weigh import lasting
from snugbay.weigh.asking import Aim, Among, Answer
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.lasting import OUTDOORS, Case, Judged, SpaceAir, case_of, space_airs, space_shares
from snugbay.weigh.problem import Limits, Problem
from snugbay.weigh.report import chosen
from snugbay.weigh.search import Search
from snugbay.weigh.spaces import LEAST_AIR
from snugbay.weigh.table import Block, Bools, Table, fits
from snugbay.weigh.units import Group, alike_groups, units_of

EARTH_ONLY = {ZoneKind.INSIDE: 0.0, ZoneKind.OUTSIDE: 0.0, ZoneKind.GROUND: 1.0}


@dataclass(frozen=True)
class Wet:
    """A way on a face that does not stay dry.

    Attributes
    ----------
    face, way : str
        Ids.
    inside : tuple of int
        Spaces inside the line.
    beyond : SpaceAir
        Air on the cold side.
    reason : Fact
        Phrases.
    """

    face: str
    way: str
    inside: tuple[int, ...]
    beyond: SpaceAir
    reason: Fact


@dataclass
class Chooser:
    """Finds the proved best plans of a question.

    Attributes
    ----------
    base : Ground
        The job, measured.
    problem : Problem
        Face by face, with all options that fit.
    run : Run
        Seed, effort, stop.
    groups : tuple of tuple of int
        Faces that are done alike.
    spared : frozenset of str
        Faces whose ways are not judged: the job insists on one, and none stays dry.
    wet : list of Wet
        What was found not to stay dry, in the order it was met.
    nodes : int or None
        Most nodes of one integer program.
    by_hour : bool
        False to take every plan as dry.
    """

    base: Ground
    problem: Problem
    run: Run
    groups: tuple[Group, ...] = ()
    spared: frozenset[str] = frozenset()
    wet: list[Wet] = field(default_factory=list)
    nodes: int | None = None
    by_hour: bool = True

    def __post_init__(self) -> None:
        self.groups = self.groups or alike_groups(self.base.job, self.problem)
        self._judged: dict[Plan, list[Wet]] = {}
        self._refused: list[Plan] = []
        self._solve_anew()

    def _solve_anew(self) -> None:
        """Make the units and what answers for them; what is wet beats no other way any more."""
        unit_of = {self.problem.faces[n].id: self.problem.faces[g[0]].id for g in self.groups for n in g}
        doubted: dict[str, set[str]] = {}
        for w in self.wet:
            doubted.setdefault(unit_of[w.face], set()).add(w.way)
        self.units = units_of(self.problem, self.groups, doubted)
        own = self.units.problem
        self.solver: Table | Search = Table(own) if fits(own) else Search(own, self.run, nodes=self.nodes)
        for w in self.wet:
            self._rule_out(w)
        for plan in self._refused:
            self._refuse(plan)

    def hurried(self, nodes: int) -> Chooser:
        """The same question with a limit for each integer program."""
        return self if isinstance(self.solver, Table) else replace(self, nodes=nodes)

    @property
    def proof(self) -> str:
        """How the best plan is proved, in words."""
        if isinstance(self.solver, Table):
            return f"the best of all {sum(b.rows for b in self.solver.blocks):,} plans of the table"
        return f"a mixed-integer program, {self.solver.solves} solved"

    def best(self, aim: Aim, limits: Limits | None = None, among: Among | None = None) -> Answer:
        """Find the plan of least value that stays dry.

        Parameters
        ----------
        aim : Aim
            What to minimise.
        limits : Limits, optional
            Instead of the job's.
        among : Among, optional
            Which plans are looked at, face by face.
        """
        rounds = 0
        while True:
            answer = self.solver.best(aim, limits, self._by_unit(among))
            rounds += answer.rounds
            if answer.plan is None:
                return answer
            plan = self.units.by_face(answer.plan)
            wet = self.wet_of(plan)
            if not wet or self.run.stop():
                return replace(answer, plan=plan, rounds=rounds)
            self._refused.append(plan)
            self.wet += [w for w in wet if w not in self.wet]
            self._solve_anew()

    def wet_of(self, plan: Plan) -> list[Wet]:
        """Ways of a plan that do not stay dry."""
        if not self.by_hour:
            return []
        if plan not in self._judged:
            options = chosen(self.problem, plan)
            self._judged[plan] = wet_ways(self.base, self.problem, options, plan.inside)
        return [w for w in self._judged[plan] if w.face not in self.spared]

    def _by_unit(self, among: Among | None) -> Among | None:
        if among is None:
            return None
        only: dict[int, tuple[int, ...]] = {}
        for unit, (group, numbers) in enumerate(zip(self.units.groups, self.units.numbers, strict=True)):
            asked = [(at, among.only[face]) for at, face in enumerate(group) if face in among.only]
            if asked:
                only[unit] = tuple(
                    k for k, own in enumerate(numbers) if all(own[at] in options for at, options in asked)
                )
        but = (self.units.by_unit(plan) for plan in among.but)
        return Among(among.inside, only, tuple(p for p in but if p is not None))

    def _rule_out(self, w: Wet) -> None:
        """Leave out all plans in which a way gets wet for the same reason."""
        number = next(n for n, f in enumerate(self.problem.faces) if f.id == w.face)
        unit = next(n for n, g in enumerate(self.groups) if number in g)
        option = next((k for k, o in enumerate(self.units.problem.faces[unit].options) if o.way == w.way), None)
        if option is None:
            return
        if isinstance(self.solver, Search):
            self.solver.ruled_out.setdefault(w.inside, set()).add((unit, option))
            return
        block = next(b for b in self.solver.blocks if b.inside == w.inside)
        rows = block.has(unit, option)
        cold = self.base.by_id[w.face].face.cold
        zone = self.problem.net.zones.index(cold)
        if self.problem.net.kinds[zone] is ZoneKind.BUFFER and zone not in w.inside:
            rows = rows & self._same_air(block, zone, w.beyond)
        self.solver.rule_out(w.inside, rows)

    def _refuse(self, plan: Plan) -> None:
        """Leave out a plan by itself: what was found wet once is not found again, whatever the air reckons as."""
        own = self.units.by_unit(plan)
        if own is not None and isinstance(self.solver, Table):
            self.solver.rule_out_plan(own)

    def _same_air(self, block: Block, zone: int, air: SpaceAir) -> Bools:
        """Tell in which plans of a block a space has the same air, shape (rows,)."""
        p, base = self.problem, self.base
        warm = tuple(ZoneKind.INSIDE if z in block.inside else k for z, k in enumerate(p.net.kinds))
        net = replace(p.net, kinds=warm)
        rooms, earth = (temperatures(net, block.conductance, held)[:, zone] for held in (ONE_DEGREE, EARTH_ONLY))
        leaks = []
        for unit, (group, numbers) in enumerate(zip(self.units.groups, self.units.numbers, strict=True)):
            touching = [
                (at, p.faces[n])
                for at, n in enumerate(group)
                if zone in p.faces[n].zones and any(warm[z] is ZoneKind.INSIDE for z in p.faces[n].zones)
            ]
            if touching:
                own = [sum(f.options[row[at]].leak_after for at, f in touching) for row in numbers]
                leaks.append((unit, np.array(own)))
        room = 0.5 * block.total(leaks) * base.air.leak_speed
        space = base.job.zone(p.net.zones[zone])
        fresh = space.volume * space.air_changes / 3600.0 + LEAST_AIR
        shares = space_shares(rooms, earth, room / (room + fresh))
        near = [np.abs(s - a) < 1e-6 for s, a in zip(shares, (air.rooms, air.ground, air.damp), strict=True)]
        return np.asarray(np.all(near, axis=0))


def _judged(case: Case) -> Judged:
    """Judge a case, on the safe side first: what stays dry with outdoor cold behind it does so with less cold.

    A space is as warm as all that is chosen round it makes it; as cold as outdoors it is the same for every plan.
    """
    coldest = lasting.judged(replace(case, beyond=SpaceAir(damp=case.beyond.damp)))
    return coldest if coldest.verdict != "wet" else lasting.judged(case)


def wet_ways(base: Ground, p: Problem, options: Sequence[Option], inside: tuple[int, ...]) -> list[Wet]:
    """Judge what is chosen by three years of hours, and return what does not stay dry.

    Parameters
    ----------
    base : Ground
        The job, measured.
    p : Problem
        Names of the zones.
    options : sequence of Option
        What is chosen on each face.
    inside : tuple of int
        Spaces inside the line.
    """
    names = tuple(p.net.zones[z] for z in inside)
    airs: Mapping[str, SpaceAir] = space_airs(base, options, names)
    out = []
    for option in options:
        case = case_of(base, option, names, airs)
        if isinstance(case, str):
            continue
        try:
            found = _judged(case)
        except SnugbayError:  # a place without hours: months alone judge, and the look ahead says so
            continue
        if found.verdict == "wet":
            reason = told_all(found.reasons)
            beyond = airs.get(base.by_id[option.face].face.cold, OUTDOORS)
            out.append(Wet(option.face, option.way, inside, beyond, reason))
    return out
