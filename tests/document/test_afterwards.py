"""Readings, loggers and rates learned before, in the document."""

from __future__ import annotations

import pytest
from tests.said import said

from snugbay.base import InputError, SnugbayError
from snugbay.document import example, read
from snugbay.document.beside import with_loggers

LEARNED = '\n[[learned]]\nrate = "{rate}"\nlow = 1.0\ntypical = {typical}\nhigh = 4.0\nhours = 5.5\n'
RATE = "time_model.cutting.cut_setup"
LOGGER = (
    '\n[[loggers]]\nfile = "week.csv"\nwhen = "after"\nset = "one week"\ndates = "day first"\n'
    'channels = [{column = "Wall", kind = "surface, contact", face = "C1", side = "cold", sigma = 0.2}]\n'
)


def _mill(more: str) -> str:
    return example("mill-cellar") + more


def test_learned_rates_are_taken_and_listed_with_their_hours() -> None:
    job = read(_mill(LEARNED.format(rate=RATE, typical=2.0)))
    own = next(p for p in job.stock.prices if p.item == RATE)
    assert (own.low, own.typical, own.high, own.hours) == (1.0, 2.0, 4.0, 5.5)
    note = next(d for d in job.defaults if d.where == f"learned.{RATE}")
    assert "5.5 h" in note.why
    assert "2 (1 to 4)" in said(note.value)


def test_the_users_own_figure_comes_before_a_learned_one() -> None:
    more = f'\n[[stock.prices]]\nitem = "{RATE}"\ntypical = 3.0\n' + LEARNED.format(rate=RATE, typical=2.0)
    job = read(_mill(more))
    assert [p.typical for p in job.stock.prices if p.item == RATE] == [3.0]
    assert not [d for d in job.defaults if d.where.startswith("learned.")]


@pytest.mark.parametrize(
    ("more", "place"),
    [
        (LEARNED.format(rate="time_model.cutting.cut_setups", typical=2.0), ("learned", 0, "rate")),
        (LEARNED.format(rate=RATE, typical=2.0) * 2, ("learned", 1, "rate")),
        (LEARNED.format(rate=RATE, typical=9.0), ("learned", 0)),
        (LOGGER.replace('face = "C1"', 'face = "C7"'), ("loggers", 0, "channels", 0, "face")),
        (LOGGER.replace("surface, contact", "thermometer"), ("loggers", 0, "channels", 0, "kind")),
    ],
)
def test_what_cannot_be_is_refused_where_it_stands(more: str, place: tuple[str | int, ...]) -> None:
    with pytest.raises(SnugbayError) as caught:
        read(_mill(more))
    assert caught.value.where[: len(place)] == place


def test_wind_of_a_reading() -> None:
    row = '\n[[temperatures]]\nkind = "room air"\nvalue = 20\n'
    assert read(_mill(row)).temperatures[0].wind == ""
    assert read(_mill(row + 'wind = "windy"\n')).temperatures[0].wind == "windy"
    with pytest.raises(SnugbayError):
        read(_mill(row + 'wind = "gusty"\n'))


def test_a_logger_is_read_from_beside_the_document() -> None:
    job = read(_mill(LOGGER))
    assert not job.loggers[0].read
    files = {"week.csv": "t;Wall\n01/02/2026 18:00;3,5\n01/02/2026 19:00;3,6\n01/02/2026 20:00;\n"}
    done = with_loggers(job, lambda name: files[name])
    assert done.loggers[0].read
    assert {f.code for f in done.loggers[0].findings} == {"prove.logger-unit", "prove.logger-blanks"}
    assert all(f.where == ("loggers", 0) for f in done.loggers[0].findings)
    first = done.temperatures[0]
    assert (first.value, first.time, first.set, first.side, first.sigma) == (
        3.5, "2026-02-01T18:00:00", "one week", "cold", 0.2,
    )  # fmt: skip
    assert len(done.temperatures) == 2
    with pytest.raises(InputError, match=r"week\.csv, line 3") as caught:
        with_loggers(job, lambda _: "t;Wall\n01/02/2026 18:00;4\n01/02/2026 19:00;x\n")
    assert caught.value.where == ("loggers", 0)
    assert caught.value.line is None


def test_only_the_hours_named_are_taken_from_a_logger() -> None:
    text = "t;Wall\n" + "".join(f"2026-01-31 {h:02d}:00;{h}\n" for h in range(24))
    named = LOGGER.replace('set = "one week"', 'start = "2026-01-31T02:00"\nend = "2026-01-31T05:00"\nwind = "calm"')
    done = with_loggers(read(_mill(named)), lambda _: text)
    assert [t.value for t in done.temperatures] == [2.0, 3.0, 4.0, 5.0]
    assert {(t.set, t.wind) for t in done.temperatures} == {("week.csv", "calm")}
    with pytest.raises(InputError, match="no row"):
        with_loggers(read(_mill(named)), lambda _: text.replace("2026-01", "2026-03"))
    with pytest.raises(InputError) as caught:
        read(_mill(named.replace("2026-01-31T02:00", "two o'clock")))
    assert caught.value.where == ("loggers", 0, "start")
