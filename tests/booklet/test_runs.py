from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.booklet.plan_fixture import AS_FOUND, JOB, LEFT

from snugbay.booklet.runs import FEWEST, as_found_in_runs, folded, one_of_each, run_title, runs, stem
from snugbay.document import example, read

POCKETS = tuple(replace(LEFT, id=f"R1-{n:02d}", title=f"Street side, {n:02d}") for n in range(1, 13))
ROW = replace(JOB, faces=(*JOB.faces, *POCKETS))


def test_long_runs_are_told_together_and_short_ones_apart() -> None:
    ids = [f.id for f in ROW.faces]
    assert folded(ROW, ids)[-1] == "R1-01 to R1-12 Street side"
    assert folded(ROW, ids)[:2] == ["N1 niche back", "N2 niche left side"]  # N1 to N4 count on but are not alike
    gap = [i for i in ids if i != "R1-03"]
    assert "R1-01 Street side, 01" in folded(ROW, gap)
    assert "R1-04 to R1-12 Street side" in folded(ROW, gap)


def test_unlike_faces_do_not_go_together() -> None:
    ways = {f"R1-{n:02d}": "foam" if n <= 6 else "boards" for n in range(1, 13)}
    assert [len(g) for g in runs(ways, ways.get)] == [6, 6]


@given(st.lists(st.integers(0, 30), max_size=25, unique=True))
def test_every_id_comes_once_and_runs_count_on(numbers: list[int]) -> None:
    ids = [f"A{n}" for n in numbers]
    groups = runs(ids)
    assert sorted(i for g in groups for i in g) == sorted(ids)
    for group in groups:
        assert len(group) == 1 or len(group) >= FEWEST
        found = [int(i[1:]) for i in group]
        assert found == list(range(found[0], found[0] + len(found)))


def test_losses_and_areas_of_a_run_add_up() -> None:
    one = AS_FOUND.faces[0]
    rows = tuple(
        replace(one, face=f.id, title=f.title, area=0.1, u=2.0 + n, season_kwh=10.0) for n, f in enumerate(POCKETS)
    )
    found = as_found_in_runs(ROW, replace(AS_FOUND, faces=(*AS_FOUND.faces[:1], *rows)))
    run = next(f for f in found.faces if f.face == "R1-01 to R1-12")
    assert run.title == "Street side"
    assert run.area == pytest.approx(1.2)
    assert run.season_kwh == pytest.approx(120.0)
    assert run.r == pytest.approx(1.2 / sum(0.1 * (2.0 + n) for n in range(12)))
    assert [f.face for f in found.faces] == ["K1", "R1-01 to R1-12"]


def test_only_one_of_like_faces_is_sketched() -> None:
    wider = replace(POCKETS[5], readings=JOB.faces[0].readings)
    row = (*POCKETS[:5], wider, *POCKETS[6:])
    assert one_of_each(row) == ("R1-01", "R1-06")


def test_titles_lose_their_number_only() -> None:
    assert [stem(t) for t in ("Street side, 01", "bay no. 7", "pocket #12", "north wall", "2 x 4 bay")] == [
        "Street side",
        "bay",
        "pocket",
        "north wall",
        "2 x 4 bay",
    ]
    assert run_title(ROW, ["N1"]) == "N1 niche back"


def test_a_title_that_only_says_the_id_again_is_left_out() -> None:
    """Shorthands without a title give their faces the id as one: ``RN, 01``."""
    job = read(example("bakery-rim").replace('title = "Street side"\n', ""))
    ids = [f.id for f in job.faces if f.id.startswith("R1-")]
    assert run_title(job, ids) == "R1-01 to R1-22"
    assert run_title(job, ids[:1]) == "R1-01"
    assert run_title(job, ["R2-01"]) == "R2-01 Yard side, 01"
