"""What was worked out and what was done: plans, re-laid sheets, ticks, timers."""

from __future__ import annotations

import json
import sqlite3
import zlib
from dataclasses import dataclass
from datetime import datetime

from snugbay.base import InputError, StoreError, UnknownName
from snugbay.document.frozen import from_json, to_json
from snugbay.document.snapshot import Snapshot, read_snapshot, snapshot_of, snapshot_text, with_document
from snugbay.flow import JobPlan
from snugbay.sheets import SheetPlan
from snugbay.store.database import Database

TICK_KINDS = ("cut", "piece", "step", "caution", "bought", "wrong", "broken")
"""What can be ticked off; ``wrong`` a piece that came out wrong, ``broken`` a sheet that broke."""


@dataclass(frozen=True)
class KeptPlan:
    """A plan as it was kept.

    Attributes
    ----------
    number : int
        From 1 for each job.
    version : int
        Version of the document that it was made for.
    kept : Snapshot
        The answer, with the document that was planned.
    at : str
        When, ISO 8601.
    """

    number: int
    version: int
    kept: Snapshot
    at: str

    @property
    def plan(self) -> JobPlan:
        """The answer; raises `StoreError` where it was kept in a shape that no longer reads."""
        return self.kept.plan


@dataclass(frozen=True)
class Laying:
    """Sheets laid again in the middle of the work.

    Attributes
    ----------
    number : int
        From 1 for each plan.
    why : str
        What went wrong.
    sheets : SheetPlan
        The sheets that are still to be cut.
    at : str
        When, ISO 8601.
    """

    number: int
    why: str
    sheets: SheetPlan
    at: str


@dataclass(frozen=True)
class Timer:
    """A running or stopped clock.

    Attributes
    ----------
    number : int
        From 1 for each job.
    face, element : str
        What is being worked on.
    pieces : tuple of str
        Labels.
    started_at, stopped_at : str or None
        ISO 8601; None while it runs.
    hours : float
        Run so far; 0 where the machine's clock was set back behind the start. [h]
    set_back : bool
        True where the machine's clock now stands before the start: how long it ran is not known.
    """

    number: int
    face: str
    element: str
    pieces: tuple[str, ...]
    started_at: str
    stopped_at: str | None
    hours: float
    set_back: bool = False


class Work:
    """Plans, layings, ticks and timers of the saved jobs.

    Parameters
    ----------
    database : Database
        Where they are.
    """

    def __init__(self, database: Database) -> None:
        self._db = database

    def keep_plan(self, job: str, version: int, plan: JobPlan) -> int:
        """Keep a plan that was made for a version of the document, and return its number."""
        with self._db.reading() as c:
            document = _document(c, job, version)
        return self.keep_snapshot(job, version, snapshot_of(plan, document))

    def keep_snapshot(self, job: str, version: int, kept: Snapshot) -> int:
        """Keep a plan as it was kept elsewhere, and return its number."""
        body = zlib.compress(snapshot_text(kept).encode())
        now, finished = self._db.now(), bool(kept.raw.get("finished", True))
        with self._db.writing() as c:
            row = c.execute("SELECT COALESCE(MAX(number), 0) + 1 FROM plans WHERE job = ?", (job,)).fetchone()
            number = int(row[0])
            try:
                c.execute(
                    "INSERT INTO plans VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
                    (job, number, version, kept.answer, kept.program, int(finished), body, now),
                )
            except sqlite3.IntegrityError as error:
                raise UnknownName(f"There is no job {job!r}.", code="store.no-job") from error
        return number

    def newest_number(self, job: str) -> tuple[int, int] | None:
        """Return number and document version of the newest plan without reading it, or None."""
        with self._db.reading() as c:
            row = c.execute(
                "SELECT number, version FROM plans WHERE job = ? ORDER BY number DESC LIMIT 1", (job,)
            ).fetchone()
        return None if row is None else (int(row["number"]), int(row["version"]))

    def plan(self, job: str, number: int) -> KeptPlan:
        """Return a kept plan.

        Raises
        ------
        UnknownName
            If there is no such plan.
        StoreError
            If it was written for another shape of a plan (an older Snugbay's).
        """
        with self._db.reading() as c:
            row = c.execute("SELECT * FROM plans WHERE job = ? AND number = ?", (job, number)).fetchone()
        if row is None:
            raise UnknownName(f"The job {job!r} has no plan {number}.", code="store.no-plan")
        kept = read_snapshot(_text(row["body"]))
        if not kept.document:  # of a form that did not keep it: the version is still there
            with self._db.reading() as c:
                kept = with_document(kept, _document(c, job, int(row["version"])))
        return KeptPlan(number, int(row["version"]), kept, row["at"])

    def keep_laying(self, job: str, plan: int, why: str, sheets: SheetPlan) -> int:
        """Keep sheets that were laid again and return their number."""
        body = zlib.compress(to_json(sheets).encode())
        with self._db.writing() as c:
            row = c.execute(
                "SELECT COALESCE(MAX(number), 0) + 1 FROM layings WHERE job = ? AND plan = ?", (job, plan)
            ).fetchone()
            c.execute(
                "INSERT INTO layings VALUES (?, ?, ?, ?, ?, ?)", (job, plan, int(row[0]), why, body, self._db.now())
            )
        return int(row[0])

    def laying(self, job: str, plan: int) -> Laying | None:
        """Return the newest laying of a plan, or None where nothing was laid again."""
        found = self._layings(job, plan, "DESC LIMIT 1")
        return found[0] if found else None

    def layings(self, job: str, plan: int) -> tuple[Laying, ...]:
        """Return every laying of a plan, the first one first."""
        return self._layings(job, plan, "ASC")

    def _layings(self, job: str, plan: int, order: str) -> tuple[Laying, ...]:
        with self._db.reading() as c:
            rows = c.execute(
                f"SELECT * FROM layings WHERE job = ? AND plan = ? ORDER BY number {order}", (job, plan)
            ).fetchall()
        return tuple(Laying(int(r["number"]), r["why"], from_json(SheetPlan, _text(r["body"])), r["at"]) for r in rows)

    def tick(self, job: str, plan: int, kind: str, key: str, done: bool = True) -> None:
        """Tick something off, or take the tick back. Cautions belong to the job: their plan is 0."""
        if kind not in TICK_KINDS:
            raise InputError(f"{kind!r} cannot be ticked off.", hint="One of " + ", ".join(TICK_KINDS) + ".")
        if not 0 < len(key) <= 200:
            raise InputError("A tick needs a name of at most 200 letters.")
        with self._db.writing() as c:
            if c.execute("SELECT 1 FROM jobs WHERE id = ?", (job,)).fetchone() is None:
                raise UnknownName(f"There is no job {job!r}.", code="store.no-job")
            c.execute(
                "INSERT INTO ticks VALUES (?, ?, ?, ?, ?, ?)"
                " ON CONFLICT DO UPDATE SET done = excluded.done, at = excluded.at",
                (job, plan, kind, key, int(done), self._db.now()),
            )

    def ticks(self, job: str, plan: int, kind: str) -> frozenset[str]:
        """Return what is ticked off."""
        with self._db.reading() as c:
            rows = c.execute(
                "SELECT key FROM ticks WHERE job = ? AND plan = ? AND kind = ? AND done = 1", (job, plan, kind)
            ).fetchall()
        return frozenset(r["key"] for r in rows)

    def stamp(self, job: str) -> str:
        """Return a text that changes whenever a plan, a laying, a tick or the clock of a job does."""
        with self._db.reading() as c:
            row = c.execute(
                "SELECT (SELECT COUNT(*) FROM plans WHERE job = :job), (SELECT COUNT(*) FROM layings WHERE job = :job),"
                " (SELECT COUNT(*) || COALESCE(MAX(at), '') FROM ticks WHERE job = :job),"
                " (SELECT COUNT(*) || COALESCE(MAX(stopped_at), '') FROM timers WHERE job = :job)",
                {"job": job},
            ).fetchone()
        return " ".join(str(part) for part in row)

    def start(self, job: str, face: str = "", element: str = "all", pieces: tuple[str, ...] = ()) -> Timer:
        """Start a clock; one that runs already goes on and is returned."""
        now = self._db.now()
        with self._db.writing() as c:
            running = c.execute("SELECT * FROM timers WHERE job = ? AND stopped_at IS NULL", (job,)).fetchone()
            if running is not None:
                return _timer(running, now)
            row = c.execute("SELECT COALESCE(MAX(number), 0) + 1 FROM timers WHERE job = ?", (job,)).fetchone()
            try:
                c.execute(
                    "INSERT INTO timers VALUES (?, ?, ?, ?, ?, ?, NULL)",
                    (job, int(row[0]), face, element, json.dumps(pieces), now),
                )
            except sqlite3.IntegrityError as error:
                raise UnknownName(f"There is no job {job!r}.", code="store.no-job") from error
        return Timer(int(row[0]), face, element, pieces, now, None, 0.0)

    def running(self, job: str) -> Timer | None:
        """Return the clock that runs, or None."""
        with self._db.reading() as c:
            row = c.execute("SELECT * FROM timers WHERE job = ? AND stopped_at IS NULL", (job,)).fetchone()
        return None if row is None else _timer(row, self._db.now())

    def stop_in(self, c: sqlite3.Connection, job: str) -> Timer | None:
        """Stop the clock that runs, inside a transaction that also writes down its hours; None where none runs."""
        now = self._db.now()
        row = c.execute("SELECT * FROM timers WHERE job = ? AND stopped_at IS NULL", (job,)).fetchone()
        if row is None:
            return None
        c.execute("UPDATE timers SET stopped_at = ? WHERE job = ? AND number = ?", (now, job, row["number"]))
        return _timer(
            c.execute("SELECT * FROM timers WHERE job = ? AND number = ?", (job, row["number"])).fetchone(), now
        )


def _timer(row: sqlite3.Row, now: str) -> Timer:
    end = row["stopped_at"] or now
    seconds = (datetime.fromisoformat(end) - datetime.fromisoformat(row["started_at"])).total_seconds()
    pieces = tuple(str(p) for p in json.loads(row["pieces"]))
    return Timer(
        int(row["number"]),
        row["face"],
        row["element"],
        pieces,
        row["started_at"],
        row["stopped_at"],
        max(seconds, 0.0) / 3600,
        seconds < 0,
    )


def _document(c: sqlite3.Connection, job: str, version: int) -> str:
    """Return the text of a version; raises `UnknownName`."""
    row = c.execute("SELECT text FROM versions WHERE job = ? AND number = ?", (job, version)).fetchone()
    if row is None:
        raise UnknownName(f"There is no job {job!r} with a version {version}.", code="store.no-job")
    return _text(row["text"])


def _text(body: bytes) -> str:
    try:
        return zlib.decompress(body).decode()
    except (zlib.error, UnicodeDecodeError) as error:
        raise StoreError("A saved plan is damaged.", hint="Plan the job again.", code="store.damaged") from error
