"""The way in: every "yes" is carried out step by step by other code, and random motions look for a missed "yes"."""

from dataclasses import replace
from math import pi, sin, sqrt

import manifold3d
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon
from shapely.affinity import rotate
from tests.pieces.carrying import sampled_pass, straight_push
from tests.said import said

from snugbay.job import Access
from snugbay.pieces import Motion, way_in
from snugbay.pieces.limits import Limits, shape_passes
from snugbay.pieces.rates import typical
from snugbay.pieces.wayin import AXES, Gate, can_pass, clearance, longest, rotation, turns_of

Plate = tuple[float, float, float]


def works(plate: Plate, access: Access, motion: Motion) -> bool:
    along, across, thin = (plate[k] for k in AXES[motion.axis])
    u, v, n = rotation(np.array([[motion.yaw, motion.pitch, motion.roll]]))
    turn = np.column_stack([u[0], v[0], n[0]])
    opening, space = (access.width, access.height), (access.clear_run, access.clear_height)
    sill, deep = access.sill, access.wall_thickness
    return straight_push((along, across, thin), u[0], turn, motion.height, opening, space, sill=sill, deep=deep)


def random_case(rng: np.random.Generator, deep: bool = False) -> tuple[Plate, Access]:
    a, b = rng.uniform(0.3, 0.8, 2)
    access = Access(float(a), float(b), float(rng.uniform(0.4, 1.8)), float(rng.uniform(max(b, 0.5), 1.6)))
    if deep:
        access = replace(access, sill=float(rng.uniform(0.0, 0.8)), wall_thickness=float(rng.uniform(0.0, 0.4)))
    w = rng.uniform(0.2, 1.22)
    return (float(w), float(rng.uniform(w, 2.44)), float(rng.choice([0.025, 0.05, 0.1, 0.15]))), access


PLATES = 16
"""Plates tried at one way in: what is looked for once serves them all."""


def random_cases(rng: np.random.Generator, count: int, deep: bool = False) -> list[tuple[Plate, Access]]:
    ways = [random_case(rng, deep)[1] for _ in range(count // PLATES)]
    return [(random_case(rng)[0], access) for access in ways for _ in range(PLATES)]


def test_three_hundred_random_plates_and_no_false_yes() -> None:
    rng = np.random.default_rng(20)
    yes = 0
    for plate, access in random_cases(rng, 320):
        motion = can_pass(*plate, access)
        if motion is not None:
            yes += 1
            assert works(plate, access, motion), (plate, access)
    assert 90 < yes < 210


def test_random_motions_find_hardly_a_plate_that_was_refused() -> None:
    """Random turning motions, 150 a plate. The product also asks for 1 cm of play, so a few "no" are deliberate."""
    rng = np.random.default_rng(21)
    missed = refused = 0
    for plate, access in random_cases(rng, 80):
        if can_pass(*plate, access) is None:
            refused += 1
            opening, space = (access.width, access.height), (access.clear_run, access.clear_height)
            missed += sampled_pass(plate, opening, space, 150, rng)
    assert refused > 25
    assert missed <= 1


def test_two_hundred_and_fifty_plates_through_deep_openings_over_a_sill_and_no_false_yes() -> None:
    rng = np.random.default_rng(22)
    yes = jammed = 0
    for plate, access in random_cases(rng, 256, deep=True):
        thin = can_pass(*plate, replace(access, wall_thickness=0.0))
        motion = can_pass(*plate, access)
        if motion is not None:
            yes += 1
            assert works(plate, access, motion), (plate, access)
            assert thin is not None, (plate, access)
        jammed += thin is not None and motion is None
    assert 35 < yes < 150
    assert jammed > 2


def test_random_motions_find_few_plates_that_a_deep_opening_refused() -> None:
    """Turning half way out of a thick wall is not looked for, so that a few more are refused than need be."""
    rng = np.random.default_rng(23)
    missed = refused = 0
    for plate, access in random_cases(rng, 64, deep=True):
        if can_pass(*plate, access) is None:
            refused += 1
            opening, space = (access.width, access.height), (access.clear_run, access.clear_height)
            sill, deep = access.sill, access.wall_thickness
            missed += sampled_pass(plate, opening, space, 150, rng, sill=sill, deep=deep)
    assert refused > 20
    assert missed <= 2


def test_a_plate_that_passes_a_thin_wall_slantwise_jams_in_a_thick_one() -> None:
    """Hand-worked: 45 degrees to the side through a 600 mm opening, each 100 mm of wall takes 100 mm of its width."""
    turned = turns_of(np.array([[pi / 4, 0.0, pi / 2]]))
    size = (2.4, 0.2, 0.05)
    rooms = [clearance(size, Gate(0.6, 0.3, 1.9, 2.0, deep=deep), turned)[0][0] for deep in (0.0, 0.1, 0.3)]
    assert rooms[0] == pytest.approx(min(0.6 - 0.2 * sqrt(2), 1.9 - 2.6 / sqrt(2), 0.25))
    assert rooms[2] == pytest.approx(0.6 - 0.2 * sqrt(2) - 0.3)
    thin = Access(0.6, 0.2, 1.75, 2.0)
    assert can_pass(0.28, 2.4, 0.05, thin) is not None
    refused = way_in(0.28, 2.4, 0.05, replace(thin, wall_thickness=0.4))
    assert not refused.passes
    assert "clear run" in said(refused.how)


def test_a_plate_that_must_slope_needs_the_height_over_or_under_the_opening() -> None:
    """A metre of run takes a 1.2 m plate only aslope: up from a low opening, down from a high one, not half way."""
    passes = [
        can_pass(0.6, 1.2, 0.05, Access(0.62, 0.3, 1.0, 0.85, sill=sill)) is not None for sill in (0.0, 0.275, 0.55)
    ]
    assert passes == [True, False, True]


@pytest.mark.parametrize(("thick", "inches"), [(1, 36), (2, 35), (3, 34), (4, 33)])
def test_widest_flat_piece_through_a_22_x_30_hatch(thick: int, inches: int) -> None:
    """Fitting practice, section 5 (derived there): 36 in at 1 in thick, 35 at 2, 34 at 3, 33 at 4, without play."""
    inch = 0.0254
    play = typical("way_in_play")
    access = Access(22 * inch + play, 30 * inch + play, 20.0, 20.0)
    assert can_pass(inches * inch, 2.4, thick * inch, access) is not None
    assert can_pass((inches + 1) * inch, 2.4, thick * inch, access) is None


def test_the_diagonal_rule() -> None:
    """W sin p + t cos p <= a and W cos p + t sin p <= b for some tilt p (fitting practice, section 5)."""
    a, b, t = 0.5, 0.7, 0.04
    play = typical("way_in_play")
    tilts = np.linspace(0, pi / 2, 20001)
    wide = max(min((a - t * np.cos(p)) / max(sin(p), 1e-9), (b - t * sin(p)) / max(np.cos(p), 1e-9)) for p in tilts)
    access = Access(a + play, b + play, 50.0, 50.0)
    assert can_pass(wide - 0.002, 3.0, t, access) is not None
    assert can_pass(wide + 0.002, 3.0, t, access) is None


def test_a_long_plate_is_pushed_in_slantwise_and_a_short_run_stops_it() -> None:
    deep, shallow = Access(0.56, 0.76, 1.2, 1.1), Access(0.56, 0.76, 0.12, 1.1)
    verdict = way_in(0.7, 2.4, 0.05, deep)
    assert verdict.passes
    assert "slantwise" in said(verdict.how)
    refused = way_in(0.7, 2.4, 0.05, shallow)
    assert not refused.passes
    assert "clear run" in said(refused.how)
    assert "mm long would" in said(refused.how)


def test_a_no_says_what_would_pass() -> None:
    verdict = way_in(0.95, 2.0, 0.05, Access(0.56, 0.76, 3.0, 2.0))
    assert not verdict.passes
    assert "even tilted" in said(verdict.how)
    would = float(said(verdict.how).split("thickness ")[1].split(" mm")[0]) / 1000
    assert can_pass(would - 0.006, 2.0, 0.05, Access(0.56, 0.76, 3.0, 2.0)) is not None


def test_a_low_space_behind_is_named() -> None:
    verdict = way_in(0.74, 2.0, 0.05, Access(0.3, 0.8, 0.5, 0.6))
    assert not verdict.passes


HATCHES = (
    Access(0.5588, 0.762, 1.2, 1.1),
    Access(0.5588, 0.762, 0.9, 0.9, sill=0.15, wall_thickness=0.1),
    Access(0.4, 0.6, 0.7, 1.0, wall_thickness=0.3),
    Access(0.7, 0.5, 1.5, 0.6),
    Access(0.35, 0.9, 0.5, 1.2, sill=0.4, wall_thickness=0.2),
    Access(0.56, 0.76, 2.0, 0.8, sill=0.04),
)


@settings(max_examples=200, deadline=None, derandomize=True)
@given(
    access=st.sampled_from(HATCHES),
    w=st.floats(0.2, 1.25),
    ln=st.floats(0.2, 2.5),
    t=st.floats(0.02, 0.15),
    less=st.tuples(*[st.one_of(st.just(1.0), st.floats(0.3, 1.0))] * 3),
)
def test_a_smaller_plate_passes_where_a_larger_one_does(
    access: Access, w: float, ln: float, t: float, less: tuple[float, float, float]
) -> None:
    if can_pass(w, ln, t, access) is not None:
        plate = (w * less[0], ln * less[1], t * less[2])
        motion = can_pass(*plate, access)
        assert motion is not None
        assert works((min(plate[:2]), max(plate[:2]), plate[2]), access, motion)


def test_the_border_falls_as_plates_grow() -> None:
    """Along every length the widest plate that passes is no wider than for a shorter one, to the centimetre."""
    widths = np.arange(0.4, 1.25, 0.01)
    for access in HATCHES[:2]:
        border = []
        for length in np.arange(0.9, 2.45, 0.13):
            passes = [can_pass(float(w), float(length), 0.05, access) is not None for w in widths]
            assert passes == sorted(passes, reverse=True)
            border.append(sum(passes))
        assert border == sorted(border, reverse=True)


TRIANGLES = [
    ((0.0, 0.0), (1.2, 0.0), (0.0, 0.9)),
    ((0.0, 0.0), (1.6, 0.0), (0.5, 0.7)),
    ((0.0, 0.0), (2.0, 0.1), (1.1, 0.66)),
]


@pytest.mark.parametrize("points", TRIANGLES)
def test_a_triangle_passes_by_the_best_of_the_rectangles_round_it(points: tuple[tuple[float, float], ...]) -> None:
    """Its least height passes on edge through a hatch a little wider, however its corners lie on the page."""
    shape = Polygon(points)
    height = 2 * shape.area / max(np.hypot(a[0] - b[0], a[1] - b[1]) for a in points for b in points)
    hatch = Access(0.1, float(height) + 0.02, 9.0, 9.0)
    for turn in (0.0, 17.0, 49.0):
        assert shape_passes(rotate(shape, turn), 0.05, hatch) is not None
    low = Access(0.1, float(height) - 0.02, 9.0, 9.0)
    assert shape_passes(shape, 0.05, low) is None


def test_longest_is_the_border() -> None:
    access = Access(0.37, 0.6, 0.6, 0.9)
    best = longest(0.5, 0.1, access)
    assert can_pass(0.5, best, 0.1, access) is not None
    assert best == 4.0 or can_pass(0.5, best + 0.02, 0.1, access) is None


def test_limits_remember_by_size() -> None:
    limits = Limits((1.2, 2.4), 0.05, Access(0.56, 0.76, 1.2, 1.1))
    assert limits.fits(0.7, 2.4)
    assert limits.fits(0.6, 2.0)
    assert not limits.fits(1.2, 2.4)
    assert not limits.fits(0.7, 2.5)
    assert limits.share(0.6, 2.4) == 0.5
    assert limits.share(0.5, 1.1) == pytest.approx(0.25)


def around(access: Access) -> manifold3d.Manifold:
    """The wall with its opening, the floor, the lid and the end of the run, as solids. [mm]"""
    w, h, deep = access.width * 1000, access.height * 1000, access.wall_thickness * 1000
    wall = manifold3d.Manifold.cube((9e3, 9e3, deep)).translate((-4.5e3, -4.5e3, -deep))
    hole = manifold3d.Manifold.cube((w, h, deep + 2)).translate((-w / 2, access.sill * 1000, -deep - 1))
    floor = manifold3d.Manifold.cube((9e3, 1e3, 9e3)).translate((-4.5e3, -1e3, 0.0))
    lid = manifold3d.Manifold.cube((9e3, 1e3, 9e3)).translate((-4.5e3, access.clear_height * 1000, 0.0))
    end = manifold3d.Manifold.cube((9e3, 9e3, 1e3)).translate((-4.5e3, -4.5e3, access.clear_run * 1000))
    return (wall - hole) + floor + lid + end


def test_solids_that_pass_a_deep_opening_touch_nothing_on_the_way() -> None:
    """The motion that a yes comes with, carried out with solids, never shares space with what stands round it."""
    rng = np.random.default_rng(24)
    done = 0
    for plate, access in random_cases(rng, 112, deep=True):
        motion = can_pass(*plate, access)
        if motion is None or done == 25:
            continue
        done += 1
        size = [plate[k] * 1000 for k in AXES[motion.axis]]
        u, v, n = (a[0] for a in rotation(np.array([[motion.yaw, motion.pitch, motion.roll]])))
        deep = access.wall_thickness
        leaves = np.array([u[0] / u[2] * deep / 2, motion.height, 0.0])
        reach = float(np.abs(np.array([u, v, n])[:, 2]) @ np.array(size)) / 2000 / u[2]
        body, house = manifold3d.Manifold.cube(size, True), around(access)
        for step in np.linspace(-reach - deep / u[2], reach, 40):
            placed = body.transform(np.column_stack([u, v, n, (leaves + step * u) * 1000]))
            assert (placed ^ house).volume() < 1e-3, (plate, access, step)
