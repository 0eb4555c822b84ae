"""On site: readings, hours, steps behind their cautions, the clock, and what other windows hear of it."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import httpx
from fastapi import FastAPI
from tests.booklet.plan_fixture import PLAN
from tests.told_by_faces import COTTAGE_BY_FACES
from tests.web.jobs_on_it import WIDTH, document, form, keep

from snugbay.base import Weight
from snugbay.cautions import Caution
from snugbay.document import example
from snugbay.web.views import step_views


def test_readings_and_hours_go_into_the_document(client: httpx.Client) -> None:
    job = keep(client, COTTAGE_BY_FACES)
    client.post(f"/jobs/{job}/temperatures", data={"kind": "room air", "value": "68 F", "zone": "inside", "set": "1"})
    client.post(f"/jobs/{job}/temperatures", data={"kind": "heat flux plate", "value": "9.5", "face": "K1"})
    client.post(f"/jobs/{job}/log", data={"hours": "2,5", "element": "cutting", "pieces": "K1-1, K1-2"})
    client.post(f"/jobs/{job}/log", data={"hours": "3", "replaces": "0"})
    data = document(client, job)
    assert data["temperatures"] == [
        {"kind": "room air", "value": "68 F", "set": "1", "zone": "inside"},
        {"kind": "heat flux plate", "flux_w_m2": 9.5, "face": "K1"},
    ]
    assert data["log"]["entries"] == [
        {"hours": 2.5, "element": "cutting", "pieces": ["K1-1", "K1-2"]},
        {"hours": 3, "element": "all", "replaces": 0},
    ]
    assert client.get(f"/jobs/{job}/prove").text.count("corrects entry 0") == 1
    client.post(f"/jobs/{job}/log", data={"hours": "1", "face": "K1", "percent": "12,5 %"})
    assert document(client, job)["log"]["entries"][-1]["share_done"] == 0.125
    for body in ({"hours": "much"}, {"hours": "-1"}, {"hours": "1000"}, {"hours": "1", "percent": "all"}):
        assert client.post(f"/jobs/{job}/log", data=body).status_code == 422
    assert client.post(f"/jobs/{job}/temperatures", data={"kind": "guess", "value": "1"}).status_code == 422


def test_a_day_has_no_more_hours_than_its_people(client: httpx.Client) -> None:
    """The same rule as `snugbay log`: 24 h a day for each person, those that stand already counted."""
    job = keep(client, COTTAGE_BY_FACES)
    log = f"/jobs/{job}/log"
    assert client.post(log, data={"hours": "49"}).status_code == 422
    assert client.post(log, data={"hours": "50", "day": "2026-01-03"}).status_code == 422
    hands = 2 if "hands = 2" in COTTAGE_BY_FACES else 1
    assert client.post(log, data={"hours": str(20 * hands), "day": "2026-01-03"}).status_code == 303
    answer = client.post(log, data={"hours": str(5 * hands), "day": "2026-01-03"})
    assert answer.status_code == 422
    assert f"that day has {24 * hands} h" in answer.text
    corrected = {"hours": str(21 * hands), "day": "2026-01-03", "replaces": "0"}
    assert client.post(log, data=corrected).status_code == 303


def test_a_step_stays_shut_until_its_cautions_are_read(client: httpx.Client, app: FastAPI) -> None:
    job = keep(client, COTTAGE_BY_FACES, "guarded")
    app.state.desk.store.work.keep_plan(job, 1, PLAN)
    step = next(s for s in PLAN.fitting.steps if s.cautions)
    body = {"kind": "step", "key": str(step.number), "done": "yes"}
    assert client.post(f"/jobs/{job}/tick", data=body).status_code == 422
    assert client.post(f"/jobs/{job}/clock/start", data={"step": str(step.number)}).status_code == 422
    assert client.put(f"/api/jobs/{job}/ticks", json={"kind": "step", "key": str(step.number)}).status_code == 422
    for code in step.cautions:
        client.post(f"/jobs/{job}/caution", data={"key": code, "done": "yes"})
    assert client.post(f"/jobs/{job}/tick", data=body).status_code == 303
    assert client.get(f"/api/jobs/{job}/ticks").json()["steps"] == [str(step.number)]
    client.post(f"/jobs/{job}/caution", data={"key": step.cautions[0], "done": "no"})
    assert client.post(f"/jobs/{job}/tick", data=body).status_code == 422


def test_nothing_is_cut_or_put_in_while_a_stop_stands(client: httpx.Client, app: FastAPI) -> None:
    stop = Caution(
        "wrong-tape", Weight.STOP, "A measurement is probably wrong", "Pull the tapes again.", "Face K1.", "you"
    )
    plan = replace(PLAN, cautions=(*(c for c in PLAN.cautions if c.weight is not Weight.STOP), stop))
    job = keep(client, COTTAGE_BY_FACES, "stopped")
    app.state.desk.store.work.keep_plan(job, 1, plan)
    cut, fit = f"/jobs/{job}/cut", f"/jobs/{job}/fit"
    assert "Pull the tapes again." in client.get(cut).text
    assert "Cut 1 is done" not in client.get(cut).text
    step = next(v for v in step_views(plan, frozenset(), frozenset()) if v.step.pieces)
    assert stop in step.cautions
    assert not step.open
    assert "Pull the tapes again." in client.get(fit).text
    answer = client.post(f"/jobs/{job}/caution", data={"key": "wrong-tape", "done": "yes", "back": cut})
    assert answer.headers["location"] == cut
    assert "Pull the tapes again." not in client.get(cut).text
    assert "Cut 1 is done" in client.get(cut).text


def test_the_clock_writes_the_log_once(client: httpx.Client, app: FastAPI) -> None:
    job = keep(client, COTTAGE_BY_FACES, "clock")
    app.state.desk.store.work.keep_plan(job, 1, PLAN)
    client.post(f"/jobs/{job}/clock/start", data={"element": "sealing", "face": "K1"})
    client.post(f"/jobs/{job}/clock/start", data={"element": "cutting"})  # it runs already
    assert 'role="timer"' in client.get(f"/jobs/{job}/fit").text
    assert client.post(f"/jobs/{job}/clock/stop", data={"percent": "most"}).status_code == 422  # and it still runs
    for _ in range(2):
        client.post(f"/jobs/{job}/clock/stop", data={"note": "first evening", "percent": "40"})
    (entry,) = document(client, job)["log"]["entries"]
    assert (entry["element"], entry["face"], entry["note"]) == ("sealing", "K1", "first evening")
    assert entry["hours"] >= 0.01
    assert entry["share_done"] == 0.4
    assert client.post(f"/jobs/{job}/clock/start", data={"element": "sleeping"}).status_code == 422
    kept = app.state.desk.plan(job)
    assert not app.state.desk.stale(kept, app.state.desk.store.jobs.head(job))  # the log changes no plan
    client.post(f"/jobs/{job}/fields", data=form((WIDTH, "14' 2", "14' 3")))
    assert app.state.desk.stale(kept, app.state.desk.store.jobs.head(job))
    assert "has changed since this plan" in client.get(f"/jobs/{job}/cut").text


def test_a_tab_hears_of_others_but_not_of_itself(client: httpx.Client) -> None:
    job = client.post("/api/jobs", json={"document": example("mill-cellar"), "title": "news"}).json()["id"]
    stamp = client.get(f"/jobs/{job}/measure").text.partition('data-stamp="')[2].partition('"')[0]
    asked = {"since": "1", "stamp": stamp, "tab": "one"}
    assert client.get(f"/jobs/{job}/news", params=asked).status_code == 204
    title = {"w:/title": tomllib.loads(example("mill-cellar"))["title"], "f:/title": "Another cellar", "tab": "one"}
    client.post(f"/jobs/{job}/fields", data=title)
    own = client.get(f"/jobs/{job}/news", params=asked).json()
    assert (own["version"], own["changed"], own["worked"]) == (2, False, False)
    other = client.get(f"/jobs/{job}/news", params={**asked, "tab": "two"}).json()
    assert other["changed"]
    client.post(f"/jobs/{job}/caution", data={"key": "heat", "done": "yes"})
    assert client.get(f"/jobs/{job}/news", params=asked).json()["worked"]
    assert client.get("/jobs/none/news", params=asked).status_code == 404
