"""A space comes to faces and joins that hang together, whatever its kind and numbers."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import Phase, given, settings
from tests.said import said
from tests.spaces_made import ZONES, space_from, spaces

from snugbay.base import InputError, Run, UnknownName
from snugbay.job.outlines import GUESS, Taped
from snugbay.job.space import Put, Space, expand_space, kind_of
from snugbay.survey import SurveyOptions, adjust

SOME = settings(deadline=None, max_examples=15, phases=[Phase.explicit, Phase.reuse, Phase.generate])
"""A survey is dear: few examples, and none of the time goes into shrinking."""
EAVES = {"length": 4.3, "height": 1.17, "depth": 1.47}


def eaves(**more: object) -> Space:
    return Space("n", "North", kind_of("eaves"), {k: Taped(v) for k, v in EAVES.items()}, zone="n", warm=ZONES, **more)  # type: ignore[arg-type]


@SOME
@given(spaces())
def test_every_space_closes_in_the_survey(space: Space) -> None:
    made = expand_space(space)
    taped = adjust(made.faces, made.joins, SurveyOptions(), Run(1)).value
    assert not taped.suspects
    for check in taped.joins:
        assert max(check.length_error, check.closing_error) < 1e-4
    for face in made.faces:
        seen = next((f for f in made.solid.faces if face.id == f"s-{f.name.replace(' ', '-')}"), None)
        if seen is not None:
            sides = [
                math.dist(made.solid.at[a], made.solid.at[b])
                for a, b in zip(seen.loop, (*seen.loop[1:], seen.loop[0]), strict=True)
            ]
            points = taped.face(face.id).points
            got = [math.dist(p, q) for p, q in zip(points, (*points[1:], points[0]), strict=True)]
            assert got == pytest.approx(sides, abs=2e-3)


@SOME
@given(spaces())
def test_every_edge_between_two_faces_is_one_join(space: Space) -> None:
    made = expand_space(space)
    ends = [(j.a, j.edge_a) for j in made.joins] + [(j.b, j.edge_b) for j in made.joins]
    assert len(set(ends)) == len(ends)
    corners = sum(len(f.corners) for f in made.faces)
    closed = len(made.faces) == len(made.solid.faces) * made.copies
    assert len(ends) == corners if closed else len(ends) <= corners


@SOME
@given(spaces())
def test_every_measure_can_be_read_in_any_order(space: Space) -> None:
    made = expand_space(space)
    lengths = dict(made.unread)
    assert set(lengths) <= set(made.measures)
    read = {name: (Taped(value),) for name, value in list(lengths.items())[::-2]}
    again = expand_space(replace(space, readings=read))
    assert not set(read) & {name for name, _ in again.unread}
    adjust(again.faces, again.joins, SurveyOptions(), Run(1))


def test_a_number_that_nobody_said_is_a_wide_guess_until_it_is_read() -> None:
    bare = space_from(kind_of("eaves"), {"length": 4.3, "height": 1.17})
    made = expand_space(bare)
    guesses = [r for f in made.faces for r in f.readings if r.instrument == GUESS]
    assert [(g.name, g.sigma) for g in guesses] == [("floor depth at the left end", 0.25)]
    assert [n.name for n, _ in made.guessed if n.sigma] == ["depth"]
    read = expand_space(replace(bare, readings={"floor depth at the right end": (Taped(1.6),)}))
    taped = adjust(read.faces, read.joins, SurveyOptions(), Run(1)).value
    assert math.dist(*taped.face("s-floor").points[1:3]) == pytest.approx(1.6, abs=1e-3)


def test_two_readings_of_an_edge_go_to_its_two_faces() -> None:
    made = expand_space(eaves(readings={"knee wall height at the right end": (Taped(1.165), Taped(1.168))}))
    on = [(f.id, r.value) for f in made.faces for r in f.readings if r.name == "knee wall height at the right end"]
    assert on == [("n-knee-wall", 1.165), ("n-right-end", 1.168)]


def test_a_box_on_the_floor_cuts_both_faces_and_ties_itself() -> None:
    seat = Put("niche", "B", "Seat", "knee wall", 2.1, 0.0, Taped(1.37), Taped(0.43), Taped(0.48))
    made = expand_space(eaves(puts=(seat,)))
    floor = next(f for f in made.faces if f.id == "n-floor")
    assert [(round(o.x, 4), round(o.y, 4), o.width, round(o.height, 4)) for o in floor.openings] == [
        (2.1, 0.99, 1.37, 0.48)
    ]
    assert [h.face for h in made.hosts] == ["n-knee-wall"]
    assert "B-bottom" not in {f.id for f in made.faces}


def test_a_box_too_deep_is_refused_with_what_would_fit() -> None:
    deep = Put("niche", "B", "Box", "knee wall", 1.0, 0.6, Taped(0.6), Taped(0.4), Taped(0.9))
    with pytest.raises(InputError) as caught:
        expand_space(eaves(puts=(deep,)))
    # at 1.0 m height a slope of 1.17 in 1.47 leaves (1.17 - 1.0) x 1.47 / 1.17
    assert caught.value.cure is not None
    assert f"{1000 * (1.17 - 1.0) * 1.47 / 1.17:.0f} mm" in said(caught.value.cure)
    assert caught.value.where == ("put", 0, "depth_of_box")


def test_a_hatch_out_of_its_wall_is_refused_with_what_would_fit() -> None:
    wide = Put("hatch", "H", "Hatch", "knee wall", 3.9, 0.1, 0.56, 0.76)
    with pytest.raises(InputError) as caught:
        expand_space(eaves(puts=(wide,)))
    assert caught.value.where == ("put", 0, "width")
    assert caught.value.cure is not None
    assert "400 mm" in said(caught.value.cure)


def test_a_chimney_cuts_the_floor_and_the_slope_above_it() -> None:
    stack = Put("chimney", "C", "Chimney", "floor", 1.0, 0.7, 0.4, 0.4, round=False, hot=True)
    made = expand_space(eaves(puts=(stack,)))
    holes = {f.id: f.holes for f in made.faces if f.holes}
    assert set(holes) == {"n-floor", "n-slope"}
    slope = holes["n-slope"][0]
    assert slope.y == pytest.approx(0.7 / math.cos(math.atan2(1.17, 1.47)))
    assert slope.height == pytest.approx(0.4 / math.cos(math.atan2(1.17, 1.47)))


@pytest.mark.parametrize("field", ["behind", "names", "readings"])
def test_an_unknown_name_lists_close_ones(field: str) -> None:
    value: object = (Taped(1.0),) if field == "readings" else "x"
    with pytest.raises(UnknownName, match="knee") as caught:
        expand_space(
            eaves(**{field: {"knee wal height at the left end" if field == "readings" else "knee wal": value}})
        )
    assert "knee wall" in caught.value.hint


def test_numbers_that_make_no_body_are_refused() -> None:
    with pytest.raises(InputError, match="make no eaves"):
        expand_space(space_from(kind_of("eaves"), {"length": 0.5, "height": 1.0, "depth": 1.5, "skew_left": -1.0}))


def test_equal_bays_are_as_many_faces_of_one_shape() -> None:
    made = expand_space(space_from(kind_of("rim joists"), {"bays": 12.0, "width": 0.36, "height": 0.23}))
    assert [f.id for f in made.faces] == [f"s-rim-{k:02d}" for k in range(1, 13)]
    assert len({(f.corners, f.readings, f.layers) for f in made.faces}) == 1
    pipe = Put("pipe", "P", "Pipe", "rim", 0.1, 0.1, 0.05, 0.05)
    holed = replace(space_from(kind_of("rim joists"), {"bays": 12.0}), puts=(pipe,))
    with pytest.raises(InputError, match="12 equal"):
        expand_space(holed)
