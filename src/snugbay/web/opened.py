"""A document as typed, however unfinished: what can be read of it, and what is wrong with the rest, field by field."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from snugbay.base import InputError, Problems, SnugbayError, Where
from snugbay.document import JobDoc, read, to_job
from snugbay.document.bounded import toml_data
from snugbay.job import Job
from snugbay.store import dense, identity
from snugbay.web.kinds import of_right_kind

MOST_ROUNDS = 12
"""Times that a document is pruned of faulty fields before it is given up."""

STAND_INS: Mapping[tuple[str, str], float] = {("zones", "volume_m3"): 1.0}
"""What stands in for a missing figure while faces are measured, by group and field."""


@dataclass(frozen=True)
class Opened:
    """A document as typed.

    Attributes
    ----------
    text : str
        The document.
    data : Mapping
        What the text says, as plain data; empty where it is no TOML, and without what stands where the form has
        another kind of thing.
    job : Job or None
        The job, or what is left of it without the fields that cannot be read; None where nothing is left.
    faults : tuple of SnugbayError
        What is wrong, each with its place and line.
    """

    text: str
    data: Mapping[str, Any]
    job: Job | None
    faults: tuple[SnugbayError, ...] = ()

    @property
    def whole(self) -> bool:
        """True where nothing is wrong with the document."""
        return self.job is not None and not self.faults

    def faults_at(self, where: Where) -> tuple[SnugbayError, ...]:
        """Return the faults of a field and of everything in it."""
        here = canonical(self.data, where)
        return tuple(f for f in self.faults if canonical(self.data, f.where)[: len(here)] == here)


def errors_of(error: SnugbayError) -> tuple[SnugbayError, ...]:
    """Return the single faults that an error stands for."""
    if isinstance(error, Problems):
        return tuple(e for inner in error.errors for e in errors_of(inner))
    return (error,)


def open_text(text: str) -> Opened:
    """Read a document as far as it goes; never raises for what a user can type."""
    try:
        data = toml_data(text)
    except InputError as error:
        return Opened(text, {}, None, (error,))
    try:
        return Opened(text, data, read(text))
    except SnugbayError as error:
        faults = errors_of(error)
    return Opened(text, of_right_kind(data), _rest(data, faults), faults)


def narrowed(data: Mapping[str, Any], where: Where) -> Opened:
    """Read one face or shape by itself, as it stands in plain data, with the zones it lies between."""
    group, ident = where[0], where[1]
    kept = {key: data[key] for key in ("version", "name", "units", "place", "zones", "access") if key in data}
    items = data.get(str(group), [])
    at = index_of(items, ident) if isinstance(items, list) else None
    alone = {**kept, str(group): [] if at is None else [items[at]]}
    job = _good(alone)
    if job is not None:
        return Opened("", alone, job)
    found = open_text(dense(alone))  # slower, with every fault named
    for fault in found.faults:
        fault.line = None  # of a text that nobody sees
    return found


def _rest(data: Mapping[str, Any], faults: Sequence[SnugbayError]) -> Job | None:
    """Read what is left without the faulty fields."""
    left = deepcopy(dict(data))
    for _ in range(MOST_ROUNDS):
        backwards = sorted({_whole_join(f.where) for f in faults}, key=_in_order, reverse=True)
        if not any([_stood_in(left, w) or _prune(left, w) for w in backwards]):  # noqa: C419 - every fault is met
            return None
        job = _good(left)
        if job is not None:
            return job
        try:
            return read(dense(left))
        except SnugbayError as error:
            faults = errors_of(error)
    return None


def _stood_in(data: Mapping[str, Any], where: Where) -> bool:
    """Put a figure where one is missing that no outline depends on; False where there is none for the place.

    Its fault stays, so that nothing is ever planned with it.
    """
    value = STAND_INS.get((str(where[0]), str(where[-1]))) if len(where) > 1 else None
    holder = follow(data, where[:-1])
    if value is None or not isinstance(holder, dict) or where[-1] in holder:
        return False
    holder[str(where[-1])] = value
    return True


def _good(data: Mapping[str, Any]) -> Job | None:
    """Read plain data that are a job; None where anything is wrong with them, without saying what."""
    units = data.get("units")
    try:
        doc = JobDoc.model_validate(data, context={"units": units if units in ("ft-in", "mm") else "mm"})
        return to_job(doc)
    except (ValidationError, SnugbayError):
        return None


def _whole_join(where: Where) -> Where:
    """Half a join is none: a fault in one takes all of it."""
    return where[:2] if where[:1] == ("joins",) else where


def _in_order(where: Where) -> tuple[tuple[int, int, str], ...]:
    """Return what places are sorted by, so that later items of a list are taken out before earlier ones."""
    return tuple((1, step, "") if isinstance(step, int) else (0, 0, step) for step in where)


def step_into(node: object, step: str | int) -> object:
    """Return the part of plain data that one step of a place leads to; None where it leads nowhere."""
    if isinstance(node, Mapping):
        return node.get(step)
    if isinstance(node, list):
        at = index_of(node, step)
        return None if at is None else node[at]
    return None


def index_of(items: Sequence[object], step: str | int) -> int | None:
    """Return the place in a list that a number or a name means."""
    if isinstance(step, int):
        return step if 0 <= step < len(items) else None
    for at, item in enumerate(items):
        if identity(item) == step:
            return at
    return int(step) if step.isdigit() and int(step) < len(items) else None


def follow(data: object, where: Where) -> object:
    """Return what stands at a place; None where there is nothing."""
    for step in where:
        data = step_into(data, step)
    return data


def canonical(data: object, where: Where) -> Where:
    """Return a place with every item of a list by its number."""
    steps: list[str | int] = []
    for step in where:
        at = index_of(data, step) if isinstance(data, list) else None
        steps.append(step if at is None else at)
        data = step_into(data, step)
    return tuple(steps)


def _prune(data: dict[str, Any], where: Where) -> bool:
    """Take the field out, or the item round it where the field is not there; False where nothing can be taken out."""
    for length in range(len(where), 1, -1):
        holder = follow(data, where[: length - 1])
        step = where[length - 1]
        if isinstance(holder, dict) and step in holder:
            del holder[str(step)]
            return True
        if isinstance(holder, list):
            at = index_of(holder, step)
            if at is not None:
                del holder[at]
                return True
        if length == 2 and isinstance(holder, dict):
            return False
    return False
