"""Logger files and plate series."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.physics.shared import cases as physics_cases
from tests.physics.shared import near
from tests.prove.cases import RUN, boxes
from tests.said import said as told

from snugbay.base import InputError, UnknownName
from snugbay.job import Temperature, TemperatureKind
from snugbay.physics.insitu import average_method
from snugbay.prove import Followed, parse_logger, prove, readings_from_logger
from snugbay.prove.series import plate_series

K = TemperatureKind
PLATE = {
    "plate": Temperature(K.HEAT_FLUX, 0.0, "after", "week", "B1-back"),
    "in": Temperature(K.SURFACE_CONTACT, 0.0, "after", "week", "B1-back", side="warm"),
    "out": Temperature(K.SURFACE_CONTACT, 0.0, "after", "week", "B1-back", side="cold"),
}


def _week(hours: int = 96, r: float = 1.5, drift: float = 0.0) -> str:
    rows = ["time,plate,in,out"]
    for h in range(hours):
        ti, te = 19.0, 2.0 + 3.0 * math.sin(h / 24 * 2 * math.pi)
        q = (ti - te) / r * (1.0 + drift * (h / hours - 0.5))
        rows.append(f"2026-01-{10 + h // 24:02d} {h % 24:02d}:00,{q:.4f},{ti:.3f},{te:.4f}")
    return "\n".join(rows)


def _series(text: str) -> tuple[Temperature, ...]:
    return readings_from_logger(parse_logger(text).value, PLATE)


def test_average_method_as_collected() -> None:
    case = physics_cases()["9869-average"]
    x = case["inputs"]
    got = average_method(np.array(x["Tsi"]), np.array(x["Tse"]), np.array(x["q"]))
    near(got.resistance, case["expected"]["R"], tol=case["tolerance"]["abs"])
    # six readings pass no end test: through the room they give a finding and no figure
    rows = ["time,plate,in,out"]
    rows += [
        f"2026-01-10 {h:02d}:00,{q},{a},{b}" for h, (a, b, q) in enumerate(zip(x["Tsi"], x["Tse"], x["q"], strict=True))
    ]
    made, found, used = plate_series(_series("\n".join(rows)), "B1-back")
    assert made == ()
    assert [f.code for f in found] == ["prove.series-open"]
    assert "72 h" in told(found[0])
    assert len(used) == 18


def test_a_series_that_passes_gives_its_resistance() -> None:
    made, found, _ = plate_series(_series(_week()), "B1-back")
    assert found == ()
    assert made[0].resistance == pytest.approx(1.5, rel=1e-3)
    assert made[0].after


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (_week(48), "prove.series-open"),
        (_week(96, drift=0.6), "prove.series-open"),
        (_week(96, r=-1.5), "prove.plate-turned"),
        ("\n".join(x for i, x in enumerate(_week().splitlines()) if i not in range(30, 50)), "prove.series-gaps"),
    ],
)
def test_a_series_that_does_not_pass_gives_no_figure(text: str, code: str) -> None:
    made, found, _ = plate_series(_series(text), "B1-back")
    assert made == ()
    assert [f.code for f in found] == [code]


def test_a_series_reaches_the_verdict() -> None:
    job, taped, weighing, pieces = boxes()
    temps = _series(_week(r=0.5))
    answer = prove(Followed(replace(job, temperatures=temps), taped, weighing, pieces), RUN).value
    proof = answer.faces[0]
    assert proof.when == "after"
    assert proof.text.startswith("Less than planned")
    # surface to surface 0.5, with films about 0.33 more
    assert 0.6 < proof.resistance.low95 < 0.83 < proof.resistance.high95 < 1.15
    short = prove(Followed(replace(job, temperatures=_series(_week(24))), taped, weighing, pieces), RUN).value
    assert short.faces == ()
    assert "prove.series-open" in [f.code for f in short.findings]


def test_logger_units_marks_and_decimals() -> None:
    table = parse_logger(
        "Time;Room °F;Flux Btu/h ft2;Out °C\n2026-01-10 18:00;68,0;1,0;-3,5\n10.01.2026 18:30;69,8;;-4\n"
    )
    t = table.value
    near(t.channel("Room °F"), [20.0, 21.0], tol=1e-9)
    near(t.channel("Flux Btu/h ft2")[0], 3.154591, rel=1e-6)
    near(t.channel("Out °C"), [-3.5, -4.0])
    assert t.step_hours == 0.5
    assert [f.code for f in table.findings] == ["prove.logger-blanks"]
    got = readings_from_logger(t, {"Flux Btu/h ft2": PLATE["plate"]})
    assert len(got) == 1
    assert got[0].time == "2026-01-10T18:00:00"
    with pytest.raises(UnknownName):
        t.channel("Room")


def test_logger_rows_are_put_in_order_and_gaps_said() -> None:
    table = parse_logger(
        "t\tA °C\n2026-01-10 20:00\t3\n2026-01-10 18:00\t1\n2026-01-10 19:00\t2\n2026-01-11 06:00\t4\n"
    )
    assert table.value.channel("A °C").tolist() == [1.0, 2.0, 3.0, 4.0]
    assert [f.code for f in table.findings] == ["prove.logger-gaps"]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("", 1),
        ("time\n2026-01-10 18:00\n", 1),
        ("time,A\n2026-01-10 18:00,1\n", 2),
        ("time,A\n2026-01-10 18:00,x\n2026-01-10 19:00,1\n", 2),
        ("time,A\n01/02/2026 18:00,1\n2026-01-10 19:00,1\n", 2),
        ("time,A\n2026-01-10 18:00,1,5\n2026-01-10 19:00,1\n", 2),
    ],
)
def test_a_logger_file_that_cannot_be_read_is_refused(text: str, line: int) -> None:
    with pytest.raises(InputError) as caught:
        parse_logger(text)
    assert caught.value.line == line
