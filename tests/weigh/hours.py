"""Bands of hours of options, by the spread of the room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from snugbay.ways import HourElement, Option
from snugbay.weigh.luck import METHOD, OWN, WORKER, at_point


def uncovered(option: Option) -> Option:
    """Return an option without the hours of its fire cover, and without their part of setting up again."""
    cover = [h for h in option.hours if h.note.startswith("cover: ")]
    again = [h for h in option.hours if "session" in h.note or "another day" in h.note]
    taken = sum(h.typical for h in cover)
    inside = sum(h.typical for h in option.hours if h.inside and h not in again)
    whole = sum(h.typical for h in option.hours if h not in again)

    def kept(h: HourElement) -> HourElement:
        if h not in again or not inside:
            return h
        left = 1 - taken / (inside if "session" in h.note else whole)
        return replace(h, low=h.low * left, typical=h.typical * left, high=h.high * left)

    return replace(option, hours=tuple(kept(h) for h in option.hours if h not in cover))


def quantiles(options: Sequence[Option], at: Sequence[float], draws: int = 4000) -> tuple[float, ...]:
    """Quantiles of the own hours of one way on several faces together, shared set-up in. [h]"""
    rng = np.random.default_rng(7)
    w, m = rng.standard_normal((2, draws))
    total = np.zeros(draws)
    for option in options:
        e = rng.standard_normal(draws)
        own = (sum(h.low for h in option.hours), option.hours_typical, sum(h.high for h in option.hours))
        if own[1] > 0:
            total = total + at_point(WORKER * w + METHOD * m + OWN * e, own)
    for h in {k: h for o in options for k, h in o.shared_hours}.values():
        total = total + at_point(WORKER * w + np.hypot(METHOD, OWN) * m, (h.low, h.typical, h.high))
    return tuple(float(q) for q in np.quantile(total, at))


def band_of(option: Option, draws: int = 4000) -> tuple[float, float]:
    """P10 and P90 of one option's own hours, shared set-up in."""
    low, high = quantiles([option], (0.1, 0.9), draws)
    return low, high
