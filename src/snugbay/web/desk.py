"""The desk: what every page and every API call goes through, between the saved jobs and the rooms that reckon."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Generic, TypeVar

from snugbay.base import Effort, Finding, InputError, Run, SnugbayError, StoreError, UnknownName, Where
from snugbay.draw import Scene
from snugbay.flow import JobPlan
from snugbay.job import Job
from snugbay.prove import ProveAnswer
from snugbay.sheets import SheetPlan
from snugbay.store import KeptPlan, Store, Version, plain, rewritten
from snugbay.survey import Survey, SurveyOptions, adjust
from snugbay.tape import format_length
from snugbay.web.crew import Crew, Standing
from snugbay.web.follow import Limits
from snugbay.web.forms import Spec, read_value
from snugbay.web.opened import Opened, errors_of, open_text
from snugbay.web.pointer import as_text, changed, pointer, value_at
from snugbay.web.printing import Printer
from snugbay.web.relay import rest_of
from snugbay.web.takeaway import Making, making
from snugbay.web.tasks import Task
from snugbay.web.views import step_views
from snugbay.web.weighing import Followed, Reason, WhyNot

T = TypeVar("T")

Drawings = Mapping[str, Scene | None]
"""Drawings by name; None for one that could not be made."""

FOLLOW_SECONDS = 60.0
"""How long the sliders wait for a proved answer. [s]"""

PROVE_SECONDS = 120.0
"""How long the page waits for a verdict. [s]"""

ASIDE = ("log", "temperatures", "title")
"""Parts of a document that do not change what is planned from scratch."""


class Shelf(Generic[T]):
    """Keeps the newest few of something that takes long to make.

    Parameters
    ----------
    size : int
        How many are kept.
    """

    def __init__(self, size: int) -> None:
        self._size = size
        self._lock = threading.Lock()
        self._items: OrderedDict[Hashable, T] = OrderedDict()

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return what is kept under a key, making it where it is not there."""
        with self._lock:
            if key in self._items:
                self._items.move_to_end(key)
                return self._items[key]
        made = make()
        with self._lock:
            self._items[key] = made
            self._items.move_to_end(key)
            while len(self._items) > self._size:
                self._items.popitem(last=False)
        return made


@dataclass(frozen=True)
class Surveyed:
    """What the survey says of a document, however unfinished.

    Attributes
    ----------
    job : Job or None
        The faces that could be surveyed.
    survey : Survey or None
        None where no face could be.
    findings : tuple of Finding
        What the user must know.
    faults : tuple of SnugbayError
        Why faces were left out.
    """

    job: Job | None
    survey: Survey | None
    findings: tuple[Finding, ...] = ()
    faults: tuple[SnugbayError, ...] = ()


@dataclass(frozen=True)
class Edit:
    """One field changed on a page.

    Attributes
    ----------
    where : Where
        The field.
    was, now : str
        As it stood when the page was made, and as it was typed.
    spec : Spec
        What the field holds.
    """

    where: Where
    was: str
    now: str
    spec: Spec

    def value(self, held: object = None) -> object:
        """Return what was typed as a value of the document; a text stays a text where one stood there."""
        value = read_value(self.spec, self.now)
        number = isinstance(value, int) and not isinstance(value, bool)
        return str(value) if isinstance(held, str) and number else value


@dataclass(frozen=True)
class Clash:
    """A field that somebody else changed meanwhile: what was typed here and what stands there now."""

    at: str
    mine: str
    theirs: str


@dataclass(frozen=True)
class Kept:
    """What became of edits.

    Attributes
    ----------
    version : Version
        The newest version now.
    clashes : tuple of Clash
        Fields that were not saved because somebody else changed them too.
    """

    version: Version
    clashes: tuple[Clash, ...] = ()


@dataclass(frozen=True)
class Progress:
    """How far a job is: its newest plan's number (0 for none), and what is ticked off."""

    plan: int
    cuts: int
    pieces: int
    steps: int


class Desk:
    """Between the saved jobs and the rooms that reckon.

    Parameters
    ----------
    store : Store
        The saved jobs.
    crew : Crew
        Does the long work.
    share : bool
        True where phones may be paired.
    """

    def __init__(self, store: Store, crew: Crew, *, share: bool = False) -> None:
        self.store = store
        self.crew = crew
        self.share = share
        self._opened: Shelf[Opened] = Shelf(32)
        self._surveys: Shelf[Surveyed] = Shelf(32)
        self._plans: Shelf[KeptPlan | None] = Shelf(8)
        self._drawings: Shelf[Drawings] = Shelf(3)
        self._models: Shelf[bytes] = Shelf(3)
        self._files: Shelf[Making] = Shelf(3)
        self._proofs: dict[tuple[str, int, int], ProveAnswer] = {}
        self._reasons: dict[tuple[str, int, Reason], WhyNot] = {}

    # --- reading ---------------------------------------------------------------------------------------------------

    def open(self, job: str) -> tuple[Version, Opened]:
        """Return the newest version of a job and what it says; raises `UnknownName`."""
        version = self.store.jobs.head(job)
        return version, self.opened(version)

    def opened(self, version: Version) -> Opened:
        """Return what a version says."""
        return self._opened.get((version.job, version.stands_for, len(version.text)), lambda: open_text(version.text))

    def surveyed(self, opened: Opened) -> Surveyed:
        """Return the survey of a document; of the faces that can be surveyed where some cannot."""
        return self._surveys.get(_faces_key(opened.job), lambda: survey_of(opened.job))

    def progress_of(self, job: str) -> Progress:
        """Return how far a job is, without reading its plan."""
        newest = self.store.work.newest_number(job)
        plan = newest[0] if newest else 0
        done = {kind: len(self.store.work.ticks(job, plan, kind)) for kind in ("cut", "piece", "step")} if plan else {}
        return Progress(plan, done.get("cut", 0), done.get("piece", 0), done.get("step", 0))

    # --- changing --------------------------------------------------------------------------------------------------

    def keep(self, job: str, edits: Sequence[Edit], author: str) -> Kept:
        """Keep what was typed into fields.

        A field that somebody else changed meanwhile is not touched; it comes back as a clash with both values. The
        other fields are kept all the same.
        """
        while True:
            head = self.store.jobs.head(job)
            data: Mapping[str, Any] = plain(head.text)
            clashes = []
            touched = []
            for edit in edits:
                stands = as_text(value_at(data, edit.where)) if edit.spec.kind not in ("list", "many") else ""
                if edit.spec.kind in ("list", "many"):
                    held = value_at(data, edit.where)
                    stands = ", ".join(str(v) for v in held) if isinstance(held, list) else as_text(held)
                if stands == edit.now.strip():
                    continue
                if stands != edit.was.strip():
                    clashes.append(Clash(pointer(edit.where), edit.now, stands))
                    continue
                data = changed(data, edit.where, edit.value(value_at(data, edit.where)))
                touched.append(pointer(edit.where))
            if not touched:
                return Kept(head, tuple(clashes))
            title = data.get("title") if isinstance(data.get("title"), str) else None
            saved = self.store.jobs.save(
                job, head.number, rewritten(head.text, data), author, " ".join(touched), title=title or None
            )
            if not saved.conflicts:
                return Kept(saved.version, tuple(clashes))
            # somebody saved the same field between reading and writing: look again

    # --- plans -----------------------------------------------------------------------------------------------------

    def plan(self, job: str) -> KeptPlan | None:
        """Return the newest plan of a job; None where there is none that this version of Snugbay can read."""
        newest = self.store.work.newest_number(job)
        if newest is None:
            return None
        return self._plans.get((job, newest[0]), lambda: self._readable(job, newest[0]))

    def _readable(self, job: str, number: int) -> KeptPlan | None:
        try:
            return self.store.work.plan(job, number)
        except StoreError:
            return None

    def stale(self, job: str, kept: KeptPlan, head: Version) -> bool:
        """Tell whether the document has changed since a plan was made, in what a plan depends on."""
        if kept.version == head.number:
            return False
        return question(self.store.jobs.version(job, kept.version).text) != question(head.text)

    def start_plan(self, job: str, run: Run) -> Standing:
        """Start planning a job; raises the document's fault where it cannot be planned yet."""
        version, opened = self.open(job)
        if opened.job is None or opened.faults:
            raise opened.faults[0]

        def then(value: object) -> None:
            if isinstance(value, JobPlan):
                self.store.work.keep_plan(job, version.number, value)

        return self.crew.begin(job, Task("plan", opened.job), then, seed=run.seed, effort=run.effort)

    def ask_why(self, job: str, reason: Reason) -> Standing:
        """Ask what another way for one face would change; the answer is kept beside the newest plan."""
        kept = self.plan(job)
        if kept is None:
            raise UnknownName("There is no plan to compare with.", hint="Plan the job first.", code="store.no-plan")

        def then(value: object) -> None:
            if isinstance(value, WhyNot):
                self._reasons[(job, kept.number, reason)] = value

        return self.crew.begin(job, Task("why", kept.plan.job, (reason,)), then, effort=Effort.QUICK)

    def follow(self, job: str, kept: KeptPlan, limits: Limits) -> Followed | None:
        """Return the proved best plan for other limits; None while the worker is busy with something longer."""
        task = Task("follow", kept.plan.job, (limits,))
        found = self.crew.ask(job, task, FOLLOW_SECONDS, effort=Effort.QUICK)
        return found if isinstance(found, Followed) else None

    def prove(self, job: str, version: Version, opened: Opened, kept: KeptPlan) -> ProveAnswer | None:
        """Return what the log and the readings prove; None while the worker is busy with something longer."""
        if opened.job is None or opened.faults:
            raise opened.faults[0]
        key = (job, version.number, kept.number)
        if key not in self._proofs:
            found = self.crew.ask(job, Task("prove", opened.job, (kept.plan,)), PROVE_SECONDS, effort=Effort.QUICK)
            if not isinstance(found, ProveAnswer):
                return None
            self._proofs = {key: found}
        return self._proofs[key]

    def reasons(self, job: str, plan: int) -> dict[Reason, WhyNot]:
        """Return the answers to "why not?" that are there for a plan."""
        return {r: found for (j, n, r), found in self._reasons.items() if (j, n) == (job, plan)}

    def sheets(self, job: str, kept: KeptPlan) -> SheetPlan:
        """Return the sheets to cut: as planned, or as they were laid again since."""
        laying = self.store.work.laying(job, kept.number)
        return kept.plan.sheets if laying is None else laying.sheets

    def lay_again(self, job: str, why: str) -> Standing:
        """Lay what is left on sheets again, after a piece came out wrong or a sheet broke."""
        kept = self.plan(job)
        if kept is None:
            raise UnknownName("There is no plan to cut by.", hint="Plan the job first.", code="store.no-plan")
        work = self.store.work
        rest = rest_of(
            kept.plan,
            self.sheets(job, kept),
            cuts=work.ticks(job, kept.number, "cut"),
            pieces=work.ticks(job, kept.number, "piece"),
            wrong=work.ticks(job, kept.number, "wrong"),
            broken=work.ticks(job, kept.number, "broken"),
        )

        def then(value: object) -> None:
            if isinstance(value, SheetPlan):
                work.keep_laying(job, kept.number, why, value)
                for label in work.ticks(job, kept.number, "wrong"):
                    work.tick(job, kept.number, "wrong", label, done=False)

        task = Task("relay", kept.plan.job, (rest,))
        return self.crew.begin(job, task, then, seed=kept.plan.seed, effort=Effort.QUICK)

    def tick(self, job: str, kept: KeptPlan, kind: str, key: str, done: bool) -> None:
        """Tick something off; a step only once the cautions that guard it were acknowledged."""
        if kind == "step" and done:
            self.check_open(job, kept, key)
        if kind not in ("cut", "piece", "step", "bought"):
            raise InputError(f"{kind!r} cannot be ticked off here.", code="web.tick")
        self.store.work.tick(job, kept.number, kind, key, done)

    def check_open(self, job: str, kept: KeptPlan, step: str) -> None:
        """Raise `InputError` where a step's cautions were not all acknowledged."""
        acknowledged = self.store.work.ticks(job, 0, "caution")
        for view in step_views(kept.plan, acknowledged, frozenset()):
            if str(view.step.number) == step and not view.open:
                raise InputError(
                    f"Step {step} is guarded by a caution that was not acknowledged.",
                    hint="Read the cautions of this step first.",
                    code="web.guarded",
                )

    def trouble(self, job: str, kept: KeptPlan, kind: str, key: str) -> Standing:
        """Note that a piece came out wrong or a sheet broke, and lay the rest again."""
        sheets = self.sheets(job, kept).sheets
        known = {str(s.number) for s in sheets} if kind == "broken" else {p.piece for s in sheets for p in s.placements}
        if key not in known:
            raise UnknownName(f"There is no {key!r} among the sheets.", code="web.trouble")
        work = self.store.work
        work.tick(job, kept.number, kind, key)
        if kind == "wrong":
            work.tick(job, kept.number, "piece", key, done=False)
        return self.lay_again(job, f"{kind} {key}")

    def drawings(self, job: str, kept: KeptPlan, make: Callable[[], Drawings]) -> Drawings:
        """Return the drawings of a plan's fitting, made once."""
        return self._drawings.get((job, kept.number), make)

    def model(self, job: str, kept: KeptPlan, make: Callable[[], bytes]) -> bytes:
        """Return the 3D model of a plan, made once."""
        return self._models.get((job, kept.number), make)

    def files(self, job: str, kept: KeptPlan) -> Making:
        """Return the files of a plan, made as they are asked for."""
        return self._files.get((job, kept.number), lambda: making(kept.plan, Effort.NORMAL.value))


def printer_of(job: Job | None, data: Mapping[str, Any]) -> Printer:
    """Return how a job's quantities are printed."""
    if job is not None:
        return Printer(job.units.value, job.place.currency)
    units = "ft-in" if data.get("units") == "ft-in" else "mm"
    return Printer(units, "USD" if units == "ft-in" else "EUR")


def survey_options(units: str) -> SurveyOptions:
    """Return the survey's usual options, its sentences written on the job's tape."""
    return SurveyOptions(format_length=lambda metres: _length_words(metres, units))


def _length_words(metres: float, units: str) -> str:
    text = format_length(abs(metres), units)
    return ("-" if metres < 0 else "") + (text if units == "ft-in" else f"{text} mm")


def survey_of(job: Job | None) -> Surveyed:
    """Survey a job; faces that cannot be surveyed are left out and their faults kept."""
    faults: tuple[SnugbayError, ...] = ()
    while job is not None and job.faces:
        try:
            outcome = adjust(job.faces, job.joins, survey_options(job.units.value), Run())
            return Surveyed(job, outcome.value, outcome.findings, faults)
        except SnugbayError as error:
            found = errors_of(error)
        bad = {str(step) for fault in found for step in fault.where[:2]} & {f.id for f in job.faces}
        faults += found
        if not bad:
            break
        job = without(job, bad)
    return Surveyed(None, None, (), faults)


def without(job: Job, faces: set[str]) -> Job:
    """Return the job without some faces and their joins."""
    return replace(
        job,
        faces=tuple(f for f in job.faces if f.id not in faces),
        joins=tuple(j for j in job.joins if j.a not in faces and j.b not in faces),
    )


def only(job: Job, faces: Sequence[str]) -> Job:
    """Return the job with some faces only and the joins between them."""
    return without(job, {f.id for f in job.faces} - set(faces))


def question(text: str) -> object:
    """Return the part of a document on which its plan depends."""
    try:
        return {key: value for key, value in plain(text).items() if key not in ASIDE}
    except SnugbayError:
        return text


def _faces_key(job: Job | None) -> Hashable:
    return None if job is None else (job.units, job.faces, job.joins)
