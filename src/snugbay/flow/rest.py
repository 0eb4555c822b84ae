"""The plan for what is left: it goes on from what is cut, fixed, bought and opened, and is kept like any plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from math import dist
from typing import Any, TypeVar

from snugbay.base import Finding, Outcome, Run, Weight
from snugbay.base.facts import FaceRef, Listed, Number, PieceRef, names
from snugbay.cautions import cautions
from snugbay.fit import FittingPlan, fitting_plan, sheets_still, with_uses
from snugbay.flow.cuttable import check_cuttable
from snugbay.flow.digest import job_digest
from snugbay.flow.proof import followed, proof_of, under_way
from snugbay.flow.relay import WHOLE, last_sheet, lay_rest, rest_of, supplies
from snugbay.flow.values import JobPlan, Onward, Supply
from snugbay.flow.whole import in_order, weighed
from snugbay.job import Face, Job
from snugbay.pieces import BoardChoice, Piece, PieceSet, pieces_that_go_in, prove_in_solids
from snugbay.prove import Closed, Now, PiecesCut, pieces_cut, plan_rest
from snugbay.prove.onward import used_up
from snugbay.sheets import Sheet, SheetPlan
from snugbay.ways import HourElement, all_ways, rates_of
from snugbay.ways.resources import shelf
from snugbay.weigh import AS_FOUND, Band, PlanPoint, Purchase, Replan, Weighing, look_ahead
from snugbay.weigh.points import as_shown
from snugbay.weigh.replan import rest_option
from snugbay.weigh.report import by_element

DONE = 1.0 - 1e-9
"""Share of a face from which all of it is done. [-]"""
LEAST_HOURS = 1e-9
MOVED = 1e-4
"""A corner that moved by less has not moved: the same readings were adjusted again. [m]"""


@dataclass(frozen=True)
class Cutting:
    """Pieces of the plan as it is now, and where they lie.

    Attributes
    ----------
    pieces : PieceSet
        All of them, those that are cut first.
    sheets : SheetPlan
        Sheets begun, then those that the rest lies on.
    begun : tuple of Sheet
        Sheets begun.
    relaid : bool
        False where every sheet lies as it was printed.
    supplies : tuple of Supply
        Whole sheets: had, needed.
    findings : tuple of Finding
        What the user must know.
    """

    pieces: PieceSet
    sheets: SheetPlan
    begun: tuple[Sheet, ...]
    relaid: bool
    supplies: tuple[Supply, ...]
    findings: tuple[Finding, ...]


def replanned(plan: JobPlan, job: Job, run: Run) -> Outcome[JobPlan]:
    """Plan what is left of a plan that was printed, by what the log taught; sunk costs stay sunk.

    Parameters
    ----------
    plan : JobPlan
        The plan that is followed.
    job : Job
        As its document stands now. Where more than log and readings has changed since, the offers are made anew by
        it; what was done and bought stays.
    run : Run
        Seed, effort, progress, stop.

    Returns
    -------
    Outcome of JobPlan
        The plan to follow from here, with `Onward` saying what it goes on from and what is new in it. No piece that is
        cut is cut again, and no name of a piece or a number of a sheet is given twice.

    Raises
    ------
    InputError
        If the log says nothing of what got done, or all is done.
    NoPlan
        If nothing that fits is left to do.
    """
    now, found = _now(plan, job, run.within("Weigh up", 0.0, 0.4))
    answer = plan_rest(proof_of(plan, job), run.within("Re-plan", 0.4, 0.55), now)
    choice = answer.value
    cut = cut_so_far(plan, job)
    ways = _ways(plan, choice)
    cutting = _cutting(plan, now, ways, choice, cut, run.within("Cut", 0.55, 0.95))
    closing = {f: s for f, s in choice.done if 0.0 < s < DONE and ways[f] != plan.weighing.plan.way(f)}
    buying = _buying(plan, job, choice, cutting, closing)
    closed = _closed(plan, job, closing)
    weighing = _weighing(plan, now, choice, ways, buying, closed)
    value = _assembled(plan, now, weighing, cutting, run)
    findings = (*found.findings, *answer.findings, *cutting.findings, *_taken(cut))
    value = replace(
        value,
        buying=buying,
        findings=in_order(findings),
        onward=_onward(plan, job, choice, ways, cutting, cut, closed),
    )
    finished = found.finished and answer.finished
    run.progress("Done", 1.0)
    return Outcome(replace(value, finished=finished), value.findings, answer.provenance, finished)


def question_changed(plan: JobPlan, job: Job) -> bool:
    """Tell whether more than log, readings and title has changed since a plan was made."""
    then = replace(under_way(plan, job), title=job.title, defaults=())
    return then != replace(job, defaults=())


def _now(plan: JobPlan, job: Job, run: Run) -> tuple[Now, Outcome[None]]:
    """Return the question as it stands now, with the plan that is followed over its offers."""
    if not question_changed(plan, job):
        return Now(under_way(plan, job), plan.survey, followed(plan)), Outcome(None)
    answer = weighed(job, run)
    taped, fresh = answer.value
    old, known = followed(plan), {(o.face, o.way) for o in fresh.options}
    faces = {f.id for f in job.faces}
    way = {f: w for f, w in plan.weighing.plan.ways if f in faces}
    point = replace(plan.weighing.plan, ways=tuple((f.id, way.get(f.id, AS_FOUND)) for f in job.faces))
    rested = {c.face for c in plan.onward.closed} if plan.onward is not None else set[str]()
    kept = tuple(
        o
        for o in old.options
        if o.face in faces and (o.face in rested or ((o.face, o.way) not in known and way[o.face] == o.way))
    )
    options = (*kept, *(o for o in fresh.options if o.face not in rested))
    weighing = replace(old, plan=point, options=options, as_found=fresh.as_found)
    return Now(job, taped, weighing), Outcome(None, answer.findings, (), answer.finished)


def cut_so_far(plan: JobPlan, job: Job) -> PiecesCut:
    """Return which pieces of a plan are cut, as the log has it."""
    past = plan.onward
    closed, before = (past.closed, past.cut) if past is not None else ((), ())
    return pieces_cut(under_way(plan, job), plan.weighing, plan.pieces, closed, before)


def _ways(plan: JobPlan, choice: Replan) -> dict[str, str]:
    """Return the way of every face from here; of one that is done, the way it was done."""
    done, old = dict(choice.done), dict(plan.weighing.plan.ways)
    return {f: old[f] if done.get(f, 0.0) >= DONE else w for f, w in choice.plan.ways}


# --- pieces and sheets ----------------------------------------------------------------------------------------------


def _cutting(plan: JobPlan, now: Now, ways: Mapping[str, str], choice: Replan, cut: PiecesCut, run: Run) -> Cutting:
    made = _pieces(plan, now, ways, choice, cut, run.within("Pieces", 0.0, 0.4))
    pieces = made.value
    lost = _lost(plan, now.job, cut)
    wanted = {p.id for p in pieces.pieces}
    sheets, findings = _without(plan.sheets, wanted, cut.pieces)
    relaid = bool(lost) or wanted - cut.pieces != _on(sheets.sheets) - cut.pieces
    if relaid:
        none = frozenset[str]()
        rest = rest_of(
            replace(plan, job=now.job), sheets, cuts=none, pieces=cut.pieces, wrong=none, broken=none, lost=lost,
            wanted=pieces.pieces,
        )  # fmt: skip
        sheets = lay_rest(now.job, rest, run.within("Sheets", 0.4, 1.0))
    begun = tuple(s for s in sheets.sheets if _on((s,)) & cut.pieces)
    supply = supplies(replace(plan, job=now.job), sheets, lost)
    return Cutting(pieces, sheets, begun, relaid, supply, (*made.findings, *findings))


def _on(sheets: Iterable[Sheet]) -> set[str]:
    """Labels of the pieces that lie on sheets."""
    return {p.piece for s in sheets for p in s.placements}


def _without(sheets: SheetPlan, wanted: set[str], cut: frozenset[str]) -> tuple[SheetPlan, tuple[Finding, ...]]:
    """Return sheets without the pieces that are no longer wanted; what is left of a sheet begun is the user's."""
    kept: list[Sheet] = []
    lost: list[tuple[str, int]] = []
    for sheet in sheets.sheets:
        gone = _on((sheet,)) - wanted
        if not gone:
            kept.append(sheet)
        elif _on((sheet,)) & cut:
            lost += [(p, sheet.number) for p in sorted(gone)]
            kept.append(_cleared(sheet, gone, last=not (_on((sheet,)) & wanted) - cut))
    if not lost:
        return replace(sheets, sheets=tuple(kept)), ()
    finding = Finding.of(
        "replan.begun-sheet",
        Weight.WARN,
        pieces=Listed(tuple(PieceRef(p) for p, _ in lost), most=6),
        sheets=Listed(tuple(Number(n) for n in dict.fromkeys(n for _, n in lost))),
    )
    return replace(sheets, sheets=tuple(kept)), (finding,)


def _cleared(sheet: Sheet, gone: set[str], *, last: bool) -> Sheet:
    """Return a sheet without some pieces; where nothing is to be cut from it any more, without their cuts too."""
    cuts = tuple(c for c in sheet.cuts if not last or not c.pieces or set(c.pieces) - gone)
    numbers = {c.number for c in cuts}
    return replace(
        sheet,
        placements=tuple(p for p in sheet.placements if p.piece not in gone),
        cuts=cuts,
        marks=tuple(m for m in sheet.marks if m.cut in numbers),
    )


def _lost(plan: JobPlan, job: Job, cut: PiecesCut) -> tuple[Sheet, ...]:
    """Return a sheet for each that the log has as used up beyond those that were begun: it broke, or was cut wrong."""
    whole = [s for s in plan.sheets.sheets if s.source in WHOLE]
    begun = Counter(s.material for s in whole if _on((s,)) & cut.pieces)
    sizes = {s.material: s for s in whole}
    used = Counter[str]()
    for item, amount in job.log.used:
        used[item] += round(amount)
    return tuple(sizes[item] for item, n in used.items() if item in sizes for _ in range(n - begun[item]))


def _pieces(
    plan: JobPlan, now: Now, ways: Mapping[str, str], choice: Replan, cut: PiecesCut, run: Run
) -> Outcome[PieceSet]:
    """Return all pieces of the plan as it is now: as made where boards stay, made anew where they are others."""
    done, old = dict(choice.done), dict(plan.weighing.plan.ways)
    moved = _moved(plan, now)
    stays = {f for f, w in ways.items() if w == old.get(f) and (f not in moved or done.get(f, 0.0) >= DONE)}
    others = {f: w for f, w in ways.items() if f not in stays and w != AS_FOUND}
    part = tuple(
        f for f, w in others.items() if done.get(f, 0.0) > 0 and w != old.get(f) and _boards(now.weighing, f, w)
    )
    asked = {f: b for f, w in others.items() if f not in part and (b := _boards(now.weighing, f, w)) is not None}
    findings = tuple(_in_part(f) for f in part)
    own = tuple(p for p in plan.pieces.pieces if p.face in stays or p.id in cut.pieces)
    if not asked and len(own) == len(plan.pieces.pieces):
        return Outcome(plan.pieces, findings)
    kept = [b for f in sorted(stays) if (b := _boards(now.weighing, f, ways[f])) is not None]
    if not asked:
        return Outcome(_joined(plan.pieces, own, None, set()), findings)
    check_cuttable(now.job, now.survey, set(asked), plan.weighing.plan.inside)
    made = pieces_that_go_in(now.job, now.survey, (*kept, *asked.values()), run)
    fresh = _named_anew(made.value, set(asked), _names(plan), cut.pieces)
    pieces = _joined(plan.pieces, own, fresh, set(asked))
    proof = prove_in_solids(now.job, now.survey, pieces, run)
    pieces = replace(pieces, proof=proof)
    return Outcome(pieces, (*findings, *made.findings, *proof.findings), made.provenance, made.finished)


def _moved(plan: JobPlan, now: Now) -> set[str]:
    """Return the faces whose pieces would be other ones: the face, what stands in it, or a neighbour has changed."""
    if now.survey is plan.survey:
        return set()
    before = {f.id: f for f in plan.job.faces}
    points = {f.id: f.points for f in plan.survey.faces}
    moved = {f.id for f in now.job.faces if f.id not in before or not _same(f, before[f.id])} | {
        f.id
        for f in now.survey.faces
        if f.id not in points
        or len(f.points) != len(points[f.id])
        or any(dist(p, q) > MOVED for p, q in zip(f.points, points[f.id], strict=True))
    }
    if now.job.access != plan.job.access or now.job.joins != plan.job.joins:
        return {f.id for f in now.job.faces}
    return moved | {j.b if j.a in moved else j.a for j in now.job.joins if j.a in moved or j.b in moved}


def _same(a: Face, b: Face) -> bool:
    """Tell whether two faces take the same boards: all but what was read of them, which the survey tells."""
    return replace(a, readings=(), title="", must="", never=()) == replace(b, readings=(), title="", must="", never=())


def _names(plan: JobPlan) -> set[str]:
    """Return every name that a piece has had."""
    past = plan.onward.retired if plan.onward is not None else ()
    return {*past, *(p.id for p in plan.pieces.pieces)}


def _named_anew(made: PieceSet, faces: set[str], taken: set[str], cut: frozenset[str]) -> PieceSet:
    """Return the pieces of some faces under names that none has had; those whose place a cut piece has are left out."""
    names: dict[str, str] = {}
    for p in made.pieces:
        if p.face in faces and p.id not in cut:
            number, name = 2, p.id
            while name in taken:
                name, number = f"{p.id}-{number}", number + 1
            names[p.id] = name
    own = tuple(p for p in made.pieces if p.id in names)
    return _called(
        replace(
            made,
            pieces=own,
            seams=tuple(s for s in made.seams if s.face in faces),
            way_in=tuple(w for w in made.way_in if w.piece in names),
            proof=None,
        ),
        names,
    )


T = TypeVar("T")


def _called(value: T, names: Mapping[str, str]) -> T:
    """Return a frozen value with every text that is the old name of a piece as its new one."""
    done: Any = value
    if isinstance(value, str):
        done = names.get(value, value) if type(value) is str else value
    elif isinstance(value, tuple):
        done = tuple(_called(v, names) for v in value)
    elif is_dataclass(value) and not isinstance(value, type):
        done = replace(value, **{f.name: _called(getattr(value, f.name), names) for f in fields(value)})
    return done  # type: ignore[no-any-return]


def _joined(old: PieceSet, own: Sequence[Piece], fresh: PieceSet | None, faces: set[str]) -> PieceSet:
    """Return the pieces that stay and those made anew as one set; seams go with what is made last on a face."""
    ids, kept = {p.id for p in own}, {p.face for p in own}
    more = fresh if fresh is not None else PieceSet((), (), ())
    return replace(
        old,
        pieces=(*own, *more.pieces),
        seams=(*(s for s in old.seams if s.face in kept - faces), *more.seams),
        way_in=(*(w for w in old.way_in if w.piece in ids), *more.way_in),
        proof=None,
        findings=more.findings or old.findings,
    )


def _boards(weighing: Weighing, face: str, way: str) -> BoardChoice | None:
    return weighing.option(face, way).boards


def _in_part(face: str) -> Finding:
    return Finding.of("replan.in-part", Weight.WARN, ("faces", face), face=FaceRef(face))


def _taken(cut: PiecesCut) -> tuple[Finding, ...]:
    return tuple(
        Finding.of(
            "replan.pieces-taken",
            Weight.WARN,
            ("log", "entries"),
            face=FaceRef(face),
            labels=names(labels),
        )
        for face, labels in cut.taken
    )


# --- money and hours ------------------------------------------------------------------------------------------------


def _buying(
    plan: JobPlan, job: Job, choice: Replan, cutting: Cutting, closing: Mapping[str, float]
) -> tuple[Purchase, ...]:
    """Return the list from here: what must be bought still, and as on hand what was bought before.

    What is used up is told by the log; where it tells nothing of an item, what the work used up that is closed now is
    taken off.
    """
    sheets = {s.material: (s.used, s.had) for s in cutting.supplies}
    still = {b.item: b for b in sheets_still(plan.job, choice.purchases, sheets)}
    logged = {item for item, _ in job.log.used}
    used = {i: n for i, n in used_up(job.log, followed(plan), closing) if i not in logged and i not in sheets}
    out: list[Purchase] = []
    for old in plan.buying:
        if old.unit == "job":
            continue
        more = still.pop(old.item, None)
        units = more.units if more is not None else 0
        had = max(old.units + old.on_hand - used.get(old.item, 0.0), 0.0)
        out.append(replace(old, units=units, on_hand=had, total=units * old.price, need=max(old.need, had + units)))
    return (*(p for p in out if p.units), *still.values(), *(p for p in out if not p.units))


def _closed(plan: JobPlan, job: Job, closing: Mapping[str, float]) -> tuple[Closed, ...]:
    """Return what was done on faces before their way was changed, with what is changed now."""
    past = plan.onward.closed if plan.onward is not None else ()
    planned = dict(plan.weighing.face_hours)
    left = dict.fromkeys(closing, 1.0)
    for c in past:
        left[c.face] = left.get(c.face, 1.0) - c.share
    entries = len(job.log.entries)
    return (*past, *(Closed(f, left[f] * s, _scaled(planned.get(f, ()), s), entries) for f, s in closing.items()))


def _scaled(hours: Iterable[HourElement], by: float) -> tuple[HourElement, ...]:
    return tuple(replace(h, low=h.low * by, typical=h.typical * by, high=h.high * by) for h in hours)


def _weighing(
    plan: JobPlan,
    now: Now,
    choice: Replan,
    ways: Mapping[str, str],
    buying: tuple[Purchase, ...],
    closed: Sequence[Closed],
) -> Weighing:
    """Return the weighing that is followed from here: its hours are those of the whole work, its money is to come."""
    old, before = now.weighing, dict(plan.weighing.face_hours)
    changed = {f for f, w in ways.items() if w != dict(plan.weighing.plan.ways).get(f)}
    done = dict(choice.done)
    part = {c.face for c in closed if c.face in changed and done.get(c.face, 0.0) < DONE}
    so_far = {f: old.option(f, plan.weighing.plan.way(f)) for f in part}
    options = tuple(rest_option(o, so_far[o.face], done[o.face]) if o.face in part else o for o in old.options)
    merged = replace(old, options=options)
    chosen = {f: merged.option(f, w) for f, w in ways.items()}
    face_hours = tuple(
        (f, by_element(chosen[f].hours) if f in changed else before.get(f, ()))
        for f in ways
        if (chosen[f].hours if f in changed else before.get(f))
    )
    known = {s for f, w in plan.weighing.plan.ways if f in ways for s, _ in _shared(plan.weighing, f, w)}
    once = {s: h for f in changed for s, h in chosen[f].shared_hours if s not in known}
    hours = by_element([*(h for _, own in face_hours for h in own), *_once(plan.weighing), *once.values()])
    point: PlanPoint = replace(choice.plan, ways=tuple(ways.items()), middle=None)
    cash = sum(p.total for p in buying)
    spread = replace(plan.weighing.spread, hours=choice.hours_left, cash=Band(cash, cash, cash))
    return replace(
        merged,
        plan=replace(point, cash=cash),
        second=choice.carry_on if choice.switch else None,
        candidates=(),
        single_way=(),
        frontier=(),
        break_evens=(),
        spread=spread,
        purchases=buying,
        hours=hours,
        face_hours=face_hours,
        boards=tuple(o.boards for o in chosen.values() if o.boards is not None),
        gap=choice.gap,
        findings=(),
        by_hour=plan.weighing.by_hour if not changed else None,
    )


def _shared(weighing: Weighing, face: str, way: str) -> tuple[tuple[str, HourElement], ...]:
    return next((o.shared_hours for o in weighing.options if (o.face, o.way) == (face, way)), ())


def _once(weighing: Weighing) -> tuple[HourElement, ...]:
    """Return the hours of a weighing that belong to no face."""
    of_faces = {h.element: h for h in by_element([h for _, own in weighing.face_hours for h in own])}
    out = []
    for h in weighing.hours:
        own = of_faces.get(h.element, replace(h, low=0.0, typical=0.0, high=0.0))
        left = replace(h, low=h.low - own.low, typical=h.typical - own.typical, high=h.high - own.high)
        if left.typical > LEAST_HOURS:
            out.append(left)
    return tuple(out)


# --- the plan -------------------------------------------------------------------------------------------------------


def _assembled(plan: JobPlan, now: Now, weighing: Weighing, cutting: Cutting, run: Run) -> JobPlan:
    """Return the plan from here; what has not changed is taken as it was printed."""
    job, rates = now.job, rates_of(now.job)
    same = weighing.plan.ways == plan.weighing.plan.ways and now.survey is plan.survey
    fitting: FittingPlan = plan.fitting
    warned, afterwards = plan.cautions, plan.afterwards
    if not same:
        ahead = look_ahead(job, now.survey, weighing, run)
        afterwards = ahead.value
        warned = cautions(job, now.survey, weighing, ahead.findings)
    if not same or cutting.pieces is not plan.pieces:
        codes = tuple(c.code for c in warned)
        fitting = fitting_plan(job, as_shown(weighing), cutting.pieces, codes, rates)
        things = shelf(job, all_ways(job.own_ways, rates), rates)
        fitting = with_uses(fitting, cutting.pieces, cutting.sheets, weighing.purchases, things)
    return replace(
        plan,
        job=job,
        survey=now.survey,
        weighing=weighing,
        pieces=cutting.pieces,
        sheets=cutting.sheets,
        fitting=fitting,
        cautions=warned,
        afterwards=afterwards,
        defaults=job.defaults,
        seed=run.seed,
        effort=run.effort.value,
        digest=job_digest(job, run),
    )


def _onward(
    plan: JobPlan,
    job: Job,
    choice: Replan,
    ways: Mapping[str, str],
    cutting: Cutting,
    cut: PiecesCut,
    closed: tuple[Closed, ...],
) -> Onward:
    before, now = {p.id for p in plan.pieces.pieces}, {p.id for p in cutting.pieces.pieces}
    old, past = dict(plan.weighing.plan.ways), plan.onward
    numbers = {s.number for s in cutting.sheets.sheets}
    begun = {s.number for s in cutting.begun}
    there = {s.number for s in plan.sheets.sheets}
    gone = tuple(p.id for p in plan.pieces.pieces if p.id not in now)
    return Onward(
        follows=plan.digest,
        entries=len(job.log.entries),
        choice=choice,
        paid=choice.sunk_cash,
        closed=closed,
        cut=tuple(p.id for p in cutting.pieces.pieces if p.id in cut.pieces),
        new=tuple(p.id for p in cutting.pieces.pieces if p.id not in before),
        gone=gone,
        retired=(*(past.retired if past is not None else ()), *gone),
        ways=tuple((f, old.get(f, AS_FOUND), w) for f, w in ways.items() if old.get(f, AS_FOUND) != w),
        begun=tuple(sorted(begun)),
        fresh=tuple(sorted(numbers - there)),
        dropped=tuple(sorted(there - numbers)),
        last_sheet=last_sheet(plan, cutting.sheets),
        relaid=cutting.relaid,
        supplies=cutting.supplies,
    )
