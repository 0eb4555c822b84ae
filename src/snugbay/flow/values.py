"""The whole job's answer."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.base import Finding
from snugbay.cautions import Caution
from snugbay.fit import FittingPlan
from snugbay.job import Default, Job
from snugbay.pieces import PieceSet
from snugbay.prove import ProveAnswer
from snugbay.sheets import SheetPlan
from snugbay.survey import Survey
from snugbay.weigh import Afterwards, Purchase, Weighing


@dataclass(frozen=True)
class JobPlan:
    """Everything that Snugbay says about a job.

    Attributes
    ----------
    job : Job
        The question.
    survey, weighing, pieces, sheets, fitting, cautions
        The stages' answers.
    buying : tuple of Purchase
        Whole units, after the real pieces, sheets and joints.
    findings : tuple of Finding
        All findings, weightiest first.
    defaults : tuple of Default
        Every default used.
    seed : int
        Seed of the run.
    digest : str
        Identity of input, options, seed, program and table versions.
    finished : bool
        False where a stage was stopped and this is the best so far.
    proof : ProveAnswer or None
        What the log and the readings prove, where there are any.
    afterwards : Afterwards or None
        What the plan does in the years to come: moisture, frost, comfort, carbon.
    effort : str
        Effort of the run.
    """

    job: Job
    survey: Survey
    weighing: Weighing
    pieces: PieceSet
    sheets: SheetPlan
    fitting: FittingPlan
    cautions: tuple[Caution, ...]
    findings: tuple[Finding, ...]
    defaults: tuple[Default, ...]
    seed: int
    digest: str
    buying: tuple[Purchase, ...] = ()
    finished: bool = True
    proof: ProveAnswer | None = None
    afterwards: Afterwards | None = None
    effort: str = "normal"
