"""The log is read against the plan: nothing counts twice, nothing is dropped in silence."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.prove.cases import RUN, logged, mill

from snugbay.job import Log, LogEntry
from snugbay.prove import Followed, prove
from snugbay.prove.log import planned_done, read_log, standing
from snugbay.prove.work import planned_work


def _codes(*entries: LogEntry) -> tuple[list[str], float, float]:
    job, _, weighing, pieces = mill()
    work = planned_work(job, weighing, pieces)
    record = read_log(Log(entries), work)
    return [f.code for f in record.findings], record.spent, planned_done(work, record) / work.planned


def _labels() -> tuple[str, ...]:
    return tuple(p.id for p in mill()[3].pieces if p.face == "C1")


def test_cells_add_up_to_the_plan() -> None:
    job, _, weighing, pieces = mill()
    work = planned_work(job, weighing, pieces)
    assert work.planned == pytest.approx(sum(h.typical for h in weighing.hours), rel=1e-9)
    assert work.planned == pytest.approx(weighing.plan.hours, rel=1e-6)


def test_all_pieces_one_by_one_are_the_whole_face() -> None:
    pieces = tuple(LogEntry(0.5, "all", "C1", (p,)) for p in _labels())
    codes, spent, share = _codes(*pieces)
    assert codes == []
    assert spent == pytest.approx(0.5 * len(pieces))
    assert share == pytest.approx(_codes(LogEntry(1.0, "all", "C1", share_done=1.0))[2])


def test_everything_done_says_so() -> None:
    job, taped, weighing, pieces = mill()
    answer = prove(Followed(logged(job, LogEntry(14.0, "all", share_done=1.0)), taped, weighing, pieces), RUN).value
    assert answer.forecast.done == pytest.approx(1.0)
    assert answer.forecast.remaining.high95 == pytest.approx(0.0, abs=1e-9)
    assert answer.forecast.text.startswith("All planned work is done")
    assert answer.replan is None


@pytest.mark.parametrize(
    ("entry", "code"),
    [
        (LogEntry(1.0, "cutting", "C9", share_done=0.5), "prove.log-face"),
        (LogEntry(1.0, "cutting", "C1", ("C1-zz",)), "prove.log-piece"),
        (LogEntry(1.0, "plastering", "C1", share_done=0.5), "prove.log-element"),
        (LogEntry(1.0, "cutting", "C1"), "prove.log-no-progress"),
        (LogEntry(float("nan"), "cutting", "C1", share_done=0.5), "prove.log-hours"),
        (LogEntry(0.0, "cutting", "C1", share_done=0.5), "prove.log-no-time"),
        (LogEntry(0.5, "break", "C1"), "prove.log-pause"),
        (LogEntry(1.0, "cutting", "C1", share_done=1.7), "prove.log-no-progress"),
    ],
)
def test_what_cannot_be_used_is_said(entry: LogEntry, code: str) -> None:
    assert code in _codes(entry)[0]


def test_pauses_are_not_spent_and_strange_work_is() -> None:
    assert _codes(LogEntry(0.5, "lunch"))[1] == 0.0
    assert _codes(LogEntry(0.5, "plastering", "C1", share_done=0.5))[1] == 0.5


def test_work_done_again_is_spent_but_teaches_nothing() -> None:
    first = _labels()[0]
    codes, spent, share = _codes(LogEntry(1.0, "cutting", "C1", (first,)), LogEntry(1.5, "cutting", "C1", (first,)))
    assert "prove.log-again" in codes
    assert spent == 2.5
    assert share == _codes(LogEntry(1.0, "cutting", "C1", (first,)))[2]


def test_a_fitted_piece_has_been_cut_whenever_that_is_logged() -> None:
    first = (_labels()[0],)
    early = _codes(LogEntry(0.3, "cutting", "C1", first), LogEntry(0.3, "fitting", "C1", first))
    late = _codes(LogEntry(0.3, "fitting", "C1", first), LogEntry(0.3, "cutting", "C1", first))
    assert early[0] == late[0] == ["prove.log-unlogged"]
    assert early[2] == pytest.approx(late[2])
    assert early[2] > _codes(LogEntry(0.3, "cutting", "C1", first))[2]


def test_a_correction_takes_the_place_of_what_it_corrects() -> None:
    first = (_labels()[0],)
    wrong, right = LogEntry(9.0, "cutting", "C1", first), LogEntry(0.9, "cutting", "C1", first, replaces=0)
    assert _codes(wrong, right) == _codes(LogEntry(0.9, "cutting", "C1", first))
    again = LogEntry(0.8, "cutting", "C1", first, replaces=1)
    assert _codes(wrong, right, again) == _codes(LogEntry(0.8, "cutting", "C1", first))


@given(st.lists(st.none() | st.integers(-2, 8), max_size=8))
def test_no_entry_is_corrected_twice_or_by_itself(replaces: list[int | None]) -> None:
    log = Log(tuple(LogEntry(1.0, replaces=r) for r in replaces))
    keep, found = standing(log)
    numbers = [i for i, _ in keep]
    assert len(numbers) == len(set(numbers))
    assert all(e.replaces is None or e.replaces < i for i, e in keep)
    good = sum(r is not None for r in replaces) - len(found)
    assert len(keep) == len(replaces) - len(found) - good


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(["all", "cutting", "fitting", "sealing"]), st.floats(0.0, 1.0)), max_size=8))
def test_no_share_grows_beyond_the_whole(rows: list[tuple[str, float]]) -> None:
    job, _, weighing, pieces = mill()
    work = planned_work(job, weighing, pieces)
    record = read_log(Log(tuple(LogEntry(1.0, e, "C1", share_done=s) for e, s in rows)), work)
    assert all(0.0 <= d <= 1.0 for d in record.done)
    for i, c in enumerate(work.cells):
        covered = sum(p.share for w in record.worked for p in w.parts if p.cell == i)
        assert covered == pytest.approx(record.done[i], abs=1e-9), c
    assert record.spent == pytest.approx(len(rows))
