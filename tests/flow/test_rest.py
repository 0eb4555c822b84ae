"""Half-way: the plan for the rest goes on from what is cut and bought, and is followed like any plan."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from tests.flow.mill import RUN, cellar

from snugbay.base import InputError
from snugbay.document import example, read
from snugbay.document.snapshot import read_snapshot, snapshot_of, snapshot_text
from snugbay.flow import JobPlan, Onward, cut_so_far, proved, question_changed, replanned
from snugbay.flow.rest import _named_anew, _without
from snugbay.job import Job, LogEntry
from snugbay.sheets import Sheet

SET_UP = LogEntry(1.5, "set-up", share_done=1.0)


def labels() -> tuple[str, ...]:
    """Pieces of the wall, in the order in which they were made."""
    return tuple(p.id for p in cellar().pieces.pieces if p.face == "C1")


def begun(*entries: LogEntry, used: tuple[tuple[str, float], ...] = (), job: Job | None = None) -> Job:
    asked = job or cellar().job
    return replace(asked, log=replace(asked.log, entries=(SET_UP, *entries), used=used))


def rest(job: Job, plan: JobPlan | None = None) -> JobPlan:
    return replanned(plan or cellar(), job, RUN).value


def past(plan: JobPlan) -> Onward:
    assert plan.onward is not None
    return plan.onward


def on(sheets: tuple[Sheet, ...]) -> set[str]:
    return {p.piece for s in sheets for p in s.placements}


def bought(plan: JobPlan) -> float:
    return sum(b.total for b in plan.buying if b.unit != "job")


def three() -> LogEntry:
    return LogEntry(2.5, "all", "C1", labels()[:3])


def test_what_is_left_lies_on_what_was_bought_and_nothing_is_cut_twice() -> None:
    left, plan = rest(begun(three())), cellar()
    assert past(left).cut == labels()[:3]
    assert (past(left).new, past(left).gone, past(left).ways) == ((), (), ())
    assert not past(left).relaid  # what was printed holds
    assert left.sheets == plan.sheets
    assert left.pieces == plan.pieces
    assert left.fitting == plan.fitting
    assert on(left.sheets.sheets) == {p.id for p in plan.pieces.pieces}
    assert all(s.more == 0 for s in past(left).supplies)
    assert bought(left) == 0.0
    assert left.weighing.spread.hours == past(left).choice.hours_left


def test_the_same_sum_is_spent_for_proof_and_re_plan_along_the_chain() -> None:
    """plan -> log -> replan -> log -> prove: hours, money and what is done go on as if it were one plan."""
    job = begun(three())
    spent = bought(cellar())
    told = proved(cellar(), job, RUN).value
    left = rest(job)
    assert told.replan is not None
    assert told.replan == replace(past(left).choice, findings=told.replan.findings)
    assert past(left).paid == told.replan.sunk_cash == pytest.approx(spent)
    more = replace(job, log=replace(job.log, entries=(*job.log.entries, LogEntry(1.0, "all", "C1", labels()[3:5]))))
    after, straight = proved(left, more, RUN).value, proved(cellar(), more, RUN).value
    assert after.forecast == straight.forecast
    assert after.learned == straight.learned
    assert after.replan is not None
    assert after.replan.sunk_cash == pytest.approx(spent)
    again = rest(more, left)
    assert past(again).choice.sunk_cash == pytest.approx(spent)
    assert past(again).cut == labels()[:5]
    assert past(again).follows == left.digest


def test_a_sheet_that_was_used_up_without_a_piece_is_bought_again_under_a_new_number() -> None:
    plan = cellar()
    (material,) = {s.material for s in plan.sheets.sheets}
    job = begun(three(), used=((material, 5.0),))
    left = rest(job)
    whole = len(past(rest(begun(three()))).begun)
    (supply,) = past(left).supplies
    assert supply.more == 5 - whole
    (sheets,) = [b for b in left.buying if b.item == material]
    assert sheets.units == 5 - whole
    assert sheets.total == pytest.approx(sheets.units * sheets.price)
    assert past(left).relaid
    old = {s.number for s in plan.sheets.sheets}
    assert set(past(left).fresh).isdisjoint(old)
    assert set(past(left).dropped) | set(past(left).begun) == old
    assert on(left.sheets.sheets) == {p.id for p in plan.pieces.pieces}
    # what is bought now is spent for the plan after it, and its numbers run on
    more = replace(job, log=replace(job.log, entries=(*job.log.entries, LogEntry(1.0, "all", "C1", labels()[3:4]))))
    again = rest(replace(more, log=replace(more.log, used=((material, 7.0),))), left)
    assert past(again).choice.sunk_cash == pytest.approx(bought(plan) + bought(left))
    ever = old | set(past(left).fresh)
    assert set(past(again).fresh).isdisjoint(ever)
    assert past(again).last_sheet == max({*ever, *past(again).fresh})


@cache
def switched() -> tuple[Job, JobPlan, JobPlan]:
    """The wall at four times the planned hours by somebody whose hour is dear: the rest is done another way."""
    own = cellar().job
    dear = replace(own, you=replace(own.you, hour_worth=200.0, days=None))
    plan = replace(cellar(), job=dear)
    hours = 4.0 * sum(h.typical for h in dict(plan.weighing.face_hours)["C1"]) / len(labels())
    job = begun(*(LogEntry(hours, "all", "C1", (name,)) for name in labels()[:4]), job=dear)
    return job, plan, rest(job, plan)


def test_a_face_that_changes_half_way_keeps_what_is_cut_and_counts_each_hour_once() -> None:
    job, plan, left = switched()
    (change,) = past(left).ways
    assert change[0] == "C1"
    assert change[1] == plan.weighing.plan.way("C1") != change[2]
    assert set(labels()[:4]) <= {p.id for p in left.pieces.pieces}
    assert past(left).cut == labels()[:4]
    assert set(past(left).gone) == set(labels()[4:])
    assert set(past(left).retired) == set(past(left).gone)
    assert on(left.sheets.sheets) <= set(past(left).cut)
    (closed,) = past(left).closed
    share = dict(past(left).choice.done)["C1"]
    assert closed.share == pytest.approx(share)
    assert closed.entries == len(job.log.entries)
    told = proved(left, job, RUN).value
    assert told.forecast.spent == pytest.approx(sum(e.hours for e in job.log.entries))
    rest_hours = sum(h.typical for h in dict(left.weighing.face_hours).get("C1", ()))
    first = sum(h.typical for h in dict(plan.weighing.face_hours)["C1"])
    once = sum(h.typical for h in plan.weighing.hours) - sum(
        h.typical for _, own in plan.weighing.face_hours for h in own
    )
    assert told.forecast.planned >= rest_hours + share * first + once - 1e-6
    more = replace(job, log=replace(job.log, entries=(*job.log.entries, LogEntry(2.0, "all", "C1", share_done=1.0))))
    done = proved(left, more, RUN).value.forecast
    assert done.done > 0.9
    assert done.remaining.median < told.forecast.remaining.median


def test_a_plan_for_the_rest_is_kept_and_read_like_any_plan() -> None:
    for plan in (rest(begun(three())), switched()[2]):
        assert read_snapshot(snapshot_text(snapshot_of(plan, example("mill-cellar")))).plan == plan


def test_a_changed_document_is_weighed_anew_and_what_is_cut_stays() -> None:
    """The wall is found to be 20 mm lower: pieces still to cut are made anew under names that none has had."""
    text = example("mill-cellar")
    lower = read(text.replace("2096", "2076"))
    assert not question_changed(cellar(), begun(three()))
    job = begun(three(), job=lower)
    assert question_changed(cellar(), job)
    left = rest(job)
    assert past(left).cut == labels()[:3]
    old = {p.id: p for p in cellar().pieces.pieces}
    now = {p.id: p for p in left.pieces.pieces}
    assert all(now[name] == old[name] for name in past(left).cut)
    assert set(past(left).new).isdisjoint(old)
    assert past(left).new
    assert set(now) == {*past(left).cut, *past(left).new}
    again = rest(begun(three(), LogEntry(1.0, "all", "C1", past(left).new[:1]), job=lower), left)
    assert past(left).new[0] in past(again).cut
    assert set(past(again).retired) >= set(past(left).retired)


def test_no_name_is_given_twice() -> None:
    made = cellar().pieces
    taken = {p.id for p in made.pieces} | {f"{made.pieces[0].id}-2"}
    fresh = _named_anew(made, {"C1"}, taken, frozenset(labels()[1:2]))
    names = [p.id for p in fresh.pieces]
    assert f"{labels()[0]}-3" in names
    assert labels()[1] not in names
    assert f"{labels()[1]}-2" not in names  # its place is taken by the piece that is cut
    assert set(names).isdisjoint(taken)
    said = {n for s in fresh.seams for n in s.between} | {w.piece for w in fresh.way_in}
    assert not said & (set(labels()) - {labels()[1]})


def test_pieces_that_are_not_wanted_leave_a_sheet_that_is_begun() -> None:
    sheets = cellar().sheets
    first = sheets.sheets[0]
    (piece,) = on((first,))
    kept, findings = _without(sheets, {p.id for p in cellar().pieces.pieces} - {piece}, frozenset())
    assert first.number not in {s.number for s in kept.sheets}
    assert findings == ()
    same, findings = _without(sheets, set(labels()), frozenset())
    assert same == sheets


def test_which_pieces_the_log_has_as_cut() -> None:
    names = labels()

    def cut_by(*entries: LogEntry) -> tuple[frozenset[str], tuple[tuple[str, tuple[str, ...]], ...]]:
        found = cut_so_far(cellar(), begun(*entries))
        return found.pieces, found.taken

    assert cut_by() == (frozenset(), ())
    assert cut_by(LogEntry(1.0, "marking", "C1", names[:2])) == (frozenset(), ())
    assert cut_by(LogEntry(1.0, "cutting", "C1", names[2:4])) == (frozenset(names[2:4]), ())
    assert cut_by(LogEntry(1.0, "fitting", "C1", names[:1])) == (frozenset(names[:1]), ())
    wrong, right = LogEntry(1.0, "all", "C1", names[:3]), LogEntry(1.0, "all", "C1", names[:1], replaces=1)
    assert cut_by(wrong, right) == (frozenset(names[:1]), ())
    taken, said = cut_by(LogEntry(1.0, "all", "C1", share_done=0.5))
    assert said == (("C1", tuple(p for p in names if p in taken)),)
    assert 0 < len(taken) < len(names)
    assert cut_by(LogEntry(1.0, "all", "C1", share_done=1.0))[0] == frozenset(names)
    told = rest(begun(LogEntry(1.0, "all", "C1", share_done=0.5)))
    assert "replan.pieces-taken" in {f.code for f in told.findings}
    assert set(past(told).cut) == taken


def test_nothing_to_go_on_from_is_said() -> None:
    job = cellar().job
    with pytest.raises(InputError, match="what got done"):
        replanned(cellar(), replace(job, log=replace(job.log, entries=(LogEntry(5.0),))), RUN)
