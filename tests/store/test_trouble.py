"""Full disks, killed programs, damaged files, clocks set back: what was acknowledged stays, and the rest is said."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from snugbay.base import StoreError
from snugbay.store import Database, Store
from snugbay.store.database import WORDS, said
from snugbay.store.doctor import TABLES, checked, exported, salvaged

DAY = datetime(2026, 1, 31, 18, 0, tzinfo=UTC)


class Clock:
    def __init__(self) -> None:
        self.at = DAY

    def __call__(self) -> datetime:
        return self.at


def shop(home: Path, jobs: int = 3) -> Store:
    """Return a store with jobs of five versions, one of them with a clock that ran."""
    store = Store(home)
    for number in range(jobs):
        job = store.jobs.create(f"Job {number}", "a = 0\n", "t").job
        for step in range(1, 5):
            store.jobs.save(job, step, f"a = {step}\n", "t", f"field {step}")
        store.beside.keep(job, "cellar.csv", "time,a\n")
    return store


@pytest.mark.parametrize("code", sorted(WORDS))
def test_each_trouble_of_the_database_has_its_own_words(code: int) -> None:
    error = sqlite3.OperationalError("database or disk is full")
    error.sqlite_errorcode = code
    with pytest.raises(StoreError) as told, said(Path("jobs.sqlite")):
        raise error
    assert told.value.code.startswith("store.")
    assert told.value.hint
    assert "sqlite" not in told.value.what.replace("jobs.sqlite", "")


def test_a_full_disk_at_any_statement_loses_nothing_that_was_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The database may grow by no page, then by one, and so on, until the save goes through."""
    store = shop(tmp_path)
    pages = 0
    connected = Database._connected

    def full(self: Database) -> sqlite3.Connection:
        made = connected(self)
        made.execute(f"PRAGMA max_page_count = {made.execute('PRAGMA page_count').fetchone()[0] + pages}")
        return made

    monkeypatch.setattr(Database, "_connected", full)
    text = "".join(f"field_{i} = '{(i * 7919) ** 3}'\n" for i in range(4000))
    refused = 0
    for pages in range(100):  # noqa: B007 - read by `full`
        try:
            store.jobs.save("job-0", 5, text, "t")
            break
        except StoreError as error:
            refused += error.code == "store.full"
            assert store.jobs.head("job-0").text == "a = 4\n"
    assert refused > 2
    assert store.jobs.head("job-0").text == text
    assert checked(tmp_path / "jobs.sqlite") == ()


KILLED = """
import os, sys
from pathlib import Path
from snugbay.store import Database, Store

home, connected, known = Path(sys.argv[1]), Database._connected, 0
for at in range(1, 40):
    if os.fork() == 0:
        left = [at]

        def count(_):
            left[0] -= 1
            if left[0] == 0:
                os._exit(9)

        def traced(self):
            made = connected(self)
            made.set_trace_callback(count)
            return made

        Database._connected = traced
        Store(home).stop_clock("job-0", lambda t, text: text + f"# {t.number}\\n", "t")
        os._exit(0)
    _, status = os.wait()
    store = Store(home)
    stopped, written = store.work.running("job-0") is None, store.jobs.head("job-0").text.count("#")
    assert written == known + stopped, (at, stopped, written, known)
    if stopped:
        known = written
        store.work.start("job-0")
    print(status)
"""


def test_a_kill_at_any_statement_keeps_clock_and_log_together(tmp_path: Path) -> None:
    store = shop(tmp_path, 1)
    store.work.start("job-0")
    done = subprocess.run([sys.executable, "-c", KILLED, str(tmp_path)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert set(done.stdout.split()) == {"0", str(9 << 8)}  # some were killed, some came through
    assert checked(tmp_path / "jobs.sqlite") == ()


def test_a_clock_set_back_writes_no_hours_and_says_so(tmp_path: Path) -> None:
    clock = Clock()
    store = Store(tmp_path, clock)
    job = store.jobs.create("a", "a = 1\n", "t").job
    store.work.start(job)
    clock.at = DAY - timedelta(days=1)
    timer = store.stop_clock(job, lambda _, text: text + "# hours\n", "t")
    assert timer is not None
    assert timer.set_back
    assert timer.hours == 0
    assert store.work.running(job) is None
    assert store.jobs.head(job).text == "a = 1\n"


def test_what_cannot_be_written_leaves_the_clock_running(tmp_path: Path) -> None:
    store = shop(tmp_path, 1)
    store.work.start("job-0")

    def broken(_: object, text: str) -> str:
        raise StoreError(text)

    with pytest.raises(StoreError):
        store.stop_clock("job-0", broken, "t")
    assert store.work.running("job-0") is not None


def test_a_copy_a_day_and_seven_of_them(tmp_path: Path) -> None:
    clock = Clock()
    store = Store(tmp_path, clock)
    store.jobs.create("a", "a = 1\n", "t")
    for day in range(9):
        clock.at = DAY + timedelta(days=day)
        made = store.back_up()
        assert made is not None
        assert checked(made) == ()
        assert store.back_up() is None
    kept = sorted(p.name for p in (tmp_path / "backups").iterdir())
    assert len(kept) == 7
    assert kept[-1] == "jobs-2026-02-08.sqlite"
    again = tmp_path / "again"
    again.mkdir()
    (tmp_path / "backups" / kept[-1]).rename(again / "jobs.sqlite")
    assert Store(again).jobs.head("a").text == "a = 1\n"


def test_the_doctor_finds_nothing_in_a_whole_file_and_writes_it_out(tmp_path: Path) -> None:
    store = shop(tmp_path)
    assert checked(tmp_path / "jobs.sqlite") == ()
    written, faults = exported(store.database, tmp_path / "out")
    assert not faults
    assert sorted(p.read_text() for p in written) == ["a = 4\n"] * 3
    assert (tmp_path / "out" / "job-0" / "cellar.csv").read_text() == "time,a\n"


def test_the_doctor_names_a_damaged_version_and_saves_the_one_before(tmp_path: Path) -> None:
    store = shop(tmp_path)
    with store.database.writing() as c:
        c.execute("UPDATE versions SET text = x'00' WHERE job = 'job-1' AND number = 5")
    assert checked(tmp_path / "jobs.sqlite") == ("Version 5 of the job 'job-1' is damaged.",)
    _, faults = exported(store.database, tmp_path / "out")
    assert faults == ("Version 4 of the job 'job-1' is the newest that can be read.",)
    saved = salvaged(tmp_path / "jobs.sqlite", tmp_path / "new" / "jobs.sqlite")
    assert dict(saved.rows)["versions"] == 15
    assert Store(tmp_path / "new").jobs.head("job-1").text == "a = 3\n"
    assert Store(tmp_path / "new").jobs.head("job-2").text == "a = 4\n"


@pytest.mark.parametrize("page", range(2, 14))
def test_a_file_with_a_spoilt_page_is_said_to_be_and_saved_as_far_as_it_goes(tmp_path: Path, page: int) -> None:
    store = shop(tmp_path, 40)
    with store.database._open() as c:
        c.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        size = c.execute("PRAGMA page_size").fetchone()[0]
    path = tmp_path / "jobs.sqlite"
    body = bytearray(path.read_bytes())
    body[page * size : (page + 1) * size] = b"\xff" * size
    path.write_bytes(bytes(body))
    assert checked(path)
    saved = salvaged(path, tmp_path / "new.sqlite")
    assert {t for t, _ in saved.rows} == set(TABLES)
    assert not [f for f in checked(tmp_path / "new.sqlite") if "newest" not in f]
