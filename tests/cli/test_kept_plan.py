"""The plan in the hand is the plan: log, prove, replan and serve go by what was printed; no file is lost on the way."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from tests.cli.planned import MILL, kept_text, planned_job
from typer.testing import CliRunner, Result

from snugbay.cli.app import app
from snugbay.document import read
from snugbay.document.snapshot import read_snapshot, snapshot_path
from snugbay.store import Store
from snugbay.web.serving import _brought_in

RUNNER = CliRunner()


def snugbay(*words: str | float | Path) -> Result:
    return RUNNER.invoke(app, [str(w) for w in words])


def said(done: Result) -> str:
    return " ".join(done.output.split())


def test_without_a_plan_it_is_said_what_to_do_first(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(MILL)
    done = snugbay("log", job, "--hours", 1, "--face", "C1", "--piece", "C1-1a")
    assert done.exit_code == 2
    assert f"snugbay plan {job}" in said(done)
    assert job.read_text() == MILL
    done = snugbay("log", job, "--hours", 1, "--face", "C1", "--share", 0.1)
    assert done.exit_code == 0
    assert "snugbay plan" in said(done)
    told = snugbay("prove", job)
    assert told.exit_code == 0, told.output
    assert "snugbay plan" in said(told)
    assert "surface temperature, three spots" in said(told)
    assert snugbay("prove", job, "--json").exit_code == 2
    assert snugbay("replan", job).exit_code == 2


def test_a_plan_that_is_being_cut_is_not_planned_over(tmp_path: Path) -> None:
    job = planned_job(tmp_path)
    assert snugbay("log", job, "--hours", 1, "--face", "C1", "--piece", "C1-1a").exit_code == 0
    before = snapshot_path(job).read_bytes()
    done = snugbay("plan", job, "--out", tmp_path / "plan", "--effort", "quick")
    assert done.exit_code == 2
    assert "C1-1a" in said(done)
    assert "snugbay replan" in said(done)
    assert snapshot_path(job).read_bytes() == before
    assert not (tmp_path / "plan").exists()


def test_a_damaged_plan_is_said_and_nothing_is_lost(tmp_path: Path) -> None:
    job = planned_job(tmp_path)
    snapshot_path(job).write_text("{")
    done = snugbay("log", job, "--hours", 1, "--face", "C1", "--piece", "C1-1a")
    assert done.exit_code == 2
    assert "damaged" in said(done)
    assert job.read_text() == MILL


def test_what_changed_is_said_before_the_proof(tmp_path: Path) -> None:
    job = planned_job(tmp_path)
    job.write_text(MILL.replace("2096", "2090"))
    told = said(snugbay("prove", job))
    assert "shapes.C1.height is 2090, it was 2096" in told
    assert "what is cut keeps its name" in told
    assert "in 1 field" in said(snugbay("log", job, "--hours", 1, "--face", "C1", "--piece", "C1-1a"))


LOGS = """
import sys
from pathlib import Path
from snugbay.cli.logging import Entry, log
for n in range(int(sys.argv[2])):
    log(Path(sys.argv[1]), Entry(0.01, note=f"{sys.argv[3]} {n}", day="2026-01-10"), start=False, stop=False)
"""


def test_four_logs_side_by_side_lose_no_entry(tmp_path: Path) -> None:
    real = tmp_path / "real.toml"
    real.write_text(MILL)
    job = tmp_path / "job.toml"
    job.symlink_to(real)
    each = 12
    runs = [
        subprocess.Popen([sys.executable, "-c", LOGS, str(path), str(each), str(n)], stdout=subprocess.PIPE)
        for n, path in enumerate((job, real, job, real))
    ]
    for run in runs:
        run.communicate()
        assert run.returncode == 0
    notes = {e.note for e in read(real.read_text()).log.entries}
    assert notes == {f"{n} {k}" for n in range(4) for k in range(each)}
    assert job.is_symlink()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["job.toml", "real.toml"]


LISTS = '[{"name": "a", "sheet": [48, 96], "kerf": 0.125, "pieces": [[[0, 0], [9, 0], [9, 9], [0, 9]]]}]'


@pytest.mark.parametrize("link", ["same", "symlink", "hard link"])
def test_no_result_is_written_over_what_is_read(tmp_path: Path, link: str) -> None:
    lists, out = tmp_path / "lists.json", tmp_path / "out.json"
    lists.write_text(LISTS)
    if link == "same":
        out = lists
    elif link == "symlink":
        out.symlink_to(lists)
    else:
        os.link(lists, out)
    done = snugbay("lay", lists, "--out", out, "--seconds", 0.2)
    assert done.exit_code == 2
    assert "what the command reads" in said(done)
    assert lists.read_text() == LISTS


def test_a_document_is_not_written_over_by_another_kind_of_file(tmp_path: Path) -> None:
    job, lists = tmp_path / "job.toml", tmp_path / "lists.json"
    job.write_text(MILL)
    lists.write_text(LISTS)
    assert snugbay("measure", "--blank", "niche-box", "--out", job).exit_code == 2
    assert snugbay("lay", lists, "--out", job, "--seconds", 0.2).exit_code == 2
    assert job.read_text() == MILL
    (tmp_path / "plan").mkdir()
    (tmp_path / "plan" / "plan.json").write_text(MILL)
    done = snugbay("plan", tmp_path / "plan" / "plan.json", "--out", tmp_path / "plan", "--effort", "quick")
    assert done.exit_code == 2
    assert "plan.json" in said(done)
    assert (tmp_path / "plan" / "plan.json").read_text() == MILL


def test_the_page_opens_a_planned_job_with_its_plan(tmp_path: Path) -> None:
    job = planned_job(tmp_path)
    store, lines = Store(tmp_path / "home"), list[str]()
    name = _brought_in(store, job, job.read_text(), lines.append)
    newest = store.work.newest_number(name)
    assert newest is not None
    assert store.work.plan(name, newest[0]).kept == read_snapshot(kept_text(MILL))
    assert _brought_in(store, job, job.read_text(), lines.append) == name
    assert store.work.newest_number(name) == newest  # the same plan is not kept twice
    assert lines == []
