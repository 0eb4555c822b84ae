"""Contracts of the house: rooms export what they say, data rows have sources, nothing forbidden is written anywhere."""

from __future__ import annotations

import importlib
import importlib.util
import pkgutil
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import snugbay
from snugbay.materials import boards, fuels, materials, source_titles
from snugbay.materials.tables import rows

ROOT = Path(__file__).parents[2]
ROOMS = [m.name for m in pkgutil.iter_modules(snugbay.__path__) if m.ispkg]


@pytest.mark.parametrize("room", ROOMS)
def test_every_room_exports_what_its_all_names(room: str) -> None:
    module = importlib.import_module(f"snugbay.{room}")
    names = module.__all__
    assert len(names) == len(set(names))
    for name in names:
        assert hasattr(module, name), name


def test_every_room_stands_in_the_contract() -> None:
    config = tomllib.loads((ROOT / "pyproject.toml").read_text())
    layers = config["tool"]["importlinter"]["contracts"][0]["layers"]
    placed = {name.strip() for layer in layers for name in layer.split("|")}
    assert set(ROOMS) <= placed


def test_help_starts_without_the_heavy_libraries() -> None:
    heavy = "('numba', 'pandas', 'scipy', 'dask')"
    code = f"import sys, snugbay.cli.app; print(*(m for m in {heavy} if m in sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""


def test_rates_have_known_sources_and_ordered_spreads() -> None:
    titles = source_titles()
    for row in rows("trade/rates.csv"):
        assert row["status"]
        assert set(row["source"].split(",")) <= set(titles), row["id"]
        values = [float(row[k]) for k in ("low", "typical", "high") if row[k]]
        assert values == sorted(values), row["id"]


def test_a_sample_of_rates_entered_a_second_time() -> None:
    """Typed again from the trade sheet, not copied from the table."""
    table = {
        r["id"]: (float(r["low"]), float(r["typical"]), float(r["high"])) for r in rows("trade/rates.csv") if r["low"]
    }
    expected = {
        "time_model.cutting.cut_setup": (0.3, 0.6, 1.0),
        "time_model.handling.carry_and_trial_fit": (1.0, 2.0, 4.0),
        "time_model.handling.retrim_probability_tight": (0.2, 0.4, 0.65),
        "time_model.sealing.gun_foam": (0.5, 0.8, 1.5),
        "methods.two_component_kit.price_kit_600": (750, 900, 1150),
        "fasteners.price_washer": (0.08, 0.15, 0.3),
        "gun_foam.price_gun_can": (11, 15, 20),
    }
    assert {k: table[k] for k in expected} == expected


def test_conductivities_lie_where_their_family_lies() -> None:
    """Ranges of the families: EN ISO 10456 and the handbook tables (from memory)."""
    limits = {"board": (0.018, 0.045), "fibre": (0.03, 0.06), "foam": (0.018, 0.045), "solid": (0.075, 3.5)}
    for m in materials():
        if m.kind in limits and m.conductivity is not None:
            low, high = limits[m.kind]
            assert low <= m.conductivity <= high, m.key
            assert m.conductivity_low is not None
            assert m.conductivity_high is not None
            assert m.conductivity_low <= m.conductivity <= m.conductivity_high, m.key
        assert m.source


def test_boards_are_whole_and_priced() -> None:
    for b in boards():
        assert b.price_low <= b.price <= b.price_high
        assert 0.01 <= b.thickness <= 0.2
        assert 1.0 <= b.width <= b.length <= 3.1
        assert 10 <= b.weight / b.thickness <= 60
        assert b.source
    for f in fuels():
        assert f.price_low <= f.price <= f.price_high
        assert f.efficiency_low <= f.efficiency <= f.efficiency_high


def test_no_machine_path_or_foreign_word_is_written_in_the_project() -> None:
    words = ("/work" + "/", "seed " + "document", ".lib" + "rary")
    for folder in ("src", "tests", "docs", "bench", "builders", "scripts"):
        for path in (ROOT / folder).rglob("*"):
            if path.suffix in (".py", ".md", ".toml", ".csv", ".html", ".ts", ".css", ".sh") and path.is_file():
                text = path.read_text(encoding="utf-8", errors="ignore")
                for word in words:
                    assert word not in text, f"{path}: {word}"


def test_reference_pages_are_up_to_date() -> None:
    """`python builders/reference.py` remakes them."""
    spec = importlib.util.spec_from_file_location("reference", ROOT / "builders" / "reference.py")
    assert spec is not None
    assert spec.loader is not None
    builder = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(builder)
    assert (ROOT / "docs/reference/document.md").read_text(encoding="utf-8") == builder.document_page()
    assert (ROOT / "docs/reference/commands.md").read_text(encoding="utf-8") == builder.commands_page()
    assert (ROOT / "docs/reference/spaces.md").read_text(encoding="utf-8") == builder.spaces_page()


def test_make_run_plans_into_a_folder_that_holds_nothing_else() -> None:
    """A folder of results is put in place at once, so the job document may not lie in it."""
    made = subprocess.run(["make", "-n", "run"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    job, out = re.search(r"snugbay plan (\S+) --out (\S+)", made).groups()  # type: ignore[union-attr]
    assert Path(out) not in Path(job).parents
