"""The command `log`: an entry is added to the job document, nothing in it is changed."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import AoT

from snugbay.base import InputError
from snugbay.cli.app import read_text
from snugbay.cli.hours import MOST_AT_ONCE, between, day_of
from snugbay.cli.kept import changes_since, kept_plan, unplanned
from snugbay.disk import locked, write_whole
from snugbay.document.snapshot import Snapshot
from snugbay.document.worklog import read_log
from snugbay.job import Log
from snugbay.materials.items import item_ids
from snugbay.prove.names import check_day, check_element, check_pieces, hours_logged, hours_on


@dataclass(frozen=True)
class Entry:
    """What the user typed; fields as in the job's log. ``hours`` None: no hours were typed."""

    hours: float | None
    element: str = "all"
    face: str = ""
    pieces: tuple[str, ...] = ()
    share_done: float = 0.0
    note: str = ""
    replaces: int | None = None
    day: str = ""
    begun: str = ""
    ended: str = ""
    pause: float = 0.0
    used: tuple[str, ...] = ()


def _table(entry: Entry) -> tomlkit.items.Table:
    table = tomlkit.table()
    table.add("day", entry.day)
    table.add("hours", entry.hours)
    for key in ("element", "face", "note"):
        if getattr(entry, key):
            table.add(key, getattr(entry, key))
    if entry.pieces:
        table.add("pieces", list(entry.pieces))
    if entry.share_done:
        table.add("share_done", entry.share_done)
    if entry.replaces is not None:
        table.add("replaces", entry.replaces)
    return table


def _added(log: Any, key: str, table: tomlkit.items.Table) -> None:
    """Add a table to a list of tables, written either way."""
    rows = log.setdefault(key, tomlkit.aot())
    if isinstance(rows, AoT):
        rows.append(table)
    else:
        inline = tomlkit.inline_table()
        inline.update(table.unwrap())
        rows.append(inline)


def _amounts(used: tuple[str, ...]) -> list[tuple[str, float]]:
    out = []
    for text in used:
        item, mark, amount = text.rpartition("=")
        try:
            number = float(amount)
        except ValueError:
            number = -1.0
        if not mark or not number > 0:
            raise InputError(f"{text!r} is not ITEM=AMOUNT.", where=("used",), hint="Write --used gun-can=2.")
        out.append((item, number))
    return out


@dataclass(frozen=True)
class _Work:
    """A document under the lock: its text, its plain data, the log in it, and the plan that is kept beside it."""

    path: Path
    text: str
    data: Mapping[str, Any]
    log: Log
    kept: Snapshot | None

    @property
    def hands(self) -> int:
        """People on the job."""
        said = self.data.get("you", {}).get("hands")
        return int(said) if isinstance(said, int) else 1

    @property
    def items(self) -> set[str]:
        """What can be used up."""
        sheets = self.data.get("stock", {}).get("sheets", [])
        return {*item_ids(), *(str(s["material"]) for s in sheets if "material" in s)}


def _opened(path: Path) -> _Work:
    """Read what a log entry needs of a document; what is wrong with it is said as any command says it."""
    text = read_text(path)
    try:
        data = tomllib.loads(text)
        log = read_log(data.get("log", {}))
    except ValueError:
        from snugbay.document import read

        read(text)  # names the fault and its line
        raise
    return _Work(path, text, data, log, kept_plan(path))


def _checked(work: _Work, entry: Entry) -> None:
    """Refuse names that the plan has not, before anything is written."""
    check_element(entry.element)
    entries = len(work.log.entries)
    if entry.replaces is not None and not 0 <= entry.replaces < entries:
        hint = (
            f"Entries are numbered 0 to {entries - 1}; snugbay log JOB lists them." if entries else "None is there yet."
        )
        raise InputError(f"There is no entry {entry.replaces} to correct.", where=("replaces",), hint=hint)
    if entry.face and (work.kept is None or entry.face not in work.kept.faces):
        from snugbay.document import read

        read(work.text).face(entry.face)
    if entry.pieces and work.kept is None:
        hint = f"{unplanned(work.path)[:-1]}; until then log by the face and the share of it that is done (--share)."
        raise InputError("Pieces have names once there is a plan.", where=("piece",), hint=hint, code="plan.none")
    if entry.pieces and work.kept is not None:
        check_pieces(entry.pieces, entry.face, work.kept.pieces)


def _timed(entry: Entry, now: datetime) -> Entry:
    """Fill in hours from the times typed, and the day."""
    if entry.begun or entry.ended:
        if entry.hours is not None:
            raise InputError("Give --hours, or --from and --to, not both.", where=("hours",))
        entry = replace(entry, hours=between(entry.begun, entry.ended, entry.pause))
    elif entry.pause and entry.hours is not None:
        raise InputError("--break goes with --from and --to.", where=("break",), hint="Take it off the hours.")
    return replace(entry, day=day_of(entry.day, now))


def add(work: _Work, entry: Entry) -> None:
    """Add an entry, or amounts used, to the job's log; comments and order of the document stay.

    Raises
    ------
    InputError
        If a name is unknown, or the log with the entry cannot be read; the file is then left as it was.
    """
    _write(work, tomlkit.parse(work.text), _timed(entry, datetime.now()))


def _write(work: _Work, document: tomlkit.TOMLDocument, entry: Entry) -> None:
    _checked(work, entry)
    if entry.hours is not None:
        check_day(entry.day, entry.hours, hours_on(work.log, entry.day, entry.replaces), work.hands)
    log = document.setdefault("log", tomlkit.table())
    for item, amount in _amounts(entry.used):
        if item not in work.items:
            raise _no_item(item, work.items)
        table = tomlkit.table()
        table.add("item", item)
        table.add("amount", amount)
        _added(log, "used", table)
    if entry.hours is not None:
        _added(log, "entries", _table(entry))
    after = _put(work.path, document)
    if entry.hours is not None:
        print(f"Entry {len(after.entries) - 1} written: {entry.hours:g} h.", end=" ")
    print(f"Logged so far: {hours_logged(after):g} h.")
    if work.kept is None:
        print(unplanned(work.path))
    elif changed := changes_since(work.kept, work.text):
        fields = "1 field" if len(changed) == 1 else f"{len(changed)} fields"
        print(f"The document has changed since the plan was printed, in {fields}: snugbay prove says in which.")


def _put(path: Path, document: tomlkit.TOMLDocument) -> Log:
    """Write the document and return the log in it."""
    text = tomlkit.dumps(document)
    log = read_log(tomllib.loads(text).get("log", {}))
    write_whole(path, text.encode())
    return log


def _no_item(item: str, items: set[str]) -> InputError:
    from difflib import get_close_matches

    close = get_close_matches(item, sorted(items), n=3, cutoff=0.4)
    hint = "Close names: " + ", ".join(close) + "." if close else "Ids are in buying.csv of the plan."
    return InputError(f"There is nothing called {item!r} to use up.", where=("used",), hint=hint)


def start_clock(work: _Work) -> None:
    """Start the clock: the time is written into the job's log.

    Raises
    ------
    InputError
        If it runs already.
    """
    document = tomlkit.parse(work.text)
    log: Any = document.setdefault("log", tomlkit.table())
    if log.get("started"):
        raise InputError(f"The clock runs since {log['started']}.", where=("log", "started"), hint="Stop it: --stop.")
    now = datetime.now().replace(second=0, microsecond=0)
    log["started"] = now.isoformat(timespec="minutes")
    _put(work.path, document)
    print(f"The clock runs since {now:%H:%M}. Stop it with snugbay log {work.path} --stop and what got done.")


def stop_clock(work: _Work, entry: Entry) -> None:
    """Stop the clock and write its hours as an entry.

    Raises
    ------
    InputError
        If it does not run, or has run so long that somebody forgot it; the file is then left as it was.
    """
    document = tomlkit.parse(work.text)
    log: Any = document.get("log", {})
    since = str(log.get("started", ""))
    if not since:
        raise InputError("The clock does not run.", where=("log",), hint="Start it with --start, or give --hours.")
    if entry.hours is not None or entry.begun or entry.ended:
        raise InputError("--stop has its own hours.", where=("hours",), hint="Leave out --hours, --from and --to.")
    try:
        begun = datetime.fromisoformat(since)
    except ValueError:
        raise InputError(f"{since!r} is not a time.", where=("log", "started"), hint="Remove it.") from None
    hours = (datetime.now() - begun).total_seconds() / 3600.0 - entry.pause / 60.0
    if not 0.0 <= hours <= MOST_AT_ONCE:
        raise InputError(
            f"The clock runs since {since}: {hours:.1f} h.",
            where=("log", "started"),
            hint="Remove log.started from the document and log the hours with --hours.",
        )
    del log["started"]
    done = replace(entry, hours=round(hours, 2), pause=0.0, day=entry.day or f"{begun:%Y-%m-%d}")
    _write(work, document, _timed(done, datetime.now()))


def log(path: Path, entry: Entry, *, start: bool, stop: bool) -> None:
    """Do what the options ask for: start or stop the clock, add an entry, or list the log.

    Raises
    ------
    InputError
        As the single acts do, and where options do not go together.
    """
    if start and (stop or entry != Entry(None)):
        raise InputError("--start stands alone.", where=("start",), hint="Say what got done with --stop.")
    if not start and not stop and entry == Entry(None):
        show(_opened(path).log)
        return
    if not (start or stop or entry.hours is not None or entry.begun or entry.ended or entry.used):
        raise InputError("No hours are given.", where=("hours",), hint="Give --hours, or --from and --to, or --stop.")
    read_text(path)  # a file that is not there is said before its lock is made
    with locked(path):
        work = _opened(path)
        if start:
            start_clock(work)
        elif stop:
            stop_clock(work, entry)
        else:
            add(work, entry)


def show(log: Log) -> None:
    """Print the log with the numbers of its entries."""
    if not log.entries:
        print("Nothing is logged yet. Write hours with --hours, or --from and --to, or --start and --stop.")
        return
    corrected = {e.replaces: n for n, e in enumerate(log.entries) if e.replaces is not None}
    for n, e in enumerate(log.entries):
        done = ", ".join(e.pieces) or (f"{e.share_done:.0%} done" if e.share_done else "")
        parts = [e.day, f"{e.hours:g} h", e.element, e.face, done, e.note]
        mark = f" (corrected by {corrected[n]})" if n in corrected else ""
        print(f"{n:3d}  " + "  ".join(p for p in parts if p) + mark)
    print(f"Logged so far: {hours_logged(log):g} h.")
