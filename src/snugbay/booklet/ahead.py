"""What the booklet says of the years after the work: moisture by the hour, spaces, surfaces, corners, carbon."""

from __future__ import annotations

from snugbay.booklet.naming import zone_title
from snugbay.booklet.runs import folded
from snugbay.booklet.texts import say
from snugbay.booklet.words import Words, listed, number_text
from snugbay.flow import JobPlan
from snugbay.weigh import Afterwards

VERDICTS = {"dry": "ahead.dry", "watch": "ahead.watch", "wet": "ahead.wet"}

LEAST_CORNER = 0.05
"""Change of the loss by corners from which it is told. [W/K]"""

MOST_SEALS = 5
"""Faces that are named as the best to seal."""

LEAST_COOLING = 20.0
"""Heat of the warm hours from which it is told. [kWh]"""


def ahead_section(plan: JobPlan, words: Words) -> dict[str, object]:
    """Return the section; without lines where the plan was not looked at by the hour."""
    ahead = plan.afterwards
    if ahead is None or not (ahead.build_ups or ahead.spaces or ahead.comfort):
        return {"about": "", "lines": []}
    first = ahead.build_ups[0] if ahead.build_ups else None
    about = say("ahead.about", method=first.method, model=first.mould_model) if first is not None else ""
    lines = [
        *_build_ups(plan, ahead, words),
        *_spaces(plan, ahead, words),
        *_surfaces(ahead, words),
        *_corners(ahead),
        *_sealing(plan, ahead, words),
        *_year(ahead, words),
    ]
    return {"about": about, "lines": lines}


def _build_ups(plan: JobPlan, ahead: Afterwards, words: Words) -> list[str]:
    lines = []
    for b in ahead.build_ups:
        faces = listed(folded(plan.job, b.faces))
        told = [say(VERDICTS[b.verdict], faces=faces, way=b.way, reasons=" ".join(map(words.told, b.reasons)))]
        told.append(say("ahead.mould", index=f"{b.mould_index:.1f}"))
        told += [
            say("ahead.wood", name=w.name, peak=f"{100 * w.peak_share:.0f}", limit=f"{100 * w.limit_share:.0f}")
            for w in b.wood
        ]
        lines.append(" ".join(told))
    return lines + [
        say("ahead.not-run", faces=listed(folded(plan.job, n.faces)), way=n.way, why=words.told(n.why))
        for n in ahead.not_run
    ]


def _spaces(plan: JobPlan, ahead: Afterwards, words: Words) -> list[str]:
    lines = []
    for s in ahead.spaces:
        figures = {
            "before": words.temperature(s.month_before_c),
            "after": words.temperature(s.month_after_c),
            "least": words.temperature(s.least_before_c),
            "least-after": words.temperature(s.least_after_c),
            "frost": number_text(s.frost_before_h, 0),
            "frost-after": number_text(s.frost_after_h, 0),
        }
        lines.append(say("ahead.space", zone=zone_title(plan, s.zone), **figures))
        if s.wet_before_h is not None and s.wet_after_h is not None and max(s.wet_before_h, s.wet_after_h) >= 1:
            wet = {"before": number_text(s.wet_before_h, 0), "after": number_text(s.wet_after_h, 0)}
            lines.append(say("ahead.deck", zone=zone_title(plan, s.zone), **wet))
    return lines


def _surfaces(ahead: Afterwards, words: Words) -> list[str]:
    if not ahead.comfort:
        return []
    worst = min(ahead.comfort, key=lambda c: c.surface_before_c)
    before, after = words.temperature(worst.surface_before_c), words.temperature(worst.surface_after_c)
    return [say("ahead.surface", face=worst.face, before=before, after=after)]


def _corners(ahead: Afterwards) -> list[str]:
    c = ahead.corners
    lines = []
    if abs(c.heat_after) >= LEAST_CORNER:
        lines.append(say("ahead.corners", watts=f"{c.heat_after:+.2f}"))
    if c.least_factor is not None and c.needed_factor is not None:
        factor, needed = f"{c.least_factor:.2f}", f"{c.needed_factor:.2f}"
        lines.append(say("ahead.corner", face=c.coldest, factor=factor, needed=needed))
    return lines


def _sealing(plan: JobPlan, ahead: Afterwards, words: Words) -> list[str]:
    if not ahead.sealing:
        return []
    total, low, high, money = (
        sum(getattr(s, k) for s in ahead.sealing) for k in ("kwh", "kwh_low", "kwh_high", "money")
    )
    best = listed(folded(plan.job, tuple(s.face for s in ahead.sealing[:MOST_SEALS])))
    figures = {"kwh": number_text(total, 0), "low": number_text(low, 0), "high": number_text(high, 0)}
    key = "ahead.sealing-measured" if ahead.house_leak is not None else "ahead.sealing"
    return [say(key, **figures, money=words.money(money), faces=best)]


def _year(ahead: Afterwards, words: Words) -> list[str]:
    lines = []
    if ahead.carbon_kg.p50 > 0:
        low, mid, high = (words.mass(v) for v in (ahead.carbon_kg.p10, ahead.carbon_kg.p50, ahead.carbon_kg.p90))
        lines.append(say("ahead.carbon", low=low, mid=mid, high=high))
    if ahead.cooling_before_kwh > LEAST_COOLING:
        figures = {
            "before": number_text(ahead.cooling_before_kwh, 0),
            "after": number_text(ahead.cooling_after_kwh, 0),
        }
        lines.append(say("ahead.cooling", **figures))
    return lines
