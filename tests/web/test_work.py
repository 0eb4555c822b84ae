"""Long work: planning in the worker, following the sliders, why not another way, laying the rest again."""

from __future__ import annotations

import io
import json
import re
import time
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from math import inf
from pathlib import Path

import httpx
import pytest
from fastapi import FastAPI
from pypdf import PdfReader
from tests.said import said
from tests.web.running import client_of

from snugbay.base import Effort, InputError, Run, SnugbayError, UnknownName
from snugbay.document import example, read
from snugbay.document.frozen import from_json, to_json
from snugbay.flow import JobPlan
from snugbay.flow.relay import broken_before, cut_key, lay_rest, rest_of, supplies
from snugbay.job import Offcut, SheetStock
from snugbay.store import KeptPlan
from snugbay.web.crew import Crew, Standing
from snugbay.web.follow import Limits, all_points, best_point
from snugbay.web.pages.weigh import with_ways
from snugbay.web.tasks import Task
from snugbay.web.weighing import Reason, followed, why_not
from snugbay.weigh import AS_FOUND

CELLAR = example("mill-cellar")
PATIENCE = 120.0


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[httpx.Client, FastAPI, str]]:
    """A served folder with the planned cellar in it: client, app, job id."""
    with client_of(tmp_path_factory.mktemp("work")) as (client, app):
        job = client.post("/api/jobs", json={"document": CELLAR}).json()["id"]
        assert client.post(f"/api/jobs/{job}/work", json={"effort": "quick"}).status_code == 202
        over(app.state.desk.crew, app.state.desk.crew.latest(job))
        yield client, app, job


@pytest.fixture
def kept(shop: tuple[httpx.Client, FastAPI, str]) -> KeptPlan:
    found = shop[1].state.desk.plan(shop[2])
    assert isinstance(found, KeptPlan)
    return found


def over(crew: Crew, standing: Standing | None) -> Standing:
    """Wait until a task is over."""
    assert standing is not None
    end = time.monotonic() + PATIENCE
    now: Standing | None = standing
    while now is not None and not now.over and time.monotonic() < end:
        now = crew.wait(standing.number, now.turn, 5.0)
    assert now is not None
    assert now.over
    return now


def test_a_plan_is_kept_and_reads_back_the_same(kept: KeptPlan) -> None:
    assert kept.plan.finished
    assert from_json(JobPlan, to_json(kept.plan)) == kept.plan


def test_progress_is_told_as_it_comes(shop: tuple[httpx.Client, FastAPI, str]) -> None:
    client, app, _ = shop
    job = client.post("/api/jobs", json={"document": CELLAR, "title": "followed"}).json()["id"]
    client.post(f"/jobs/{job}/plan", data={"effort": "quick"})
    events: list[tuple[str, dict[str, object]]] = []
    with client.stream("GET", f"/jobs/{job}/work") as answer:
        assert answer.headers["content-type"].startswith("text/event-stream")
        name = ""
        for line in answer.iter_lines():
            if line.startswith("event: "):
                name = line.removeprefix("event: ")
            elif line.startswith("data: "):
                events.append((name, json.loads(line.removeprefix("data: "))))
    assert events[-1][0] == "over"
    shares = [float(str(body["share"])) for _, body in events]
    assert shares == sorted(shares)
    assert len({body["stage"] for _, body in events}) > 2
    assert app.state.desk.plan(job).plan.digest == app.state.desk.plan(shop[2]).plan.digest  # the same job and seed


def test_planning_that_is_stopped_keeps_its_best_or_says_there_is_none(
    shop: tuple[httpx.Client, FastAPI, str],
) -> None:
    client, app, _ = shop
    job = client.post("/api/jobs", json={"document": example("ferry-cottage"), "title": "stopped"}).json()["id"]
    client.post(f"/jobs/{job}/plan", data={"effort": "thorough"})
    crew: Crew = app.state.desk.crew
    standing = crew.latest(job)
    end = time.monotonic() + PATIENCE
    while standing is not None and standing.share < 0.06 and time.monotonic() < end:
        standing = crew.wait(standing.number, standing.turn, 5.0)
    client.post(f"/jobs/{job}/stop")
    last = over(crew, crew.latest(job))
    kept = app.state.desk.plan(job)
    if last.error is None:
        assert not kept.plan.finished
        assert "stopped on the way" in client.get(f"/jobs/{job}/weigh").text
    else:
        assert kept is None
        assert "broke off" in client.get(f"/jobs/{job}/weigh").text


def test_a_job_that_cannot_be_planned_yet_says_why(shop: tuple[httpx.Client, FastAPI, str]) -> None:
    client = shop[0]
    broken = CELLAR.replace('length = "10 820"', 'length = "10 82x"')
    job = client.post("/api/jobs", json={"document": broken, "title": "broken"}).json()["id"]
    answer = client.post(f"/api/jobs/{job}/work", json={})
    assert answer.status_code == 422
    assert answer.json()["error"]["where"][-1] == "length"
    assert "Before this can be planned" in client.get(f"/jobs/{job}/weigh").text


def test_a_worker_that_dies_is_told_and_replaced() -> None:
    crew = Crew()
    answers: list[object] = []
    task = Task("plan", read(example("ferry-cottage")))
    first = crew.begin("a", task, answers.append, effort=Effort.THOROUGH)
    assert crew.begin("a", task, answers.append).number == first.number  # one at a time for each job
    assert crew._process is not None
    crew._process.kill()
    assert over(crew, first).error is not None
    second = crew.begin("b", Task("plan", read(CELLAR)), answers.append, effort=Effort.QUICK)
    assert over(crew, second).error is None
    assert isinstance(answers[-1], JobPlan)
    crew.close()
    with pytest.raises(InputError):
        crew.begin("c", Task("dance", read(CELLAR)), answers.append)


def test_a_fault_inside_the_worker_becomes_an_answer() -> None:
    crew = Crew()
    odd = over(crew, crew.begin("a", Task("why", read(CELLAR), ("nonsense",)), lambda _: None))
    assert isinstance(odd.error, SnugbayError)
    worse = over(crew, crew.begin("b", Task("why", read(CELLAR), ()), lambda _: None))
    assert worse.error is not None
    assert "IndexError" in worse.error.what
    crew.close()


# --- the sliders and why not -------------------------------------------------------------------------------------


def test_following_the_job_s_own_limits_gives_the_plan(kept: KeptPlan) -> None:
    plan = kept.plan
    job = plan.job
    hours = job.you.days * job.you.hours_per_day if job.you.days is not None else inf
    limits = Limits(job.you.hour_worth, job.wishes.budget or inf, job.wishes.hours or hours)
    found = followed(plan, limits, Run(effort=Effort.QUICK)).point
    assert found is not None
    assert found.whole_cost == pytest.approx(plan.weighing.plan.whole_cost, rel=1e-6)


def test_following_keeps_every_limit_and_is_no_worse_than_what_was_reckoned(kept: KeptPlan) -> None:
    job, weighing = kept.plan.job, kept.plan.weighing
    for worth in (0.0, 10.0, 200.0):
        for budget in (weighing.plan.cash * 0.6, inf):
            limits = Limits(worth, budget)
            exact = followed(kept.plan, limits, Run(effort=Effort.QUICK)).point
            near = best_point(weighing, job.you.hour_worth, limits)
            if exact is None:
                assert near is None
                continue
            assert exact.cash <= budget + 0.5
            if near is not None:
                assert near.cash <= budget + 0.5
                moved = near.whole_cost + (worth - job.you.hour_worth) * near.hours
                assert exact.whole_cost <= moved * (1 + 1e-6) + 1e-6
    assert best_point(weighing, job.you.hour_worth, Limits(1.0, -1.0)) is None
    assert len(set(all_points(weighing))) == len(all_points(weighing))


def _another_way(kept: KeptPlan, face: str, chosen: str) -> str:
    options = [o for o in kept.plan.weighing.options if o.face == face and o.fits]
    return next(o.way for o in options if o.way not in (chosen, AS_FOUND))


def test_why_not_another_way_costs_at_least_as_much(kept: KeptPlan) -> None:
    plan = kept.plan
    face = plan.job.faces[0].id
    chosen = plan.weighing.plan.way(face)
    other = _another_way(kept, face, chosen)
    answer = why_not(plan, Reason(face, other), Run(effort=Effort.QUICK))
    assert answer.point is not None
    assert answer.point.way(face) == other
    assert answer.point.whole_cost >= plan.weighing.plan.whole_cost - 0.5
    with pytest.raises(UnknownName):
        why_not(plan, Reason(face, "by wishing"), Run(effort=Effort.QUICK))
    with pytest.raises(UnknownName):
        why_not(plan, Reason("nobody", other), Run())
    hopeless = next((o for o in plan.weighing.options if not o.fits), None)
    assert hopeless is not None
    never = why_not(plan, Reason(hopeless.face, hopeless.way), Run(effort=Effort.QUICK))
    assert never.point is None
    assert said(hopeless.why_not[0], plan.job.units.value) in said(never.text, plan.job.units.value)


def test_the_page_follows_picks_and_lets_go(shop: tuple[httpx.Client, FastAPI, str], kept: KeptPlan) -> None:
    client, app, job = shop
    near = client.get(f"/jobs/{job}/weigh/follow?worth=10&budget=100000&weekends=24").text
    assert "looking for a better one" in near
    exact = client.get(f"/jobs/{job}/weigh/follow?worth=10&budget=100000&weekends=24&exact=yes").text
    assert "Proved best for these" in exact
    assert client.get(f"/jobs/{job}/weigh/follow?worth=x&budget=1&weekends=1").status_code == 422
    face = kept.plan.job.faces[0].id
    other = _another_way(kept, face, kept.plan.weighing.plan.way(face))
    client.post(f"/jobs/{job}/weigh/why", data={"face": face, "way": other})
    over(app.state.desk.crew, app.state.desk.crew.latest(job))
    assert "in whole cost" in client.get(f"/jobs/{job}/weigh").text
    copy = client.post("/api/jobs", json={"document": CELLAR, "title": "picked"}).json()["id"]
    app.state.desk.store.work.keep_plan(copy, 1, kept.plan)
    client.post(f"/jobs/{copy}/weigh/pick", data={"point": "2"})
    point = all_points(kept.plan.weighing)[1]
    text = client.get(f"/api/jobs/{copy}/document").json()["text"]
    assert {f.id: f.must for f in read(text).faces} == dict(point.ways)
    assert client.post(f"/jobs/{copy}/weigh/pick", data={"point": "99"}).status_code == 422
    client.post(f"/jobs/{copy}/weigh/free")
    free = read(client.get(f"/api/jobs/{copy}/document").json()["text"])
    assert {f.must for f in free.faces} == {""}
    client.post(f"/jobs/{copy}/weigh/limits", data={"worth": "33", "budget": "1000", "weekends": "2"})
    limited = read(client.get(f"/api/jobs/{copy}/document").json()["text"])
    assert (limited.you.hour_worth, limited.wishes.budget) == (33, 1000)
    assert limited.wishes.hours == pytest.approx(4 * limited.you.hours_per_day)


def test_the_table_shows_the_figures_of_the_headline(shop: tuple[httpx.Client, FastAPI, str], kept: KeptPlan) -> None:
    client, _, job = shop
    shown = client.get(f"/jobs/{job}/weigh").text
    head = re.findall(r"<dd>([^<]+)<small>", shown[shown.index('id="decision"') : shown.index('id="sliders"')])[:3]
    rows = re.findall(r"<tr><td><label.*?</tr>", shown, re.DOTALL)
    first = re.findall(r'<td class="figure">([^<]+)</td>', rows[0])
    assert first[:3] == head
    point = kept.plan.weighing.plan
    found = followed(kept.plan, Limits(kept.plan.job.you.hour_worth), Run(effort=Effort.QUICK)).point
    assert found is not None
    assert found.ways == point.ways
    assert found.middle == point.middle


def test_ways_of_shorthand_faces_are_held_by_changes() -> None:
    data = {
        "faces": [{"id": "K1", "must": "old"}],
        "shapes": [{"id": "B1", "must": "old"}],
        "changes": [{"face": "B1-left", "must": "old", "headroom": "27"}, {"face": "B1-top", "must": "old"}],
    }
    made = with_ways(data, {"K1": "kit", "B1-left": "boards", "B1-back": "batts"})
    assert made["faces"] == [{"id": "K1", "must": "kit"}]
    assert made["shapes"] == [{"id": "B1"}]
    assert made["changes"] == [
        {"face": "B1-left", "headroom": "27", "must": "boards"},
        {"face": "B1-back", "must": "batts"},
    ]
    assert "changes" not in with_ways({"faces": [{"id": "K1"}], "changes": [{"face": "x", "must": "old"}]}, {})


# --- the bench ---------------------------------------------------------------------------------------------------


def test_the_rest_is_laid_again_and_nothing_is_lost(kept: KeptPlan) -> None:
    plan = kept.plan
    assert len(plan.sheets.sheets) >= 2
    finished, spoiled, broken, *untouched = plan.sheets.sheets
    wrong = spoiled.placements[0].piece
    asked = rest_of(
        plan,
        plan.sheets,
        cuts=frozenset(cut_key(s, s.cuts[0]) for s in (finished, spoiled)),
        pieces=frozenset(p.piece for p in finished.placements),
        wrong=frozenset({wrong}),
        broken=frozenset({str(broken.number)}),
    )
    again = {p.id for p in asked.pieces}
    assert again == {wrong, *(p.piece for s in (broken, *untouched) for p in s.placements)}
    laid = lay_rest(plan.job, asked, Run(effort=Effort.QUICK))
    assert laid.sheets[:2] == (finished, spoiled)
    fresh = laid.sheets[2:]
    assert {s.number for s in fresh}.isdisjoint({s.number for s in plan.sheets.sheets})
    assert {p.piece for s in fresh for p in s.placements} == again
    assert laid.minutes == pytest.approx(sum(s.minutes for s in laid.sheets), rel=0.02)


def test_a_broken_sheet_is_missing_from_what_was_bought(kept: KeptPlan) -> None:
    plan = kept.plan
    none = frozenset[str]()
    first, *others = plan.sheets.sheets
    cuts = frozenset(cut_key(s, s.cuts[0]) for s in others)
    broken = frozenset({str(first.number)})
    asked = rest_of(plan, plan.sheets, cuts=cuts, pieces=none, wrong=none, broken=broken)
    assert {p.id for p in asked.pieces} == {p.piece for p in first.placements}
    left_over = sum(len(s.keep) for s in others)
    assert len(asked.stock.offcuts) == len(plan.job.stock.offcuts) + left_over  # what cut sheets leave is of use
    laid = lay_rest(plan.job, asked, Run(effort=Effort.QUICK))
    gone = broken_before([plan.sheets, laid], laid, broken)
    assert gone == (first,)
    (before,) = supplies(plan, plan.sheets, ())
    assert (before.more, before.over) == (0, 0)
    (after,) = supplies(plan, laid, gone)
    fresh = sum(s.source == "new" for s in laid.sheets[len(others) :])
    assert after.used == before.used + fresh
    assert after.more == fresh  # a whole sheet was lost: whatever is laid on a new one has to be bought


def test_a_sheet_of_the_shed_makes_up_for_a_broken_one(kept: KeptPlan) -> None:
    plan = kept.plan
    sheet = plan.sheets.sheets[0]
    many = len(plan.sheets.sheets) + 2
    kind = SheetStock(sheet.material, sheet.thickness, sheet.width, sheet.length, None, many)
    held = replace(plan, job=replace(plan.job, stock=replace(plan.job.stock, sheets=(kind,))))
    (supply,) = supplies(held, plan.sheets, (sheet,))
    assert (supply.had, supply.more, supply.over) == (many, 0, 1)


def test_offcuts_that_are_used_up_are_not_laid_on_again(kept: KeptPlan) -> None:
    plan = kept.plan
    sheet = plan.sheets.sheets[0]
    part = Offcut(sheet.material, sheet.thickness, 0.6, 1.2, (), "half")
    nameless = replace(part, name="")
    held = replace(plan, job=replace(plan.job, stock=replace(plan.job.stock, offcuts=(part, part, nameless, nameless))))
    used = [replace(sheet, number=90 + n, source=name, width=0.6, length=1.2) for n, name in enumerate(("half", ""))]
    sheets = replace(plan.sheets, sheets=tuple(used))
    none = frozenset[str]()
    asked = rest_of(held, sheets, cuts=none, pieces=none, wrong=none, broken=frozenset({"90", "91"}))
    assert asked.stock.offcuts == (part, nameless)


def test_trouble_on_the_page(shop: tuple[httpx.Client, FastAPI, str]) -> None:
    client, app, job = shop
    desk = app.state.desk
    kept = desk.plan(job)
    first = kept.plan.sheets.sheets[0]
    label = first.placements[0].piece
    client.post(f"/jobs/{job}/tick", data={"kind": "piece", "key": label, "done": "yes", "sheet": str(first.number)})
    assert client.get(f"/api/jobs/{job}/ticks").json()["pieces"] == [label]
    assert client.post(f"/jobs/{job}/cut/trouble", data={"kind": "wrong", "key": "nobody"}).status_code == 422
    client.post(f"/jobs/{job}/cut/trouble", data={"kind": "wrong", "key": label})
    assert over(desk.crew, desk.crew.latest(job)).error is None
    page = client.get(f"/jobs/{job}/cut").text
    assert f"The rest was laid again: piece {label} came out wrong." in page
    assert "There were" in page
    sheets = desk.sheets(job, kept).sheets
    assert any(p.piece == label for s in sheets for p in s.placements)
    assert client.get(f"/api/jobs/{job}/ticks").json()["pieces"] == []


def test_everything_can_be_taken_away(shop: tuple[httpx.Client, FastAPI, str]) -> None:
    client, _, job = shop
    names = [f["name"] for f in client.get(f"/api/jobs/{job}/files").json()]
    body = client.get(f"/jobs/{job}/files/all.zip").content
    with zipfile.ZipFile(io.BytesIO(body)) as archive:
        assert set(archive.namelist()) == {*names, "job.toml"}
        assert archive.testzip() is None
        for name in ("booklet.pdf", "pocket.html", "buying.csv"):
            answer = client.get(f"/jobs/{job}/files/{name}")
            assert answer.content == archive.read(name)
    assert len(PdfReader(io.BytesIO(client.get(f"/jobs/{job}/files/booklet.pdf").content)).pages) > 3
    assert client.get(f"/jobs/{job}/model.glb").content[:4] == b"glTF"
    assert client.get(f"/jobs/{job}/files/secrets.txt").status_code == 404


def test_the_verdict_is_there_before_anything_is_logged(shop: tuple[httpx.Client, FastAPI, str]) -> None:
    client, _, job = shop
    verdict = client.get(f"/jobs/{job}/prove/verdict").text
    assert "What the log and the readings say" in verdict
    assert "Still to read" in verdict


def test_what_holds_for_many_readings_is_said_once_with_their_numbers(
    shop: tuple[httpx.Client, FastAPI, str],
) -> None:
    client, _, job = shop
    said = {"kind": "surface, contact", "value": "12 C", "face": "C1", "sun": "yes"}
    for _ in range(3):
        assert client.post(f"/jobs/{job}/temperatures", data=said).status_code == 303
    shown = client.get(f"/jobs/{job}/prove?verdict=yes").text
    assert shown.count("the sun was on it") == 1
    assert "Readings 0, 1 and 2 on C1: the sun was on it" in shown


def test_a_served_folder_survives_its_server(tmp_path: Path) -> None:
    with client_of(tmp_path) as (client, _):
        job = client.post("/api/jobs", json={"document": CELLAR}).json()["id"]
    with client_of(tmp_path) as (client, _):
        assert client.get(f"/api/jobs/{job}/document").json()["text"] == CELLAR
