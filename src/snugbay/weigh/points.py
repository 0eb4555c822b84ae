"""Plans as people see them: points with money, hours and saving; words for what they are."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from snugbay.job import Objective
from snugbay.ways import HourElement
from snugbay.ways.balance import season_loss_of
from snugbay.ways.limits import AS_FOUND
from snugbay.weigh.evaluate import Plan, Worth, on_line, whole_cost, worth
from snugbay.weigh.problem import Problem
from snugbay.weigh.values import PlanPoint, Weighing

GROUP_WORDS = {
    "boards": "boards",
    "batts": "batts",
    "loose": "blown fibre",
    "kit": "a foam kit",
    "crew": "a hired crew",
    "mineral": "rigid mineral wool",
    "seal": "sealing alone",
}
"""Words for groups of ways in sentences; own ways use their group's name."""


def as_found_worth(p: Problem) -> Worth:
    """What the state as found comes to, whatever the job insists on."""
    c = p.base.copy()
    for face in p.faces:
        if face.zones[0] != face.zones[1]:
            c[face.pair] += face.options[0].heat_before
    return Worth(0.0, 0.0, float(season_loss_of(p.net, c, p.drop)))


def point(p: Problem, plan: Plan, w: Worth | None = None) -> PlanPoint:
    """Turn a plan into a point."""
    w = w or worth(p, plan)
    saved = as_found_worth(p).season_kwh - w.season_kwh
    return PlanPoint(
        tuple(p.net.zones[z] for z in plan.inside),
        tuple(f.id for f in p.faces if on_line(p, f, plan.inside)),
        tuple((f.id, f.options[i].way) for f, i in zip(p.faces, plan.picks, strict=True)),
        w.cash,
        w.hours,
        saved * p.kwh_price,
        saved,
        whole_cost(p, w),
    )


def _stretched(h: HourElement, factor: float) -> HourElement:
    typical = h.typical * factor
    return replace(h, typical=typical, low=min(h.low, typical), high=max(h.high, typical))


def as_shown(w: Weighing) -> Weighing:
    """Return a weighing with every figure as people see it: plans and hours in the middle of all draws.

    The hours of all elements, and of all faces, are stretched alike, so that they add up to the hours of the plan.
    """
    factor = w.plan.shown.hours / w.plan.hours if w.plan.hours > 0 else 1.0
    return replace(
        w,
        hours=tuple(_stretched(h, factor) for h in w.hours),
        face_hours=tuple((face, tuple(_stretched(h, factor) for h in own)) for face, own in w.face_hours),
        plan=w.plan.shown,
        second=None if w.second is None else w.second.shown,
        candidates=tuple(c.shown for c in w.candidates),
        single_way=tuple((way, c.shown) for way, c in w.single_way),
        frontier=tuple(c.shown for c in w.frontier),
    )


def second_costs_more(w: Weighing) -> float:
    """Whole cost of the second best plan over the chosen one's, as both are shown. [currency]

    Below zero where the plan was chosen by another wish than the whole cost, or where the two are so near each other
    that the middle of the draws and the usual rates, by which it was chosen, put them in another order.
    """
    return 0.0 if w.second is None else w.second.shown.whole_cost - w.plan.shown.whole_cost


BY_OBJECTIVE = {
    Objective.WHOLE_COST: "least whole cost",
    Objective.LEAST_CASH: "least money now",
    Objective.FEWEST_HOURS: "fewest own hours",
    Objective.WARMEST: "warmest",
}
"""What a plan is best at, in words."""


def optimality(w: Weighing, objective: Objective, currency: str) -> str:
    """Say what is proved of the chosen plan, and what the proof does not cover.

    Parameters
    ----------
    w : Weighing
        The answer.
    objective : Objective
        What the plan is to be best at.
    currency : str
        Of the job.
    """
    proof, best = w.proof, BY_OBJECTIVE[objective]
    if not w.proof.in_limits:
        return (
            f"No plan keeps your limits; this one goes over them, and is not proved to be the best that does ({best})."
        )
    if not proof.finished or w.gap > 0:
        within = f": the best could be {w.gap:.1%} better" if 0 < w.gap < 1 else ""
        return f"The best found ({best}), not proved to be the best there is{within}; the search ended before that."
    parts = [f"Proved best ({best}) of all plans that keep your limits and the rules of the line"]
    if proof.judged:
        parts.append("stay dry by the hour")
    parts.append("do like parts alike")
    text = f"{', '.join(parts[:-1])} and {parts[-1]}, at the usual rates and prices."
    if round(proof.parting) > 0:
        text += f" Doing each face in its own way would gain {proof.parting:,.0f} {currency} at most."
    text += " The proof covers the ways and boards listed for each face, not others, and not what rates turn out to be"
    others = (w.second, *w.candidates, *(c for _, c in w.single_way), *w.frontier)
    less = max((w.plan.shown.whole_cost - o.shown.whole_cost for o in others if o is not None), default=0.0)
    if objective is Objective.WHOLE_COST and round(less) > 0:
        text += (
            f": in the middle of the chances a plan shown here comes out {less:,.0f} {currency} lower, as good as equal"
        )
    return text + "."


def plan_from(p: Problem, pt: PlanPoint) -> Plan:
    """Turn a point back into a plan; raise `KeyError` where a way is not among the options."""
    ways = dict(pt.ways)
    picks = []
    for face in p.faces:
        number = next((i for i, o in enumerate(face.options) if o.way == ways[face.id]), None)
        if number is None:
            raise KeyError((face.id, ways[face.id]))
        picks.append(number)
    return Plan(tuple(p.net.zones.index(z) for z in pt.inside), tuple(picks))


def groups_of(p: Problem, plan: Plan) -> Counter[str]:
    """How many faces get each group of ways."""
    used = Counter(f.options[i].group for f, i in zip(p.faces, plan.picks, strict=True))
    used.pop(AS_FOUND, None)
    return used


def kind_of(p: Problem, plan: Plan) -> tuple[tuple[int, ...], tuple[str, ...]]:
    """What a plan is in kind: where the line runs, and the group of ways of each face."""
    return plan.inside, tuple(f.options[i].group for f, i in zip(p.faces, plan.picks, strict=True))


def words_for(group: str) -> str:
    """A group of ways in words."""
    return GROUP_WORDS.get(group, group)


def describe(p: Problem, plan: Plan, titles: dict[str, str]) -> str:
    """Say in words what a plan is.

    Parameters
    ----------
    p : Problem
        The question.
    plan : Plan
        The plan.
    titles : dict
        Title of each zone by id.
    """
    used = groups_of(p, plan)
    if not used:
        return "leave everything as found"
    parts = [words_for(g) if len(used) == 1 else f"{words_for(g)} on {n} of the faces" for g, n in used.most_common()]
    text = " and ".join(parts) if len(parts) < 3 else ", ".join(parts[:-1]) + " and " + parts[-1]
    if not p.movable:
        return text
    names = [titles.get(p.net.zones[z], p.net.zones[z]) for z in plan.inside]
    cold = [titles.get(p.net.zones[z], p.net.zones[z]) for z in p.movable if z not in plan.inside]
    side = f"{' and '.join(names)} inside the line" if names else f"{' and '.join(cold)} left cold"
    return f"{text}, {side}"
