"""The answers as files for machines: plan.json, and what `measure --json` and `weigh --json` print.

The published form is versioned on its own. Figures are SI (m, m², rad, °C, W, kWh, h) unless a key says otherwise.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from typing import Any

from pydantic import TypeAdapter

from snugbay.base import Finding
from snugbay.base.facts import plain
from snugbay.cautions import Caution
from snugbay.fit import Bill, Sealing, Step, bill
from snugbay.flow import JobPlan
from snugbay.job import Default, Job
from snugbay.pieces import Piece, PieceSet, Seam, WayIn
from snugbay.prove import ColdSeam, FaceProof, Forecast, Interval, LearnedFactor, ProveAnswer, ToRead
from snugbay.sheets import Sheet
from snugbay.survey import AdjustedFace, JoinCheck, Survey, Suspect, Unchecked
from snugbay.ways import AsFound, HourElement, Option
from snugbay.weigh import Afterwards, BreakEven, Money, PlanPoint, Purchase, Replan, Spread, Weighing
from snugbay.words import Writer, writer_of

PLAN_VERSION = 1


@dataclass(frozen=True)
class FindingAnswer:
    """A finding: its words in the units of the job, and its facts in SI."""

    code: str
    text: str
    weight: str
    where: tuple[str | int, ...]
    source: str
    facts: dict[str, Any]


@dataclass(frozen=True)
class MeasureAnswer:
    """What `measure --json` prints."""

    job: str
    units: str
    faces: tuple[AdjustedFace, ...]
    suspects: tuple[Suspect, ...]
    unchecked: tuple[Unchecked, ...]
    joins: tuple[JoinCheck, ...]
    chi2: float
    chi2_limit: float
    freedom: int
    significance: float
    findings: tuple[FindingAnswer, ...]
    defaults_used: tuple[Default, ...]


@dataclass(frozen=True)
class Line:
    """Where the line between warm and cold runs."""

    inside: tuple[str, ...]
    faces: tuple[str, ...]


@dataclass(frozen=True)
class WeighAnswer:
    """What `weigh --json` prints."""

    job: str
    currency: str
    line: Line
    ways: dict[str, str]
    plan: PlanPoint
    second: PlanPoint | None
    as_found: AsFound
    options: tuple[Option, ...]
    candidates: tuple[PlanPoint, ...]
    single_way: dict[str, PlanPoint]
    frontier: tuple[PlanPoint, ...]
    spread: Spread
    break_evens: tuple[BreakEven, ...]
    purchases: tuple[Purchase, ...]
    hours: tuple[HourElement, ...]
    face_hours: dict[str, tuple[HourElement, ...]]
    money: Money
    zone_temps_c: tuple[tuple[str, float, float], ...]
    zone_design_c: tuple[tuple[str, float, float], ...]
    gap: float
    findings: tuple[FindingAnswer, ...]
    defaults_used: tuple[Default, ...]


@dataclass(frozen=True)
class ProvedAnswer:
    """What `prove --json` prints."""

    job: str
    learned: tuple[LearnedFactor, ...]
    forecast: Forecast
    replan: Replan | None
    faces: tuple[FaceProof, ...]
    seams: tuple[ColdSeam, ...]
    to_read: tuple[ToRead, ...]
    saving: Interval | None
    saving_planned: float
    findings: tuple[FindingAnswer, ...]


@dataclass(frozen=True)
class ProofAnswer:
    """The check in solids."""

    pieces: int
    overlaps: int
    coverage: float
    narrowest_gap_mm: float
    all_pass_the_way_in: bool
    text: str


@dataclass(frozen=True)
class CutTotals:
    """Totals over all sheets."""

    sheets: int
    cut_length: float
    set_ups: int
    shared_cuts: int
    worst_rounding: float
    minutes: float


@dataclass(frozen=True)
class PlanAnswer:
    """The file plan.json."""

    version: int
    job: str
    title: str
    units: str
    currency: str
    seed: int
    effort: str
    digest: str
    finished: bool
    line: Line
    ways: dict[str, str]
    weighing: WeighAnswer
    survey: MeasureAnswer
    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...]
    way_in: tuple[WayIn, ...]
    proof: ProofAnswer | None
    sheets: tuple[Sheet, ...]
    cutting: CutTotals
    buying: tuple[Purchase, ...]
    bill: Bill
    sealing: tuple[Sealing, ...]
    order: tuple[Step, ...]
    afterwards: Afterwards | None
    cautions: tuple[Caution, ...]
    findings: tuple[FindingAnswer, ...]
    defaults_used: tuple[Default, ...]


_ADAPTERS: dict[type, TypeAdapter[Any]] = {}


def _adapter(kind: type) -> TypeAdapter[Any]:
    if kind not in _ADAPTERS:
        _ADAPTERS[kind] = TypeAdapter(kind)
    return _ADAPTERS[kind]


def to_json(answer: object) -> str:
    """Return an answer as JSON text, keys in the order of the published form; infinite figures become null."""
    return _adapter(type(answer)).dump_json(answer, indent=1, fallback=dict, warnings=False).decode() + "\n"


def answer_schema(kind: type) -> dict[str, Any]:
    """Return the JSON Schema of an answer."""
    made = _adapter(kind).json_schema(mode="serialization")
    made["$id"] = f"snugbay-{kind.__name__}-{PLAN_VERSION}"
    return made


def _findings(job: Job, findings: tuple[Finding, ...]) -> tuple[FindingAnswer, ...]:
    writer = writer_of(job)
    return tuple(
        FindingAnswer(
            f.code,
            writer.finding(f),
            f.weight.value,
            f.where,
            f.source,
            {name: plain(fact) for name, fact in f.facts},
        )
        for f in findings
    )


def measure_answer(job: Job, survey: Survey, findings: tuple[Finding, ...]) -> MeasureAnswer:
    """Gather what `measure` answers."""
    return MeasureAnswer(
        job.name,
        job.units.value,
        survey.faces,
        survey.suspects,
        survey.unchecked,
        survey.joins,
        survey.chi2,
        survey.chi2_limit,
        survey.freedom,
        survey.significance,
        _findings(job, findings),
        job.defaults,
    )


def weigh_answer(job: Job, weighing: Weighing, findings: tuple[Finding, ...]) -> WeighAnswer:
    """Gather what `weigh` answers."""
    return WeighAnswer(
        job=job.name,
        currency=job.place.currency,
        line=Line(weighing.plan.inside, weighing.plan.line),
        ways=dict(weighing.plan.ways),
        plan=weighing.plan,
        second=weighing.second,
        as_found=weighing.as_found,
        options=weighing.options,
        candidates=weighing.candidates,
        single_way=dict(weighing.single_way),
        frontier=weighing.frontier,
        spread=weighing.spread,
        break_evens=weighing.break_evens,
        purchases=weighing.purchases,
        hours=weighing.hours,
        face_hours=dict(weighing.face_hours),
        money=weighing.money,
        zone_temps_c=weighing.zone_temps_c,
        zone_design_c=weighing.zone_design_c,
        gap=weighing.gap,
        findings=_findings(job, findings),
        defaults_used=job.defaults,
    )


def prove_answer(job: Job, proved: ProveAnswer, findings: tuple[Finding, ...]) -> ProvedAnswer:
    """Gather what `prove` answers."""
    return ProvedAnswer(
        job.name,
        proved.learned,
        proved.forecast,
        proved.replan,
        proved.faces,
        proved.seams,
        proved.to_read,
        proved.saving,
        proved.saving_planned,
        _findings(job, findings),
    )


def _proof(pieces: PieceSet, writer: Writer) -> ProofAnswer | None:
    p = pieces.proof
    if p is None:
        return None
    return ProofAnswer(
        p.pieces, p.overlaps, p.coverage, p.narrowest_gap * 1000, p.all_pass_the_way_in, writer.said(p.said)
    )


def plan_answer(plan: JobPlan) -> PlanAnswer:
    """Gather the file plan.json."""
    job, weighing, sheets = plan.job, plan.weighing, plan.sheets
    return PlanAnswer(
        version=PLAN_VERSION,
        job=job.name,
        title=job.title,
        units=job.units.value,
        currency=job.place.currency,
        seed=plan.seed,
        effort=plan.effort,
        digest=plan.digest,
        finished=plan.finished,
        line=Line(weighing.plan.inside, weighing.plan.line),
        ways=dict(weighing.plan.ways),
        weighing=weigh_answer(job, weighing, weighing.findings),
        survey=measure_answer(job, plan.survey, ()),
        pieces=plan.pieces.pieces,
        seams=plan.pieces.seams,
        way_in=plan.pieces.way_in,
        proof=_proof(plan.pieces, writer_of(job)),
        sheets=sheets.sheets,
        cutting=CutTotals(
            len(sheets.sheets),
            sheets.cut_length,
            sheets.set_ups,
            sheets.shared_cuts,
            sheets.worst_rounding,
            sheets.minutes,
        ),
        buying=plan.buying,
        bill=bill(plan.weighing, plan.buying),
        sealing=plan.fitting.sealing,
        order=plan.fitting.steps,
        afterwards=plan.afterwards,
        cautions=plan.cautions,
        findings=_findings(job, plan.findings),
        defaults_used=plan.defaults,
    )


def buying_csv(buying: tuple[Purchase, ...], currency: str) -> str:
    """Return the buying list as CSV text."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    money = (f"price {currency}", f"total {currency}")
    writer.writerow(["item", "name", "units", "unit", *money, "on hand", "why", "source", "status"])
    for p in buying:
        writer.writerow(
            [
                p.item,
                p.name,
                p.units,
                p.unit,
                f"{p.price:.2f}",
                f"{p.total:.2f}",
                f"{p.on_hand:g}",
                p.why,
                p.source,
                p.status,
            ]
        )
    return out.getvalue()
