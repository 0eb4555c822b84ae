"""What is installed: the wheel holds every template, text and file that the page names."""

from __future__ import annotations

import re
import subprocess
import sys
import zipfile
from importlib.resources import files
from pathlib import Path

from snugbay.web.assets import assets

ROOT = Path(__file__).parents[2]
WEB = Path(str(files("snugbay.web")))


def test_the_wheel_holds_everything_the_page_needs(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        held = set(archive.namelist())
    wanted = [*WEB.joinpath("templates").glob("*.html"), *WEB.joinpath("texts").glob("*.toml")]
    wanted += [p for p in WEB.joinpath("static").iterdir() if p.is_file()]
    missing = {f"snugbay/{p.relative_to(WEB.parent).as_posix()}" for p in wanted} - held
    assert missing == set()
    assert {"snugbay/data/fonts/BarlowSemiCondensed-Regular.ttf", "snugbay/data/fonts/OFL.txt"} <= held
    assert not any("node_modules" in name or name.startswith("web-build") for name in held)


def test_every_file_a_template_names_is_there() -> None:
    named = set()
    for path in WEB.joinpath("templates").glob("*.html"):
        named |= set(re.findall(r"asset\(['\"]([^'\"]+)['\"]\)", path.read_text(encoding="utf-8")))
    assert named
    assert named <= assets().keys()
