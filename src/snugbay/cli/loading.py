"""Load a job from its file, with the weather file and the loggers' files it may name."""

from __future__ import annotations

from pathlib import Path

from snugbay.base import SnugbayError
from snugbay.cli.app import read_text
from snugbay.document import read
from snugbay.job import Job


def load(path: Path) -> Job:
    """Return the job of a document; a weather file and loggers' files are looked for beside it.

    Raises
    ------
    SnugbayError
        With the place in the document.
    """
    job = _with_loggers(read(read_text(path)), path)
    if not job.place.weather_file:
        return job
    from snugbay.document.weather import with_weather

    try:
        return with_weather(job, read_text(path.parent / job.place.weather_file))
    except SnugbayError as error:
        raise (error if error.where else error.at("place", "weather_file")) from None


def _with_loggers(job: Job, path: Path) -> Job:
    if not job.loggers:
        return job
    from snugbay.document.beside import with_loggers

    return with_loggers(job, lambda name: read_text(path.parent / name))
