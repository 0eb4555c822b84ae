"""Logger files as loggers write them, and as they should not."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.physics.shared import near
from tests.said import said as told

from snugbay.base import InputError
from snugbay.prove import parse_logger
from snugbay.prove.clock import day_first, read_time

ROWS = ((20.5, -3.25), (21.0, -3.5), (21.5, -3.75))
START = datetime(2026, 1, 31, 22, 30)


def _written(mark: str, decimal: str, form: str) -> str:
    lines = [mark.join(("Time", "Room °C", "Out °C"))]
    for n, row in enumerate(ROWS):
        at = (START + timedelta(hours=n)).strftime(form)
        cells = [str(v).replace(".", decimal) for v in row]
        lines.append(mark.join((at, *(f'"{c}"' if mark == decimal else c for c in cells))))
    return "\n".join(lines)


@pytest.mark.parametrize("mark", [";", "\t", ",", "|"])
@pytest.mark.parametrize("decimal", [".", ","])
@pytest.mark.parametrize(
    "form",
    [
        "%Y-%m-%d %H:%M",
        "%Y-%m-%dT%H:%M:%S",
        "%d.%m.%Y %H:%M",
        "%d.%m.%y %H:%M:%S",
        "%Y/%m/%d %H:%M",
        "%d %b %Y %H:%M",
        "%d/%m/%Y %H:%M",
        "%m/%d/%Y %I:%M %p",
        "%m/%d/%y %I:%M:%S%p",
    ],
)
def test_separators_decimals_and_dates(mark: str, decimal: str, form: str) -> None:
    table = parse_logger(_written(mark, decimal, form))
    assert table.findings == ()
    assert table.value.times[0] == START
    assert table.value.step_hours == 1.0
    near(table.value.channel("Room °C"), [r[0] for r in ROWS])
    near(table.value.channel("Out °C"), [r[1] for r in ROWS])


def test_a_date_that_could_be_read_two_ways_is_refused_or_said() -> None:
    text = "t,A °C\n01/02/2026 18:00,1\n02/02/2026 18:00,2\n"
    with pytest.raises(InputError, match="two ways") as caught:
        parse_logger(text)
    assert caught.value.line == 2
    assert parse_logger(text, "day first").value.times[1] == datetime(2026, 2, 2, 18)
    assert parse_logger(text, "month first").value.times[0] == datetime(2026, 1, 2, 18)
    with pytest.raises(InputError, match="cannot be read"):
        parse_logger("t,A\n31/01/2026 18:00,1\n01/31/2026 18:00,1\n", "day first")


def test_date_and_hour_in_two_columns_preamble_and_line_of_units() -> None:
    text = (
        "Serial;004711\nStation;attic\n\nDate;Time;Room;Plate\n;;°F;Btu/(h ft2)\n"
        "31.01.2026;18:00:00;68,0;1,0;\n31.01.2026;18:10:00;69,8;1,0;\n"
    )
    table = parse_logger(text).value
    assert table.channels == ("Room °F", "Plate Btu/(h ft2)")
    near(table.channel("Room °F"), [20.0, 21.0], tol=1e-9)
    near(table.channel("Plate Btu/(h ft2)")[0], 3.154591, rel=1e-6)
    near(table.step_hours, 1 / 6, tol=1e-9)


def test_units_in_the_cells_faults_and_rows_twice() -> None:
    table = parse_logger(
        "t,A\n2026-01-10 18:00,68.0 F\n2026-01-10 18:00,80 F\n2026-01-10 19:00,-999.9\n2026-01-10 20:00,ERR\n"
    )
    near(table.value.channel("A")[0], 20.0)
    codes = [f.code for f in table.findings]
    assert codes == ["prove.logger-times", "prove.logger-faults", "prove.logger-blanks"]
    assert told(table.findings[0]).startswith("1 row of")
    assert len(table.value.times) == 3
    with pytest.raises(InputError, match="in °C and in °F"):
        parse_logger("t,A\n2026-01-10 18:00,68.0 F\n2026-01-10 19:00,20 C\n")


def test_a_column_without_a_unit_is_said() -> None:
    codes = [f.code for f in parse_logger("t,A\n2026-01-10 18:00,20\n2026-01-10 19:00,20\n").findings]
    assert codes == ["prove.logger-unit"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("2026-01-10 18:00,20\n2026-01-10 19:00,20\n", "no head"),
        ("t,A\nnoon,20\nevening,20\n", "starts with a time"),
        ("t;A\n2026-01-10 18:00;1,234.5\n2026-01-10 19:00;2\n", "not a number"),
        ("t,A °C\n2026-01-10 18:00,3,5\n2026-01-10 19:00,3,6\n", "cells"),
        ("t,A\n2026-01-10 18:00,1\n2026-13-40 19:00,1\n", "cannot be read"),
        ("t,A\n2026-01-10 25:00,1\n2026-01-10 19:00,1\n", "cannot be read"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_line(text: str, said: str) -> None:
    with pytest.raises(InputError, match=said) as caught:
        parse_logger(text)
    assert caught.value.line is not None


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        parse_logger(text)
    except InputError:
        return


@given(st.datetimes(datetime(2000, 1, 1), datetime(2068, 12, 31)))
def test_every_moment_is_read_back(at: datetime) -> None:
    at = at.replace(second=0, microsecond=0)
    for form, first in (("%d/%m/%Y %H:%M", True), ("%m/%d/%Y %H:%M", False), ("%d.%m.%Y %H:%M", None)):
        assert read_time(at.strftime(form), 1, first) == at
    assert day_first([at.strftime("%d/%m/%Y")], "") in ((True,) if at.day > 12 else (None,))


def test_times_with_a_zone_become_one_clock() -> None:
    a = read_time("2026-01-10T18:00+01:00", 1, None)
    b = read_time("2026-01-10T17:00Z", 1, None)
    assert a == b
