"""The plane validation cases of EN ISO 10211 and the two own plane cases, each by its name."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.physics.field.cases import a1_series, case_2d_corner, case_2d_stud_ci, case_10211_a1, case_10211_a2

from snugbay.physics.field import ISO_10211, Accuracy, psi_value, solve_section


@pytest.mark.parametrize(("width", "conductivity"), [(1.0, 1.0), (0.3, 0.04), (2.5, 50.0)])
def test_10211_A1(width: float, conductivity: float) -> None:  # noqa: N802
    # EN ISO 10211:2017 Annex C case 1: 28 temperatures, acceptance 0.1 K.
    published = [
        [9.7, 13.4, 14.7, 15.1], [5.3, 8.6, 10.3, 10.8], [3.2, 5.6, 7.0, 7.5], [2.0, 3.6, 4.7, 5.0],
        [1.3, 2.3, 3.0, 3.2], [0.7, 1.4, 1.8, 1.9], [0.3, 0.6, 0.8, 0.9],
    ]  # fmt: skip
    case = case_10211_a1(width, conductivity)
    result = solve_section(case.section, case.temps_c, points=case.points)
    temps = result.temperatures(case.points)
    series = [a1_series(x / width, y / width) for x, y in case.points]
    assert temps == pytest.approx(np.ravel(published), abs=0.1)
    assert temps == pytest.approx(series, abs=0.002)
    assert result.criterion_met
    assert math.isnan(result.flow_change)
    assert [f.code for f in result.findings] == ["field.touching"]


def test_10211_A1_series_agrees_with_the_four_decimals_of_the_check() -> None:  # noqa: N802
    # Fourier series evaluated independently, four decimals.
    assert [a1_series(0.25, 1.75), a1_series(1.0, 1.0), a1_series(1.0, 0.25)] == pytest.approx(
        [9.6582, 5.0, 0.8863], abs=5e-5
    )


def test_10211_A2() -> None:  # noqa: N802
    # EN ISO 10211:2017 Annex C case 2; flow within 0.1 W/m, temperatures within 0.1 K. The finer figures come from
    # finite volumes (9.4913) and quadratic finite elements (9.4915) made elsewhere.
    case = case_10211_a2()
    result = solve_section(case.section, case.temps_c, points=case.points)
    temps = result.temperatures(case.points)
    assert result.total_flow == pytest.approx(9.5, abs=0.1)
    assert temps == pytest.approx([7.1, 0.8, 7.9, 6.3, 0.8, 16.4, 16.3, 16.8, 18.3], abs=0.1)
    assert result.total_flow == pytest.approx(9.4915, abs=0.002)
    assert temps == pytest.approx([7.064, 0.761, 7.897, 6.271, 0.827, 16.408, 16.334, 16.767, 18.334], abs=0.01)
    assert abs(result.balance_error) < 1e-6
    assert result.criterion_met
    assert result.findings == ()


def test_10211_A2_by_the_standards_own_criterion_stays_within_its_limits() -> None:  # noqa: N802
    case = case_10211_a2()
    result = solve_section(case.section, case.temps_c, points=case.points, accuracy=ISO_10211)
    temps = result.temperatures(case.points)
    assert result.flow_change < 0.01
    assert result.total_flow == pytest.approx(9.5, abs=0.1)
    assert temps == pytest.approx([7.1, 0.8, 7.9, 6.3, 0.8, 16.4, 16.3, 16.8, 18.3], abs=0.1)


@pytest.mark.parametrize(("leg", "thickness", "conductivity"), [(6.0, 1.0, 1.0), (1.8, 0.3, 0.04)])
def test_2d_corner(leg: float, thickness: float, conductivity: float) -> None:
    # Conformal mapping: the corner adds 1 - (2/pi) ln 2 to the sum of both legs, for any thickness.
    case = case_2d_corner(leg, thickness, conductivity)
    result = solve_section(case.section, case.temps_c)
    legs = 2 * leg / thickness
    excess = result.total_flow / conductivity - legs
    assert excess == pytest.approx(0.55873, abs=0.003)
    assert excess == pytest.approx(1 - 2 / math.pi * math.log(2), abs=0.0015)
    psi = psi_value(result.coupling("inside", "outside"), [(conductivity / thickness, leg)] * 2)
    assert psi == pytest.approx(excess * conductivity)


def test_2d_stud_ci() -> None:
    # Own case, finite volumes and quadratic finite elements made elsewhere agree.
    case = case_2d_stud_ci()
    result = solve_section(case.section, case.temps_c, points=case.points)
    assert result.total_flow / (30 * 0.2032) == pytest.approx(0.229045, abs=1e-4)
    assert result.total_flow / (30 * 0.2032) == pytest.approx(0.229045, abs=2e-5)
    assert result.temperatures(case.points) == pytest.approx([19.0187, 19.1511, -8.4733], abs=0.01)
    assert result.factor("inside", "outside") == pytest.approx((19.0187 + 10) / 30, abs=3e-4)


def test_a_finer_demand_is_met_by_a_smaller_change() -> None:
    case = case_2d_corner()
    exact = 12 + 1 - 2 / math.pi * math.log(2)
    results = [solve_section(case.section, case.temps_c, accuracy=Accuracy(flow=f, temp=f)) for f in (1e-3, 1e-5)]
    errors = [abs(r.total_flow - exact) / exact for r in results]
    assert errors[0] < 1e-3
    assert errors[1] < 1e-5
    assert results[1].flow_change < 1e-5
