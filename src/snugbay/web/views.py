"""What the pages show of a plan, put in the order people read it; figures come from the plan as they are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from snugbay.base import Weight
from snugbay.cautions import Caution
from snugbay.fit import Sealing, Step
from snugbay.flow import JobPlan
from snugbay.flow.relay import cut_key
from snugbay.prove import ToRead
from snugbay.sheets import Cut, Mark, Sheet
from snugbay.ways import Option
from snugbay.web.follow import all_points
from snugbay.weigh import AS_FOUND, PlanPoint, Weighing


@dataclass(frozen=True)
class FaceWays:
    """The ways of one face.

    Attributes
    ----------
    face, title : str
        Face id and name.
    chosen : Option or None
        What the plan does with it.
    fits : tuple of Option
        Ways that fit, fewest own hours first.
    others : tuple of Option
        Ways that do not, with their reasons.
    """

    face: str
    title: str
    chosen: Option | None
    fits: tuple[Option, ...]
    others: tuple[Option, ...]


def way_titles(weighing: Weighing) -> dict[str, str]:
    """Return the name of every way."""
    return {o.way: o.title for o in weighing.options if o.title}


def face_ways(plan: JobPlan) -> tuple[FaceWays, ...]:
    """Return the ways of every face, in the job's order."""
    by_face: dict[str, list[Option]] = {}
    for option in plan.weighing.options:
        by_face.setdefault(option.face, []).append(option)
    ways = dict(plan.weighing.plan.ways)
    found = []
    for face in plan.job.faces:
        options = by_face.get(face.id, [])
        chosen = next((o for o in options if o.way == ways.get(face.id, AS_FOUND)), None)
        fits = sorted((o for o in options if o.fits), key=lambda o: o.hours_typical)
        found.append(FaceWays(face.id, face.title, chosen, tuple(fits), tuple(o for o in options if not o.fits)))
    return tuple(found)


def point_words(point: PlanPoint, titles: Mapping[str, str]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return which way goes on which faces, faces left as found last."""
    by_way: dict[str, list[str]] = {}
    for face, way in point.ways:
        by_way.setdefault(way, []).append(face)
    order = sorted(by_way, key=lambda w: (w == AS_FOUND, -len(by_way[w])))
    return tuple((titles.get(w, w), tuple(by_way[w])) for w in order)


@dataclass(frozen=True)
class PointView:
    """One plan that can be picked: its number in the list, what it is, its ways in words."""

    number: int
    point: PlanPoint
    kinds: tuple[str, ...]
    words: tuple[tuple[str, tuple[str, ...]], ...]


def point_views(weighing: Weighing) -> tuple[PointView, ...]:
    """Return every plan that was reckoned, the chosen one first, then by whole cost."""
    titles = way_titles(weighing)
    single = {point for _, point in weighing.single_way}
    views = []
    for number, point in enumerate(all_points(weighing), start=1):
        kinds = (
            ("chosen", point == weighing.plan),
            ("on-frontier", point in weighing.frontier),
            ("second", point == weighing.second),
            ("line", point in weighing.candidates and point != weighing.plan),
            ("only", point in single),
        )
        words = point_words(point, titles)
        views.append(PointView(number, point, tuple(k for k, holds in kinds if holds), words))
    return (*views[:1], *sorted(views[1:], key=lambda v: v.point.shown.whole_cost))


@dataclass(frozen=True)
class CutView:
    """One cut with its marks; ``done`` where it is ticked off."""

    cut: Cut
    marks: tuple[Mark, ...]
    key: str
    done: bool


@dataclass(frozen=True)
class PieceTick:
    """One piece on a sheet; ``done`` where it is ticked off, ``wrong`` where it came out wrong."""

    label: str
    done: bool
    wrong: bool


@dataclass(frozen=True)
class SheetView:
    """One sheet on the bench.

    Attributes
    ----------
    sheet : Sheet
        As laid out.
    cuts, pieces
        To tick off.
    next : CutView or None
        The first cut that is not ticked off.
    broken : bool
        True where the sheet broke.
    """

    sheet: Sheet
    cuts: tuple[CutView, ...]
    pieces: tuple[PieceTick, ...]
    next: CutView | None
    broken: bool = False

    @property
    def done(self) -> bool:
        """True where every piece is ticked off."""
        return bool(self.pieces) and all(p.done for p in self.pieces)


def sheet_view(
    sheet: Sheet, cuts_done: frozenset[str], pieces_done: frozenset[str], wrong: frozenset[str], broken: frozenset[str]
) -> SheetView:
    """Return a sheet with what is ticked off."""
    real = [c for c in sheet.cuts if c.kind != "factory edge"]
    views = tuple(
        CutView(
            c, tuple(m for m in sheet.marks if m.cut == c.number), cut_key(sheet, c), cut_key(sheet, c) in cuts_done
        )
        for c in real
    )
    ticks = tuple(PieceTick(p.piece, p.piece in pieces_done, p.piece in wrong) for p in sheet.placements)
    first = next((v for v in views if not v.done), None)
    return SheetView(sheet, views, ticks, first, str(sheet.number) in broken)


@dataclass(frozen=True)
class StepView:
    """One step of the fitting order.

    Attributes
    ----------
    step : Step
        What to do.
    cautions : tuple of Caution
        To acknowledge before it.
    open : bool
        False while one of them is not acknowledged.
    done : bool
        True where it is ticked off.
    sealing : tuple of Sealing
        Joints of its face, where the step seals them.
    """

    step: Step
    cautions: tuple[Caution, ...]
    open: bool
    done: bool
    sealing: tuple[Sealing, ...]


def open_stops(plan: JobPlan, acknowledged: frozenset[str]) -> tuple[Caution, ...]:
    """Return what stops the work and is not cleared: before it is, nothing is to be bought, cut or put in."""
    return tuple(c for c in plan.cautions if c.weight is Weight.STOP and c.code not in acknowledged)


def step_views(plan: JobPlan, acknowledged: frozenset[str], done: frozenset[str]) -> tuple[StepView, ...]:
    """Return the steps with the cautions that guard them; steps that put pieces in are guarded by every stop too."""
    by_code = {c.code: c for c in plan.cautions}
    stops = tuple(c.code for c in plan.cautions if c.weight is Weight.STOP)
    views = []
    for step in plan.fitting.steps:
        codes = dict.fromkeys((*step.cautions, *(stops if step.pieces else ())))
        guards = tuple(by_code[code] for code in codes if code in by_code)
        shut = any(c.code not in acknowledged for c in guards)
        joints = tuple(s for s in plan.fitting.sealing if step.face and s.face == step.face)
        views.append(StepView(step, guards, not shut, str(step.number) in done, joints))
    return tuple(views)


def used_of(steps: Sequence[StepView], item: str) -> float:
    """Return how much of an item the steps that are ticked off have used, in selling units."""
    return sum(amount for view in steps if view.done for name, amount in view.step.uses if name == item)


def sealing_by_face(sealing: Sequence[Sealing]) -> tuple[tuple[str, tuple[Sealing, ...]], ...]:
    """Return the joints face by face."""
    ordered = sorted(sealing, key=lambda s: s.face)
    return tuple((face, tuple(joints)) for face, joints in groupby(ordered, key=lambda s: s.face))


def by_when(asked: Sequence[ToRead]) -> tuple[tuple[str, tuple[ToRead, ...]], ...]:
    """Return what is still to be read by when to read it, in the order it was asked for."""
    found: dict[str, list[ToRead]] = {}
    for one in asked:
        found.setdefault(one.when, []).append(one)
    return tuple((when, tuple(ones)) for when, ones in found.items())
