"""Room store: SQLite: jobs, their history, plans, ticks, timers, paired phones; nothing lost."""

from pathlib import Path

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
