"""The commands as a user types them: exit status, messages, files."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import jsonschema
import pytest
from tests.told_by_faces import COTTAGE_BY_FACES

from snugbay.document import EXAMPLES, example

PROGRAM = [sys.executable, "-m", "snugbay"]


def snugbay(*words: str | Path, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*PROGRAM, *map(str, words)], capture_output=True, text=True, check=False, cwd=cwd, timeout=300
    )


@pytest.mark.parametrize("command", ["", "example", "measure", "weigh", "plan", "lay", "schema"])
def test_help_gives_an_example(command: str) -> None:
    done = snugbay(*([command] if command else []), "--help")
    assert done.returncode == 0
    if command:
        assert "Example: snugbay" in done.stdout


def test_example_is_written_and_not_overwritten(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    assert snugbay("example", "ferry-cottage", "--out", job).returncode == 0
    assert job.read_text() == example("ferry-cottage")
    again = snugbay("example", "ferry-cottage", "--out", job)
    assert again.returncode == 2
    assert "--force" in again.stderr


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (None, ["job.toml", "no such file"]),
        ("version = 1\nname = \n", ["job.toml:2", "TOML"]),
        (COTTAGE_BY_FACES.replace('height = "46", right', 'height = "4x6", right'), ["K1", "height", "4x6"]),
        (COTTAGE_BY_FACES.replace('"K1", "A-B"', '"K9", "A-B"'), ["joins[0]", "K9", "K1"]),
    ],
)
def test_wrong_input_gives_one_clear_message_and_status_2(tmp_path: Path, text: str | None, words: list[str]) -> None:
    job = tmp_path / "job.toml"
    if text is not None:
        job.write_text(text)
    done = snugbay("measure", job)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    for word in words:
        assert word in done.stderr


def test_wrong_input_as_json(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(COTTAGE_BY_FACES.replace('fuel = "oil"', 'fuel = "oyl"'))
    done = snugbay("measure", job, "--json")
    assert done.returncode == 2
    fault = json.loads(done.stdout)["error"]["faults"][0]
    assert fault["where"] == "place.fuel"
    assert fault["line"]
    assert "oil" in fault["hint"]


def test_measure_does_not_praise_a_survey_in_which_readings_stand_out(tmp_path: Path) -> None:
    """Six readings of a floor: the whole set is within its limit, a diagonal half an inch off stands out."""
    text = example("mill-cellar")
    head = 'between = ["inside", "outside"]\nlayers = [{ material = "plywood", thickness = 22 }]\n'
    faces = (
        f'[[faces]]\nid = "FL"\npart = "floor"\n{head}outline = {{ shape = "rectangle", width = 5880, height = 4166, '
        "top = 5899, right = 4143, diagonal = 7214, other_diagonal = 7187 }\n"
        f'[[faces]]\nid = "WN"\npart = "wall"\n{head}outline = {{ shape = "rectangle", width = 5899, height = 667, '
        "top = 5893, right = 686, diagonal = 5944 }\n"
    )
    job = tmp_path / "job.toml"
    job.write_text(text[: text.index("[[shapes]]")] + faces + text[text.index("[stock]") :])
    told = " ".join(snugbay("measure", job).stdout.split())
    assert "SUSPECT FL" in told
    assert "hangs together" not in told
    job.write_text(text)
    assert "The survey hangs together" in " ".join(snugbay("measure", job).stdout.split())


@pytest.mark.parametrize("name", EXAMPLES)
def test_measure_json(tmp_path: Path, name: str) -> None:
    job = tmp_path / "job.toml"
    job.write_text(example(name))
    done = snugbay("measure", job, "--json")
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    assert {"faces", "suspects", "unchecked", "joins"} <= set(answer)
    assert answer["suspects"] == []


def test_lay_writes_valid_layouts(tmp_path: Path) -> None:
    lists = tmp_path / "lists.json"
    pieces = [[[0, 0], [30, 0], [30, 20], [0, 20]]] * 9 + [[[0, 0], [24, 0], [0, 18]]] * 4
    lists.write_text(json.dumps([{"name": "a", "sheet": [48, 96], "kerf": 0.125, "pieces": pieces}]))
    done = snugbay("lay", lists, "--out", tmp_path / "out.json", "--seconds", "1")
    assert done.returncode == 0, done.stderr
    answer = json.loads((tmp_path / "out.json").read_text())["a"]
    assert sorted(p["piece"] for s in answer["sheets"] for p in s) == list(range(13))
    _, _, wide, high = answer["largest_leftover_rectangle"]
    assert wide * high > 0
    assert "left over on the last" in done.stdout


def test_ctrl_c_keeps_the_best_so_far_and_says_so(tmp_path: Path) -> None:
    lists = tmp_path / "lists.json"
    pieces = [[[0, 0], [30 + i % 7, 0], [30, 20], [0, 20]] for i in range(60)]
    entry = {"sheet": [48, 96], "kerf": 0.125, "pieces": pieces}
    lists.write_text(json.dumps([{"name": f"list-{i}", **entry} for i in range(40)]))
    out = tmp_path / "out.json"
    child = subprocess.Popen(
        [*PROGRAM, "lay", str(lists), "--out", str(out), "--seconds", "20"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=os.environ | {"PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    assert child.stdout is not None
    assert child.stdout.readline()
    time.sleep(0.2)
    child.send_signal(signal.SIGINT)
    _, err = child.communicate(timeout=60)
    assert child.returncode == 130
    assert "unfinished" in err
    assert json.loads(out.read_text())


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("plan")
    job = folder / "job.toml"
    job.write_text(example("ferry-cottage"))
    done = snugbay("plan", job, "--out", folder / "out", "--effort", "quick")
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    assert "STOP" in done.stdout
    told = done.stdout.partition("Files are in")[0]
    assert not re.search(r"[a-z]+-[a-z]+/[a-z]", told), "ways are said by name, not by id"
    return folder / "out"


@pytest.mark.xdist_group("cottage-cli")
def test_plan_writes_everything(planned: Path) -> None:
    names = [
        "plan.json",
        "booklet.pdf",
        "pocket.html",
        "pieces.svg",
        "pieces.dxf",
        "buying.csv",
        "exploded.svg",
        "model.glb",
    ]
    for name in names:
        assert (planned / name).stat().st_size > 100, name
    assert list((planned / "sheets").glob("*.svg"))
    assert not list(planned.rglob("*.part"))


@pytest.mark.xdist_group("cottage-cli")
def test_plan_json_keeps_its_promise(planned: Path) -> None:
    answer = json.loads((planned / "plan.json").read_text())
    keys = {"line", "ways", "pieces", "sheets", "buying", "order", "cautions", "defaults_used", "seed", "proof"}
    assert keys <= set(answer)
    jsonschema.validate(answer, json.loads((planned / "plan.schema.json").read_text()))
    proof = answer["proof"]
    assert proof["overlaps"] == 0
    assert proof["coverage"] > 0.9
    assert proof["all_pass_the_way_in"] is True
    labels = {p["id"] for p in answer["pieces"]}
    laid = [p["piece"] for s in answer["sheets"] for p in s["placements"]]
    assert sorted(laid) == sorted(labels)
    assert all(u["units"] == int(u["units"]) for u in answer["buying"])
    assert answer["weighing"]["gap"] <= 1e-6


@pytest.mark.xdist_group("cottage-cli")
def test_same_job_and_seed_give_the_same_answer(planned: Path, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(example("ferry-cottage"))
    done = snugbay("plan", job, "--out", tmp_path / "again", "--effort", "quick")
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "again" / "plan.json").read_bytes() == (planned / "plan.json").read_bytes()
    assert (tmp_path / "again" / "booklet.pdf").read_bytes() == (planned / "booklet.pdf").read_bytes()


def test_weigh_json(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(example("mill-cellar"))
    done = snugbay("weigh", job, "--json", "--effort", "quick")
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    assert {"line", "ways", "options", "spread", "frontier", "break_evens", "gap"} <= set(answer)


def test_stopping_a_plan_keeps_its_best_and_says_unfinished(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(example("ferry-cottage"))
    child = subprocess.Popen(
        [*PROGRAM, "plan", str(job), "--out", str(tmp_path / "out"), "--effort", "thorough"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    time.sleep(6)
    child.send_signal(signal.SIGINT)
    _, err = child.communicate(timeout=200)
    assert child.returncode == 130, err
    if (tmp_path / "out" / "plan.json").exists():
        assert "nfinished" in err
        assert json.loads((tmp_path / "out" / "plan.json").read_text())["finished"] is False
    else:  # a slow machine had no plan yet to keep
        assert "Nothing was written" in err or "Stopped" in err


def test_the_command_line_reads_no_numbers_library_before_it_has_work() -> None:
    """What loads numpy at the top makes ``--help`` wait."""
    heavy = "('numpy', 'scipy', 'pydantic', 'shapely')"
    code = f"import sys, snugbay.cli.app; sys.exit(any(m in sys.modules for m in {heavy}))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_planning_leaves_the_statistics_library_alone() -> None:
    """It takes longer to load than a small job to weigh; one distribution function is all that was wanted of it."""
    code = "import sys, snugbay.flow; sys.exit('scipy.stats' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
