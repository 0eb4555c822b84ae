"""An answer of `prove` for the made-up niche: read before and after, half the hours logged."""

from __future__ import annotations

from snugbay.base import Finding
from snugbay.base.facts import FaceRef, RowRef
from snugbay.prove.values import (
    ColdSeam,
    FaceProof,
    Forecast,
    Interval,
    LearnedFactor,
    ProveAnswer,
    ToRead,
)
from snugbay.weigh import Band, PlanPoint, Replan


def near(median: float, share: float) -> Interval:
    return Interval(
        median, median * (1 - share), median * (1 + share), median * (1 - 1.6 * share), median * (1 + 1.6 * share)
    )


REST = PlanPoint((), ("N1",), (("N1", "boards"),), 0.0, 6.0, 190.0, 900.0, 0.0)
PROOF = ProveAnswer(
    learned=(LearnedFactor("cutting", near(1.4, 0.1), near(1.0, 0.4), 3),),
    forecast=Forecast(4.5, 0.4, near(6.0, 0.2), near(10.5, 0.12), 8.8, "At this pace it takes about 10-1/2 hours."),
    replan=Replan(
        REST,
        None,
        switch=True,
        chance=0.12,
        done=(),
        sunk_hours=4.5,
        sunk_cash=0.0,
        pace=1.0,
        purchases=(),
        hours=(),
        hours_left=Band(5.0, 6.0, 7.0),
        gap=0.0,
        text="The kit for the rest would win in 12 of 100 cases: carry on.",
    ),
    faces=(
        FaceProof("N1", "niche back", "before", near(0.36, 0.2), None, 2.2, near(0.3, 0.4), False, ""),
        FaceProof(
            "N1",
            "niche back",
            "after",
            near(1.4, 0.25),
            near(1.04, 0.3),
            2.2,
            near(0.35, 0.3),
            True,
            "The boards gave half of what was planned: air moves behind them.",
        ),
    ),
    seams=(ColdSeam("N1", "left edge", 2.1, 0.9, "N1, left edge: 2 K colder than the middle. Open it first."),),
    to_read=(ToRead("surface, infrared", "K1, middle", "a windy night below 40 °F", "tells air from resistance"),),
    saving=near(190.0, 0.2),
    saving_planned=262.0,
    findings=(Finding.of("prove.bright-foil", reading=RowRef(4), face=FaceRef("N1")),),
)
NOTHING = ProveAnswer(
    (), Forecast(0.0, 0.0, near(9.0, 0.4), near(9.0, 0.4), 8.8, ""), None, (), (), PROOF.to_read, None, 262.0
)
