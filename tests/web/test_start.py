"""From pictures of the kinds to a job of one's own: the numbers, the space, the rough answer, the readings."""

from __future__ import annotations

import html
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from fastapi import FastAPI
from tests.web.running import client_of

from snugbay.document import read
from snugbay.job.space.kinds import Kind, kinds


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[httpx.Client, FastAPI]]:
    with client_of(tmp_path_factory.mktemp("home")) as both:
        yield both


def usual(kind: Kind) -> dict[str, str]:
    """The numbers that a person must say, as they usually are."""
    said = {n.name: f"{n.guess * (1000 if n.unit == 'length' else 1):g}" for n in kind.numbers if n.main}
    return {**said, "units": "mm", "place": "Nottingham"}


def test_the_first_page_leads_to_the_kinds_and_each_has_a_picture(shop: tuple[httpx.Client, FastAPI]) -> None:
    client, _ = shop
    assert 'href="/start"' in client.get("/").text
    page = client.get("/start").text
    for kind in kinds().values():
        assert kind.title in page
    assert page.count("<svg") >= len(kinds())


@pytest.mark.parametrize("name", list(kinds()))
def test_each_kind_is_shown_from_its_numbers_and_becomes_a_job(shop: tuple[httpx.Client, FastAPI], name: str) -> None:
    client, app = shop
    address = f"/start/{name.replace(' ', '-')}"
    shown = client.get(address, params={**usual(kinds()[name]), "ask": "show"})
    assert shown.status_code == 200
    assert 'role="alert"' not in shown.text
    answer = client.post(address, data=usual(kinds()[name]), follow_redirects=True)
    assert answer.status_code == 200
    assert answer.url.path.endswith("/measure")
    job = app.state.desk.store.jobs.head(answer.url.path.split("/")[2])
    assert read(job.text).faces


def test_a_missing_or_impossible_number_is_said_at_its_field(shop: tuple[httpx.Client, FastAPI]) -> None:
    client, app = shop
    before = len(app.state.desk.store.jobs.all())
    answer = client.post("/start/eaves", data={"length": "4500", "units": "mm"})
    assert answer.status_code == 422
    assert (
        'id="n-height" name="height" value="" autocomplete="off" aria-describedby="n-height-help n-height-state"'
        in (" ".join(answer.text.split()))
    )
    assert answer.text.count('aria-invalid="true"') == 1
    far = client.get("/start/eaves", params={"length": "4500", "height": "9000", "units": "mm", "ask": "show"})
    assert far.text.count('aria-invalid="true"') == 1
    assert 'value="9000"' in far.text
    assert len(app.state.desk.store.jobs.all()) == before


def test_words_of_strangers_stay_words(shop: tuple[httpx.Client, FastAPI], tmp_path: Path) -> None:
    client, _ = shop
    bad = '"><script>alert(1)</script>'
    for params in ({"length": bad, "height": bad}, {"place": bad, "length": "1", "height": "1"}, {"units": bad}):
        answer = client.get("/start/eaves", params={**params, "ask": "show"})
        assert answer.status_code < 500
        assert "<script>alert" not in answer.text
    assert client.get("/start/no-such-kind").status_code == 422


def test_the_rough_answer_stands_below_the_numbers(shop: tuple[httpx.Client, FastAPI]) -> None:
    client, _ = shop
    params = {**usual(kinds()["cellar wall"]), "ask": "rough"}
    page = client.get("/start/cellar-wall", params=params, timeout=600).text
    for words in ("Chance of regret", "Least cost over", "Find out first", "Before you crawl in"):
        assert words in page


@pytest.mark.parametrize("name", list(kinds()))
def test_a_space_is_measured_on_the_page(shop: tuple[httpx.Client, FastAPI], name: str) -> None:
    client, app = shop
    kind = kinds()[name]
    begun = client.post(f"/start/{name.replace(' ', '-')}", data=usual(kind), follow_redirects=True)
    job = begun.url.path.split("/")[2]
    for number in kind.numbers:
        assert f'name="f:/spaces/0/{number.name}"' in begun.text
    assert kind.note.partition(".")[0] in html.unescape(begun.text)
    readings = re.findall(r'name="f:(/spaces/0/readings/[^"]+)"', begun.text)
    assert len(readings) >= 4
    edge = next(r for r in readings if "angle " not in r)
    said = {"w:/spaces/0/title": "", "f:/spaces/0/title": "Mine", f"w:{edge}": "", f"f:{edge}": "3 m"}
    kept = client.post(f"/jobs/{job}/fields", data={**said, "item": "spaces/0"}, follow_redirects=True)
    assert kept.status_code == 200
    space = tomllib.loads(app.state.desk.store.jobs.head(job).text)["spaces"][0]
    assert space["title"] == "Mine"
    assert space["readings"] == {edge.rpartition("/")[2]: "3 m"}
    again = client.post(f"/jobs/{job}/fields", data={**said, "item": "spaces/0"}, headers={"HX-Request": "true"})
    assert 'id="found" hx-swap-oob="true"' in again.text
    at = next(n.name for n in kind.numbers if n.main)
    typed = {f"w:/spaces/0/{at}": "1", f"f:/spaces/0/{at}": "no tape", "item": "spaces/0"}
    assert "no tape" in client.post(f"/jobs/{job}/sketch", data=typed).text


def test_a_box_a_hatch_and_another_space_are_put_in_on_the_page(shop: tuple[httpx.Client, FastAPI]) -> None:
    client, app = shop
    begun = client.post("/start/eaves", data=usual(kinds()["eaves"]), follow_redirects=True)
    job = begun.url.path.split("/")[2]
    jobs = app.state.desk.store.jobs
    for n, (what, size) in enumerate({"niche": "500", "hatch": "400"}.items()):
        put = f"/spaces/0/put/{n}"
        head = {"version": str(jobs.head(job).number), "at": "/spaces/0/put", "do": "add"}
        assert client.post(f"/jobs/{job}/rows", data=head, follow_redirects=True).status_code == 200
        sizes = ("width", "height", "depth_of_box") if what == "niche" else ("width", "height")
        fields = {"what": what, "at": str(200 + 1500 * n), "up": "100"} | dict.fromkeys(sizes, size)
        data = {f"{k}:{put}/{f}": v if k == "f" else "" for f, v in fields.items() for k in "wf"}
        page = client.post(f"/jobs/{job}/fields", data=data, follow_redirects=True)
        assert page.status_code == 200
    made = read(jobs.head(job).text)
    assert {"niche-back", "eaves-floor"} <= {f.id for f in made.faces}
    assert any(o.name == "hatch" for f in made.faces for o in f.openings)
    add = {"shape": "space crawl space", "title": "Below", "warm": "", "cold": ""}
    page = client.post(f"/jobs/{job}/faces", data=add, follow_redirects=True)
    assert page.status_code == 200
    assert 'name="f:/spaces/1/length"' in page.text
    assert tomllib.loads(jobs.head(job).text)["spaces"][1] == {"kind": "crawl space", "title": "Below"}
    both = client.post(f"/jobs/{job}/faces", data={**add, "shape": "cellar wall"}, follow_redirects=True)
    assert "/shapes/" in both.text, "a shape that is called like a kind of space stays a shape"
    values = re.findall(r'<option value="([^"]+)"', begun.text.partition('name="shape"')[2].partition("</select>")[0])
    assert len(values) == len(set(values)) > len(kinds())
    gone = {"at": "/spaces/1", "version": str(jobs.head(job).number)}
    assert client.post(f"/jobs/{job}/faces/remove", data=gone, follow_redirects=True).status_code == 200
    assert len(tomllib.loads(jobs.head(job).text)["spaces"]) == 1
    zones = re.search(r'name="cold">(.*?)</select>', begun.text)
    assert zones is not None
    assert 'value="eaves"' in zones[1]
