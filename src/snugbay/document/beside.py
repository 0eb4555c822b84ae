"""Files that stand beside the job document: loggers' files and a weather file."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from snugbay.base import InputError, Said, SnugbayError
from snugbay.base.facts import Name
from snugbay.job import Job, Logger, Temperature
from snugbay.prove import parse_logger, readings_from_logger
from snugbay.prove.sets import time_of


def _in_time(readings: tuple[Temperature, ...], logger: Logger) -> list[Temperature]:
    """Readings between the first and the last time that the job names."""
    start, end = time_of(logger.start), time_of(logger.end)
    out = []
    for t in readings:
        at = time_of(t.time)
        if at is not None and (start is None or at >= start) and (end is None or at <= end):
            out.append(t)
    if readings and not out:
        raise InputError(
            f"{logger.file} has no row between {logger.start or 'its first'} and {logger.end or 'its last'}."
        )
    return out


def with_loggers(job: Job, text_of: Callable[[str], str | None]) -> Job:
    """Return the job with the readings of its loggers' files among its own.

    Parameters
    ----------
    job : Job
        As its document says.
    text_of : callable
        Text of a file by its name in the document; raises `InputError` where it cannot be read. None leaves the logger
        unread, which proving then says.

    Raises
    ------
    InputError
        If a file is missing or cannot be read, or has no such column; the place in the document is with it.
    """
    readings: list[Temperature] = list(job.temperatures)
    loggers: list[Logger] = []
    for number, logger in enumerate(job.loggers):
        try:
            text = text_of(logger.file)
            if text is None:
                loggers.append(logger)
                continue
            table = parse_logger(text, logger.dates)
            readings += _in_time(readings_from_logger(table.value, logger.channels), logger)
        except SnugbayError as error:
            if error.line is not None:  # a line of the logger's file, not of the document
                error.what = f"{logger.file}, line {error.line}: {error.what}"
                error.line = None
            raise error.at("loggers", number) from None
        at = Said.of("prove.said.in-file", file=Name(logger.file))
        found = tuple(replace(f, where=("loggers", number)).having(at=at) for f in table.findings)
        loggers.append(replace(logger, read=True, findings=found))
    return replace(job, temperatures=tuple(readings), loggers=tuple(loggers))


def with_files(job: Job, text_of: Callable[[str], str]) -> Job:
    """Return the job with all that its document names in files: loggers' readings, the months of a weather file.

    Parameters
    ----------
    job : Job
        As its document says.
    text_of : callable
        Text of a file by its name in the document; raises `InputError` where it cannot be read.

    Raises
    ------
    InputError
        If a file is missing or cannot be read; the place in the document is with it.
    """
    whole = with_loggers(job, text_of)
    if not whole.place.weather_file:
        return whole
    from snugbay.document.weather import with_weather

    try:
        return with_weather(whole, text_of(whole.place.weather_file))
    except SnugbayError as error:
        raise (error if error.where else error.at("place", "weather_file")) from None
