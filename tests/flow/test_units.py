"""Whoever measures in feet and inches reads feet, inches, °F and pounds, and nothing else."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest
from tests.flow.test_examples import planned
from tests.said import said

from snugbay.base import Finding
from snugbay.booklet.content import content
from snugbay.cli.planning import summary
from snugbay.flow.units import defaults_in_job_units, in_job_units, weighing_in_job_units
from snugbay.job import Default, Units

METRIC = re.compile(r"(?<![\w.])-?[\d,]*\.?\d+ ?(?:mm|cm|m|km|kg|K|C|°C|m²|m³|kg/m²|m²K/W)(?![\w²³/·])")
PAIR = re.compile(r"(?:(?:\bin|\bft|°F)|[\"']|R-[\d.]+) \([^()]*\)|\d+ mm \(\d+ in\)")
"""A figure of the job's own and its metric one, either in brackets."""
OTHERS = re.compile(r"\(\d+ km\)|.* a metre\b.*")
"""Where a weather station lies, and what a tape's maker states."""


def strings(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, inner in value.items():
            if key != "sources":
                yield from strings(inner)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from strings(inner)


def metric(texts: Iterator[str] | list[str]) -> list[str]:
    return [t for t in dict.fromkeys(texts) if METRIC.search(OTHERS.sub("", PAIR.sub("", t)))]


@pytest.mark.xdist_group("cottage")
def test_a_job_in_feet_and_inches_is_told_in_its_own_units() -> None:
    plan = planned("ferry-cottage")
    assert plan.job.units is Units.FT_IN
    assert metric(summary(plan)) == []
    assert metric([said(f, "ft-in") for f in plan.findings]) == []
    assert metric(strings(content(plan))) == []
    assert metric([d.value for d in plan.defaults]) == []


def test_the_look_out_sees_metric_figures() -> None:
    """The check above must be able to fail."""
    for text in ("gap of 86 mm", "22 m of cuts", "-1 C on a design day", "9 K colder", "4.53 kg/m² of water"):
        assert metric([text]) == [text]


@pytest.mark.xdist_group("cottage")
def test_findings_reasons_and_defaults_follow_the_job() -> None:
    plan = planned("ferry-cottage")
    said = (Finding("x.y", "K-floor needs a gap of 86 mm and gets 9 K colder, to -1 C."),)
    assert in_job_units(plan.job, said)[0].text == 'K-floor needs a gap of 3-3/8" and gets 16 °F colder, to 30 °F.'
    option = replace(plan.weighing.options[0], why_not=("boards need 38 mm",))
    weighing = replace(plan.weighing, options=(option,))
    assert weighing_in_job_units(plan.job, weighing).options[0].why_not == ('boards need 1-1/2"',)
    metres = replace(plan.job, units=Units.MM, defaults=(Default("zones", "350 m³"),))
    assert in_job_units(metres, said) == said
    assert defaults_in_job_units(metres)[0].value == "350 m³"
    assert defaults_in_job_units(replace(metres, units=Units.FT_IN))[0].value == "12,360 ft³"
