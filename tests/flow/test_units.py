"""Whoever measures in feet and inches reads feet, inches, °F and pounds, and nothing else; and the other way round."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from tests.flow.test_examples import planned

from snugbay.base import Finding, Told
from snugbay.booklet.content import content
from snugbay.cli.planning import summary
from snugbay.flow import JobPlan
from snugbay.job import Units
from snugbay.words import Writer, other_system


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


PAIR = re.compile(r"(?:(?:\bin|\bft|°F)|[\"']|R-[\d.]+) \([^()]*\)|\d+ mm \(\d+ in\)|\(\d+ km\)")
"""A figure of the trade in both systems, either in brackets, as the tables of cautions have them."""


def of_the_other(texts: Iterator[str] | list[str], units: str) -> list[str]:
    return [t for t in dict.fromkeys(texts) if other_system(PAIR.sub("", t), units)]


def told(plan: JobPlan) -> Iterator[Finding | Told]:
    """All facts that a plan tells."""
    yield from plan.findings
    for option in plan.weighing.options:
        yield from option.why_not
    yield from (d.value for d in plan.defaults)
    yield from (c.trigger for c in plan.cautions)
    yield from (c.text for c in plan.cautions)
    yield from (w.how for w in plan.pieces.way_in)
    for suspect in plan.survey.suspects:
        yield suspect.said
    for one in plan.survey.unchecked:
        yield one.said
    for join in plan.survey.joins:
        if join.said is not None:
            yield join.said
    if plan.pieces.proof is not None:
        yield plan.pieces.proof.said
    for built in plan.afterwards.build_ups if plan.afterwards is not None else ():
        yield from built.reasons


@pytest.mark.xdist_group("cottage")
def test_facts_of_a_plan_are_told_in_either_system_and_no_sentence_mixes_them() -> None:
    """The same plan, said for a tape in inches and for one in millimetres."""
    plan = planned("ferry-cottage")
    for units in ("ft-in", "mm"):
        writer = Writer(units, plan.job.place.currency)
        facts = [one for one in told(plan) if not isinstance(one, str)]
        assert facts
        texts = [writer.finding(one) if isinstance(one, Finding) else writer.told(one) for one in facts]
        assert of_the_other(texts, units) == []


@pytest.mark.xdist_group("cottage")
def test_a_job_in_feet_and_inches_is_told_in_its_own_units() -> None:
    plan = planned("ferry-cottage")
    assert plan.job.units is Units.FT_IN
    assert of_the_other(summary(plan), "ft-in") == []
    assert of_the_other(strings(content(plan)), "ft-in") == []


def test_the_look_out_sees_figures_of_the_other_system() -> None:
    """The check above must be able to fail."""
    for text in ("gap of 86 mm", "22 m of cuts", "9 K colder", "4.53 kg/m² of water", "0.48 m²"):
        assert of_the_other([text], "ft-in") == [text]
    for text in ('gap of 3-3/8"', "22 ft of cuts", "16 °F colder", "0.7 lb/ft² of water", "R-13"):
        assert of_the_other([text], "mm") == [text]
