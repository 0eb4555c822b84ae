"""Room store: SQLite: jobs, their history, plans, ticks, timers, paired phones; nothing lost."""

from collections.abc import Callable
from pathlib import Path

from snugbay.store.backups import back_up
from snugbay.store.beside import Beside, FileRow
from snugbay.store.database import Clock, Database, stamp, utc_now
from snugbay.store.devices import Device, Devices
from snugbay.store.home import data_home
from snugbay.store.jobs import LONGEST_TEXT, JobRow, Jobs, Saved, Version, merged_text, slug
from snugbay.store.merge import MISSING, Conflict, identity, merge
from snugbay.store.migrations import MIGRATIONS, Migration, migrate, pending
from snugbay.store.toml_text import dense, rewritten
from snugbay.store.work import TICK_KINDS, KeptPlan, Laying, Timer, Work

__all__ = [
    "LONGEST_TEXT",
    "MIGRATIONS",
    "MISSING",
    "TICK_KINDS",
    "Beside",
    "Clock",
    "Conflict",
    "Database",
    "Device",
    "Devices",
    "FileRow",
    "JobRow",
    "Jobs",
    "KeptPlan",
    "Laying",
    "Migration",
    "Saved",
    "Store",
    "Timer",
    "Version",
    "Work",
    "data_home",
    "dense",
    "identity",
    "merge",
    "merged_text",
    "migrate",
    "pending",
    "rewritten",
    "slug",
    "stamp",
    "utc_now",
]


class Store:
    """All that is kept, in one file ``jobs.sqlite`` in a folder.

    Parameters
    ----------
    home : Path
        The folder, made where it is missing.
    clock : Clock
        Where the time comes from.

    Attributes
    ----------
    jobs : Jobs
        Documents and their history.
    work : Work
        Plans, re-laid sheets, ticks, timers.
    devices : Devices
        Paired phones.
    beside : Beside
        Files that the documents name.
    """

    def __init__(self, home: Path, clock: Clock = utc_now) -> None:
        self.home = home
        self.database = Database(home / "jobs.sqlite", clock)
        self.jobs = Jobs(self.database)
        self.work = Work(self.database)
        self.devices = Devices(self.database)
        self.beside = Beside(self.database)

    def stop_clock(self, job: str, written: Callable[[Timer, str], str], author: str) -> Timer | None:
        """Stop a job's clock and write its hours into the document, both or neither.

        Parameters
        ----------
        job : str
            Job id.
        written : callable
            Called with the stopped clock and the newest text; returns the text with its hours. What it raises leaves
            the clock running.
        author : str
            Which tab.

        Returns
        -------
        Timer or None
            The clock; None where none ran. Nothing is written of one whose machine was set back behind its start.
        """
        with self.database.writing() as c:
            timer = self.work.stop_in(c, job)
            if timer is not None and not timer.set_back:
                self.jobs.change_in(c, job, lambda text: written(timer, text), author, "log")
        return timer

    def back_up(self) -> Path | None:
        """Keep a copy of all jobs, one a day; see `backups.back_up`."""
        return back_up(self.database, self.home / "backups")
