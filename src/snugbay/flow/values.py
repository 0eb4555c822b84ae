"""The whole job's answer."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.base import Finding
from snugbay.cautions import Caution
from snugbay.fit import FittingPlan
from snugbay.job import Default, Job
from snugbay.pieces import PieceSet
from snugbay.prove import Closed, ProveAnswer
from snugbay.sheets import SheetPlan
from snugbay.survey import Survey
from snugbay.weigh import Afterwards, Purchase, Replan, Weighing


@dataclass(frozen=True)
class Supply:
    """Whole sheets of one board: had, needed.

    Attributes
    ----------
    material : str
        Key in the boards table.
    had : int
        Bought for the plan and in the shed.
    used : int
        Begun, finished and broken ones, and those that are laid out to be cut.
    """

    material: str
    had: int
    used: int

    @property
    def more(self) -> int:
        """How many more have to be bought."""
        return max(0, self.used - self.had)

    @property
    def over(self) -> int:
        """How many stay over."""
        return max(0, self.had - self.used)


@dataclass(frozen=True)
class Onward:
    """What a plan for the rest of a job goes on from, and what is new in it against the plan before.

    Attributes
    ----------
    follows : str
        Identity of the plan before.
    entries : int
        Entries of the log that were read.
    choice : Replan
        How the rest was weighed: hours and money left, carrying on, what goes back to the shop.
    paid : float
        Money spent by the lists of all plans before. [currency]
    closed : tuple of Closed
        Work on faces that was done before their way was changed.
    cut : tuple of str
        Pieces that are cut: they keep their names for good.
    new, gone : tuple of str
        Pieces that the plan before had not, and those of it that are no longer wanted.
    retired : tuple of str
        Every name that a piece of an earlier plan had and that is not given again.
    ways : tuple of (str, str, str)
        Faces whose way was changed: face, way before, way now.
    begun, fresh, dropped : tuple of int
        Numbers of sheets: begun ones, which stay as they are; ones laid anew; ones of the plan before that are no more.
    last_sheet : int
        Highest number that a sheet ever had.
    relaid : bool
        False where all sheets stay as they were printed.
    supplies : tuple of Supply
        Whole sheets of each board: had, needed by now.
    """

    follows: str
    entries: int
    choice: Replan
    paid: float = 0.0
    closed: tuple[Closed, ...] = ()
    cut: tuple[str, ...] = ()
    new: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()
    retired: tuple[str, ...] = ()
    ways: tuple[tuple[str, str, str], ...] = ()
    begun: tuple[int, ...] = ()
    fresh: tuple[int, ...] = ()
    dropped: tuple[int, ...] = ()
    last_sheet: int = 0
    relaid: bool = False
    supplies: tuple[Supply, ...] = ()


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
    onward : Onward or None
        Where it is a plan for the rest of a job: what it goes on from, and what is new in it.
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
    onward: Onward | None = None
