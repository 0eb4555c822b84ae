"""Precision classes: all sourced, sane, and a sample entered a second time."""

import math

import pytest

from snugbay.base import OutOfRange, UnknownName
from snugbay.survey.instruments import instrument, instruments

SECOND_ENTRY = {
    "tape hooked": 0.0010,
    "tape by hand": 0.0025,
    "laser": 0.0010,
    "rule": 0.0007,
    "bevel gauge": math.radians(0.5),
    "protractor": math.radians(0.3),
    "spirit level": math.radians(0.1),
    "by eye": math.radians(1.0),
}


def test_a_sample_entered_again() -> None:
    assert {name: instrument(name).fixed for name in SECOND_ENTRY} == pytest.approx(SECOND_ENTRY)


def test_every_row_has_a_source_and_a_sane_precision() -> None:
    names = [item.name for item in instruments()]
    assert len(set(names)) == len(names)
    for item in instruments():
        assert item.source
        assert item.title
        limits = (math.radians(0.02), math.radians(3.0)) if item.angle else (0.0003, 0.005)
        assert limits[0] < item.fixed < limits[1]
        assert 0.0 <= item.each_metre < 0.002


def test_precision_grows_with_the_length_of_a_tape_but_not_of_a_gauge() -> None:
    tape, gauge = instrument("tape by hand"), instrument("bevel gauge")
    assert tape.sigma(0.0) == pytest.approx(0.0025)
    assert tape.sigma(5.0) == pytest.approx(math.hypot(0.0025, 0.0020))
    assert gauge.sigma(0.1) == gauge.sigma(3.0)
    with pytest.raises(OutOfRange):
        tape.sigma(math.nan)


def test_an_unknown_instrument_lists_close_names() -> None:
    with pytest.raises(UnknownName, match="no instrument") as caught:
        instrument("bevel guage")
    assert "bevel gauge" in caught.value.hint
