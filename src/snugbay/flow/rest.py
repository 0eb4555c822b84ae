"""The plan for what is left half-way: which way, which pieces, on which sheets, what to buy still."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from snugbay.base import Finding, Outcome, Run, Weight
from snugbay.fit import sheets_still
from snugbay.flow.relay import WHOLE, Bench, Supply, lay_rest, rest_of, supplies
from snugbay.flow.whole import as_counted, cut, weighed
from snugbay.job import Job, short_list
from snugbay.pieces import BoardChoice, Piece, PieceSet, pieces_that_go_in
from snugbay.prove import PiecesCut, pieces_cut, plan_rest
from snugbay.sheets import Sheet, SheetPlan
from snugbay.survey import Survey
from snugbay.weigh import AS_FOUND, Purchase, Replan, Weighing

DONE = 1.0 - 1e-9
"""Share of a face from which all of it is done. [-]"""


@dataclass(frozen=True)
class RestPlan:
    """What is left to do.

    Attributes
    ----------
    weighing : Weighing
        The plan that was followed.
    ways : Replan
        Which way the rest of each face gets, its hours and its money as weighed.
    pieces : tuple of Piece
        Boards still to be cut.
    begun, fresh : tuple of Sheet
        Sheets that were begun and stay as they are, and those that the rest lies on.
    relaid : bool
        True where the rest was laid again: numbers of fresh sheets then run on. False where the same pieces lie on the
        same sheets as before, so that what was printed holds.
    supplies : tuple of Supply
        Whole sheets of each board: had, needed by now.
    buying : tuple of Purchase
        What has to be bought still, sheets as laid.
    findings : tuple of Finding
        What the user must know.
    """

    weighing: Weighing
    ways: Replan
    pieces: tuple[Piece, ...]
    begun: tuple[Sheet, ...]
    fresh: tuple[Sheet, ...]
    relaid: bool
    supplies: tuple[Supply, ...]
    buying: tuple[Purchase, ...]
    findings: tuple[Finding, ...]


def replanned(job: Job, run: Run) -> Outcome[RestPlan]:
    """Plan what is left, by what its log taught, and lay the boards still to be cut; sunk costs stay sunk.

    The plan that was followed is made again first: with the seed and the effort that it had, it is the same.

    Raises
    ------
    InputError
        If the log says nothing of what got done, or all is done.
    NoPlan
        If nothing that fits is left to do.
    """
    planned = weighed(job, run, weighed_by=0.4)
    cutting = cut(job, *planned.value, run.within("Cut", 0.4, 0.6))
    answer = rest_plan(job, *planned.value, Bench(job, *cutting.value), run.within("Re-plan", 0.6, 1.0))
    finished = planned.finished and cutting.finished and answer.finished
    return Outcome(answer.value, answer.findings, answer.provenance, finished)


def rest_plan(job: Job, taped: Survey, weighing: Weighing, bench: Bench, run: Run) -> Outcome[RestPlan]:
    """Plan what is left of a plan that was followed: its weighing, and its pieces and sheets on the bench.

    Raises
    ------
    InputError, NoPlan
        As `replanned`.
    """
    followed = as_counted(job, taped, weighing, bench.pieces, bench.sheets, run)
    answer = plan_rest(job, taped, followed, run.within("Re-plan", 0.0, 0.5), bench.pieces)
    done = pieces_cut(job, weighing, bench.pieces)
    wanted = pieces_wanted(job, taped, weighing, answer.value, bench.pieces, run.within("Pieces", 0.5, 0.6))
    lost = _lost(bench, done)
    relaid = bool(lost) or {p.id for p in wanted.value} != _on(bench.sheets.sheets)
    laid = _laid(bench, done, wanted.value, lost, run.within("Sheets", 0.6, 1.0)) if relaid else bench.sheets
    stock = supplies(bench, laid, lost)
    still = sheets_still(job, answer.value.purchases, {s.material: (s.used, s.had) for s in stock})
    findings = (*answer.findings, *wanted.findings, *_taken(done))
    begun = tuple(s for s in laid.sheets if _on((s,)) & done.pieces)
    value = RestPlan(
        weighing,
        answer.value,
        tuple(p for p in wanted.value if p.id not in done.pieces),
        begun,
        tuple(s for s in laid.sheets if s not in begun),
        relaid,
        stock,
        still,
        findings,
    )
    return Outcome(value, findings, answer.provenance, answer.finished and wanted.finished)


def _on(sheets: Iterable[Sheet]) -> set[str]:
    """Labels of the pieces that lie on sheets."""
    return {p.piece for s in sheets for p in s.placements}


def _laid(bench: Bench, done: PiecesCut, wanted: tuple[Piece, ...], lost: tuple[Sheet, ...], run: Run) -> SheetPlan:
    """Return all sheets, those begun first."""
    none = frozenset[str]()
    rest = rest_of(
        bench, bench.sheets, cuts=none, pieces=done.pieces, wrong=none, broken=none, lost=lost, wanted=wanted
    )
    return lay_rest(bench.job, rest, run)


def _lost(bench: Bench, done: PiecesCut) -> tuple[Sheet, ...]:
    """Return a sheet for each that the log has as used up beyond those that were begun: it broke, or was cut wrong."""
    whole = [s for s in bench.sheets.sheets if s.source in WHOLE]
    begun = Counter(s.material for s in whole if _on((s,)) & done.pieces)
    sizes = {s.material: s for s in whole}
    return tuple(
        sizes[item] for item, used in bench.job.log.used if item in sizes for _ in range(round(used) - begun[item])
    )


def pieces_wanted(
    job: Job, taped: Survey, weighing: Weighing, left: Replan, pieces: PieceSet, run: Run
) -> Outcome[tuple[Piece, ...]]:
    """Return all pieces of the plan as it is now: as made where boards stay, made anew where they are others."""
    done = dict(left.done)
    ways = {f: weighing.plan.way(f) if done.get(f, 0.0) >= DONE else w for f, w in left.plan.ways}
    stays = {f for f, w in ways.items() if w == weighing.plan.way(f)}
    own = [p for p in pieces.pieces if p.face in stays]
    others = {f: w for f, w in ways.items() if f not in stays and w != AS_FOUND}
    begun = tuple(f for f in others if done.get(f, 0.0) > 0 and _boards(weighing, f, others[f]) is not None)
    asked = {f: b for f, w in others.items() if f not in begun and (b := _boards(weighing, f, w)) is not None}
    findings = tuple(_in_part(f) for f in begun)
    if not asked:
        return Outcome(tuple(own), findings)
    kept = [b for f in stays if (b := _boards(weighing, f, ways[f])) is not None]
    made = pieces_that_go_in(job, taped, (*kept, *asked.values()), run)
    new = [p for p in made.value.pieces if p.face in asked]
    return Outcome((*own, *new), (*findings, *made.findings), made.provenance, made.finished)


def _boards(weighing: Weighing, face: str, way: str) -> BoardChoice | None:
    return weighing.option(face, way).boards


def _in_part(face: str) -> Finding:
    text = (
        f"{face}: part of it is done one way and boards are to do the rest. Measure what is left and give it as a "
        "face of its own; no pieces are made for it here."
    )
    return Finding("replan.in-part", text, Weight.WARN, ("faces", face))


def _taken(done: PiecesCut) -> tuple[Finding, ...]:
    return tuple(
        Finding(
            "replan.pieces-taken",
            f"The log gives a share of {face} and no pieces: {short_list(list(labels))} "
            f"{'is' if len(labels) == 1 else 'are'} taken as cut. Name the pieces with snugbay log if they are others.",
            Weight.WARN,
            ("log", "entries"),
        )
        for face, labels in done.taken
    )
