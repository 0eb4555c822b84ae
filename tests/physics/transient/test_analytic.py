"""Closed forms of transient conduction, and the shared cases by name."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from snugbay.base import OutOfRange
from snugbay.physics.transient import (
    contact_temperature,
    diffusivity,
    penetration_depth,
    semi_infinite_constant_flux,
    semi_infinite_film,
    semi_infinite_fixed,
    semi_infinite_fixed_flux,
    semi_infinite_periodic,
    slab,
    slab_mean,
    slab_roots,
)

WOOD = float(diffusivity(0.13, 500, 1600))
HOURS = np.array([1, 6, 24]) * 3600.0


def test_semi_inf_fixed() -> None:
    # Closed form; check values to four decimals.
    temps = semi_infinite_fixed([0.01, 0.02, 0.04, 0.08], HOURS, alpha=WOOD, temp_start_c=20, temp_surface_c=-10)
    expected = [
        [-3.1005, 3.2376, 12.7329, 19.4197], [-7.1499, -4.34, 1.0079, 9.8099], [-8.5724, -7.1499, -4.34, 1.0079],
    ]  # fmt: skip
    assert temps == pytest.approx(np.array(expected), abs=1e-3)
    flux = semi_infinite_fixed_flux(HOURS, conductivity=0.13, alpha=WOOD, temp_start_c=20, temp_surface_c=-10)
    assert -flux == pytest.approx([90.973, 37.14, 18.57], abs=0.01)


def test_semi_inf_film() -> None:
    # Carslaw and Jaeger 2.7; check values.
    temps = semi_infinite_film(
        [0, 0.01, 0.02, 0.04, 0.08], HOURS,
        conductivity=0.13, alpha=WOOD, film_coefficient=25, temp_start_c=20, temp_air_c=-10,
    )  # fmt: skip
    expected = [
        [-6.4399, 0.1712, 6.0024, 14.2675, 19.5917],
        [-8.5201, -5.6912, -2.9225, 2.2907, 10.696],
        [-9.2579, -7.833, -6.4158, -3.6241, 1.6604],
    ]
    assert temps == pytest.approx(np.array(expected), abs=1e-3)


def test_slab() -> None:
    # 19 mm plywood door leaf cooled on both faces; check values.
    temps = slab(
        [0, 0.0095], [300, 900, 3600], half_thickness=0.0095, conductivity=0.12,
        alpha=float(diffusivity(0.12, 540, 1210)), film_coefficient=8, temp_start_c=20, temp_air_c=-5,
    )  # fmt: skip
    assert temps[:, 0] == pytest.approx([14.7475, 5.4722, -4.3973], abs=1e-3)
    assert temps[:, 1] == pytest.approx([9.8404, 2.8671, -4.5472], abs=1e-3)


def test_a_film_that_conducts_ever_better_gives_the_fixed_surface() -> None:
    x = [0.0, 0.005, 0.05]
    film = semi_infinite_film(
        x, HOURS, conductivity=0.13, alpha=WOOD, film_coefficient=1e7, temp_start_c=20, temp_air_c=-10
    )
    fixed = semi_infinite_fixed(x, HOURS, alpha=WOOD, temp_start_c=20, temp_surface_c=-10)
    assert film == pytest.approx(fixed, abs=1e-3)


def test_a_film_holds_for_long_times_without_overflow() -> None:
    late = semi_infinite_film(
        [0.0, 1.0], 3e9, conductivity=0.13, alpha=WOOD, film_coefficient=25, temp_start_c=20, temp_air_c=-10
    )
    assert np.isfinite(late).all()
    assert late[0] == pytest.approx(-10, abs=0.01)


def test_a_thick_slab_is_semi_infinite_at_first() -> None:
    deep = slab(
        [0.3, 0.29, 0.25], 3600, half_thickness=0.3, conductivity=0.13, alpha=WOOD, film_coefficient=25,
        temp_start_c=20, temp_air_c=-10,
    )  # fmt: skip
    body = semi_infinite_film(
        [0, 0.01, 0.05], 3600, conductivity=0.13, alpha=WOOD, film_coefficient=25, temp_start_c=20, temp_air_c=-10
    )
    assert deep == pytest.approx(body, abs=1e-6)


def test_slab_with_held_faces_starts_everywhere_as_it_was_and_ends_as_the_air() -> None:
    args = {"half_thickness": 0.05, "conductivity": 1.0, "alpha": 1e-6, "temp_start_c": 20.0, "temp_air_c": 0.0}
    temps = slab([0.0, 0.04], [0.0, 1.0, 1e5], **args)
    assert temps[0] == pytest.approx([20, 20])
    assert temps[1] == pytest.approx([20, 20], abs=1e-6)
    assert temps[2] == pytest.approx([0, 0], abs=1e-6)


def test_mean_of_the_slab_is_the_mean_of_its_points() -> None:
    args = {
        "half_thickness": 0.02, "conductivity": 0.2, "alpha": 2e-7, "film_coefficient": 10.0,
        "temp_start_c": 20.0, "temp_air_c": 5.0,
    }  # fmt: skip
    total, _ = quad(lambda x: float(slab(x, 600.0, **args)), 0, 0.02)
    assert float(slab_mean(600.0, **args)) == pytest.approx(total / 0.02, rel=1e-9)


def test_roots_fulfil_their_equation() -> None:
    for biot in (1e-6, 0.3, 5.0, 1e4):
        roots = slab_roots(biot, 50)
        assert roots * np.tan(roots) == pytest.approx(np.full(50, biot), rel=1e-5)
        assert (np.diff(roots) > np.pi / 2).all()


def test_constant_flux_warms_the_surface_with_the_root_of_time() -> None:
    temps = semi_infinite_constant_flux(0.0, [100.0, 400.0], conductivity=0.13, alpha=WOOD, temp_start_c=20, flux=50)
    assert temps - 20 == pytest.approx([2 * 50 / 0.13 * math.sqrt(WOOD * t / math.pi) for t in (100, 400)])
    slope = semi_infinite_constant_flux([0.0, 1e-6], 400.0, conductivity=0.13, alpha=WOOD, temp_start_c=20, flux=50)
    assert 0.13 * (slope[0] - slope[1]) / 1e-6 == pytest.approx(50, rel=1e-3)


def test_periodic_body_obeys_its_equation_and_fades() -> None:
    depth = float(penetration_depth(WOOD, 86400))
    temps = semi_infinite_periodic([0.0, depth], 0.0, alpha=WOOD, temp_mean_c=10, swing=8, period=86400)
    assert temps == pytest.approx([18, 10 + 8 / math.e * math.cos(1)])

    def at(x: float, t: float) -> float:
        return float(semi_infinite_periodic(x, t, alpha=WOOD, temp_mean_c=10, swing=8, period=86400))

    rate = (at(0.03, 5010) - at(0.03, 4990)) / 20
    bend = (at(0.0301, 5000) - 2 * at(0.03, 5000) + at(0.0299, 5000)) / 1e-8
    assert rate == pytest.approx(WOOD * bend, rel=1e-3)


def test_contact_temperature_leans_to_the_body_that_holds_more() -> None:
    assert contact_temperature((0, 30), (1, 1)) == pytest.approx(15)
    assert contact_temperature((0, 30), (2000, 400)) == pytest.approx(5)


def test_nan_stays_nan_and_nonsense_is_refused() -> None:
    assert np.isnan(semi_infinite_fixed(math.nan, HOURS, alpha=WOOD, temp_start_c=20, temp_surface_c=0)).all()
    assert math.isnan(
        float(slab(0.0, math.nan, half_thickness=1, conductivity=1, alpha=1e-6, temp_start_c=1, temp_air_c=0))
    )
    with pytest.raises(OutOfRange):
        diffusivity(0.1, -1, 1000)
    with pytest.raises(OutOfRange):
        semi_infinite_fixed(-0.1, HOURS, alpha=WOOD, temp_start_c=20, temp_surface_c=0)
    with pytest.raises(OutOfRange):
        slab(2.0, 1.0, half_thickness=1, conductivity=1, alpha=1e-6, temp_start_c=1, temp_air_c=0)
