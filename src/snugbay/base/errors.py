"""The error tree: every error says what is wrong, where in the user's file, and what to do."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Self

if TYPE_CHECKING:
    from snugbay.base.facts import Said

Where = tuple[str | int, ...]
"""A place in the user's file, outermost first: ``("faces", "N1", "readings", 2, "length")``."""


def place_text(where: Where) -> str:
    """Return a place as people read it: ``faces.N1.readings[2].length``."""
    text = ""
    for step in where:
        if isinstance(step, int):
            text += f"[{step}]"
        else:
            text += f".{step}" if text else step
    return text


class SnugbayError(Exception):
    """Base of all errors that Snugbay raises on purpose.

    Parameters
    ----------
    what : str
        What is wrong, one sentence.
    where : Where
        Place in the user's file, outermost step first.
    hint : str
        What to do about it.
    code : str
        Stable short name, ``"tape.unreadable"``; the class has a default.
    line : int or None
        Line in the file, counted from 1, where it is known.
    """

    code = "snugbay"
    said: Said | None = None
    """What is wrong as facts, where the error was made by `of`; `snugbay.words` says it."""
    cure: Said | None = None
    """What to do about it as facts."""
    units = "mm"
    currency = "EUR"

    def __init__(
        self, what: str, *, where: Where = (), hint: str = "", code: str | None = None, line: int | None = None
    ) -> None:
        super().__init__(what)
        self.what = what
        self.where: Where = tuple(where)
        self.hint = hint
        self.line = line
        if code is not None:
            self.code = code

    @classmethod
    def of(cls, said: Said, *, where: Where = (), cure: Said | None = None) -> Self:
        """Return an error that carries figures: its words stand in the table under the code of ``said``."""
        error = cls(str(said), where=where, hint=str(cure) if cure is not None else "", code=said.code)
        error.said, error.cure = said, cure
        return error

    def in_units(self, units: str, currency: str) -> Self:
        """Note the units and the currency of the job that it is about, for whoever says it."""
        self.units, self.currency = units, currency
        return self

    def at(self, *steps: str | int) -> Self:
        """Put outer steps before the place: the place grows on the way up."""
        self.where = (*steps, *self.where)
        return self

    def __str__(self) -> str:
        parts = []
        if self.where:
            parts.append(place_text(self.where))
        if self.line is not None:
            parts.append(f"(line {self.line})")
        head = " ".join(parts)
        text = f"{head}: {self.what}" if head else self.what
        return f"{text} {self.hint}" if self.hint else text

    def __reduce__(self) -> tuple[object, ...]:
        """Pickle by class and state, so that building the message is not done twice."""
        return (_rebuild, (type(self), self.args, self.__dict__.copy()))


def _rebuild(cls: type[SnugbayError], args: tuple[object, ...], state: dict[str, object]) -> SnugbayError:
    error = cls.__new__(cls)
    error.args = args
    error.__dict__.update(state)
    return error


class InputError(SnugbayError, ValueError):
    """Something in the user's input cannot be used as it stands."""

    code = "input"


class UnreadableLength(InputError):
    """A length is not in any notation that a person would write."""

    code = "tape.unreadable"


class UnknownName(InputError, LookupError):
    """A name in the job points at nothing; the hint lists close names."""

    code = "name.unknown"


class OutOfRange(InputError):
    """A quantity lies outside the range in which the calculation is valid."""

    code = "range"


class SurveyError(InputError):
    """The readings of a face cannot give a shape."""

    code = "survey"


class NoPlan(SnugbayError):
    """No plan keeps all the limits that the job sets; the hint names the limit to loosen."""

    code = "weigh.none"


class NoFit(SnugbayError):
    """A piece cannot be made or placed: too large for any sheet, or it cannot pass the way in."""

    code = "pieces.no-fit"


class DataError(SnugbayError):
    """A bundled or user data table is damaged."""

    code = "data"


class StoreError(SnugbayError):
    """A saved job cannot be read or written."""

    code = "store"


class Stopped(SnugbayError):
    """The work was stopped before there was any answer to keep."""

    code = "stopped"


class Problems(InputError):
    """Several faults found together; ``errors`` holds each one."""

    code = "input.several"

    def __init__(self, errors: Iterable[SnugbayError]) -> None:
        self.errors = tuple(errors)
        super().__init__("; ".join(str(e) for e in self.errors))

    def in_units(self, units: str, currency: str) -> Self:
        """Note the units and the currency on each."""
        for error in self.errors:
            error.in_units(units, currency)
        return super().in_units(units, currency)
