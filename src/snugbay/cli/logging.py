"""The command `log`: an entry is added to the job document, nothing in it is changed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import AoT

from snugbay.base import Effort, InputError, Run
from snugbay.cli.app import read_text, write_file
from snugbay.cli.hours import MOST_AT_ONCE, between, day_of
from snugbay.cli.loading import load
from snugbay.cli.telling import progress_bar
from snugbay.document import read
from snugbay.flow import planned_pieces
from snugbay.job import Job
from snugbay.materials.items import item_ids
from snugbay.prove import check_element, check_pieces, hours_logged
from snugbay.prove.names import check_day, hours_on


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


def _checked(path: Path, entry: Entry, entries: int) -> None:
    """Refuse names that the plan has not, before anything is written."""
    check_element(entry.element)
    if entry.replaces is not None and not 0 <= entry.replaces < entries:
        hint = (
            f"Entries are numbered 0 to {entries - 1}; snugbay log JOB lists them." if entries else "None is there yet."
        )
        raise InputError(f"There is no entry {entry.replaces} to correct.", where=("replaces",), hint=hint)
    if not entry.pieces:
        return
    job = load(path)
    if entry.face:
        job.face(entry.face)
    with progress_bar() as progress:
        pieces = planned_pieces(job, Run(1, Effort.QUICK, progress)).value
    check_pieces(entry.pieces, entry.face, pieces)


def _timed(entry: Entry, now: datetime) -> Entry:
    """Fill in hours from the times typed, and the day."""
    if entry.begun or entry.ended:
        if entry.hours is not None:
            raise InputError("Give --hours, or --from and --to, not both.", where=("hours",))
        entry = replace(entry, hours=between(entry.begun, entry.ended, entry.pause))
    elif entry.pause and entry.hours is not None:
        raise InputError("--break goes with --from and --to.", where=("break",), hint="Take it off the hours.")
    return replace(entry, day=day_of(entry.day, now))


def add(path: Path, entry: Entry) -> None:
    """Add an entry, or amounts used, to the job's log; comments and order of the document stay.

    Raises
    ------
    InputError
        If a name is unknown, or the job with the entry cannot be read; the file is then left as it was.
    """
    text = read_text(path)
    _write(path, read(text), tomlkit.parse(text), _timed(entry, datetime.now()))


def _write(path: Path, before: Job, document: tomlkit.TOMLDocument, entry: Entry) -> None:
    _checked(path, entry, len(before.log.entries))
    if entry.hours is not None:
        check_day(entry.day, entry.hours, hours_on(before.log, entry.day, entry.replaces), before.you.hands)
    log = document.setdefault("log", tomlkit.table())
    items = {*item_ids(), *(s.material for s in before.stock.sheets)}
    for item, amount in _amounts(entry.used):
        if item not in items:
            raise _no_item(item, items)
        table = tomlkit.table()
        table.add("item", item)
        table.add("amount", amount)
        _added(log, "used", table)
    if entry.hours is not None:
        _added(log, "entries", _table(entry))
    new = tomlkit.dumps(document)
    job = read(new)
    write_file(path, new.encode())
    if entry.hours is not None:
        print(f"Entry {len(job.log.entries) - 1} written: {entry.hours:g} h.", end=" ")
    print(f"Logged so far: {hours_logged(job.log):g} h.")


def _no_item(item: str, items: set[str]) -> InputError:
    from difflib import get_close_matches

    close = get_close_matches(item, sorted(items), n=3, cutoff=0.4)
    hint = "Close names: " + ", ".join(close) + "." if close else "Ids are in buying.csv of the plan."
    return InputError(f"There is nothing called {item!r} to use up.", where=("used",), hint=hint)


def start_clock(path: Path) -> None:
    """Start the clock: the time is written into the job's log.

    Raises
    ------
    InputError
        If it runs already.
    """
    text = read_text(path)
    read(text)
    document = tomlkit.parse(text)
    log: Any = document.setdefault("log", tomlkit.table())
    if log.get("started"):
        raise InputError(f"The clock runs since {log['started']}.", where=("log", "started"), hint="Stop it: --stop.")
    now = datetime.now().replace(second=0, microsecond=0)
    log["started"] = now.isoformat(timespec="minutes")
    read(tomlkit.dumps(document))
    write_file(path, tomlkit.dumps(document).encode())
    print(f"The clock runs since {now:%H:%M}. Stop it with snugbay log {path} --stop and what got done.")


def stop_clock(path: Path, entry: Entry) -> None:
    """Stop the clock and write its hours as an entry.

    Raises
    ------
    InputError
        If it does not run, or has run so long that somebody forgot it; the file is then left as it was.
    """
    text = read_text(path)
    before, document = read(text), tomlkit.parse(text)
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
    _write(path, before, document, _timed(done, datetime.now()))


def log(path: Path, entry: Entry, *, start: bool, stop: bool) -> None:
    """Do what the options ask for: start or stop the clock, add an entry, or list the log.

    Raises
    ------
    InputError
        As the single acts do, and where options do not go together.
    """
    if start and (stop or entry != Entry(None)):
        raise InputError("--start stands alone.", where=("start",), hint="Say what got done with --stop.")
    if start:
        start_clock(path)
    elif stop:
        stop_clock(path, entry)
    elif entry == Entry(None):
        show(path)
    elif entry.hours is None and not (entry.begun or entry.ended or entry.used):
        raise InputError("No hours are given.", where=("hours",), hint="Give --hours, or --from and --to, or --stop.")
    else:
        add(path, entry)


def show(path: Path) -> None:
    """Print the log with the numbers of its entries."""
    log = load(path).log
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
