"""What the log and the thermometer prove."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.base import Finding
from snugbay.ways import HourElement
from snugbay.weigh import Replan


@dataclass(frozen=True)
class Interval:
    """Posterior of one quantity: median, 80 % and 95 % limits."""

    median: float
    low80: float
    high80: float
    low95: float
    high95: float


@dataclass(frozen=True)
class LearnedFactor:
    """What the log taught about one kind of work.

    Attributes
    ----------
    element : str
        ``"you"`` for the worker as a whole, else cutting, carrying, fitting, sealing, marking, set-up.
    factor : Interval
        Hours really needed over hours in the plan's rates. [-]
    prior : Interval
        The same before the log.
    entries : int
        Log entries that spoke about it.
    hours : float
        Logged hours that spoke about it; an entry for several elements is shared out as planned. [h]
    """

    element: str
    factor: Interval
    prior: Interval
    entries: int
    hours: float = 0.0


@dataclass(frozen=True)
class Forecast:
    """How the hours run.

    Attributes
    ----------
    spent : float
        Hours logged. [h]
    done : float
        Share of the planned work that is done. [0..1]
    remaining, total : Interval
        [h]
    planned : float
        Hours of the plan as first reckoned. [h]
    text : str
        "At this pace ..." in words.
    converged : bool
        False where a sampler was used and did not settle.
    """

    spent: float
    done: float
    remaining: Interval
    total: Interval
    planned: float
    text: str
    converged: bool = True


@dataclass(frozen=True)
class FaceProof:
    """What the readings say about one face.

    Attributes
    ----------
    face, title : str
        Face id and name.
    when : str
        before or after.
    resistance : Interval
        Achieved resistance, surface to surface with films. [m²·K/W]
    added : Interval or None
        Resistance that the work added, by the readings after it, and before it where there are any; None before the
        work and where the plan does nothing. [m²·K/W]
    planned : float
        As planned, added. [m²·K/W]
    bypass : Interval
        Share of the heat that goes round the insulation by air. [0..1]
    told_apart : bool
        False where the readings cannot tell air from resistance.
    text : str
        In words.
    """

    face: str
    title: str
    when: str
    resistance: Interval
    added: Interval | None
    planned: float
    bypass: Interval
    told_apart: bool
    text: str


@dataclass(frozen=True)
class ColdSeam:
    """A spot that is colder than it should be.

    Attributes
    ----------
    face, spot : str
        Where.
    colder : float
        Kelvin below what the face's middle explains. [K]
    chance : float
        Chance that it leaks. [0..1]
    text : str
        In words; the first in the list is to be opened first.
    """

    face: str
    spot: str
    colder: float
    chance: float
    text: str


@dataclass(frozen=True)
class ToRead:
    """A reading still to take: where, when, why."""

    what: str
    where: str
    when: str
    why: str


@dataclass(frozen=True)
class Closed:
    """Work on a face that was done one way before the rest of the face was planned another way.

    Attributes
    ----------
    face : str
        Face id.
    share : float
        Of the face's work. [0..1]
    hours : tuple of HourElement
        Hours planned for what is done.
    entries : int
        Entries of the log then: later ones are for the other way.
    """

    face: str
    share: float
    hours: tuple[HourElement, ...]
    entries: int


@dataclass(frozen=True)
class ProveAnswer:
    """The answer of `prove`.

    Attributes
    ----------
    learned : tuple of LearnedFactor
        Empty where nothing is logged.
    forecast : Forecast
        From the priors alone where nothing is logged.
    replan : Replan or None
        Where work is under way.
    faces : tuple of FaceProof
        Faces with readings.
    seams : tuple of ColdSeam
        Worst first.
    to_read : tuple of ToRead
        What to read, and when.
    saving : Interval or None
        Yearly saving restated with the evidence. [currency/a]
    saving_planned : float
        [currency/a]
    findings : tuple of Finding
        Readings set aside and why; what the readings cannot tell.
    """

    learned: tuple[LearnedFactor, ...]
    forecast: Forecast
    replan: Replan | None
    faces: tuple[FaceProof, ...]
    seams: tuple[ColdSeam, ...]
    to_read: tuple[ToRead, ...]
    saving: Interval | None
    saving_planned: float
    findings: tuple[Finding, ...] = ()
