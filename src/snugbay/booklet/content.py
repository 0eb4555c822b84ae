"""What the booklet says, section by section, as plain strings: the templates only set it on paper or screen."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from snugbay.base import Facts, Said, Weight
from snugbay.base.facts import names
from snugbay.booklet.ahead import ahead_section
from snugbay.booklet.choosing import choice
from snugbay.booklet.cutting import piece_section, sheet_section
from snugbay.booklet.naming import by_way, title_of, way_title, years_text, zone_title
from snugbay.booklet.onward import news
from snugbay.booklet.runs import as_found_in_runs, folded
from snugbay.booklet.texts import catalogue, say
from snugbay.booklet.words import Words, hours_text, listed, number_text, words_of
from snugbay.cautions import Caution
from snugbay.fit import bill
from snugbay.flow import JobPlan
from snugbay.materials import name_and_unit, source_titles
from snugbay.ways import AsFound
from snugbay.weigh import AS_FOUND, Band, PlanPoint, Purchase

Section = dict[str, object]
"""Strings, lists of strings and rows, ready for a template."""

_MOST_FINDINGS = 8
_NOTABLE = 0.003
"""Joins that miss by more than this are told one by one. [m]"""


def content(plan: JobPlan) -> Section:
    """Return everything that the booklet says.

    Parameters
    ----------
    plan : JobPlan
        The whole answer.

    Returns
    -------
    dict
        Section name -> its strings: only what JSON can hold.
    """
    words = words_of(plan.job)
    return {
        "title": plan.job.title,
        "inch": words.inch,
        "t": {section: dict(texts) for section, texts in catalogue().items()},
        "cover": cover(plan, words),
        "cautions": caution_section(plan, words),
        "heat": heat(plan, words),
        "ahead": ahead_section(plan, words),
        "choice": choice(plan, words),
        "measured": measured(plan, words),
        "pieces": piece_section(plan, words),
        "sheets": sheet_section(plan, words),
        "buying": buying(plan, words),
        "sealing": sealing(plan, words),
        "order": order(plan),
        "log": {"rows": 24},
        "appendix": appendix(plan, words),
    }


def cover(plan: JobPlan, words: Words) -> Section:
    """Return the decision and its spread in words."""
    point, spread = plan.weighing.plan, plan.weighing.spread
    ways = by_way(point)
    decision = [
        say("cover.do", way=_capital(way_title(plan, way)), faces=listed(folded(plan.job, faces)))
        for way, faces in ways.items()
    ]
    if not ways:
        decision.append(say("cover.nothing"))
    left = [f for f, way in point.ways if way == AS_FOUND and f in point.line]
    if left and ways:
        decision.append(say("cover.left", faces=listed(folded(plan.job, left))))
    decision += news(plan)
    stops = sum(c.weight is Weight.STOP for c in plan.cautions)
    return {
        "line": _line(plan, point),
        "decision": decision,
        "stop": "" if not stops else say("cover.stop-one") if stops == 1 else say("cover.stop-many", count=stops),
        "unfinished": "" if plan.finished else say("cover.unfinished"),
        "figures": [
            _figure("cover.hours-head", spread.hours, lambda v: say("cover.hours", hours=hours_text(v))),
            _figure("cover.money-head", spread.cash, words.money),
            _figure("cover.saving-head", spread.saving, words.money),
            _figure("cover.payback-head", spread.payback_years, years_text),
        ],
        "pieces": say("cover.pieces", pieces=len(plan.pieces.pieces), sheets=len(plan.sheets.sheets))
        if plan.pieces.pieces
        else say("cover.pieces-none"),
        "units": say("cover.units-ft-in" if words.inch else "cover.units-mm"),
    }


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _line(plan: JobPlan, point: PlanPoint) -> str:
    faces = listed(folded(plan.job, point.line))
    if point.inside:
        return say("cover.line-inside", zones=listed(zone_title(plan, z) for z in point.inside), faces=faces)
    return say("cover.line-plain", faces=faces)


def _figure(head: str, band: Band, write: object) -> Section:
    low, mid, high = (write(v) for v in (band.p10, band.p50, band.p90))  # type: ignore[operator]
    return {"head": say(head), "value": mid, "band": say("cover.band", low=low, high=high)}


def _source(source: str) -> str:
    """Return a source as a reader can take it: its id, or what stands in for one."""
    known = {"MEM": "appendix.from-memory", "ASM": "appendix.assumption", "assumption": "appendix.assumption"}
    if source in known:
        return say(known[source])
    return say("appendix.own") if source in ("OWN", "your own figure") else source


def _caution(caution: Caution, words: Words) -> Section:
    return {
        "code": caution.code,
        "weight": caution.weight.value,
        "head": say(f"cautions.{caution.weight.value}"),
        "title": caution.title,
        "text": words.told(caution.text),
        "trigger": say("cautions.trigger", trigger=words.told(caution.trigger)) if caution.trigger else "",
        "clears": say("cautions.clears", who=caution.clears) if caution.clears else "",
        "protection": say("cautions.protection", things=listed(caution.protection)) if caution.protection else "",
        "source": say("cautions.source", source=_source(caution.source)) if caution.source else "",
    }


def caution_section(plan: JobPlan, words: Words) -> Section:
    """Return the cautions, the questions nobody answered, and the weighty findings."""
    weighty = [f for f in plan.findings if f.weight is not Weight.NOTE]
    more = len(plan.findings) - min(len(weighty), _MOST_FINDINGS)
    return {
        "items": [_caution(c, words) for c in plan.cautions],
        "unseen": list(plan.job.unseen),
        "findings": [words.finding(f) for f in weighty[:_MOST_FINDINGS]],
        "more": say("cautions.findings-more", count=more) if more else "",
    }


def _climate(found: AsFound, words: Words) -> str:
    """Return which weather is meant, and where its figures come from."""
    return " ".join([*([words.finding(found.place)] if found.place is not None else []), found.climate])


def heat(plan: JobPlan, words: Words) -> Section:
    """Return where the heat goes as found."""
    found = as_found_in_runs(plan.job, plan.weighing.as_found)
    design = {zone: (now, after) for zone, now, after in plan.weighing.zone_design_c}
    return {
        "about": say(
            "heat.about",
            kwh=number_text(found.season_kwh, 0),
            cost=words.money(found.season_cost),
            carbon=words.mass(found.season_carbon),
        ),
        "faces": [
            [
                f"{f.face} {f.title}".strip(),
                words.area(f.area),
                words.resistance(f.r),
                f"{words.temperature(f.temp_warm_c)}, {words.temperature(f.temp_cold_c)}",
                f"{number_text(f.season_kwh, 0)} kWh",
            ]
            for f in found.faces
        ],
        "zones": [
            [zone_title(plan, zone), *(words.temperature(v) for v in (now, after, *design.get(zone, ())))]
            for zone, now, after in plan.weighing.zone_temps_c
        ],
        "climate": _climate(found, words),
    }


def _unchecked(plan: JobPlan, words: Words) -> list[str]:
    """Return what nothing checks; faces of which the same is told share a line."""
    found: dict[Facts, list[str]] = defaultdict(list)
    for one in plan.survey.unchecked:
        found[tuple(fact for fact in one.said.facts if fact[0] != "face")].append(one.face)
    return [
        words.said(Said("survey.unchecked", (("face", names(folded(plan.job, faces), "comma")), *facts)))
        for facts, faces in found.items()
    ]


def measured(plan: JobPlan, words: Words) -> Section:
    """Return what the survey says of its readings."""
    survey = plan.survey
    lines = [
        say(
            "measured.quality",
            freedom=survey.freedom,
            chi2=number_text(survey.chi2),
            limit=number_text(survey.chi2_limit),
        )
    ]
    if survey.chi2 > survey.chi2_limit:
        lines.append(say("measured.misfit"))
    off = [j for j in survey.joins if max(abs(j.length_error), abs(j.closing_error)) > _NOTABLE]
    fine = len(survey.joins) - len(off)
    if fine:
        lines.append(say("measured.joins-fine", count=fine, all=len(survey.joins), within=words.length_up(_NOTABLE)))
    return {
        "quality": lines,
        "suspects": [words.said(s.said) for s in survey.suspects],
        "unchecked": _unchecked(plan, words),
        "joins": [words.told(j.said) for j in off],
    }


def bought(plan: JobPlan) -> tuple[Purchase, ...]:
    """Return the buying list, the plan's own where the last one was not made."""
    return plan.buying or plan.weighing.purchases


def buying(plan: JobPlan, words: Words) -> Section:
    """Return the buying list in whole units, dearest first, gear apart."""
    rows = []
    for p in sorted(bought(plan), key=lambda p: (p.once, -p.total)):
        notes = [p.why] if p.why else []
        if p.once:
            notes.append(say("buying.gear"))
        if p.on_hand:
            notes.append(say("buying.on-hand", amount=number_text(p.on_hand)))
        named = p.source and _source(p.source) == p.source and p.source != p.status
        status = say("buying.status", status=p.status, source=p.source) if named else p.status
        rows.append(
            {
                "name": p.name,
                "note": listed(notes),
                "units": f"{p.units} {p.unit}" if p.units else say("buying.enough"),
                "need": number_text(p.need, 2),
                "price": words.money(p.price),
                "total": words.money(p.total),
                "status": status or _source(p.source),
                "none": p.units == 0,
            }
        )
    total = bill(plan.weighing, bought(plan))
    differs = ""
    if total.differs:
        differs = say("buying.differs", reckoned=words.money(total.reckoned), reasons="; ".join(total.reasons))
    return {"rows": rows, "sum": words.money(total.bought), "differs": differs}


def sealing(plan: JobPlan, words: Words) -> Section:
    """Return the joints to seal, joints of one kind on one face together."""
    fitting = plan.fitting
    rows = []
    for s in fitting.sealing:
        name, unit = name_and_unit(s.item)
        gap = f"{words.fmt(s.width)} x {words.fmt(s.depth)}" if s.width > 0 else ""
        amount = f"{number_text(s.amount, 2)} {unit}".strip()
        rows.append([s.what, s.face, words.run(s.length), gap, s.with_what or name, amount])
    cans = (fitting.cans_low, fitting.cans, fitting.cans_high)
    low, typical, high = (number_text(c) for c in cans)
    about = say("sealing.about", low=low, typical=typical, high=high) if max(cans) > 0 else say("sealing.about-no-cans")
    return {"rows": rows, "about": about}


def _used(plan: JobPlan, item: str, amount: float) -> str:
    bought = next((p for p in plan.buying if p.item == item), None)
    name, unit = name_and_unit(item) if bought is None else (bought.name, bought.unit)
    return " ".join(w for w in (number_text(amount, 2), unit, name) if w)


def order(plan: JobPlan) -> Section:
    """Return the steps of the work."""
    titles = {c.code: c.title for c in plan.cautions}
    steps = []
    for s in plan.fitting.steps:
        uses = listed(_used(plan, i, a) for i, a in s.uses)
        steps.append(
            {
                "number": s.number,
                "title": s.title,
                "face": title_of(plan, s.face) if s.face and title_of(plan, s.face) not in s.title else "",
                "text": s.text,
                "pieces": list(s.pieces),
                "pieces-text": say("order.pieces", pieces=listed(s.pieces)) if s.pieces else "",
                "cautions": say("order.cautions", cautions=_titles(s.cautions, titles)) if s.cautions else "",
                "uses": say("order.uses", uses=uses) if s.uses else "",
                "hours": say("order.hours", hours=hours_text(s.hours)) if s.hours else "",
                "wait": say("order.wait", hours=number_text(s.wait_hours)) if s.wait_hours else "",
            }
        )
    return {"steps": steps}


def _titles(codes: Iterable[str], titles: dict[str, str]) -> str:
    return listed(dict.fromkeys(titles.get(c, c) for c in codes))


def appendix(plan: JobPlan, words: Words) -> Section:
    """Return defaults, all findings, sources and what identifies this reckoning."""
    titles = source_titles()
    named = {p.source for p in bought(plan)} | {c.source for c in plan.cautions} | {f.source for f in plan.findings}
    ids = sorted({part for s in named for part in s.replace(";", ",").replace(" ", ",").split(",")} & titles.keys())
    return {
        "defaults": [[d.where, words.told(d.value), _source(d.why)] for d in plan.defaults],
        "findings": [words.finding(f) for f in plan.findings],
        "sources": [[s, titles[s]] for s in ids],
        "climate": _climate(plan.weighing.as_found, words),
        "run": say("appendix.run", seed=plan.seed, digest=plan.digest),
    }
