"""What is typed wrong on the command line is refused before any work, in plain words."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

from snugbay.base import Finding, Weight
from snugbay.base.facts import FaceRef, PieceRef
from snugbay.cli.app import app
from snugbay.cli.weighing import warnings
from snugbay.document import example
from snugbay.words import Writer

RUN = CliRunner()


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "job.toml"
    path.write_text(example("mill-cellar"))
    return path


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["plan", "JOB", "--seed", "-1"], "'-1' is not possible"),
        (["plan", "JOB", "--seed", "1.5"], "not a whole number"),
        (["plan", "JOB", "--effort", "slow"], "'slow' is not one of"),
        (["lay", "JOB", "--out", "x", "--seconds", "many"], "not a number"),
        (["serve", "--port", "99999"], "not possible"),
    ],
)
def test_wrong_options_are_said_in_our_words(job: Path, words: list[str], told: str) -> None:
    done = RUN.invoke(app, [str(job) if w == "JOB" else w for w in words])
    text = " ".join(done.output.replace("│", " ").split())
    assert done.exit_code == 2
    assert told in text
    assert "Input should" not in text
    assert "Value error" not in text


@pytest.mark.parametrize("place", ["afile", "afile/below"])
def test_a_file_in_the_place_of_the_folder_is_refused_before_the_work(
    job: Path, tmp_path: Path, place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*_: object) -> None:
        raise AssertionError("the work was begun")

    monkeypatch.setattr("snugbay.cli.planning.plan", never)
    (tmp_path / "afile").write_text("mine")
    done = RUN.invoke(app, ["plan", str(job), "--out", str(tmp_path / place)])
    assert done.exit_code == 2
    assert "is a file, not a folder" in done.output
    assert (tmp_path / "afile").read_text() == "mine"


def test_out_without_blank_is_not_passed_over(job: Path, tmp_path: Path) -> None:
    done = RUN.invoke(app, ["measure", str(job), "--out", str(tmp_path / "x.pdf")])
    assert done.exit_code == 2
    assert "--blank" in done.output


def test_a_field_sheet_in_the_place_of_a_folder_is_refused(tmp_path: Path) -> None:
    done = RUN.invoke(app, ["measure", "--blank", "niche-box", "--out", str(tmp_path)])
    assert done.exit_code == 2
    assert "is a folder" in done.output


def test_one_warning_about_many_pieces_is_told_once() -> None:
    def through(piece: str) -> Finding:
        return Finding.of("pieces.through", Weight.WARN, (), piece=PieceRef(piece), face=FaceRef("K-wall"))

    other = Finding.of("pieces.put-in", Weight.WARN, (), piece=PieceRef("S-1"))
    told = warnings((*(through(f"S-2{c}") for c in "abcdefgh"), other, replace(other, weight=Weight.NOTE)), Writer())
    assert len(told) == 2
    assert told[0].startswith("WARN: S-2a, ")
    assert "S-2f and 2 more stand into K-wall" in told[0]
    assert told[1].startswith("WARN: No way was found to put S-1 in")
