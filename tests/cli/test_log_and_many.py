"""The commands log, prove and many."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from tests.cli.planned import planned_job

from snugbay.base import Effort, Outcome, Run, SnugbayError, Stopped
from snugbay.cli.batch import request_of
from snugbay.document import example, read
from snugbay.flow import JobPlan
from snugbay.job import Job
from snugbay.many import batch

PROGRAM = [sys.executable, "-m", "snugbay"]


def snugbay(*words: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*PROGRAM, *map(str, words)], capture_output=True, text=True, check=False, timeout=400)


def test_log_adds_an_entry_and_leaves_the_rest_alone(tmp_path: Path) -> None:
    job = planned_job(tmp_path)
    assert snugbay("log", job, "--hours", "2.5", "--face", "C1", "--piece", "C1-1a", "--piece", "C1-1b").returncode == 0
    assert snugbay("log", job, "--hours", "2", "--face", "C1", "--replaces", "0").returncode == 0
    text = job.read_text()
    assert text.startswith(example("mill-cellar").rstrip("\n"))
    entries = read(text).log.entries
    assert [e.hours for e in entries] == [2.5, 2.0]
    assert entries[0].pieces == ("C1-1a", "C1-1b")
    assert entries[1].replaces == 0


def test_a_wrong_entry_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(example("mill-cellar"))
    done = snugbay("log", job, "--hours", "2", "--face", "C9")
    assert done.returncode == 2
    assert "C9" in done.stderr
    assert job.read_text() == example("mill-cellar")


def test_prove_answers_where_nothing_was_read(tmp_path: Path) -> None:
    job = planned_job(tmp_path)
    done = snugbay("prove", job, "--json")
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    assert answer["to_read"]
    assert answer["faces"] == []
    assert answer["forecast"]["total"]["low80"] < answer["forecast"]["total"]["high80"]


def test_one_bad_job_does_not_stop_the_others(tmp_path: Path) -> None:
    good, bad = tmp_path / "good.toml", tmp_path / "bad.toml"
    good.write_text(example("mill-cellar"))
    bad.write_text(example("mill-cellar").replace("2096", '"tall"'))
    dry = tmp_path / "dry.toml"
    dry.write_text(example("mill-cellar").replace('climate = "Dresden"', 'weather_file = "dresden.epw"'))
    done = snugbay("many", bad, tmp_path / "absent.toml", dry, good, "--out", tmp_path / "out", "--effort", "quick")
    assert done.returncode == 2
    assert "bad.toml" in done.stderr
    assert "height" in done.stderr
    assert "absent.toml: There is no such file" in done.stderr
    assert "dry.toml:8: place.weather_file: dresden.epw: there is no such file" in done.stderr
    assert (tmp_path / "out" / "good" / "booklet.pdf").exists()
    assert not (tmp_path / "out" / "bad").exists()


LOGGED = """
[[loggers]]
file = "nights/cellar.csv"
channels = [{ column = "Room °C", kind = "room air", zone = "inside" }]
"""


def test_many_reads_what_a_job_names(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    job = tmp_path / "job.toml"
    job.write_text(example("mill-cellar") + LOGGED)
    with pytest.raises(SnugbayError, match=r"here is no such file") as caught:
        request_of(job)
    assert caught.value.where == ("loggers", 0)
    assert caught.value.line is not None
    (tmp_path / "nights").mkdir()
    (tmp_path / "nights" / "cellar.csv").write_text("time,Room °C\n2026-01-10T02:00,20.5\n2026-01-10T03:00,20.4\n")
    planned: list[Job] = []

    def whole_job(given: Job, run: Run) -> Outcome[JobPlan]:
        planned.append(given)
        raise Stopped("Enough seen.")

    monkeypatch.setattr(batch, "whole_job", whole_job)
    batch.plan_one(request_of(job), 1, Effort.QUICK)
    assert [t.value for t in planned[0].temperatures] == [20.5, 20.4]
    assert planned[0].loggers[0].read


def test_why_and_replan_say_what_they_need(tmp_path: Path) -> None:
    bare = tmp_path / "bare.toml"
    bare.write_text(example("mill-cellar"))
    unplanned = snugbay("replan", bare)
    assert unplanned.returncode == 2
    assert "snugbay plan" in unplanned.stderr
    job = planned_job(tmp_path)
    told = snugbay("why", job, "C1", "crew/2in")
    assert told.returncode in (0, 2)
    unknown = snugbay("why", job, "C1", "nonsense")
    assert unknown.returncode == 2
    assert "boards-on-face" in unknown.stderr
    early = snugbay("replan", job)
    assert early.returncode == 2
    assert "snugbay log" in early.stderr
    assert snugbay("log", job, "--hours", "5", "--face", "C1", "--share", "0.4").returncode == 0
    late = snugbay("replan", job, "--effort", "quick", "--out", tmp_path / "rest")
    assert late.returncode == 0, late.stderr
    assert "Spent and not counted: 5 h" in late.stdout
    assert "Boards still to cut: " in late.stdout
    assert "in the house" in late.stdout
    assert "taken as cut" in late.stdout
    assert "100 mm foil-faced PIR" in late.stdout
    assert list((tmp_path / "rest" / "sheets").glob("sheet-*.svg"))
    assert (tmp_path / "rest" / "buying.csv").exists()
