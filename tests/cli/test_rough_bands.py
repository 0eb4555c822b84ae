"""Bands of the rough answer as they are written."""

from __future__ import annotations

from snugbay.cli.roughing import _band
from snugbay.weigh import Band


def test_a_nought_has_no_minus() -> None:
    assert _band(Band(-5.4, -0.3, 7.2)) == "0 (-5 to 7)"
