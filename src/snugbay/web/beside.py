"""Loggers' files that a job names: taken in where they come from the page or lie in the job's own folder."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from snugbay.base import SnugbayError, UnknownName
from snugbay.disk import text_beside, within
from snugbay.document.beside import with_loggers
from snugbay.job import Job
from snugbay.store import Store


def with_files(store: Store, job: str, opened: Job) -> Job:
    """Return a job with the readings of the loggers' files that came in; a logger whose file did not stays unread.

    Raises
    ------
    InputError
        If a file does not go with what the document says of it by now.
    """
    return with_loggers(opened, lambda name: store.beside.text(job, name)) if opened.loggers else opened


def reading_numbers(store: Store, job: str, opened: Job) -> tuple[range, ...]:
    """Return the numbers that each logger's rows have among all readings of the job; none where a file is not there.

    Raises
    ------
    InputError
        As `with_files`.
    """
    found: list[range] = []
    first = len(opened.temperatures)
    for logger in opened.loggers:
        alone = replace(opened, temperatures=(), loggers=(logger,))
        end = first + len(with_files(store, job, alone).temperatures)
        found.append(range(first, end))
        first = end
    return tuple(found)


def take_in(store: Store, job: str, opened: Job, name: str, text: str) -> None:
    """Keep a logger's file under the name that the document has for it.

    Raises
    ------
    UnknownName
        If the document names no such file.
    InputError
        If it cannot be read as the document says: no times, no such column, no row between start and end.
    """
    own = tuple(logger for logger in opened.loggers if logger.file == name)
    if not own:
        raise UnknownName(
            f"The job names no logger's file {name!r}.",
            hint="Write it under loggers in the document first.",
            code="web.logger",
        )
    with_loggers(replace(opened, loggers=own), lambda _: text)
    store.beside.keep(job, name, text)


def take_in_folder(store: Store, job: str, opened: Job, folder: Path) -> tuple[SnugbayError, ...]:
    """Keep the loggers' files that lie in the folder of a job document, or below it; nothing outside is read.

    Returns
    -------
    tuple of SnugbayError
        What is wrong with files that are there and cannot be used. Files that are not there are missing on the page.
    """
    faults: list[SnugbayError] = []
    for name in dict.fromkeys(logger.file for logger in opened.loggers):
        path = within(folder, name)
        if path is None or not path.exists():
            continue
        try:
            take_in(store, job, opened, name, text_beside(folder, name))
        except SnugbayError as error:
            faults.append(error)
    return tuple(faults)
