"""Half-way: the boards still to cut lie on what was bought, and only what is missing is bought."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from tests.prove.cases import RUN, logged, mill

from snugbay.flow import Bench, RestPlan, cut
from snugbay.flow.rest import pieces_wanted, rest_plan
from snugbay.job import Job, LogEntry
from snugbay.prove import pieces_cut
from snugbay.sheets import Sheet


@cache
def bench() -> Bench:
    job, taped, weighing, _ = mill()
    return Bench(job, *cut(job, taped, weighing, RUN).value)


@cache
def labels() -> tuple[str, ...]:
    """Pieces of the wall, in the order in which they were made."""
    return tuple(p.id for p in bench().pieces.pieces if p.face == "C1")


def begun(*entries: LogEntry, used: tuple[tuple[str, float], ...] = ()) -> Job:
    job = logged(bench().job, LogEntry(1.5, "set-up", share_done=1.0), *entries)
    return replace(job, log=replace(job.log, used=used))


def rest(job: Job) -> RestPlan:
    _, taped, weighing, _ = mill()
    return rest_plan(job, taped, weighing, replace(bench(), job=job), RUN).value


def on(sheets: tuple[Sheet, ...]) -> set[str]:
    return {p.piece for s in sheets for p in s.placements}


def test_what_is_left_lies_on_what_was_bought_and_nothing_is_cut_twice() -> None:
    done = labels()[:3]
    left = rest(begun(LogEntry(2.5, "all", "C1", done)))
    assert {p.id for p in left.pieces} == {p.id for p in bench().pieces.pieces} - set(done)
    assert set(done) <= on(left.begun)
    assert on(left.begun) | on(left.fresh) == {p.id for p in bench().pieces.pieces}
    assert not on(left.begun) & on(left.fresh)
    assert not left.relaid  # what was printed holds
    assert (*left.begun, *left.fresh) == bench().sheets.sheets
    assert all(s.more == 0 for s in left.supplies)
    assert not any(b.item.startswith("pir") for b in left.buying)
    assert left.ways.hours_left.p50 > 0


def test_a_sheet_that_was_used_up_without_a_piece_is_bought_again() -> None:
    (material,) = {s.material for s in bench().sheets.sheets}
    entry = LogEntry(2.5, "all", "C1", labels()[:3])
    left = rest(begun(entry, used=((material, 5.0),)))
    whole = rest(begun(entry))
    begun_sheets = len(whole.begun)
    (supply,) = left.supplies
    assert supply.more == 5 - begun_sheets
    (bought,) = [b for b in left.buying if b.item == material]
    assert bought.units == 5 - begun_sheets
    assert bought.total == pytest.approx(bought.units * bought.price)
    assert left.relaid
    assert sum(s.source == "new" for s in left.fresh) == supply.more
    assert {s.source for s in left.fresh} <= {"new", "on hand"}
    assert on(left.begun) | on(left.fresh) == {p.id for p in bench().pieces.pieces}
    assert {s.number for s in left.fresh}.isdisjoint({s.number for s in bench().sheets.sheets})


def test_other_boards_are_made_for_what_was_not_begun_and_none_for_a_face_in_part() -> None:
    job, taped, weighing, _ = mill()
    now = weighing.plan.way("C1")
    other = next(o for o in weighing.options if o.fits and o.boards is not None and o.way != now)
    assert other.boards is not None
    ways = tuple((f, other.way if f == "C1" else w) for f, w in weighing.plan.ways)
    left = rest(begun(LogEntry(2.5, "all", "C1", labels()[:1]))).ways
    switched = replace(left, plan=replace(weighing.plan, ways=ways), done=())
    fresh = pieces_wanted(job, taped, weighing, switched, bench().pieces, RUN)
    assert {p.material for p in fresh.value} == {other.boards.material}
    assert fresh.findings == ()
    part = pieces_wanted(job, taped, weighing, replace(switched, done=(("C1", 0.3),)), bench().pieces, RUN)
    assert part.value == ()
    assert [f.code for f in part.findings] == ["replan.in-part"]
    stays = pieces_wanted(job, taped, weighing, replace(switched, done=(("C1", 1.0),)), bench().pieces, RUN)
    assert stays.value == bench().pieces.pieces


def test_which_pieces_the_log_has_as_cut() -> None:
    _, _, weighing, _ = mill()
    names = labels()

    def cut_by(*entries: LogEntry) -> tuple[frozenset[str], tuple[tuple[str, tuple[str, ...]], ...]]:
        found = pieces_cut(begun(*entries), weighing, bench().pieces)
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
    assert {p.id for p in told.pieces} == set(names) - taken
