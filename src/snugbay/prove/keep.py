"""Learned rates for the user's next job."""

from __future__ import annotations

import math
from collections.abc import Iterable

from snugbay.job import PriceOverride
from snugbay.materials import Rates
from snugbay.prove.tables import table, words
from snugbay.prove.values import Interval, LearnedFactor


def _width(i: Interval) -> float:
    return math.log(i.high80 / i.low80) if i.low80 > 0 else math.inf


def learned_rates(learned: Iterable[LearnedFactor], rates: Rates) -> tuple[PriceOverride, ...]:
    """Turn what the log taught into the user's own rates.

    Parameters
    ----------
    learned : iterable of LearnedFactor
        As `prove` answers; ``"you"`` as a whole is in the elements already and is passed over.
    rates : Rates
        Rates of the job that was logged, the user's own figures laid over.

    Returns
    -------
    tuple of PriceOverride
        One row for each time rate behind an element that the log spoke about, with the hours it rests on, to go into
        the next job. Typical is multiplied by the learned factor; the spread about it is drawn in as far as the log
        narrowed it, and never widened.

    Raises
    ------
    DataError
        If the bundled table of rates by element is damaged.
    """
    out: list[PriceOverride] = []
    for known in learned:
        if known.element not in table("learning")["rates"]:
            continue
        narrowed = min(_width(known.factor) / _width(known.prior), 1.0)
        for rate_id in words("learning", "rates", known.element):
            rate = rates[rate_id]
            typical = rate.typical * known.factor.median
            low = typical * (rate.low / rate.typical) ** narrowed if rate.typical > 0 else 0.0
            high = typical * (rate.high / rate.typical) ** narrowed if rate.typical > 0 else 0.0
            out.append(PriceOverride(rate_id, low, typical, high, known.hours))
    return tuple(out)
