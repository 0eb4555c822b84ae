"""The fitting table: sources known, order kept, a sample of rows entered a second time."""

import tomllib
from importlib.resources import files
from math import pi

import pytest

from snugbay.base import UnknownName
from snugbay.job import Tool
from snugbay.pieces import rate, rates
from snugbay.pieces.rates import cut_sigma

INCH = 0.0254


@pytest.mark.parametrize(
    ("key", "low", "typical", "high"),
    [
        ("foam_gap", INCH / 4, INCH / 2, 3 * INCH / 4),
        ("foam_min_gap", 3 * INCH / 16, INCH / 4, 3 * INCH / 8),
        ("tight_fit", 0.0, INCH / 16, INCH / 8),
        ("notch_clearance", INCH / 4, 3 * INCH / 8, INCH / 2),
        ("min_strip", 1.5 * INCH, 2 * INCH, 3 * INCH),
        ("stagger", 6 * INCH, 12 * INCH, 24 * INCH),
        ("plug_clearance", INCH / 4, INCH / 4, INCH / 4),
        ("plug_taper", 4 * pi / 180, 6 * pi / 180, 10 * pi / 180),
        ("gasket_compression", 0.25, 0.4, 0.5),
        ("vent_space", INCH, INCH, 2 * INCH),
        ("backer_plate", 4 * INCH, 5 * INCH, 6 * INCH),
        ("foam_max_gap", INCH, 1.5 * INCH, 2 * INCH),
    ],
)
def test_a_sample_entered_a_second_time(key: str, low: float, typical: float, high: float) -> None:
    row = rate(key)
    assert (row.low, row.typical, row.high) == pytest.approx((low, typical, high))


def test_every_row_has_its_source_status_and_note() -> None:
    sources = tomllib.loads(files("snugbay").joinpath("data", "pieces", "sources.toml").read_text(encoding="utf-8"))
    for row in rates().values():
        assert row.source in sources
        assert row.status in ("seen", "common practice", "assumption", "derived")
        assert row.note.endswith(".")
        assert (row.source == "ASM") == (row.status == "assumption")


def test_every_tool_has_its_accuracy() -> None:
    assert all(0.0005 <= cut_sigma(tool) <= 0.004 for tool in Tool)
    assert cut_sigma(Tool.CIRCULAR) < cut_sigma(Tool.KNIFE) < cut_sigma(Tool.RECIPROCATING)


def test_an_unknown_row_lists_the_rows() -> None:
    with pytest.raises(UnknownName, match="foam_gap"):
        rate("foam gap")
