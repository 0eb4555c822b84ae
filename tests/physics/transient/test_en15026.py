"""The benchmark of EN 15026 as far as its definition is known; its reference curves were not available.

Semi-infinite body, 20 °C and 50 % throughout, face brought to 30 °C and 95 % without any film. Storage, transport and
conductivity from the definition (rho c, lambda and w_f read; the others from memory). What can be held without the
curves: temperature and water content at 7, 30 and 365 days against the similarity solution of the same equations (both
depend on x/sqrt(t) only; a boundary value problem solved by scipy) within the standard's 2.5 % of the rise; the
temperature is nearly that of pure conduction, twice as many cells move nothing by more than that limit, water is kept,
profiles fall away from the face and rise with time.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_bvp
from scipy.special import erfc

from snugbay.physics.transient import (
    AirFace,
    BuildUp,
    Conditions,
    HygroLayer,
    HygroResult,
    MaterialTables,
    Steps,
    saturation_pressure,
    semi_infinite_fixed,
    simulate,
)
from snugbay.physics.transient.hygro import NODES

Floats = NDArray[np.float64]
GAS = 8.314462618 / 0.018015
DAYS = (7, 30, 365)
DEPTHS = (0.01, 0.02, 0.03, 0.05, 0.1, 0.2)


def _tables() -> MaterialTables:
    suction = -1000 * GAS * 293.15 * np.log(np.maximum(NODES, 1e-12))
    water = np.where(NODES > 0, 146 / (1 + (8e-8 * suction) ** 1.6) ** 0.375, 0.0)
    dry = 1 - water / 146
    vapour = 26.1e-6 / (GAS * 293.15) / 200 * dry / (0.503 * dry**2 + 0.497)
    x = water - 73
    log_liquid = -39.2619 + 0.0704 * x - 1.7420e-4 * x**2 - 2.7953e-6 * x**3 - 1.1566e-7 * x**4 + 2.5969e-9 * x**5
    return MaterialTables(1.824e6, 1.5, 0.0158, 0.0, water, vapour, log_liquid)


@pytest.fixture(scope="module")
def runs() -> tuple[HygroResult, HygroResult]:
    """The benchmark on a net that is fine near the face and on one twice as fine."""
    tables, hours = _tables(), np.ones(365 * 24 + 1)
    build_up = BuildUp(
        tuple(HygroLayer(tables, d) for d in (0.02, 0.02, 0.03, 0.05, 0.1, 0.3, 19.4)),
        AirFace(0.0, 0.0),
        AirFace(1e3, 1e9),
    )
    vapour = 0.5 * float(saturation_pressure(20))
    conditions = Conditions(30 * hours, 0.95 * hours, 20 * hours, vapour * hours)
    # The tables hold permeabilities themselves, which fall with the absolute temperature as D/(R T).
    results = [
        simulate(
            build_up, conditions, start_humidity=0.5, start_temp_c=20.0, still_air=(1.0, -1.0),
            steps=Steps(0.2, 0.01, 0.01, fineness),
        )
        for fineness in (1.25, 2.5)
    ]  # fmt: skip
    return results[0], results[1]


def _profile(result: HygroResult, values: NDArray[np.float64], day: int) -> NDArray[np.float64]:
    return np.asarray(np.interp(DEPTHS, result.cells.middles, values[day * 24 - 1]))


def test_water_is_kept(runs: tuple[HygroResult, HygroResult]) -> None:
    assert all(abs(r.balance_error) < 1e-6 for r in runs)


def test_temperature_is_nearly_that_of_pure_conduction(runs: tuple[HygroResult, HygroResult]) -> None:
    # Water of the start, 43 kg/m3: lambda = 1.5 + 0.0158 w; the wet front near the face moves this by under 0.1 K.
    start = float(runs[0].start_water[-1])
    alpha = (1.5 + 0.0158 * start) / (1.824e6 + 4187 * start)
    depths = [0.1, 0.5, 1.0, 2.0, 4.0]
    for day in DAYS:
        exact = semi_infinite_fixed(depths, day * 86400.0, alpha=alpha, temp_start_c=20, temp_surface_c=30)
        temps = np.interp(depths, runs[1].cells.middles, runs[1].temp_c[day * 24 - 1])
        assert temps == pytest.approx(exact, abs=0.1)


def test_twice_as_many_cells_stay_within_the_limit_of_the_standard(runs: tuple[HygroResult, HygroResult]) -> None:
    for day in DAYS:
        coarse, fine = (_profile(r, r.water, day) for r in runs)
        rise = float(fine[0] - fine[-1]) if day > 7 else 80.0  # the face itself rises by 80 kg/m3 at once
        assert coarse == pytest.approx(fine, abs=0.025 * rise)
        warm = [_profile(r, r.temp_c, day) for r in runs]
        assert warm[0] == pytest.approx(warm[1], rel=0.025)


def test_profiles_fall_from_the_face_and_rise_with_time(runs: tuple[HygroResult, HygroResult]) -> None:
    profiles = np.array([_profile(runs[1], runs[1].water, day) for day in DAYS])
    assert (np.diff(profiles, axis=1) <= 1e-6).all()
    assert (np.diff(profiles, axis=0) >= -1e-6).all()
    assert (profiles <= 146).all()
    # The face stands in equilibrium with 95 %; the table says what that is.
    face = float(np.interp(0.95, NODES, _tables().water))
    assert runs[1].water[-1, 0] == pytest.approx(face, rel=0.01)


def _saturation(t: Floats) -> tuple[Floats, Floats]:
    p = np.asarray(610.5 * np.exp(17.269 * t / (237.3 + t)))
    return p, np.asarray(p * 17.269 * 237.3 / (237.3 + t) ** 2)


def _storage(h: Floats) -> tuple[Floats, Floats]:
    """Water content by humidity, and its slope."""
    s = -1000 * GAS * 293.15 * np.log(h)
    grown = 1 + (8e-8 * s) ** 1.6
    slope = 146 * -0.375 * grown**-1.375 * 1.6 * 8e-8 * (8e-8 * s) ** 0.6
    return np.asarray(146 / grown**0.375), np.asarray(slope * -1000 * GAS * 293.15 / h)


def _profile_equations(eta: Floats, y: Floats) -> Floats:
    """Both balances in eta = x/sqrt(t): temperature, humidity, and the two flows times sqrt(t), inwards negative."""
    t, h, heat, mass = y
    h = np.clip(h, 0.3, 0.9999)
    w, slope = _storage(h)
    p, rise = _saturation(t)
    kelvin, dry, x = t + 273.15, 1 - w / 146, w - 73
    vapour = 26.1e-6 / (GAS * 293.15) / 200 * dry / (0.503 * dry**2 + 0.497) * 293.15 / kelvin
    liquid = np.exp(-39.2619 + 0.0704 * x - 1.7420e-4 * x**2 - 2.7953e-6 * x**3 - 1.1566e-7 * x**4 + 2.5969e-9 * x**5)
    heat_t, heat_h = 1.5 + 0.0158 * w + 2.5e6 * vapour * h * rise, 2.5e6 * vapour * p
    mass_t, mass_h = vapour * h * rise + liquid * 461.5e3 * np.log(h), vapour * p + liquid * 461.5e3 * kelvin / h
    det = heat_t * mass_h - heat_h * mass_t
    t_slope, h_slope = (heat * mass_h - heat_h * mass) / det, (heat_t * mass - mass_t * heat) / det
    return np.array([t_slope, h_slope, -eta / 2 * (1.824e6 + 4187 * w) * t_slope, -eta / 2 * slope * h_slope])


def test_profiles_are_those_of_the_similarity_solution(runs: tuple[HygroResult, HygroResult]) -> None:
    eta = np.unique(
        np.concatenate([np.linspace(0, 1e-4, 200), np.linspace(1e-4, 1e-3, 300), np.linspace(1e-3, 8e-3, 200)])
    )
    t, h = 20 + 10 * erfc(eta / 2.08e-3), 0.5 + 0.45 * erfc(eta / 6e-5)
    guess = np.array([t, h, 2.2 * np.gradient(t, eta), 1e-9 * np.gradient(h, eta)])
    ends = solve_bvp(
        _profile_equations, lambda a, b: np.array([a[0] - 30, a[1] - 0.95, b[0] - 20, b[1] - 0.5]), eta, guess,
        tol=1e-4, max_nodes=50_000,
    )  # fmt: skip
    assert ends.success
    far, face = _storage(np.array([0.5, 0.95]))[0]
    for day in DAYS:
        exact_t, exact_h = ends.sol(np.array(DEPTHS) / np.sqrt(day * 86400.0))[:2]
        exact = _storage(np.clip(exact_h, 0.3, 0.9999))[0]
        assert _profile(runs[1], runs[1].water, day) == pytest.approx(exact, abs=0.025 * (face - far))
        assert _profile(runs[1], runs[1].temp_c, day) == pytest.approx(exact_t, abs=0.025 * 10)
