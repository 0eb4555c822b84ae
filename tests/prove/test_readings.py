"""The thermometer judges: the balance backwards, and readings that must not be used."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.physics.shared import cases as physics_cases
from tests.physics.shared import near
from tests.prove.cases import RUN, boxes, evening, mill

from snugbay.base import Finding, Run
from snugbay.job import Job, LogEntry, Temperature, TemperatureKind
from snugbay.materials import material
from snugbay.physics.insitu import resistance_from_surface
from snugbay.physics.units import R_IP_PER_R_SI, R_SI_PER_R_IP, celsius_from_f
from snugbay.prove import FaceProof, Followed, ProveAnswer, prove
from snugbay.prove.airs import Air
from snugbay.prove.backwards import Believed, Inferred, Session, infer
from snugbay.prove.believed import believed, planned_added
from snugbay.prove.forecast import interval
from snugbay.prove.proof import tells_air_apart
from snugbay.prove.saving import face_heat, planned_option
from snugbay.prove.tables import figure
from snugbay.ways.balance import season_loss
from snugbay.ways.found import ground
from snugbay.weigh import AS_FOUND

K = TemperatureKind
SPACE_F = (12.0, 15.0, 18.0, 21.0, 25.0)
NICHE = Believed(0.75 * R_SI_PER_R_IP, 13.0 * R_SI_PER_R_IP, (0.19, 0.30), (0.14, 0.20), 0.20)
PLAIN = Believed(0.40, 2.3, (0.13, 0.14), (0.14, 0.20), 0.20)


def _session(after: bool, warm_c: float, cold_c: float, surface_c: float, **more: object) -> Session:
    made = Session(after, False, Air(warm_c, 0.7), Air(cold_c, 0.7), ("warm",), np.array([surface_c]), np.array([0.8]))
    return replace(made, **more)  # type: ignore[arg-type]


def _infer(held: Believed, *sessions: Session) -> Inferred:
    return infer(held, sessions, (), Run(), np.random.default_rng(7))


def _surface(total: float, film: float, warm_c: float = 20.0, cold_c: float = -10.0) -> float:
    return warm_c - (warm_c - cold_c) * film / total


@pytest.mark.parametrize("space_f", SPACE_F)
def test_loose_boards_round_plywood_boxes(space_f: float) -> None:
    """Plausibility, common practice, no source: 3/4 in plywood (R-0.75) between a room near 68 °F and a roof space on a
    day of 8 to 10 °F outdoors reads about 41.5 °F bare and about 50 °F with 2 in foil-faced boards (R-13 as sold) set
    loosely round it. They gave only a few R of their 13.
    """
    room, space = float(celsius_from_f(68.0)), float(celsius_from_f(space_f))
    bare = _session(False, room, space, float(celsius_from_f(41.5)))
    boarded = _session(True, room, space, float(celsius_from_f(50.0)))
    for sessions in ((bare, boarded), (boarded,)):
        got = _infer(NICHE, *sessions)
        added = interval(got.draws.added() * R_IP_PER_R_SI)
        assert got.particles.settled
        assert 0.5 < added.median < 4.0
        assert added.high95 < 7.0
        assert added.low95 > 0.0


def test_loose_boards_over_the_whole_range_of_roof_space_temperatures() -> None:
    """Every degree from 12 to 25 °F: R-13 lies outside the interval and the mean is a few R."""
    room = float(celsius_from_f(68.0))
    for space_f in range(12, 26):
        space = float(celsius_from_f(float(space_f)))
        bare = _session(False, room, space, float(celsius_from_f(41.5)))
        boarded = _session(True, room, space, float(celsius_from_f(50.0)))
        got = _infer(NICHE, bare, boarded)
        added = got.draws.added() * R_IP_PER_R_SI
        assert not got.contradicts
        assert 0.5 < float(added.mean()) < 4.0, space_f
        assert interval(added).high95 < 13.0, space_f


def _bare_part(r_ip: float, film: float, space_f: float) -> Inferred:
    """Posterior from one evening on a bare part whose layers are known badly (a factor of two either way)."""
    room, space = float(celsius_from_f(68.0)), float(celsius_from_f(space_f))
    total = film + r_ip * R_SI_PER_R_IP + 0.14
    held = Believed(1.5 * r_ip * R_SI_PER_R_IP, 0.0, (film, 0.10), (0.14, 0.15), 0.70)
    plate = Session(
        False, False, Air(room, 0.3), Air(space, 0.3), ("warm", "flux"),
        np.array([room - (room - space) * film / total, (room - space) / total]), np.array([0.3, 1.0]),
    )  # fmt: skip
    return _infer(held, plate, plate)


def test_bare_softwood_is_about_r_1_an_inch() -> None:
    """Common practice, no source: the catalogue says so, and readings on a board an inch thick find it."""
    per_inch = 0.0254 / (material("softwood").conductivity or 0.0) * R_IP_PER_R_SI
    assert per_inch == pytest.approx(1.0, abs=0.3)
    got = interval(_bare_part(per_inch, 0.13, 15.0).draws.found * R_IP_PER_R_SI)
    assert got.low95 < 1.0 < got.high95
    assert got.median == pytest.approx(per_inch, rel=0.2)


def test_a_plywood_door_is_about_r_three_quarters() -> None:
    """Common practice, no source: 3/4 in of plywood is about R-0.75, and not the R-13 of boards."""
    sheet = 0.75 * 0.0254 / (material("plywood").conductivity or 0.0) * R_IP_PER_R_SI
    assert sheet == pytest.approx(0.75, abs=0.25)
    got = interval(_bare_part(0.75, 0.13, 15.0).draws.found * R_IP_PER_R_SI)
    assert got.low95 < 0.75 < got.high95
    assert got.high95 < 2.0


@pytest.mark.parametrize("film", [0.12, 0.16, 0.20, 0.25])
def test_loose_boards_whatever_the_film_in_use(film: float) -> None:
    """The same with the film known: no surface resistance of 0.12 to 0.25 m²·K/W lets R-13 pass."""
    held = replace(NICHE, warm_film=(film, 0.05))
    for space_f in SPACE_F:
        room, space = float(celsius_from_f(68.0)), float(celsius_from_f(space_f))
        got = _infer(held, _session(True, room, space, float(celsius_from_f(50.0))))
        assert interval(got.draws.added() * R_IP_PER_R_SI).high95 < 7.0


def _proofs(answer: ProveAnswer) -> dict[tuple[str, str], FaceProof]:
    return {(p.face, p.when): p for p in answer.faces}


@pytest.mark.parametrize("space_f", SPACE_F)
def test_loose_boards_from_the_job_to_the_verdict(space_f: float) -> None:
    space = float(celsius_from_f(space_f))
    job, taped, weighing, pieces = boxes()
    before = evening("before", float(celsius_from_f(41.5)), space)
    after = evening("after", float(celsius_from_f(50.0)), space)
    job = replace(job, temperatures=(*before, *after))
    answer = prove(Followed(job, taped, weighing, pieces), RUN).value
    proof = _proofs(answer)["B1-back", "after"]
    assert proof.planned == pytest.approx(planned_added(weighing, "B1-back"))
    assert proof.planned * R_IP_PER_R_SI > 8.0  # 2 in of board less the steel that holds its ignition barrier
    assert proof.added is not None
    assert proof.added.high95 * R_IP_PER_R_SI < 7.0
    assert proof.text.startswith("Less than planned")
    assert not proof.told_apart
    assert "windy night" in proof.text
    assert answer.saving is not None
    assert answer.saving.median < answer.saving_planned


def test_well_set_boards_pass() -> None:
    """Three good evenings with a plate beside the thermometer: nearly all of the plan, and no air to speak of."""
    total = 0.13 + 0.40 + 2.3 + 0.14
    q = 30.0 / total
    good = _session(True, 20.0, -10.0, _surface(total, 0.13))
    good = replace(
        good, kinds=("warm", "flux"), values=np.array([_surface(total, 0.13), q]), sigmas=np.array([0.3, 0.3])
    )
    bare = _session(False, 20.0, -10.0, _surface(0.67, 0.13))
    got = _infer(PLAIN, good, good, good, bare)
    added = interval(got.draws.added())
    assert added.low95 < 2.3 < added.high95
    assert added.low95 > 1.5
    assert tells_air_apart(got)
    assert float(np.quantile(got.draws.bypass, 0.9)) < 0.25


def test_one_calm_evening_tells_air_and_resistance_not_apart_but_a_windy_one_does() -> None:
    """Truth: all the boards' resistance is there, half the heat goes round it by air."""
    kept, bypass, wind, film = 1.0, 0.5, 3.0, 0.13
    calm = 0.13 + 0.40 + 0.14 + 2.3 * kept * (1 - bypass)
    blown = 0.13 + 0.40 + 0.14 + 2.3 * kept * (1 - bypass) / (1 - bypass + wind * bypass)
    sharp = {"sigmas": np.array([0.15]), "warm": Air(20.0, 0.2), "cold": Air(-10.0, 0.2)}
    still = _session(True, 20.0, -10.0, _surface(calm, film), **sharp)
    windy = _session(True, 20.0, -10.0, _surface(blown, film), windy=True, **sharp)
    flux = {"kinds": ("warm", "flux"), "sigmas": np.array([0.15, 0.3])}
    still = replace(still, values=np.array([_surface(calm, film), 30 / calm]), **flux)  # type: ignore[arg-type]
    windy = replace(windy, values=np.array([_surface(blown, film), 30 / blown]), **flux)  # type: ignore[arg-type]
    held = replace(PLAIN, found_spread=0.05)
    assert not tells_air_apart(_infer(held, still))
    both = _infer(held, still, windy)
    assert tells_air_apart(both)
    band = interval(both.draws.bypass)
    assert band.low95 < bypass < band.high95
    assert band.low80 > 0.15
    poor = 0.13 + 0.40 + 0.14 + 2.3 * 0.5  # the same calm evening, but half the resistance is missing and no air moves
    same = replace(windy, values=np.array([_surface(poor, film), 30 / poor]))
    assert interval(_infer(held, still, same).draws.bypass).high80 < band.low80 + 0.15


def test_resistance_from_one_surface_temperature() -> None:
    """Collected case: R_T = R_si·(T_i - T_e)/(T_i - T_s). The posterior lies round it, with a band."""
    case = physics_cases()["r-from-ts"]
    rsi = case["inputs"]["Rsi"]
    for (ti, ts, te), want in zip(case["inputs"]["Ti_Ts_Te"], case["expected"]["R_T"], strict=True):
        near(resistance_from_surface(ti, ts, te, rsi=rsi).total, want, rel=case["tolerance"]["rel"])
        held = Believed(want - rsi - 0.04, 0.0, (rsi, 0.01), (0.04, 0.01), 1.0)
        exact = _session(False, ti, te, ts, sigmas=np.array([1e-3]), warm=Air(ti, 1e-3), cold=Air(te, 1e-3))
        got = interval(_infer(held, exact).draws.total(after=False))
        assert got.low95 < want < got.high95
        assert got.median == pytest.approx(want, rel=0.1)
        half = figure("readings", "errors", "spot_k")
        assert got.high95 - got.low95 > want * half / (ti - ts)  # half a kelvin moves it: a band, never a figure


def _after(*more: Temperature, surface_c: float = 17.0, space_c: float = -5.0) -> tuple[Temperature, ...]:
    return (*evening("after", surface_c, space_c), *more)


def _codes(temperatures: tuple[Temperature, ...], *, job: Job | None = None) -> tuple[list[str], ProveAnswer]:
    own, taped, weighing, pieces = boxes()
    answer = prove(Followed(replace(job or own, temperatures=temperatures), taped, weighing, pieces), RUN).value
    return [f.code for f in answer.findings], answer


def _change(**new: object) -> tuple[Temperature, ...]:
    """A usual evening with its surface readings changed."""
    return tuple(t if t.kind is not K.SURFACE_INFRARED else replace(t, **new) for t in _after())  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("temperatures", "code"),
    [
        (_change(emissivity=0.05), "prove.bright"),
        (_change(sun=True), "prove.sun"),
        (_change(steady_hours=0.5), "prove.unsteady"),
        (_change(value=31.0), "prove.beyond"),
        (_change(value=-20.0), "prove.beyond"),
        (_change(value=float("nan")), "prove.reading-impossible"),
        (_change(value=200.0), "prove.reading-impossible"),
        (_change(sigma=0.0), "prove.reading-impossible"),
        (_change(emissivity=1.4), "prove.reading-impossible"),
        (_change(when="during"), "prove.reading-when-or-side"),
        (_change(face="Z9"), "prove.reading-face"),
        (_change(face=""), "prove.reading-face"),
        (_change(set="another evening"), "prove.air-missing"),
        (evening("after", 18.5, 14.0, outdoor_c=12.0), "prove.mild"),
        (_change(side="cold"), "prove.bright-foil"),  # the foil of the boards that the plan puts there
    ],
)
def test_bad_readings_give_findings_and_no_figure(temperatures: tuple[Temperature, ...], code: str) -> None:
    codes, answer = _codes(temperatures)
    assert code in codes
    assert answer.faces == ()
    assert answer.saving is None


def test_a_patch_of_tape_makes_foil_readable() -> None:
    patched = tuple(
        t if t.kind is not K.SURFACE_INFRARED else replace(t, side="cold", spot="middle, tape", value=-3.5)
        for t in _after()
    )
    codes, answer = _codes(patched)
    assert "prove.bright" not in codes
    assert ("B1-back", "after") in _proofs(answer)


def test_air_in_the_sun_or_far_apart_is_not_air() -> None:
    sunny = tuple(replace(t, sun=True) if t.kind is K.ROOM_AIR else t for t in _after())
    codes, answer = _codes(sunny)
    assert "prove.air-sun" in codes
    assert answer.faces == ()
    codes, answer = _codes(_after(Temperature(K.ROOM_AIR, 30.0, "after")))
    assert "prove.airs-apart" in codes
    assert answer.faces == ()


def test_a_space_that_nobody_read_is_guessed_and_said() -> None:
    whole = evening("before", 6.0, -8.0)
    codes, guessed = _codes(tuple(t for t in whole if t.kind is not K.BUFFER_AIR))
    assert "prove.air-guessed" in codes
    full = _codes(whole)[1]
    a, b = (_proofs(x)["B1-back", "before"].resistance for x in (guessed, full))
    assert a.high95 / a.low95 > 0.95 * b.high95 / b.low95
    asked = [r.where for r in guessed.to_read if r.what == "air in the space"]
    assert asked
    assert len([r for r in full.to_read if r.what == "air in the space"]) == len(asked) - 1  # after is still to come


def test_a_wrongly_set_meter_is_read_again() -> None:
    """A meter left at ε = 1 on wood of 0.90 with the room reflected reads a cold surface too warm."""
    from snugbay.physics.insitu import apparent_temperature

    true = 10.0
    shown = float(apparent_temperature(true, 20.0, 0.9))
    assert shown > true + 0.5
    wrong = _codes(_change(value=shown, emissivity=0.9, meter_emissivity=1.0, reflected_c=20.0))[1]
    right = _codes(_change(value=true, emissivity=0.9, meter_emissivity=0.9, reflected_c=20.0))[1]
    a, b = (_proofs(x)["B1-back", "after"].resistance.median for x in (wrong, right))
    assert a == pytest.approx(b, rel=0.05)


def test_a_face_in_the_ground_is_not_judged_by_its_surface() -> None:
    job, taped, weighing, pieces = mill()
    temps = (
        Temperature(K.ROOM_AIR, 20.0, "after"),
        Temperature(K.OUTDOOR_AIR, -5.0, "after"),
        Temperature(K.SURFACE_CONTACT, 15.0, "after", face="C1"),
    )
    kinds = {z.id: z.kind.value for z in job.zones}
    answer = prove(Followed(replace(job, temperatures=temps), taped, weighing, pieces), RUN).value
    codes = [f.code for f in answer.findings]
    assert ("prove.ground" in codes) == (kinds[job.face("C1").cold] == "ground")
    assert answer.faces == ()


def test_seams_are_ranked_by_the_chance_of_a_leak() -> None:
    def spot(name: str, value: float) -> Temperature:
        return Temperature(K.SURFACE_INFRARED, value, "after", "", "B1-back", spot=name, sigma=0.5, reflected_c=20.0)

    temps = _after(spot("seam at the left", 13.0), spot("corner to the top", 15.8), spot("seam at the right", 16.9))
    seams = _codes(temps)[1].seams
    assert [s.spot for s in seams] == ["seam at the left", "corner to the top"]
    assert seams[0].chance > 0.95
    assert seams[1].chance < 0.6
    assert seams[0].colder == pytest.approx(4.0, abs=0.3)
    assert "open and seal" in seams[0].text
    assert seams == _codes(tuple(reversed(temps)))[1].seams


def test_without_evidence_the_saving_is_the_plans() -> None:
    job, taped, weighing, _ = boxes()
    base = ground(job, taped)
    net = base.loads.net
    c, c_after = base.loads.base.copy(), base.loads.base.copy()
    for face in base.faces:
        before, after = face_heat(base, face.id, planned_option(weighing, face.id), None, np.zeros(1))
        pair = net.pair(face.face.warm, face.face.cold)
        c[pair] += before[0]
        c_after[pair] += after[0]
    kwh = float(season_loss(net, c, base.air) - season_loss(net, c_after, base.air))
    assert kwh == pytest.approx(weighing.plan.saving_kwh, rel=1e-4)
    fuel = job.place.fuel
    assert kwh / fuel.efficiency * fuel.price_kwh == pytest.approx(weighing.plan.saving, rel=1e-4)


def test_what_is_held_before() -> None:
    job, taped, weighing, _ = boxes()
    base = ground(job, taped)
    box = believed(base, weighing, "B1-back")
    assert box.found == pytest.approx(0.01905 / 0.12, rel=0.15)  # 3/4 in of plywood at about 0.12 W/(m·K)
    assert box.warm_film[0] == 0.19
    assert believed(base, weighing, "K1").warm_film[0] == 0.13
    assert dict(weighing.plan.ways)["K1"] != AS_FOUND or believed(base, weighing, "K1").planned == 0.0


def test_nothing_read_says_what_to_read_and_when() -> None:
    job, taped, weighing, pieces = boxes()
    answer = prove(Followed(job, taped, weighing, pieces), RUN).value
    assert not answer.faces
    assert not answer.seams
    assert not answer.findings
    assert answer.saving is None
    assert answer.saving_planned == weighing.plan.saving
    assert {r.what for r in answer.to_read} >= {"room air", "air in the space", "outdoor air"}
    surfaces = next(r for r in answer.to_read if r.what.startswith("surface temperature, three"))
    assert "B1-back" in surfaces.where
    assert "tape" in surfaces.why
    assert "18 °F" in surfaces.when  # a job in feet and inches
    assert "between" in surfaces.when


def test_a_stopped_run_keeps_what_it_has_and_says_so() -> None:
    job, taped, weighing, pieces = boxes()
    logged_job = replace(
        job,
        temperatures=_after(),
        log=replace(job.log, entries=(LogEntry(1.0, "all", "B1-back", share_done=0.5),)),
    )
    outcome = prove(Followed(logged_job, taped, weighing, pieces), replace(RUN, stop=lambda: True))
    assert not outcome.finished
    assert outcome.value.forecast.remaining.median > 0.0
    seen: list[float] = []
    whole = prove(
        Followed(logged_job, taped, weighing, pieces), replace(RUN, progress=lambda _, done: seen.append(done))
    )
    assert whole.finished
    assert seen[-1] == 1.0
    assert seen == sorted(seen)


def test_findings_point_at_the_reading() -> None:
    job, taped, weighing, _ = boxes()
    temps = _change(sun=True)
    found: list[Finding] = [
        f
        for f in prove(Followed(replace(job, temperatures=temps), taped, weighing), RUN).findings
        if f.code == "prove.sun"
    ]
    assert [f.where for f in found] == [("temperatures", n) for n in (3, 4, 5)]
