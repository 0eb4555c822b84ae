"""Bodies of the API."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from snugbay.base import Effort
from snugbay.store import LONGEST_TEXT


class Body(BaseModel):
    """Base of all bodies: frozen, no unknown fields."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Fault(Body):
    """One fault: what is wrong, where in the document, and what to do."""

    code: str = Field(description="Stable short name.", examples=["tape.unreadable"])
    what: str
    hint: str = ""
    where: list[str | int] = Field(default_factory=list, description="Place in the document, outermost step first.")
    line: int | None = Field(None, description="Line of the document, counted from 1.")


class Faults(Body):
    """How every refusal looks: the first fault, and all of them."""

    error: Fault
    errors: list[Fault]


class JobLine(Body):
    """One saved job."""

    id: str
    title: str
    version: int = Field(description="Number of the newest version of its document.")
    changed_at: str = Field(description="ISO 8601, UTC.")
    plan: int = Field(description="Number of its newest plan, 0 for none.")


class NewJob(Body):
    """A job to be kept."""

    document: str = Field(description="TOML.", max_length=LONGEST_TEXT)
    title: str = Field("", max_length=120, description="Empty takes the document's own.")


class Document(Body):
    """A job's document as it stands."""

    version: int
    text: str
    faults: list[Fault] = Field(description="What is wrong with it; a document is kept however unfinished it is.")


class DocumentChange(Body):
    """A document changed from a version that was read before."""

    version: int = Field(ge=1, description="Version that the change was made from.")
    text: str = Field(max_length=LONGEST_TEXT)
    author: str = Field("api", max_length=40)


class ConflictBody(Body):
    """A field that somebody else changed too."""

    where: list[str | int]
    mine: str
    theirs: str


class SavedBody(Body):
    """What became of a change; where there are conflicts nothing of the document was saved."""

    version: int
    merged: bool = Field(description="Somebody else's changes of other fields were kept too.")
    conflicts: list[ConflictBody]


class FieldEdit(Body):
    """One field changed: as it stood, as it should stand. Empty takes it out."""

    at: str = Field(max_length=400, examples=["/faces/K1/outline/width"])
    was: str = Field("", max_length=20_000)
    now: str = Field("", max_length=20_000)


class FieldEdits(Body):
    """Fields changed together."""

    edits: list[FieldEdit] = Field(min_length=1, max_length=500)
    author: str = Field("api", max_length=40)


class Step(Body):
    """Undo or redo, from a version that was read before."""

    version: int = Field(ge=1)
    author: str = Field("api", max_length=40)


class VersionLine(Body):
    """One version in the history."""

    number: int
    kind: str
    what: str
    author: str
    at: str


class WorkOrder(Body):
    """Plan a job."""

    seed: int = Field(1, ge=0, lt=2**63)
    effort: Effort = Effort.NORMAL


class StandingBody(Body):
    """How long work stands."""

    number: int
    stage: str
    share: float = Field(ge=0, le=1)
    over: bool
    error: Fault | None


class Tick(Body):
    """Something ticked off."""

    kind: Literal["cut", "piece", "step", "bought"]
    key: str = Field(min_length=1, max_length=200, examples=["K1-2b"])
    done: bool = True


class Ticks(Body):
    """What is ticked off of the newest plan."""

    plan: int
    cuts: list[str]
    pieces: list[str]
    steps: list[str]
    bought: list[str]


class FileLine(Body):
    """One file to take away."""

    name: str
    address: str
