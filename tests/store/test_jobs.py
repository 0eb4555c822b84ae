"""Saved jobs: versions, undo and redo, two writers, a killed writer."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from snugbay.base import InputError, UnknownName
from snugbay.store import Store, slug


class Clock:
    """A clock that the test moves."""

    def __init__(self) -> None:
        self.now = datetime(2030, 1, 5, 8, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def later(self, **delta: float) -> None:
        self.now += timedelta(**delta)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def store(tmp_path: Path, clock: Clock) -> Store:
    return Store(tmp_path, clock)


def test_ids_are_made_of_titles_and_unique(store: Store) -> None:
    ids = [store.jobs.create(t, "x = 1\n", "t").job for t in ("Ferry Cottage!", "ferry cottage", "Ferry  cottage", "…")]
    assert ids == ["ferry-cottage", "ferry-cottage-2", "ferry-cottage-3", "job"]
    assert slug("Zürich Dachgaube") == "zurich-dachgaube"
    assert [r.id for r in store.jobs.all()] == sorted(ids)


def test_a_removed_job_can_come_back(store: Store) -> None:
    job = store.jobs.create("a", "x = 1\n", "t").job
    store.jobs.remove(job)
    assert store.jobs.all() == ()
    store.jobs.bring_back(job)
    assert store.jobs.row(job).id == job
    with pytest.raises(UnknownName):
        store.jobs.head("nobody")


def test_saving_from_an_old_version_merges_other_fields(store: Store) -> None:
    first = store.jobs.create("a", 'a = "1"\nb = "1"\n', "tab 1")
    store.jobs.save(first.job, 1, 'a = "2"\nb = "1"\n', "tab 1", "a")
    saved = store.jobs.save(first.job, 1, 'a = "1"\nb = "2"\n', "tab 2", "b")
    assert saved.merged
    assert saved.version.kind == "merge"
    assert saved.version.text == 'a = "2"\nb = "2"\n'


def test_saving_the_same_field_from_an_old_version_saves_nothing_and_shows_both(store: Store) -> None:
    first = store.jobs.create("a", 'a = "1"\n', "tab 1")
    store.jobs.save(first.job, 1, 'a = "2"\n', "tab 1", "a")
    saved = store.jobs.save(first.job, 1, 'a = "3"\n', "tab 2", "a")
    assert saved.version.number == 2
    assert [(c.where, c.theirs, c.mine) for c in saved.conflicts] == [(("a",), "2", "3")]
    assert store.jobs.head(first.job).text == 'a = "2"\n'


def test_strokes_in_one_field_are_undone_together(store: Store, clock: Clock) -> None:
    job = store.jobs.create("a", 'a = ""\n', "t").job
    for n, text in enumerate(("8", "88", "88 1/2"), 1):
        clock.later(seconds=1)
        store.jobs.save(job, n, f'a = "{text}"\n', "t", "a")
    clock.later(minutes=5)
    store.jobs.save(job, 4, 'a = "90"\n', "t", "a")
    assert store.jobs.undo(job, "t").version.text == 'a = "88 1/2"\n'
    assert store.jobs.undo(job, "t").version.text == 'a = ""\n'
    assert store.jobs.redo(job, "t").version.text == 'a = "88 1/2"\n'
    assert store.jobs.head(job).number == 8
    assert store.jobs.version(job, 2).text == 'a = "8"\n'


def test_undo_of_a_change_that_the_tab_has_not_seen_is_refused(store: Store) -> None:
    job = store.jobs.create("a", "a = 1\n", "tab 1").job
    store.jobs.save(job, 1, "a = 2\n", "tab 2", "a")
    assert store.jobs.undo(job, "tab 1", base=1).conflicts
    assert store.jobs.head(job).text == "a = 2\n"


def test_a_text_too_long_is_refused(store: Store) -> None:
    job = store.jobs.create("a", "a = 1\n", "t").job
    with pytest.raises(InputError):
        store.jobs.save(job, 1, "#" * 2_000_001, "t")


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.one_of(st.integers(0, 9), st.sampled_from(["undo", "redo"])), max_size=25))
def test_undo_and_redo_follow_the_textbook(tmp_path_factory: pytest.TempPathFactory, steps: list[int | str]) -> None:
    store = Store(tmp_path_factory.mktemp("undo"))
    job = store.jobs.create("a", "a = -1\n", "t").job
    past: list[str] = []
    future: list[str] = []
    now = "a = -1\n"
    for step in steps:
        if step == "undo":
            store.jobs.undo(job, "t")
            if past:
                future.append(now)
                now = past.pop()
        elif step == "redo":
            store.jobs.redo(job, "t")
            if future:
                past.append(now)
                now = future.pop()
        else:
            text = f"a = {step}\n"
            store.jobs.save(job, store.jobs.head(job).number, text, "t")
            if text != now:
                past.append(now)
                future.clear()
                now = text
        assert store.jobs.head(job).text == now
        assert store.jobs.can(job) == (bool(past), bool(future))
    numbers = [v.number for v in store.jobs.history(job)]
    assert numbers == list(range(len(numbers), 0, -1))


def test_two_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    job = Store(tmp_path).jobs.create("a", 'start = "x"\n', "t").job
    rounds = 25

    def write(name: str) -> None:
        store = Store(tmp_path)
        for n in range(rounds):
            head = store.jobs.head(job)
            saved = store.jobs.save(job, head.number, head.text + f'{name}{n} = "{n}"\n', name)
            assert not saved.conflicts

    threads = [threading.Thread(target=write, args=(name,)) for name in ("left", "right")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    text = Store(tmp_path).jobs.head(job).text
    assert all(f"{name}{n} = " in text for name in ("left", "right") for n in range(rounds))


WRITER = """
import sys
from pathlib import Path
from snugbay.store import Store
store = Store(Path(sys.argv[1]))
n = 0
while True:
    n += 1
    store.jobs.save("a", n, f"a = {n}\\n", "t")
    print(n, flush=True)
"""


def test_a_killed_writer_loses_nothing_it_acknowledged(tmp_path: Path) -> None:
    Store(tmp_path).jobs.create("a", "a = 0\n", "t")
    child = subprocess.Popen([sys.executable, "-c", WRITER, str(tmp_path)], stdout=subprocess.PIPE, text=True)
    assert child.stdout is not None
    seen = 0
    while seen < 12:
        seen = int(child.stdout.readline())
    os.kill(child.pid, signal.SIGKILL)
    rest = child.stdout.read().split("\n")
    child.wait()
    child.stdout.close()
    acknowledged = max([seen, *(int(x) for x in rest if x)])
    head = Store(tmp_path).jobs.head("a")
    assert head.number >= acknowledged + 1
    assert head.text == f"a = {head.number - 1}\n"
