"""Saved jobs: the document's text with its whole history; undo and redo are versions too, so nothing is ever lost."""

from __future__ import annotations

import re
import sqlite3
import unicodedata
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from snugbay.base import InputError, StoreError, UnknownName
from snugbay.disk.reading import LARGEST
from snugbay.document.bounded import toml_data
from snugbay.store.database import Database
from snugbay.store.merge import Conflict, merge
from snugbay.store.toml_text import rewritten

LONGEST_TEXT = LARGEST
"""Longest document that is kept. [bytes]"""

SAME_STROKE = timedelta(seconds=20)
"""Changes of one field by one tab within this time are undone together."""


@dataclass(frozen=True)
class JobRow:
    """One line of the list of jobs.

    Attributes
    ----------
    id, title : str
        Id and name for people.
    head : int
        Number of the newest version.
    created_at, changed_at : str
        ISO 8601, UTC.
    """

    id: str
    title: str
    head: int
    created_at: str
    changed_at: str


@dataclass(frozen=True)
class Version:
    """One version of a job's document.

    Attributes
    ----------
    job : str
        Job id.
    number : int
        From 1, without gaps.
    text : str
        The document.
    kind : str
        new, edit, merge, undo, redo.
    stands_for : int
        The edit whose text this is: itself, or the one that an undo or redo went to.
    before : int or None
        Where undo goes from here.
    author, what, at : str
        Which tab or program; the field or what was done; ISO 8601 time.
    damaged : bool
        True where the text cannot be read any more; it is empty then.
    """

    job: str
    number: int
    text: str
    kind: str
    stands_for: int
    before: int | None
    author: str
    what: str
    at: str
    damaged: bool = False


@dataclass(frozen=True)
class Saved:
    """What became of a change.

    Attributes
    ----------
    version : Version
        The newest version now: with the change, or the one that it conflicts with.
    conflicts : tuple of Conflict
        Fields that somebody else changed meanwhile; where there are any, nothing was saved.
    merged : bool
        True where somebody else's changes of other fields were kept too.
    """

    version: Version
    conflicts: tuple[Conflict, ...] = ()
    merged: bool = False


def slug(title: str) -> str:
    """Return an id made of a title: ``"Ferry Cottage!"`` gives ``ferry-cottage``."""
    flat = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", flat).strip("-")[:48] or "job"


class Jobs:
    """The saved jobs.

    Parameters
    ----------
    database : Database
        Where they are.
    """

    def __init__(self, database: Database) -> None:
        self._db = database

    def all(self) -> tuple[JobRow, ...]:
        """Return the jobs that were not removed, last changed first."""
        with self._db.reading() as c:
            rows = c.execute("SELECT * FROM jobs WHERE removed_at IS NULL ORDER BY changed_at DESC, id").fetchall()
        return tuple(_job(r) for r in rows)

    def row(self, job: str) -> JobRow:
        """Return one job's line; raises `UnknownName`."""
        with self._db.reading() as c:
            return _job(_found(c, job))

    def create(self, title: str, text: str, author: str, what: str = "new") -> Version:
        """Keep a new job; its id is made from the title and made unique."""
        _check_size(text)
        now = self._db.now()
        with self._db.writing() as c:
            wanted = slug(title)
            taken = {
                r["id"] for r in c.execute("SELECT id FROM jobs WHERE id = ? OR id GLOB ?", (wanted, wanted + "-*"))
            }
            job = wanted
            count = 1
            while job in taken:
                count += 1
                job = f"{wanted}-{count}"
            c.execute("INSERT INTO jobs VALUES (?, ?, 0, ?, ?, NULL)", (job, title.strip() or job, now, now))
            return self._append(c, Version(job, 1, text, "new", 1, None, author, what, now))

    def head(self, job: str) -> Version:
        """Return the newest version; raises `UnknownName`."""
        with self._db.reading() as c:
            return _version(c, job, _found(c, job)["head"])

    def newest(self, job: str) -> Version:
        """Return the newest version, readable or not: what an earlier one is restored over."""
        with self._db.reading() as c:
            return _newest(c, job)

    def version(self, job: str, number: int) -> Version:
        """Return one version; raises `UnknownName`."""
        with self._db.reading() as c:
            _found(c, job)
            return _version(c, job, number)

    def history(self, job: str, limit: int = 200) -> tuple[Version, ...]:
        """Return the newest versions, newest first."""
        with self._db.reading() as c:
            _found(c, job)
            rows = c.execute(
                "SELECT * FROM versions WHERE job = ? ORDER BY number DESC LIMIT ?", (job, limit)
            ).fetchall()
        return tuple(_row_version(r) for r in rows)

    def by_others(self, job: str, since: int, author: str) -> tuple[int, bool]:
        """Return the number of the newest version, and whether anybody else made one after ``since``."""
        with self._db.reading() as c:
            head = int(_found(c, job)["head"])
            row = c.execute(
                "SELECT 1 FROM versions WHERE job = ? AND number > ? AND author <> ? LIMIT 1", (job, since, author)
            ).fetchone()
        return head, row is not None

    def save(self, job: str, base: int, text: str, author: str, what: str = "", *, title: str | None = None) -> Saved:
        """Keep a change that was made from version ``base``.

        Where the document has moved on since, the two changes are merged field by field. If both touched the same
        field, nothing is saved and the answer holds the conflicts.

        Parameters
        ----------
        job : str
            Job id.
        base : int
            Version the change was made from.
        text : str
            The changed document.
        author, what : str
            Which tab; which field or what was done.
        title : str or None
            New title of the job.

        Returns
        -------
        Saved
            The newest version and any conflicts.

        Raises
        ------
        UnknownName
            If the job or the version does not exist.
        InputError
            If the text is too long.
        """
        _check_size(text)
        now = self._db.now()
        with self._db.writing() as c:
            head = _newest(c, job)
            started = _row_version(_version_row(c, job, base))
            kind, merged = "edit", False
            if head.text not in (started.text, text):
                joined = merged_text(started.text, head.text, text)
                if isinstance(joined, tuple):
                    return Saved(head, joined)
                text, kind, merged = joined, "merge", True
            if title is not None:
                c.execute("UPDATE jobs SET title = ? WHERE id = ?", (title, job))
            if text == head.text:
                return Saved(head, (), merged)
            before = head.before if _same_stroke(head, author, what, now) else head.stands_for
            number = head.number + 1
            version = self._append(c, Version(job, number, text, kind, number, before, author, what, now))
        return Saved(version, (), merged)

    def undo(self, job: str, author: str, base: int | None = None) -> Saved:
        """Go back one change, as a new version; at the beginning the head is returned as it is.

        With ``base`` the step is only taken where that version is still the newest; otherwise it would take back a
        change that the asker has not seen, and the answer's one conflict names the document.
        """
        return self._step(job, author, "undo", base)

    def redo(self, job: str, author: str, base: int | None = None) -> Saved:
        """Take the last undo back, as a new version; where there is none the head is returned as it is."""
        return self._step(job, author, "redo", base)

    def can(self, job: str) -> tuple[bool, bool]:
        """Return whether there is something to undo and something to redo."""
        with self._db.reading() as c:
            head = _newest(c, job)
            return _target(c, head, "undo") is not None, _target(c, head, "redo") is not None

    def restore(self, job: str, number: int, author: str) -> Version:
        """Make an old version the newest one, as a change that can be undone."""
        with self._db.writing() as c:
            head = _newest(c, job)
            old = _version(c, job, number)
            now = self._db.now()
            n = head.number + 1
            return self._append(
                c, Version(job, n, old.text, "edit", n, head.stands_for, author, f"restore {number}", now)
            )

    def remove(self, job: str) -> None:
        """Take a job off the list; its history stays in the file."""
        with self._db.writing() as c:
            _found(c, job)
            c.execute("UPDATE jobs SET removed_at = ? WHERE id = ?", (self._db.now(), job))

    def bring_back(self, job: str) -> None:
        """Put a removed job back on the list."""
        with self._db.writing() as c:
            c.execute("UPDATE jobs SET removed_at = NULL WHERE id = ?", (job,))

    def _step(self, job: str, author: str, kind: str, base: int | None) -> Saved:
        now = self._db.now()
        with self._db.writing() as c:
            head = _newest(c, job)
            goal = _target(c, head, kind)
            if base is not None and base != head.number:
                return Saved(head, (Conflict(("document",), base, head.number, kind),))
            if goal is None:
                return Saved(head)
            there = _version(c, job, goal)
            what = f"{kind} {there.what}"
            step = Version(job, head.number + 1, there.text, kind, goal, there.before, author, what, now)
            return Saved(self._append(c, step))

    def change_in(self, c: sqlite3.Connection, job: str, change: Callable[[str], str], author: str, what: str) -> None:
        """Change the newest text inside a transaction that does more than that; nobody can come in between."""
        head = _version(c, job, _found(c, job)["head"])
        text = change(head.text)
        _check_size(text)
        number = head.number + 1
        self._append(c, Version(job, number, text, "edit", number, head.stands_for, author, what, self._db.now()))

    def _append(self, c: sqlite3.Connection, v: Version) -> Version:
        body = zlib.compress(v.text.encode())
        c.execute(
            "INSERT INTO versions VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (v.job, v.number, body, v.kind, v.stands_for, v.before, v.author, v.what, v.at),
        )
        c.execute("UPDATE jobs SET head = ?, changed_at = ? WHERE id = ?", (v.number, v.at, v.job))
        return v


def merged_text(base: str, theirs: str, mine: str) -> str | tuple[Conflict, ...]:
    """Merge two changed texts of one document; conflicts where both touched the same field, or one is no TOML."""
    try:
        data = tuple(toml_data(t) for t in (base, theirs, mine))
    except InputError:
        return (Conflict(("document",), base, theirs, mine),)
    joined, conflicts = merge(*data)
    if conflicts or not isinstance(joined, dict):
        return conflicts
    return theirs if joined == data[1] else rewritten(theirs, joined)


def _target(c: sqlite3.Connection, head: Version, kind: str) -> int | None:
    """Return the version that an undo or redo from here goes to."""
    if kind == "undo":
        return head.before
    redo: list[int] = []  # what was undone and not yet redone, newest last
    rows = c.execute(
        "SELECT number, kind, stands_for FROM versions WHERE job = ? AND number <= ? ORDER BY number DESC",
        (head.job, head.number),
    )
    trail: list[tuple[str, int]] = []
    for row in rows:
        trail.append((row["kind"], row["stands_for"]))
        if row["kind"] not in ("undo", "redo"):
            break
    at = trail[-1][1]
    for step, goal in reversed(trail[:-1]):
        if step == "undo":
            redo.append(at)
        else:
            redo.pop()
        at = goal
    return redo[-1] if redo else None


def _same_stroke(head: Version, author: str, what: str, now: str) -> bool:
    if head.kind != "edit" or not what or (head.author, head.what) != (author, what) or head.before is None:
        return False
    since = datetime.fromisoformat(now) - datetime.fromisoformat(head.at)
    return timedelta(0) <= since <= SAME_STROKE  # a machine's clock may have been set back in between


def _check_size(text: str) -> None:
    if len(text.encode()) > LONGEST_TEXT:
        raise InputError(
            f"The document is longer than {LONGEST_TEXT / 1e6:g} MB.",
            hint="A job needs far less.",
            code="document.size",
        )


def _found(c: sqlite3.Connection, job: str) -> sqlite3.Row:
    row: sqlite3.Row | None = c.execute("SELECT * FROM jobs WHERE id = ?", (job,)).fetchone()
    if row is None:
        raise UnknownName(
            f"There is no job {job!r}.", hint="The list of jobs shows what there is.", code="store.no-job"
        )
    return row


def _version_row(c: sqlite3.Connection, job: str, number: int) -> sqlite3.Row:
    row: sqlite3.Row | None = c.execute("SELECT * FROM versions WHERE job = ? AND number = ?", (job, number)).fetchone()
    if row is None:
        raise UnknownName(f"The job {job!r} has no version {number}.", code="store.no-version")
    return row


def _version(c: sqlite3.Connection, job: str, number: int) -> Version:
    """Return a version that can be read; raises `StoreError` where it is damaged."""
    found = _row_version(_version_row(c, job, number))
    if found.damaged:
        raise StoreError(
            f"Version {number} of the job {job!r} is damaged.",
            hint="Restore an earlier version from the job's history.",
            code="store.damaged-version",
        )
    return found


def _newest(c: sqlite3.Connection, job: str) -> Version:
    return _row_version(_version_row(c, job, _found(c, job)["head"]))


def _row_version(row: sqlite3.Row) -> Version:
    try:
        text, damaged = zlib.decompress(row["text"]).decode(), False
    except (zlib.error, UnicodeDecodeError, TypeError):
        text, damaged = "", True
    names = ("kind", "stands_for", "before", "author", "what", "at")
    return Version(row["job"], row["number"], text, **{n: row[n] for n in names}, damaged=damaged)


def _job(row: sqlite3.Row) -> JobRow:
    return JobRow(row["id"], row["title"], row["head"], row["created_at"], row["changed_at"])
