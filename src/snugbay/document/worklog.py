"""The work log of a document, read by itself: an entry is added without reading the rest of the job."""

from __future__ import annotations

from typing import Any

from pydantic import ValidationError

from snugbay.base import InputError
from snugbay.document.models import LogDoc
from snugbay.document.wording import said
from snugbay.job import Log, LogEntry


def log_of(doc: LogDoc) -> Log:
    """Return the work log."""
    entries = tuple(
        LogEntry(e.hours, e.element, e.face, tuple(e.pieces), e.share_done, e.day, e.note, e.replaces)
        for e in doc.entries
    )
    return Log(entries, tuple((u.item, u.amount) for u in doc.used), tuple((o.item, o.days_ago) for o in doc.opened))


def read_log(data: Any) -> Log:
    """Read the log of a document from its plain data.

    Raises
    ------
    InputError
        With the first fault and its place.
    """
    try:
        return log_of(LogDoc.model_validate(data))
    except ValidationError as error:
        fault = error.errors(include_url=False)[0]
        what, hint = said(fault)
        raise InputError(what, where=("log", *fault["loc"]), hint=hint, code="document.value") from None
