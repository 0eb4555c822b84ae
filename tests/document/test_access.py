"""The way in: sill and wall are read, and what was taken for them is listed."""

import pytest
from tests.said import said

from snugbay.base import InputError
from snugbay.document import example, read
from snugbay.job import Job


def cellar(more: str) -> Job:
    text = example("mill-cellar")
    assert text.count("[access]\n") == 1
    return read(text.replace("[access]\n", f"[access]\n{more}\n"))


def test_sill_and_wall_are_read() -> None:
    access = cellar("sill = 450\nwall_thickness = '300 mm'").access
    assert (access.sill, access.wall_thickness) == pytest.approx((0.45, 0.3))
    assert cellar("wall_thickness = 0").access.wall_thickness == 0.0


def test_what_was_taken_for_them_is_listed() -> None:
    job = cellar("")
    listed = {d.where: d.value for d in job.defaults}
    assert (job.access.sill, job.access.wall_thickness) == (0.0, 0.1)
    assert said(listed["access.sill"]) == "0 mm"
    assert said(listed["access.wall_thickness"]) == "100 mm"
    assert not any(d.where == "access.sill" for d in cellar("sill = 0").defaults)


def test_the_clear_height_reaches_to_the_upper_edge_unless_said() -> None:
    text = example("mill-cellar")
    line = next(row for row in text.splitlines() if row.startswith("clear_height"))
    job = read(text.replace(line, "sill = 500"))
    assert job.access.clear_height == pytest.approx(job.access.height + 0.5)


@pytest.mark.parametrize(("field", "written"), [("width", "22 1/2 m"), ("height", "7 m"), ("clear_height", "46 m")])
def test_a_way_in_as_large_as_a_hall_is_a_slip_of_the_unit(field: str, written: str) -> None:
    text = example("mill-cellar")
    at = text.index("[access]")
    line = next(row for row in text[at:].splitlines() if row.startswith(f"{field} ="))
    with pytest.raises(InputError, match="check the unit") as caught:
        read(text[:at] + text[at:].replace(line, f'{field} = "{written}"', 1))
    assert caught.value.where == ("access", field)
    assert caught.value.line is not None


@pytest.mark.parametrize("line", ["sill = -20", "sill = 4000", "wall_thickness = -1", "wall_thickness = '2 m'"])
def test_what_no_house_has_is_refused_on_its_line(line: str) -> None:
    with pytest.raises(InputError) as caught:
        cellar(line)
    assert caught.value.where == ("access", line.partition(" ")[0])
    assert caught.value.line is not None
