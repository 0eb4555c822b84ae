"""The desk: what every page and every API call goes through, between the saved jobs and the rooms that reckon."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from snugbay.base import Effort, InputError, Run, SnugbayError, StoreError, UnknownName
from snugbay.document.changes import Change, changed, question_of
from snugbay.draw import Scene
from snugbay.flow import JobPlan, Measured, Supply, measured_so_far
from snugbay.flow.relay import broken_before, rest_of, supplies
from snugbay.prove import ProveAnswer
from snugbay.sheets import Sheet, SheetPlan
from snugbay.store import KeptPlan, Store, Version
from snugbay.web.beside import reading_numbers, with_files
from snugbay.web.crew import Crew, Standing
from snugbay.web.edits import Edit, Kept, kept_edits
from snugbay.web.follow import Limits
from snugbay.web.opened import Opened, open_text
from snugbay.web.shelf import Shelf
from snugbay.web.surveying import faces_key
from snugbay.web.takeaway import Making, making
from snugbay.web.tasks import Task
from snugbay.web.views import step_views
from snugbay.web.weighing import Followed, Reason, WhyNot

Drawings = Mapping[str, Scene | None]
"""Drawings by name; None for one that could not be made."""

FOLLOW_SECONDS = 60.0
"""How long the sliders wait for a proved answer. [s]"""

PROVE_SECONDS = 120.0
"""How long the page waits for a verdict. [s]"""


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
        self._surveys: Shelf[Measured] = Shelf(32)
        self._plans: Shelf[KeptPlan | None] = Shelf(8)
        self._drawings: Shelf[Drawings] = Shelf(3)
        self._models: Shelf[bytes] = Shelf(3)
        self._files: Shelf[Making] = Shelf(3)
        self._rows: Shelf[tuple[range, ...]] = Shelf(8)
        self._proofs: dict[tuple[str, int, int, int], ProveAnswer] = {}
        self._reasons: dict[tuple[str, int, Reason], WhyNot] = {}

    # --- reading ---------------------------------------------------------------------------------------------------

    def open(self, job: str) -> tuple[Version, Opened]:
        """Return the newest version of a job and what it says; raises `UnknownName`."""
        version = self.store.jobs.head(job)
        return version, self.opened(version)

    def opened(self, version: Version) -> Opened:
        """Return what a version says."""
        return self._opened.get((version.job, version.stands_for, len(version.text)), lambda: open_text(version.text))

    def measured(self, opened: Opened) -> Measured:
        """Return the survey of a document; of the faces that can be surveyed where some cannot."""
        job = opened.job
        if job is None:
            return Measured(None, None)
        return self._surveys.get(faces_key(job), lambda: measured_so_far(job, Run()))

    def progress_of(self, job: str) -> Progress:
        """Return how far a job is, without reading its plan."""
        newest = self.store.work.newest_number(job)
        plan = newest[0] if newest else 0
        done = {kind: len(self.store.work.ticks(job, plan, kind)) for kind in ("cut", "piece", "step")} if plan else {}
        return Progress(plan, done.get("cut", 0), done.get("piece", 0), done.get("step", 0))

    # --- changing --------------------------------------------------------------------------------------------------

    def keep(self, job: str, edits: Sequence[Edit], author: str) -> Kept:
        """Keep what was typed into fields, as `edits.kept_edits` does."""
        return kept_edits(self.store.jobs, job, edits, author)

    # --- plans -----------------------------------------------------------------------------------------------------

    def plan(self, job: str) -> KeptPlan | None:
        """Return the newest plan of a job; None where there is none that this version of Snugbay can read."""
        newest = self.store.work.newest_number(job)
        if newest is None:
            return None
        return self._plans.get((job, newest[0]), lambda: self._readable(job, newest[0]))

    def _readable(self, job: str, number: int) -> KeptPlan | None:
        try:
            kept = self.store.work.plan(job, number)
            return kept if kept.plan.job else None
        except StoreError:
            return None

    def stale(self, kept: KeptPlan, head: Version) -> bool:
        """Tell whether the document has changed since a plan was made, in what a plan depends on."""
        return kept.version != head.number and bool(self.changes(kept, head))

    def changes(self, kept: KeptPlan, head: Version) -> tuple[Change, ...]:
        """Return what has changed in the document, of what a plan depends on, since it was made."""
        try:
            return changed(question_of(kept.kept.document), question_of(head.text))
        except SnugbayError:
            return (Change(("document",), "a job", "not to be read"),)

    def start_plan(self, job: str, run: Run) -> Standing:
        """Start planning a job; raises the document's fault where it cannot be planned yet."""
        version, opened = self.open(job)
        if opened.job is None or opened.faults:
            raise opened.faults[0]

        def then(value: object) -> None:
            if isinstance(value, JobPlan):
                self.store.work.keep_plan(job, version.number, value)

        whole = with_files(self.store, job, opened.job)
        return self.crew.begin(job, Task("plan", whole), then, seed=run.seed, effort=run.effort)

    def ask_why(self, job: str, reason: Reason) -> Standing:
        """Ask what another way for one face would change; the answer is kept beside the newest plan."""
        kept = self.plan(job)
        if kept is None:
            raise UnknownName("There is no plan to compare with.", hint="Plan the job first.", code="store.no-plan")

        def then(value: object) -> None:
            if isinstance(value, WhyNot):
                self._reasons[(job, kept.number, reason)] = value

        return self.crew.begin(job, Task("why", kept.plan.job, (kept.plan, reason)), then, effort=Effort.QUICK)

    def follow(self, job: str, kept: KeptPlan, limits: Limits) -> Followed | None:
        """Return the proved best plan for other limits; None while the worker is busy with something longer."""
        task = Task("follow", kept.plan.job, (kept.plan, limits))
        found = self.crew.ask(job, task, FOLLOW_SECONDS, effort=Effort.QUICK)
        return found if isinstance(found, Followed) else None

    def prove(self, job: str, version: Version, opened: Opened, kept: KeptPlan) -> ProveAnswer | None:
        """Return what the log and the readings prove; None while the worker is busy with something longer."""
        if opened.job is None or opened.faults:
            raise opened.faults[0]
        key = (job, version.number, kept.number, self.store.beside.newest(job))
        if key not in self._proofs:
            task = Task("prove", with_files(self.store, job, opened.job), (kept.plan,))
            found = self.crew.ask(job, task, PROVE_SECONDS, effort=Effort.QUICK)
            if not isinstance(found, ProveAnswer):
                return None
            self._proofs = {key: found}
        return self._proofs[key]

    def reading_numbers(self, job: str, opened: Opened) -> tuple[range, ...]:
        """Return the numbers of each logger's rows among all readings; none where its file cannot be used by now."""
        if opened.job is None:
            return ()
        whole, key = opened.job, (job, opened.job.loggers, len(opened.job.temperatures), self.store.beside.newest(job))
        try:
            return self._rows.get(key, lambda: reading_numbers(self.store, job, whole))
        except SnugbayError:
            return (range(0),) * len(whole.loggers)  # what is wrong is told by the verdict

    def reasons(self, job: str, plan: int) -> dict[Reason, WhyNot]:
        """Return the answers to "why not?" that are there for a plan."""
        return {r: found for (j, n, r), found in self._reasons.items() if (j, n) == (job, plan)}

    def sheets(self, job: str, kept: KeptPlan) -> SheetPlan:
        """Return the sheets to cut: as planned, or as they were laid again since."""
        laying = self.store.work.laying(job, kept.number)
        return kept.plan.sheets if laying is None else laying.sheets

    def lost(self, job: str, kept: KeptPlan) -> tuple[Sheet, ...]:
        """Return the sheets that broke before the newest laying."""
        work = self.store.work
        before = [kept.plan.sheets, *(laying.sheets for laying in work.layings(job, kept.number))]
        return broken_before(before, self.sheets(job, kept), work.ticks(job, kept.number, "broken"))

    def supplies(self, job: str, kept: KeptPlan) -> tuple[Supply, ...]:
        """Return what of the sheets that were bought is left or missing."""
        return supplies(kept.plan, self.sheets(job, kept), self.lost(job, kept))

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
            lost=self.lost(job, kept),
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
        return self._files.get((job, kept.number), lambda: making(kept.plan))
