"""What the buying list costs, beside what the weighing reckoned before sheets and joints were known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from snugbay.base import Finding, Weight
from snugbay.base.facts import Money, names
from snugbay.job import Job
from snugbay.weigh import Purchase, Weighing

WORTH_SAYING = 0.5
"""Smaller differences are not explained. [currency of the job]"""
MOST_REASONS = 4
"""More items than these are told together. [-]"""


@dataclass(frozen=True)
class Bill:
    """The money of the buying list.

    Attributes
    ----------
    bought, reckoned : float
        Of the list as it is to be bought; as the weighing chose by it. [currency of the job]
    reasons : tuple of str
        What makes the difference, dearest first; empty where there is none.
    """

    bought: float
    reckoned: float
    reasons: tuple[str, ...] = ()

    @property
    def differs(self) -> bool:
        """True where a buyer would see the difference."""
        return abs(self.bought - self.reckoned) >= WORTH_SAYING


def bill(weighing: Weighing, buying: Sequence[Purchase]) -> Bill:
    """Compare the buying list with what the weighing reckoned.

    Parameters
    ----------
    weighing : Weighing
        Purchases reckoned face by face, sheets by rows of pieces.
    buying : sequence of Purchase
        The list, counted from the sheets as laid and the joints as they are.
    """
    before = {p.item: p for p in weighing.purchases}
    after = {p.item: p for p in buying}
    changes = []
    for item in dict.fromkeys((*before, *after)):
        old, new = before.get(item), after.get(item)
        more = (new.total if new else 0.0) - (old.total if old else 0.0)
        if abs(more) >= WORTH_SAYING:
            changes.append((more, _reason(old, new)))
    changes.sort(key=lambda c: -abs(c[0]))
    reasons = [text for _, text in changes[:MOST_REASONS]]
    rest = changes[MOST_REASONS:]
    if rest:
        reasons.append(f"{len(rest)} smaller ones")
    total = sum(p.total for p in buying)
    return Bill(total, sum(p.total for p in weighing.purchases), tuple(reasons))


def _reason(old: Purchase | None, new: Purchase | None) -> str:
    one = new or old
    if one is None:  # pragma: no cover - items come from one list or the other
        return ""
    have, had = (p.units if p is not None else 0 for p in (new, old))
    if have == had:
        return f"{one.name}: another price"
    return f"{one.name}: {have} instead of {had}"


def over_budget(job: Job, total: Bill) -> tuple[Finding, ...]:
    """Warn where sheets and joints as they are cost more than the job allows, though the plan was chosen within it."""
    limit = job.wishes.budget
    if limit is None or total.bought <= limit + WORTH_SAYING or total.reckoned > limit + WORTH_SAYING:
        return ()
    return (
        Finding.of(
            "fit.over-budget",
            Weight.WARN,
            ("wishes", "budget"),
            bought=Money(total.bought),
            over=Money(total.bought - limit),
            reckoned=Money(total.reckoned),
            reasons=names(total.reasons, "semicolon"),
        ),
    )
