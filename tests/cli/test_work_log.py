"""The commands log, prove and replan: what is typed in later, names checked, the page, rates kept for the next job."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path

import pytest
import tomlkit
from pypdf import PdfReader
from tests.cli.planned import planned_job
from typer.testing import CliRunner, Result

from snugbay.base import InputError
from snugbay.cli.app import app
from snugbay.cli.hours import between, day_of
from snugbay.document import example, read
from snugbay.document.snapshot import read_snapshot, snapshot_path

RUNNER = CliRunner()


def snugbay(*words: str | float | Path) -> Result:
    return RUNNER.invoke(app, [str(w) for w in words])


@pytest.fixture
def mill(tmp_path: Path) -> Path:
    return planned_job(tmp_path)


@pytest.mark.parametrize(
    ("begun", "ended", "pause", "hours"),
    [
        ("18:30", "21:00", 0.0, 2.5),
        ("6:30 pm", "9 pm", 30.0, 2.0),
        ("23:00", "1:15", 0.0, 2.25),
        ("8.15", "12h00", 0, 3.75),
    ],
)
def test_hours_between_times_of_day(begun: str, ended: str, pause: float, hours: float) -> None:
    assert between(begun, ended, pause) == pytest.approx(hours)


@pytest.mark.parametrize(
    ("begun", "ended", "pause"),
    [
        ("18:30", "", 0), ("25:00", "3", 0), ("soon", "later", 0), ("13 pm", "14", 0), ("8", "8", 0), ("8", "9", 90),
        ("1", "23", 0),
    ],
)  # fmt: skip
def test_hours_that_cannot_be_right(begun: str, ended: str, pause: float) -> None:
    with pytest.raises(InputError):
        between(begun, ended, pause)


def test_days() -> None:
    now = datetime(2026, 3, 1, 12)
    assert day_of("", now) == "2026-03-01"
    assert day_of("2026-02-28", now) == "2026-02-28"
    for wrong in ("2026-03-02", "28.2.", "2026-02-30"):
        with pytest.raises(InputError):
            day_of(wrong, now)


def test_the_booklets_table_is_typed_in_later(mill: Path) -> None:
    done = snugbay(
        "log", mill, "--day", "2026-01-31", "--from", "18:30", "--to", "21:00", "--break", 20, "--face", "C1",
        "--share", 0.2, "--note", "cold hands", "--used", "gun-can=1.5",
    )  # fmt: skip
    assert done.exit_code == 0, done.output
    log = read(mill.read_text()).log
    assert log.entries[0].hours == pytest.approx(2.17)
    assert (log.entries[0].day, log.entries[0].share_done, log.entries[0].note) == ("2026-01-31", 0.2, "cold hands")
    assert log.used == (("gun-can", 1.5),)
    assert "cold hands" in snugbay("log", mill).output


def test_a_correction_keeps_what_it_corrects(mill: Path) -> None:
    assert snugbay("log", mill, "--hours", 20, "--face", "C1", "--share", 0.1).exit_code == 0
    done = snugbay("log", mill, "--hours", 2, "--face", "C1", "--share", 0.1, "--replaces", 0)
    assert "Logged so far: 2 h." in done.output
    assert [e.hours for e in read(mill.read_text()).log.entries] == [20.0, 2.0]
    listed = snugbay("log", mill).output
    assert "(corrected by 1)" in listed
    assert "Logged so far: 2 h." in listed
    assert snugbay("log", mill, "--hours", 0.5, "--element", "break").output.endswith("Logged so far: 2 h.\n")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--hours", "1", "--element", "cuting", "--face", "C1"), "cutting"),
        (("--hours", "1", "--face", "C1", "--piece", "C1-zz"), "C1-1"),
        (("--hours", "1", "--face", "C2"), "C1"),
        (("--hours", "1", "--replaces", "3"), "no entry 3"),
        (("--hours", "1", "--from", "8:00", "--to", "9:00"), "not both"),
        (("--hours", "1", "--break", "9"), "--from"),
        (("--face", "C1"), "No hours"),
        (("--used", "gun-cans=2"), "gun-can"),
        (("--used", "gun-can"), "ITEM=AMOUNT"),
        (("--stop",), "does not run"),
        (("--start", "--hours", "1"), "alone"),
        (("--hours", "1", "--day", "2999-01-01"), "still to come"),
    ],
)
def test_what_cannot_be_is_refused_and_the_file_left(mill: Path, words: tuple[str, ...], said: str) -> None:
    done = snugbay("log", mill, *words)
    assert done.exit_code == 2
    assert said in done.output
    assert mill.read_text() == example("mill-cellar")


def test_the_clock_starts_and_stops(mill: Path) -> None:
    assert snugbay("log", mill, "--start").exit_code == 0
    assert "runs since" in snugbay("log", mill, "--start").output
    assert snugbay("log", mill, "--stop", "--face", "C1", "--element", "cuting").exit_code == 2
    assert snugbay("log", mill, "--stop", "--face", "C1", "--share", 0.1).exit_code == 0
    document = tomlkit.parse(mill.read_text()).unwrap()
    assert "started" not in document["log"]
    assert len(document["log"]["entries"]) == 1
    forgotten = mill.read_text().replace("[log]", '[log]\nstarted = "2026-01-01T08:00"')
    mill.write_text(forgotten)
    late = snugbay("log", mill, "--stop")
    assert late.exit_code == 2
    assert "--hours" in late.output
    assert mill.read_text() == forgotten


def test_from_the_log_to_the_page_the_next_job_and_the_rest(mill: Path, tmp_path: Path) -> None:
    """plan -> log -> prove -> a change of the document -> replan -> log -> prove, as somebody works for weeks."""
    assert snugbay("log", mill, "--hours", 1.5, "--element", "set-up", "--share", 1).exit_code == 0
    for piece in ("C1-1a", "C1-1b", "C1-1c", "C1-1d"):
        assert snugbay("log", mill, "--hours", 5.5, "--face", "C1", "--piece", piece).exit_code == 0
    nxt = tmp_path / "next.toml"
    nxt.write_text(example("mill-cellar"))
    out = tmp_path / "proof"
    told = snugbay("prove", mill, "--out", out, "--keep-rates", nxt)
    assert told.exit_code == 0, told.output
    assert "(1 entries)" not in told.output
    assert (out / "before-and-after.pdf").read_bytes().startswith(b"%PDF")
    job = read(nxt.read_text())
    learned = [p for p in job.stock.prices if p.hours > 0]
    assert learned
    notes = [d for d in job.defaults if d.where.startswith("learned.")]
    assert len(notes) == len(learned)
    assert "learned from your log" in notes[0].why
    assert snugbay("prove", mill, "--keep-rates", nxt).exit_code == 0  # again: in place of the same, not twice
    assert [p.item for p in read(nxt.read_text()).stock.prices] == [p.item for p in job.stock.prices]
    mill.write_text(mill.read_text().replace("days = 4", "hour_worth = 200"))
    assert "you.hour_worth" in snugbay("prove", mill).output
    kept = read_snapshot(snapshot_path(mill).read_text())
    tried = snugbay("replan", mill, "--effort", "quick")
    assert "Nothing was written" in tried.output
    assert read_snapshot(snapshot_path(mill).read_text()) == kept
    rest = snugbay("replan", mill, "--effort", "quick", "--out", tmp_path / "rest")
    assert rest.exit_code == 0, rest.output
    text = " ".join(rest.output.split())
    assert "Changed since the plan was printed: you.hour_worth" in text
    assert "C1 Long cellar wall:" in text
    assert "done; the rest: " in text
    assert "Cut already, their names stay: C1-1a" in text
    now = read_snapshot(snapshot_path(mill).read_text())
    assert now.plan.onward is not None
    assert now.plan.onward.follows == kept.plan.digest
    assert (tmp_path / "rest" / "booklet.pdf").exists()
    assert snugbay("log", mill, "--hours", 1, "--face", "C1", "--share", 0.1).exit_code == 0
    after = snugbay("prove", mill)
    assert "has changed since" not in after.output
    spent = f"{now.plan.onward.choice.sunk_cash + sum(b.total for b in now.plan.buying if b.unit != 'job'):.0f} EUR"
    assert spent in " ".join(after.output.split())


def test_nothing_learned_is_not_kept_and_other_files_are_left(mill: Path, tmp_path: Path) -> None:
    fresh = tmp_path / "rates.toml"
    assert snugbay("prove", mill, "--keep-rates", fresh).exit_code == 2
    assert not fresh.exists()
    fresh.write_text("rates = 1\n")
    assert snugbay("log", mill, "--hours", 2, "--face", "C1", "--share", 0.1).exit_code == 0
    assert snugbay("prove", mill, "--keep-rates", fresh).exit_code == 2
    assert fresh.read_text() == "rates = 1\n"


def test_a_loggers_file_beside_the_job_is_read(mill: Path) -> None:
    add = (
        '\n[[loggers]]\nfile = "week.csv"\nwhen = "after"\n'
        'channels = [{column = "Room °F", kind = "room air"}, {column = "Out", kind = "outdoor air"}]\n'
    )
    mill.write_text(mill.read_text() + add)
    missing = snugbay("prove", mill, "--json")
    assert missing.exit_code == 2
    assert "loggers" in missing.output
    (mill.parent / "week.csv").write_text(
        "t;Room °F;Out\n10.01.2026 20:00;68,0;-5\n10.01.2026 21:00;68,2;-5\n10.01.2026 22:00;68,0;-5\n"
    )
    told = snugbay("prove", mill, "--json")
    assert told.exit_code == 0, told.output
    codes = [f["code"] for f in json.loads(told.output)["findings"]]
    assert "prove.logger-unit" in codes
    (mill.parent / "week.csv").write_text("t;Room °F;Out\nsoon;68,0;-5\n")
    assert "week.csv, line 1" in snugbay("prove", mill).output


def test_the_booklet_of_a_job_under_way_has_the_page(mill: Path, tmp_path: Path) -> None:
    assert snugbay("log", mill, "--hours", 2, "--face", "C1", "--share", 0.2).exit_code == 0
    done = snugbay("plan", mill, "--out", tmp_path / "plan", "--effort", "quick")
    assert done.exit_code == 0, done.output
    text = " ".join(p.extract_text() for p in PdfReader(tmp_path / "plan" / "booklet.pdf").pages)
    assert "Before and after" in text
    assert "At this pace" in " ".join(text.split())


def test_a_day_has_no_more_hours_than_people_can_work_on_it(mill: Path) -> None:
    """The mill's job has two pairs of hands: 48 h a day."""
    before = mill.read_text()
    done = snugbay("log", mill, "--hours", 50, "--day", "2026-01-10")
    assert done.exit_code == 2
    assert "48 h for 2 people" in " ".join(done.output.split())
    assert mill.read_text() == before
    assert snugbay("log", mill, "--hours", 30, "--day", "2026-01-10").exit_code == 0
    assert snugbay("log", mill, "--hours", 30, "--day", "2026-01-11").exit_code == 0
    assert "30 h stand there already" in " ".join(
        snugbay("log", mill, "--hours", 20, "--day", "2026-01-10").output.split()
    )
    assert snugbay("log", mill, "--hours", 20, "--day", "2026-01-10", "--replaces", 0).exit_code == 0
