"""Load a job from its file, with the weather file and the loggers' files it may name."""

from __future__ import annotations

from pathlib import Path

from snugbay.cli.app import read_text
from snugbay.job import Job


def load(path: Path) -> Job:
    """Return the job of a document; a weather file and loggers' files are looked for beside it.

    Raises
    ------
    SnugbayError
        With the place in the document.
    """
    from snugbay.document import read

    job = read(read_text(path))
    if not job.loggers and not job.place.weather_file:
        return job
    from snugbay.disk import text_beside
    from snugbay.document.beside import with_files

    return with_files(job, lambda name: text_beside(path.parent, name))
