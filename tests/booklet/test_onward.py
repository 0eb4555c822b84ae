"""The booklet of a plan for the rest marks what is new against the plan before."""

from __future__ import annotations

from dataclasses import replace

from tests.flow.mill import RUN, cellar

from snugbay.booklet.content import content
from snugbay.booklet.onward import mark_of, news
from snugbay.flow import replanned
from snugbay.job import LogEntry


def test_kept_changed_and_gone_are_marked() -> None:
    plan = cellar()
    assert news(plan) == []
    names = [p.id for p in plan.pieces.pieces]
    entries = (LogEntry(1.5, "set-up", share_done=1.0), LogEntry(2.5, "all", "C1", tuple(names[:3])))
    left = replanned(plan, replace(plan.job, log=replace(plan.job.log, entries=entries)), RUN).value
    told = " ".join(news(left))
    assert "3 pieces are cut" in told
    assert "All sheets stay" in told
    assert [p for p in names if mark_of(left, p) == "cut already"] == names[:3]
    said = content(left)
    assert str(said["cover"]).count("goes on from the one before") == 1
    assert str(said["pieces"]).count("cut already") == 3
    past = left.onward
    assert past is not None
    way = left.weighing.plan.way("C1")
    other = replace(
        past, ways=(("C1", way, way),), new=("C1-1d-2",), gone=("C1-1d",), fresh=(11,), dropped=(4,), relaid=True
    )
    told = " ".join(news(replace(left, onward=other)))
    for words in ("Changed: C1", "New pieces: C1-1d-2", "not to be cut any more: C1-1d", "New sheets: 11", "no more"):
        assert words in told
    assert mark_of(replace(left, onward=other), "C1-1d-2") == "new"
