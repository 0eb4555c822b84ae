"""Bands of hours of single options, by the spread of the room."""

from __future__ import annotations

import numpy as np

from snugbay.ways import Option
from snugbay.weigh.luck import METHOD, OWN, WORKER, at_point


def band_of(option: Option, draws: int = 4000) -> tuple[float, float]:
    """P10 and P90 of one option's own hours, shared set-up in."""
    rng = np.random.default_rng(7)
    w, m, e = rng.standard_normal((3, draws))
    own = (sum(h.low for h in option.hours), option.hours_typical, sum(h.high for h in option.hours))
    total = at_point(WORKER * w + METHOD * m + OWN * e, own) if own[1] > 0 else np.zeros(draws)
    for _, h in option.shared_hours:
        total = total + at_point(WORKER * w + np.hypot(METHOD, OWN) * m, (h.low, h.typical, h.high))
    low, high = np.quantile(total, (0.1, 0.9))
    return float(low), float(high)
