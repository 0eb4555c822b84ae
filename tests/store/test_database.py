"""The file: migrations, damage, where it lies."""

from __future__ import annotations

import pickle
import sqlite3
import zlib
from pathlib import Path

import pytest

from snugbay.base import StoreError
from snugbay.store import MIGRATIONS, Database, Store, data_home, migrations, pending


def test_pending_only_reads_and_everything_is_applied_once(tmp_path: Path) -> None:
    path = tmp_path / "jobs.sqlite"
    connection = sqlite3.connect(path, isolation_level=None)
    assert pending(connection) == MIGRATIONS
    assert connection.execute("SELECT count(*) FROM sqlite_schema").fetchone() == (0,)
    Database(path)
    assert pending(connection) == ()
    recorded = [name for (name,) in connection.execute("SELECT name FROM migrations ORDER BY number")]
    assert recorded == [m.name for m in MIGRATIONS]
    Database(path)
    assert connection.execute("SELECT count(*) FROM migrations").fetchone() == (len(MIGRATIONS),)
    assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    connection.close()


def test_a_migration_that_fails_leaves_no_trace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(connection: sqlite3.Connection) -> None:
        connection.execute("CREATE TABLE half (x INTEGER) STRICT")
        connection.execute("NONSENSE")

    path = tmp_path / "jobs.sqlite"
    monkeypatch.setattr(migrations, "MIGRATIONS", (*MIGRATIONS, migrations.Migration("broken", broken)))
    with pytest.raises(sqlite3.OperationalError, match="NONSENSE"):
        Database(path)
    connection = sqlite3.connect(path)
    tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")}
    connection.close()
    assert "half" not in tables
    assert "ticks" in tables


def test_a_file_of_a_newer_program_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "jobs.sqlite"
    Database(path)
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("INSERT INTO migrations (name, at) VALUES ('from the future', 'x')")
    connection.close()
    before = path.read_bytes()
    with pytest.raises(StoreError) as caught:
        Database(path)
    assert caught.value.code == "store.newer"
    assert path.read_bytes() == before
    assert pickle.loads(pickle.dumps(caught.value)).hint == caught.value.hint


def test_a_file_that_is_no_database_is_said_to_be_none(tmp_path: Path) -> None:
    (tmp_path / "jobs.sqlite").write_text("hello, this is not a database at all" * 50)
    with pytest.raises(StoreError) as caught:
        Store(tmp_path)
    assert "SNUGBAY_HOME" in caught.value.hint


def test_a_damaged_version_names_itself(tmp_path: Path) -> None:
    store = Store(tmp_path)
    job = store.jobs.create("a", "a = 1\n", "t").job
    store.jobs.save(job, 1, "a = 2\n", "t")
    with store.database.writing() as c:
        c.execute("UPDATE versions SET text = ? WHERE number = 2", (zlib.compress(b"a = 2")[:-3],))
    with pytest.raises(StoreError, match="Version 2 of the job 'a' is damaged"):
        store.jobs.head(job)
    assert store.jobs.version(job, 1).text == "a = 1\n"
    assert [v.damaged for v in store.jobs.history(job)] == [True, False]
    assert store.jobs.can(job) == (True, False)
    assert store.jobs.undo(job, "t").version.text == "a = 1\n"


def test_a_damaged_newest_version_is_restored_over_or_written_anew(tmp_path: Path) -> None:
    store = Store(tmp_path)
    for title in ("a", "b"):
        job = store.jobs.create(title, "a = 1\n", "t").job
        store.jobs.save(job, 1, "a = 2\n", "t")
    with store.database.writing() as c:
        c.execute("UPDATE versions SET text = x'00' WHERE number = 2")
    assert store.jobs.restore("a", 1, "t").text == store.jobs.head("a").text == "a = 1\n"
    assert store.jobs.save("b", 2, "a = 3\n", "t").version.text == store.jobs.head("b").text == "a = 3\n"


def test_a_write_that_fails_half_way_is_undone(tmp_path: Path) -> None:
    store = Store(tmp_path)
    job = store.jobs.create("a", "a = 1\n", "t").job

    def half() -> None:
        with store.database.writing() as c:
            c.execute("UPDATE jobs SET title = 'half'")
            c.execute("NONSENSE")

    with pytest.raises(sqlite3.OperationalError):
        half()
    assert store.jobs.row(job).title == "a"


def test_a_locked_file_gives_a_clear_error(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("snugbay.store.database.BUSY_SECONDS", 0.05)
    store = Store(tmp_path)
    with store.database.writing(), pytest.raises(StoreError) as caught:
        store.jobs.create("a", "a = 1\n", "t")
    assert caught.value.code == "store.locked"


def test_where_jobs_lie() -> None:
    assert data_home({"SNUGBAY_HOME": "/x/y"}, "linux") == Path("/x/y")
    assert data_home({"XDG_DATA_HOME": "/d"}, "linux") == Path("/d/snugbay")
    assert data_home({}, "linux") == Path.home() / ".local/share/snugbay"
    assert data_home({"XDG_DATA_HOME": "relative"}, "linux") == Path.home() / ".local/share/snugbay"
    assert data_home({}, "darwin") == Path.home() / "Library/Application Support/snugbay"
    assert data_home({"LOCALAPPDATA": "/l"}, "win32") == Path("/l/snugbay")
