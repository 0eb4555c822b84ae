"""The doors (command line, page, many) reach what is reckoned by `flow` alone, and take values from the other rooms."""

from __future__ import annotations

import ast
from pathlib import Path

import snugbay

SRC = Path(snugbay.__file__).parent
DOORS = ("cli", "web", "many")
ROOMS = {"survey", "physics", "pieces", "sheets", "ways", "weigh", "prove", "fit", "cautions"}
READERS = {
    "fit.bill": "adds up a buying list",
    "physics.climate.search_places": "names of bundled places",
    "prove.learned_rates": "what the proof learned, as it is written down",
    "prove.names.check_day": "refuses what cannot be logged",
    "prove.names.check_element": "refuses what cannot be logged",
    "prove.names.check_pieces": "refuses what cannot be logged",
    "prove.names.hours_logged": "adds up logged hours",
    "prove.names.hours_on": "adds up logged hours",
    "prove.wording.counted": "a number of things in words",
    "sheets.instances_from_json": "the command `lay`, which takes outlines and no job",
    "sheets.lay": "the command `lay`, which takes outlines and no job",
    "sheets.solution_to_json": "the command `lay`, which takes outlines and no job",
    "ways.rates_of": "rates of a job",
    "weigh.counted.as_counted_for": "the job as its plan was counted, for the sliders and why-not",
    "weigh.limits.best_within": "the page's sliders: the question of a plan with other limits",
    "weigh.points.as_shown": "a plan's figures as they are shown",
    "weigh.points.optimality": "what the proof of a plan covers",
    "weigh.points.second_costs_more": "compares two plans' figures",
    "weigh.why_not": "the page's why-not: the question of a plan with one face held",
    "weigh.whynot.question_again": "the page's sliders: the question of a plan with other limits",
}
"""Functions that doors may call in the rooms beneath, and why."""


def _called() -> set[str]:
    found = set()
    for door in DOORS:
        for path in (SRC / door).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("snugbay."):
                    module = node.module.removeprefix("snugbay.")
                    if module.partition(".")[0] in ROOMS:
                        found |= {f"{module}.{a.name}" for a in node.names if a.name[0].islower()}
    return found


def test_doors_call_nothing_that_reckons_beside_flow() -> None:
    assert _called() - set(READERS) == set()


def test_what_doors_may_call_is_called() -> None:
    assert set(READERS) - _called() == set()
