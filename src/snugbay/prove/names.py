"""Names in a log entry: kinds of work and pieces, checked before they are written down."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches

from snugbay.base import InputError, UnknownName
from snugbay.job import Log
from snugbay.prove.log import ALL, element_name, standing
from snugbay.prove.tables import table, words


def _near(name: str, known: Iterable[str]) -> str:
    all_ = list(dict.fromkeys(known))
    close = get_close_matches(name, all_, n=3, cutoff=0.5)
    return "Close names: " + ", ".join(close) + "." if close else "Known: " + ", ".join(all_[:20]) + "."


def check_element(written: str) -> None:
    """Refuse a kind of work that no plan has; a pause is known too.

    Raises
    ------
    UnknownName
        With close names.
    """
    plan = (ALL, *words("learning", "elements", "names"))
    pauses = words("learning", "pauses", "names")
    if element_name(written) in (*plan, *pauses):
        return
    hint = _near(written.strip().lower(), (*plan, *table("learning")["names"], *pauses))
    raise UnknownName(f"There is no kind of work {written!r}.", where=("element",), hint=hint)


def check_pieces(labels: Sequence[str], face: str, own: Mapping[str, str]) -> None:
    """Refuse pieces that the plan has not, or that belong to another face.

    Parameters
    ----------
    labels : sequence of str
        As written on the pieces.
    face : str
        Face id, or empty.
    own : Mapping of str to str
        Face of each piece of the plan.

    Raises
    ------
    UnknownName
        With close names.
    """
    for label in labels:
        if not own:
            hint = "Log by the face and the share of it that is done (--share)."
            raise UnknownName(f"The plan has no pieces, so no {label!r}.", where=("piece",), hint=hint)
        if label not in own:
            near = [p for p, f in own.items() if not face or f == face]
            raise UnknownName(f"The plan has no piece {label!r}.", where=("piece",), hint=_near(label, near or own))
        if face and own[label] != face:
            hint = f"Name that face, or another piece. {_near(label, (p for p, f in own.items() if f == face))}"
            raise UnknownName(f"Piece {label!r} belongs to {own[label]}, not to {face}.", where=("piece",), hint=hint)


def hours_logged(log: Log) -> float:
    """Hours of work that stand: corrected entries and pauses are left out. [h]"""
    pauses = words("learning", "pauses", "names")
    return sum(e.hours for _, e in standing(log)[0] if element_name(e.element) not in pauses)


def hours_on(log: Log, day: str, replaced: int | None = None) -> float:
    """Hours of a day that stand, without the entry that is about to be corrected. [h]"""
    return sum(e.hours for number, e in standing(log)[0] if e.day == day and number != replaced)


def check_day(day: str, hours: float, before: float, hands: int) -> None:
    """Refuse more hours on a day than it has for the people on the job.

    Parameters
    ----------
    day : str
        In ISO 8601; empty where none was said.
    hours, before : float
        To be written, and what stands on that day already. [h]
    hands : int
        People on the job.

    Raises
    ------
    InputError
        With what the day has already.
    """
    most = 24.0 * hands
    if before + hours > most:
        already = f", and {before:g} h stand there already" if before else ""
        who = "one person" if hands == 1 else f"{hands} people"
        raise InputError(
            f"{hours:g} h on {day or 'one day'}{already}: that day has {most:g} h for {who}.",
            where=("hours",),
            hint="Write each day of its own, with its date; correct an entry by its number.",
        )
