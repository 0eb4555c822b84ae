"""Buffer spaces: steady graph, hourly balance, frost, humidity."""

from __future__ import annotations

import itertools
import pickle

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import expm
from tests.physics.shared import near

from snugbay.base import OutOfRange, UnknownName, Weight
from snugbay.physics import buffer, climate, moisture

H = st.floats(0.1, 40.0)
YEAR = climate.bundled_year("minneapolis")


def eaves(knee: float | np.ndarray = 13.8, roof: float = 19.8, ach: float = 3.0) -> buffer.Network:
    return buffer.network(
        [
            buffer.Link("inside", "eaves", knee),
            buffer.Link("eaves", "outside", roof, buffer.air_conductance(4.5, ach)),
        ]
    )


def house() -> buffer.Network:
    """Six free zones in a ring and a star."""
    link = buffer.Link
    return buffer.network(
        [
            link("inside", "north", 9.0),
            link("inside", "south", 7.0, 0.5),
            link("inside", "loft", 12.0, 0.0, 1.5),
            link("inside", "niche", 3.0),
            link("inside", "crawl", 15.0),
            link("niche", "north", 4.0),
            link("seat", "north", 2.0),
            link("inside", "seat", 3.0),
            link("north", "loft", 1.0, 0.8),
            link("south", "loft", 1.0, 0.8),
            link("north", "outside", 14.0, 4.0),
            link("south", "outside", 12.0, 3.0),
            link("loft", "outside", 30.0, 9.0),
            link("crawl", "outside", 6.0, 2.0),
            link("crawl", "ground", 9.0),
        ]
    )


@given(H, H, st.floats(5.0, 25.0), st.floats(-30.0, 30.0))
def test_a_space_lies_between_and_loses_what_it_gets(h1: float, h2: float, ti: float, te: float) -> None:
    net = buffer.network([buffer.Link("inside", "eaves", h1), buffer.Link("eaves", "outside", h2)])
    b = buffer.steady(net, {"inside": ti, "outside": te})
    assert min(ti, te) - 1e-9 <= b.temperatures["eaves"] <= max(ti, te) + 1e-9
    near(b.loss["inside"], -b.loss["outside"], tol=1e-9)
    near(b.temperatures["eaves"], buffer.unheated_temperature(buffer.b_factor(h1, h2), ti, te), tol=1e-9)
    near(b.residual, 0.0, tol=1e-9)


@given(st.floats(0.5, 15.0), st.floats(0.1, 10.0))
def test_insulating_the_knee_wall_makes_the_eaves_colder_and_saves(knee: float, less: float) -> None:
    before, after = (buffer.steady(eaves(h), {"inside": 20.0, "outside": -5.0}) for h in (knee, knee / (1.0 + less)))
    assert after.temperatures["eaves"] < before.temperatures["eaves"]
    assert after.loss["inside"] < before.loss["inside"]


def test_order_of_zones_does_not_matter() -> None:
    links = [
        buffer.Link("inside", "a", 3.0),
        buffer.Link("a", "b", 2.0, air_a_to_b=1.0),
        buffer.Link("b", "outside", 5.0),
    ]
    want = buffer.steady(buffer.network(links), {"inside": 20.0, "outside": 0.0}, {"a": 10.0})
    for names in itertools.permutations(("inside", "a", "b", "outside")):
        got = buffer.steady(buffer.network(links, names), {"inside": 20.0, "outside": 0.0}, {"a": 10.0})
        for zone in names:
            near(got.temperatures[zone], want.temperatures[zone], tol=1e-9)


def test_one_way_air_warms_only_downstream() -> None:
    # room air leaks into the eaves and on to the outside: the room's loss is what the leak carries
    leak = buffer.network([buffer.Link("inside", "eaves", 0.0, air_a_to_b=2.0), buffer.Link("eaves", "outside", 8.0)])
    b = buffer.steady(leak, {"inside": 20.0, "outside": 0.0})
    near(b.temperatures["eaves"], 20.0 * 2 / 10, rel=1e-12)
    near(b.loss["inside"], 0.0, tol=1e-12)  # its own make-up air is counted where it comes in


def test_months_and_variants_broadcast() -> None:
    te = YEAR.monthly_mean(YEAR.t)
    knee = np.array([[13.8], [2.5]])
    b = buffer.steady(eaves(knee), {"inside": 20.0, "outside": te}, {"eaves": 30.0})
    assert b.temperatures["eaves"].shape == (2, 12)
    one = buffer.steady(eaves(2.5), {"inside": 20.0, "outside": float(te[3])}, {"eaves": 30.0})
    near(b.temperatures["eaves"][1, 3], one.temperatures["eaves"], rel=1e-12)
    assert np.isnan(buffer.steady(eaves(float("nan")), {"inside": 20.0, "outside": 0.0}).temperatures["eaves"])
    assert pickle.loads(pickle.dumps(b)).temperatures.keys() == b.temperatures.keys()


def test_the_reduced_network_gives_the_same_loss() -> None:
    net = house()
    red = buffer.effective(net, "inside", "outside", with_outside=["ground"])
    gains = {"south": 120.0, "loft": 80.0}
    full = buffer.steady(net, {"inside": 20.0, "outside": -7.0, "ground": -7.0}, gains)
    want = red.conductance * 27.0 - sum(q * red.gain_share[z] for z, q in gains.items())
    near(full.loss["inside"], want, rel=1e-10)
    near(buffer.effective_u(red.conductance, 10.0), red.conductance / 10.0)
    assert set(red.b) == {"north", "south", "loft", "niche", "crawl", "seat"}


def test_impossible_networks() -> None:
    with pytest.raises(OutOfRange, match="joins"):
        buffer.network([buffer.Link("a", "a", 1.0)])
    with pytest.raises(OutOfRange, match="negative"):
        buffer.network([buffer.Link("a", "b", -1.0)])
    lost = buffer.network([buffer.Link("inside", "outside", 1.0), buffer.Link("a", "b", 1.0)])
    with pytest.raises(OutOfRange, match="Nothing joins a, b"):
        buffer.steady(lost, {"inside": 20.0, "outside": 0.0})
    with pytest.raises(UnknownName, match="eaves"):
        buffer.steady(eaves(), {"inside": 20.0, "outdoors": 0.0})
    with pytest.raises(OutOfRange, match="No zone"):
        buffer.steady(eaves(), {})
    with pytest.raises(OutOfRange, match="fixed temperature"):
        buffer.steady(eaves(), {"inside": 20.0, "outside": 0.0}, {"inside": 5.0})


# hours


def model_of(net: buffer.Network, capacity: float = 2e5) -> buffer.HourlyModel:
    fixed = [z for z in ("inside", "outside", "ground") if z in net.zones]
    caps = {z: capacity for z in net.zones if z not in fixed}
    first = next(iter(caps))
    return buffer.hourly_model(net, fixed, caps, {"sun": {first: 0.6}})


def series_of(model: buffer.HourlyModel) -> dict[str, np.ndarray]:
    sun = climate.on_plane(YEAR.ghi, YEAR.dhi, YEAR.path, slope_deg=45, azimuth_deg=180)
    every = {"inside": np.asarray(20.0), "outside": YEAR.t, "ground": np.asarray(9.0), "sun": sun}
    return {k: every[k] for k in model.inputs}


def test_still_weather_is_the_steady_state() -> None:
    net = house()
    model = model_of(net)
    flat = {"inside": 20.0, "outside": -7.0, "ground": 9.0, "sun": 100.0}
    hours = buffer.run_hourly(model, {k: np.full(8760, v) for k, v in flat.items()})
    want = buffer.steady(net, {k: flat[k] for k in ("inside", "outside", "ground")}, {"north": 60.0})
    for zone in model.zones:
        near(hours.of(zone), np.full(12, want.temperatures[zone]), tol=1e-6)
        near(hours.of(zone, "least_c"), want.temperatures[zone], tol=1e-6)


@pytest.mark.parametrize("varying", [False, True])
def test_energy_balance_closes(varying: bool) -> None:
    net = house()
    model = model_of(net)
    series = series_of(model)
    factors = np.clip(YEAR.wind / 3.5, 0.0, None)
    extra = {"loft": 5.0} if varying else None
    run = buffer.run_hourly(model, series, keep=True, swing=extra, swing_factors={"loft": factors} if varying else None)
    assert run.history_c is not None
    t, u = run.history_c, np.stack([np.broadcast_to(series[k], 8760) for k in model.inputs])
    into = model.drive[0] @ u - model.conductance[0] @ t
    if varying:
        into[model.zone("loft")] += 5.0 * factors * (YEAR.t - t[model.zone("loft")])
    stored = model.capacity[0] * (run.end_c - run.start_c)
    passed = np.abs(into).sum(axis=1) * 3600
    near((into.sum(axis=1) * 3600 - stored) / passed, np.zeros(6), tol=1e-6)
    near((into.sum(axis=1) * 3600 - stored) / passed, np.zeros(6), tol=1e-11)


def test_steady_air_is_stepped_exactly() -> None:
    # six zones after a change of 20 K, against the matrix exponential over half a day at once
    model = model_of(house(), 5e5)
    flat = {k: np.zeros(8760) for k in model.inputs}
    run = buffer.run_hourly(model, flat, start_c=np.full(6, 20.0), keep=True)
    rate = -model.conductance[0] / model.capacity[0][:, None] * 3600
    at12, at13 = (expm(rate * h) @ np.full(6, 20.0) for h in (12, 13))
    mean = np.linalg.solve(rate, at13 - at12)  # ∫ exp(rate·t) dt
    assert run.history_c is not None
    near(run.history_c[:, 12], mean, tol=1e-10)


def test_varying_air_converges_at_second_order() -> None:
    model = buffer.hourly_model(eaves(), ["inside", "outside"], {"eaves": (24.39 + 13.8) * 3600 * 3})  # τ = 3 h
    errors = []
    for per_hour in (1, 2, 4):
        flat = {k: np.zeros(8760) for k in model.inputs}
        run = buffer.run_hourly(
            model, flat, start_c=np.array([20.0]), keep=True, step_s=3600 / per_hour, swing={"eaves": 0.0}
        )
        got = run.of("eaves", "history_c")[: 4 * per_hour].mean()
        tau = 3.0
        exact = 20.0 * tau / 4.0 * (1 - np.exp(-4.0 / tau))
        errors.append(abs(float(got) - exact))
    assert errors[0] < 0.06
    near([errors[0] / errors[1], errors[1] / errors[2]], [4.0, 4.0], tol=0.6)


def test_many_variants_are_many_runs() -> None:
    rng = np.random.default_rng(3)
    knee = rng.uniform(1.0, 15.0, 70)  # more than one block, not a multiple of it
    net = eaves(knee)
    caps = {"eaves": rng.uniform(5e4, 4e5, 70)}
    model = buffer.hourly_model(net, ["inside", "outside"], caps)
    series = {"inside": np.asarray(20.0), "outside": YEAR.t}
    many = buffer.run_hourly(model, series)
    many_varying = buffer.run_hourly(model, series, swing={"eaves": 0.0})
    for k in (0, 63, 64, 69):
        one_model = buffer.hourly_model(eaves(knee[k]), ["inside", "outside"], {"eaves": caps["eaves"][k]})
        one = buffer.run_hourly(one_model, series)
        near(many.of("eaves")[k], one.of("eaves"), tol=1e-9)
        near(many.of("eaves", "least_c")[k], one.of("eaves", "least_c"), tol=1e-9)
        assert many.of("eaves", "frost_hours")[k] == one.of("eaves", "frost_hours")
    near(many_varying.of("eaves"), many.of("eaves"), tol=0.005)
    assert many_varying.of("eaves").shape == (70, 12)


def test_constant_varying_air_is_plain_air() -> None:
    series = {"inside": np.asarray(20.0), "outside": YEAR.t}
    plain = buffer.hourly_model(eaves(ach=5.0), ["inside", "outside"], {"eaves": 1e5})
    swung = buffer.hourly_model(eaves(ach=2.0), ["inside", "outside"], {"eaves": 1e5})
    extra = float(buffer.air_conductance(4.5, 3.0))
    a = buffer.run_hourly(plain, series)
    b = buffer.run_hourly(swung, series, swing={"eaves": extra})
    near(a.of("eaves"), b.of("eaves"), tol=0.005)
    near(a.of("eaves", "frost_hours"), b.of("eaves", "frost_hours"), tol=8)


def test_monthly_and_hourly_loss_agree() -> None:
    """Months only scale the reduced network: against the hourly balance the house's loss differs by what is stored."""
    net = eaves()
    model = buffer.hourly_model(net, ["inside", "outside"], {"eaves": 2e5})
    series = {"inside": np.asarray(20.0), "outside": YEAR.t}
    loss = buffer.heat_from(buffer.run_hourly(model, series), net, "inside", series)
    monthly = buffer.effective(net, "inside", "outside").conductance * (20.0 - YEAR.monthly_mean(YEAR.t))
    near(loss, monthly, tol=1.0)
    near(loss.mean(), monthly.mean(), rel=0.002)


def test_mass_damps_the_cold() -> None:
    series = {"inside": np.asarray(20.0), "outside": YEAR.t}

    def least(capacity: float) -> float:
        model = buffer.hourly_model(eaves(), ["inside", "outside"], {"eaves": capacity})
        return float(buffer.run_hourly(model, series).of("eaves", "least_c"))

    assert least(2e6) > least(2e5) > least(5e3)


def test_pipes_in_the_eaves() -> None:
    series = {"inside": np.asarray(20.0), "outside": YEAR.t}

    def year(knee: float) -> buffer.HourlyBalance:
        return buffer.run_hourly(buffer.hourly_model(eaves(knee), ["inside", "outside"], {"eaves": 2e5}), series)

    open_, insulated = year(40.0), year(2.5)
    assert insulated.of("eaves", "frost_hours") > open_.of("eaves", "frost_hours")
    (stop,) = buffer.check_frost(insulated, "eaves", pipes=True)
    assert stop.weight is Weight.STOP
    assert [f.weight for f in buffer.check_frost(insulated, "eaves", pipes=False)] == [Weight.NOTE]
    heated = buffer.run_hourly(buffer.hourly_model(eaves(1e5), ["inside", "outside"], {"eaves": 2e5}), series)
    assert buffer.check_frost(heated, "eaves", pipes=True) == ()


def test_series_must_fit() -> None:
    model = buffer.hourly_model(eaves(), ["inside", "outside"], {"eaves": 2e5})
    with pytest.raises(OutOfRange, match="No series"):
        buffer.run_hourly(model, {"inside": np.asarray(20.0)})
    with pytest.raises(OutOfRange, match="whole years"):
        buffer.run_hourly(model, {"inside": np.asarray(20.0), "outside": np.zeros(100)})
    with pytest.raises(OutOfRange, match="No heat capacity"):
        buffer.hourly_model(eaves(), ["inside", "outside"], {})
    with pytest.raises(OutOfRange, match="not kept"):
        buffer.run_hourly(model, {"inside": np.asarray(20.0), "outside": YEAR.t}).of("eaves", "history_c")
    with pytest.raises(UnknownName):
        buffer.run_hourly(model, {"inside": np.asarray(20.0), "outside": YEAR.t}, swing={"eaves": 1.0}, swing_to="wind")


def test_wind_and_stack_factor() -> None:
    near(buffer.wind_stack_factor(np.array([10.0]), np.array([3.5])), [1.0], rel=1e-12)
    assert buffer.wind_stack_factor(np.array([20.0]), np.array([7.0]))[0] > 1.0


# humidity


@settings(deadline=None)
@given(st.floats(200.0, 2000.0), st.floats(100.0, 1500.0), st.floats(0.0, 0.05), st.floats(1e-4, 0.05))
def test_mixed_air_lies_between(pi: float, pe: float, a: float, b: float) -> None:
    p = float(buffer.mixed_vapour(pi, pe, a, b))
    assert min(pi, pe) - 1e-9 <= p <= max(pi, pe) + 1e-9


def test_room_air_wets_the_deck_and_ventilation_dries_it() -> None:
    net = eaves(2.5)
    model = buffer.hourly_model(net, ["inside", "outside"], {"eaves": 2e5})
    series = {"inside": np.asarray(20.0), "outside": YEAR.t}
    t = buffer.run_hourly(model, series, keep=True).of("eaves", "history_c")
    deck = buffer.deck_temperature(t, YEAR.t, 2.0)
    pi = float(moisture.vapour_pressure(20.0, 0.45))

    def wet(leak: float, ventilation: float) -> buffer.DeckYear:
        return buffer.deck_year(deck, buffer.mixed_vapour(pi, YEAR.vapour_pa, leak, ventilation))

    leaky, sealed, aired = wet(0.003, 0.002), wet(0.0001, 0.002), wet(0.003, 0.02)
    assert leaky.wet_hours > 500 > sealed.wet_hours
    assert aired.wet_hours < leaky.wet_hours
    assert [f.code for f in buffer.check_deck(leaky, "eaves")] == ["buffer.deck-wet"]
    assert leaky.mean_humidity.shape == (12,)
    with pytest.raises(OutOfRange):
        buffer.mixed_vapour(pi, 500.0, 0.0, 0.0)


# a year in one space


def test_what_insulating_the_knee_wall_does_to_the_eaves() -> None:
    roof = buffer.Roof(9.0, 2.0, 45.0, 0.0)

    def year(knee: float, leak: float) -> buffer.SpaceYear:
        return buffer.space_year(
            eaves(knee), "eaves", YEAR, roof=roof, from_room=leak, from_outside=0.00375, humidity_class=3, pipes=True
        )

    before, sealed, leaky = year(13.8, 0.001), year(2.5, 0.0001), year(2.5, 0.001)
    assert before.house_loss_w.sum() > sealed.house_loss_w.sum()
    assert sealed.least_c < before.least_c
    assert "buffer.pipes-freeze" in {f.code for f in sealed.findings}
    assert {"buffer.colder"} <= {f.code for f in buffer.compare_space(before, sealed)}
    assert "buffer.damper" not in {f.code for f in buffer.compare_space(before, sealed)}
    assert "buffer.damper" in {f.code for f in buffer.compare_space(before, leaky)}
    # the steady balance of the coldest month with its mean sun, within what the hours' mass stores
    net = eaves(2.5)
    sun = climate.on_plane(YEAR.ghi, YEAR.dhi, YEAR.path, slope_deg=45, azimuth_deg=0)
    gain = 9.0 * 2.0 * 0.04 * 0.85 * YEAR.monthly_mean(sun)[0]
    steady = buffer.steady(net, {"inside": 20.0, "outside": YEAR.monthly_mean(YEAR.t)[0]}, {"eaves": gain})
    near(sealed.monthly_c[0], steady.temperatures["eaves"], tol=0.1)


def test_a_space_is_judged_one_at_a_time() -> None:
    with pytest.raises(OutOfRange, match="one variant"):
        buffer.space_year(eaves(np.array([1.0, 2.0])), "eaves", YEAR)
    with pytest.raises(OutOfRange, match="both air flows"):
        buffer.space_year(eaves(), "eaves", YEAR, from_room=0.001)
    warm = buffer.space_year(house(), "niche", YEAR, fixed={"ground": 9.0})
    assert warm.deck is None
    assert warm.monthly_c.shape == warm.house_loss_w.shape == (12,)
