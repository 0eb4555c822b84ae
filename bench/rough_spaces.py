"""How honest the rough answer is: made spaces whose every number is known, against the answer of a few numbers.

    python bench/rough_spaces.py [spaces] [seed] [kind ...]

For each made space the numbers that nobody says are drawn about the kind's guesses. The full question, with every
number said, is the truth: the rough answer's best way is carried out there, with one draw of its luck, and hours, money
and saving are held against the rough 8-in-10 bands (75 to 85 in 100 should lie inside). The rough choice's whole cost
is held against the best way of the full question (9 in 10 should be within a tenth). Processor time is told as a ratio
to the full question's.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from dataclasses import replace

import numpy as np

from snugbay.base import Effort, Run, SnugbayError
from snugbay.document.starting import Started, asked, started
from snugbay.flow.rough import drawn_numbers, rough, unknown
from snugbay.job.space import kind_of
from snugbay.job.space.kinds import Number
from snugbay.survey import survey
from snugbay.survey.needed import as_if_read
from snugbay.weigh.alternatives import best_plan, one_way
from snugbay.weigh.choosing import Chooser
from snugbay.weigh.evaluate import Plan, whole_cost, worth
from snugbay.weigh.likely import spreads_of
from snugbay.weigh.luck import draw
from snugbay.weigh.spread import simulate
from snugbay.weigh.stage import Question, looked_at

PLACES = ("Duluth, MN", "Portland, ME", "Boston, MA", "Seattle, WA")
KINDS = ("skylight well", "dormer", "rim joists", "cellar wall", "loft hatch", "stair ceiling", "open eaves", "eaves")


def word(number: Number, value: float) -> str:
    if number.unit == "count":
        return f"{number.name}={round(value)}"
    return f"{number.name}={np.degrees(value):.2f}" if number.unit == "angle" else f"{number.name}={value:.4f} m"


def main_words(kind: str, rng: np.random.Generator) -> list[str]:
    mains = [n for n in kind_of(kind).numbers if n.main]
    return [word(n, n.usual[0] + (0.2 + 0.5 * rng.random()) * (n.usual[1] - n.usual[0])) for n in mains]


def plan_on(q: Question, titles: dict[str, str], inside: tuple[str, ...]) -> Plan | None:
    """Carry a plan over to another question by face and way; None where a way is not offered there."""
    picks = []
    for face in q.problem.faces:
        title = titles.get(face.id)
        number = 0 if title is None else next((i for i, o in enumerate(face.options) if o.title == title), None)
        if number is None:
            return None
        picks.append(number)
    return Plan(tuple(q.problem.net.zones.index(z) for z in inside), tuple(picks))


def full(begun: Started, run: Run) -> tuple[Question, Plan]:
    """Put the full question and return it with its best plan."""
    job = replace(begun.job, wishes=replace(begun.job.wishes, layers=1))
    q = looked_at(job, as_if_read(job, survey(job, run).value), run)
    search = Chooser(q.base, q.problem, run, by_hour=False)
    best = best_plan(search).plan
    assert best is not None
    plans = [best, *(p for _, p, _ in one_way(search, run))]
    return q, min(plans, key=lambda p: whole_cost(q.problem, worth(q.problem, p)))


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 24
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    kinds = tuple(sys.argv[3:]) or KINDS
    rng = np.random.default_rng(seed)
    inside: Counter[str] = Counter()
    total, near, lost = 0, 0, 0
    spent = [0.0, 0.0]
    for number in range(count):
        kind = kinds[number % len(kinds)]
        words = [*main_words(kind, rng), "hour=25", "units=mm", f"place={PLACES[int(rng.integers(len(PLACES)))]}"]
        run = Run(seed, Effort.QUICK)
        try:
            begun = started(asked(kind, words))
            clock = time.process_time()
            answer = rough(begun.job, begun.space, run, hour_said=True)
            spent[0] += time.process_time() - clock
            true = drawn_numbers(begun.space, rng)
            said = [word(n, true[n.name]) for n in unknown(begun.space)]
            clock = time.process_time()
            q, best = full(started(asked(kind, [*words, *said])), run)
            spent[1] += time.process_time() - clock
        except SnugbayError as error:
            print(f"{number:3} {kind}: {error}")
            continue
        plan = (
            plan_on(q, {f: title for title, faces in answer.best.ways for f in faces}, answer.best.inside)
            if answer.best.ways
            else None
        )
        if answer.best.ways and plan is None:
            lost += 1
            print(f"{number:3} {kind}: {answer.best.name} is not offered in full", flush=True)
            continue
        total += 1
        luck = simulate(q.problem, plan, spreads_of(q), draw(q.problem, 4, rng))
        for name, got, band in (
            ("hours", luck.hours, answer.best.hours),
            ("money", luck.cash, answer.best.cash),
            ("saving", luck.saving, answer.best.saving),
        ):
            inside[name] += band.p10 <= float(got[0]) <= band.p90
        chosen = float(simulate(q.problem, plan, spreads_of(q), draw(q.problem, 400, rng)).whole.mean())
        least = float(simulate(q.problem, best, spreads_of(q), draw(q.problem, 400, rng)).whole.mean())
        near += chosen <= 1.1 * least
        print(f"{number:3} {kind}: {answer.best.name}; {chosen:.0f} against {least:.0f}", flush=True)
    shares = ", ".join(f"{k} {v / max(total, 1):.0%}" for k, v in inside.items())
    print(f"{total} spaces ({lost} whose way is not offered in full): inside the 8-in-10 bands {shares}")
    print(f"rough choice within a tenth of the best: {near / max(total, 1):.0%}")
    print(f"processor time of a rough answer: {spent[0] / max(spent[1], 1e-9):.2f} of the full question's")


if __name__ == "__main__":
    main()
