"""Pages without a browser: what forms do, and that every page of every example is sound HTML."""

from __future__ import annotations

import html
import re
import tomllib
from html.parser import HTMLParser
from typing import Any

import httpx
import pytest
from fastapi import FastAPI
from tests.booklet.plan_fixture import PLAN

from snugbay.document import EXAMPLES, example
from snugbay.web.pages.jobs import blank_document


def keep(client: httpx.Client, text: str, title: str = "kept") -> str:
    return str(client.post("/api/jobs", json={"document": text, "title": title}).json()["id"])


def document(client: httpx.Client, job: str) -> dict[str, Any]:
    return tomllib.loads(client.get(f"/api/jobs/{job}/document").json()["text"])


class Sound(HTMLParser):
    """Finds what is wrong with a page's markup."""

    VOID = frozenset({"meta", "link", "input", "br", "img", "path", "circle", "polygon", "polyline", "rect", "option"})

    def __init__(self) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.named: set[str] = set()
        self.labels: set[str] = set()
        self.wrong: list[str] = []
        self.stack: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if given.get("id"):
            self.ids.append(str(given["id"]))
        for name in ("aria-describedby", "aria-labelledby"):
            self.named |= set(str(given.get(name) or "").split())
        if tag == "label" and given.get("for"):
            self.labels.add(str(given["for"]))
        if "style" in given or any(k.startswith("on") for k in given):
            self.wrong.append(f"<{tag}> carries style or script of its own")
        if tag not in self.VOID:
            self.stack.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag in self.VOID:
            return
        if not self.stack or self.stack.pop() != tag:
            self.wrong.append(f"</{tag}> closes something else")


def sound(text: str) -> None:
    parser = Sound()
    parser.feed(text)
    assert parser.wrong == []
    assert parser.stack == []
    assert len(parser.ids) == len(set(parser.ids)), [i for i in parser.ids if parser.ids.count(i) > 1]
    assert parser.labels <= set(parser.ids)
    assert parser.named <= set(parser.ids)
    assert text.count("<h1") == 1
    assert "Undefined" not in text


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_page_of_every_example_is_sound(client: httpx.Client, name: str) -> None:
    job = keep(client, example(name))
    text = client.get(f"/jobs/{job}/measure").text
    items = [html.unescape(m) for m in re.findall(r'href="([^"]+measure\?item=[^"]+)"', text)]
    assert items
    for address in dict.fromkeys(items):
        answer = client.get(address)
        assert answer.status_code == 200
        sound(answer.text)
        assert "<svg xmlns" in answer.text
    for stage in ("weigh", "cut", "fit", "prove", "files", "about", "document"):
        answer = client.get(f"/jobs/{job}/{stage}")
        assert answer.status_code == 200, stage
        sound(answer.text)
    sound(client.get("/").text)
    sound(client.get("/api").text)
    sound(client.get("/share").text)
    sound(client.get("/jobs/nobody/measure").text)


@pytest.mark.parametrize("stage", ["weigh", "cut", "fit", "prove", "files"])
def test_every_page_of_a_plan_is_sound(client: httpx.Client, app: FastAPI, stage: str) -> None:
    job = keep(client, example("ferry-cottage"), f"planned {stage}")
    app.state.desk.store.work.keep_plan(job, 1, PLAN)
    answer = client.get(f"/jobs/{job}/{stage}")
    assert answer.status_code == 200
    sound(answer.text)
    assert PLAN.job.title not in answer.text or "<script" not in PLAN.job.title


def test_texts_of_a_job_are_escaped(client: httpx.Client) -> None:
    nasty = "<script>alert(1)</script>"
    text = example("mill-cellar").replace('title = "Mill cellar, long wall"', f'title = "{nasty}"')
    text = text.replace('name = "cellar window"', f"name = '{nasty}'")
    job = keep(client, text, nasty)
    for stage in ("measure", "about", "document", "files"):
        page = client.get(f"/jobs/{job}/{stage}").text
        assert nasty not in page
        assert "&lt;script&gt;" in page
    assert nasty not in client.get("/").text


def form(*fields: tuple[str, str, str], **more: str) -> dict[str, str]:
    body = dict(more)
    for at, was, now in fields:
        body |= {f"w:{at}": was, f"f:{at}": now}
    return body


WIDTH = "/faces/K1/outline/width"


def test_a_form_saves_only_what_was_changed(client: httpx.Client) -> None:
    job = keep(client, example("ferry-cottage"))
    back = f"/jobs/{job}/measure?item=faces/K1"
    body = form((WIDTH, "14' 2", "14' 3"), ("/faces/K1/outline/height", "46", "46"), back=back)
    answer = client.post(f"/jobs/{job}/fields", data=body)
    assert (answer.status_code, answer.headers["location"]) == (303, back)
    assert document(client, job)["faces"][0]["outline"]["width"] == "14' 3"
    history = client.get(f"/api/jobs/{job}/history").json()
    assert [v["what"] for v in history[:-1]] == [WIDTH]
    text = client.get(f"/api/jobs/{job}/document").json()["text"]
    assert "# Ferry cottage" in text  # comments stay


def test_a_field_changed_by_another_is_shown_with_both_values(client: httpx.Client) -> None:
    job = keep(client, example("ferry-cottage"))
    client.post(f"/jobs/{job}/fields", data=form((WIDTH, "14' 2", "14' 3")))
    both = form((WIDTH, "14' 2", "14' 4"), ("/faces/K1/outline/height", "46", "47"))
    answer = client.post(f"/jobs/{job}/fields", data=both)
    assert answer.status_code == 409
    assert "14&#39; 3" in answer.text
    assert "14&#39; 4" in answer.text
    outline = document(client, job)["faces"][0]["outline"]
    assert (outline["width"], outline["height"]) == ("14' 3", "47")
    parts = client.post(f"/jobs/{job}/fields", data=both | {"item": "faces/K1"}, headers={"hx-request": "true"})
    assert 'id="clashes"' in parts.text
    assert f'name="w:{WIDTH}"' not in parts.text.split('id="clashes"')[0]  # the page keeps what it started from


def test_a_stale_page_never_writes_back_what_it_did_not_change(client: httpx.Client) -> None:
    job = keep(client, example("ferry-cottage"))
    client.post(f"/jobs/{job}/fields", data=form((WIDTH, "14' 2", "14' 3")))
    stale = form((WIDTH, "14' 2", "14' 2"), ("/faces/K1/outline/height", "46", "47"), item="faces/K1")
    answer = client.post(f"/jobs/{job}/fields", data=stale, headers={"hx-request": "true"})
    assert document(client, job)["faces"][0]["outline"]["width"] == "14' 3"
    assert "Another window changed this to 14&#39; 3" in answer.text
    assert f'name="w:{WIDTH}"' not in answer.text


@pytest.mark.parametrize("at", ["/nope", "/faces/K1/outline/shape", "nonsense", "/faces/N77/outline/width"])
def test_a_field_that_no_document_has_is_refused(client: httpx.Client, at: str) -> None:
    job = keep(client, example("ferry-cottage"))
    before = client.get(f"/api/jobs/{job}/document").json()
    assert client.post(f"/jobs/{job}/fields", data=form((at, "", "1"))).status_code == 422
    assert client.get(f"/api/jobs/{job}/document").json() == before


def test_the_way_back_never_leads_away(client: httpx.Client) -> None:
    job = keep(client, example("ferry-cottage"))
    for back in ("//evil.example/", "https://evil.example", f"/jobs/{job}/../..//evil.example", "/jobs/other/measure"):
        answer = client.post(f"/jobs/{job}/fields", data=form((WIDTH, "14' 2", "14' 2"), back=back))
        assert answer.headers["location"] == f"/jobs/{job}/measure"


def test_typing_is_answered_without_saving(client: httpx.Client) -> None:
    job = keep(client, example("ferry-cottage"))
    answer = client.post(f"/jobs/{job}/sketch", data=form((WIDTH, "14' 2", "14' 5"), item="faces/K1"))
    assert "14&#x27; 5" in answer.text or "14' 5" in answer.text or "14&#39; 5" in answer.text
    assert document(client, job)["faces"][0]["outline"]["width"] == "14' 2"
    assert "nothing checks this one" not in answer.text  # its neighbours have not been asked yet
    assert client.post(f"/jobs/{job}/sketch", data={"item": "nonsense"}).status_code == 204


def test_faces_and_rows_come_and_go(client: httpx.Client) -> None:
    job = keep(client, example("ferry-cottage"))
    added = client.post(
        f"/jobs/{job}/faces", data={"shape": "polygon", "title": "Odd corner", "warm": "inside", "cold": "eaves-n"}
    )
    ident = added.headers["location"].rpartition("/")[2]
    assert document(client, job)["faces"][-1]["id"] == ident
    assert "still to be taped" in client.get(added.headers["location"]).text
    readings = {"at": f"/faces/{ident}/outline", "kind": "angle", "edge": "a-b-c", "version": "0"}
    client.post(f"/jobs/{job}/readings", data=readings)
    assert document(client, job)["faces"][-1]["outline"]["readings"][-1] == {"angle": "A-B-C"}
    client.post(f"/jobs/{job}/rows", data={"at": "/faces/K1/notches", "do": "add"})
    assert document(client, job)["faces"][0]["notches"] == [{}]
    client.post(f"/jobs/{job}/rows", data={"at": "/faces/K1/notches/0", "do": "remove"})
    assert document(client, job)["faces"][0].get("notches", []) == []
    version = str(client.get(f"/api/jobs/{job}").json()["version"])
    client.post(f"/jobs/{job}/faces/remove", data={"at": "/faces/F1", "version": version})
    data = document(client, job)
    assert "F1" not in [f["id"] for f in data["faces"]]
    assert not any("F1" in (j["a"][0], j["b"][0]) for j in data["joins"])


def test_removing_what_another_window_changed_is_refused(client: httpx.Client) -> None:
    job = keep(client, example("ferry-cottage"))
    client.post(f"/jobs/{job}/fields", data=form((WIDTH, "14' 2", "14' 3")))
    answer = client.post(f"/jobs/{job}/faces/remove", data={"at": "/faces/K1", "version": "1"})
    assert answer.headers["location"].endswith("said=moved-on")
    assert document(client, job)["faces"][0]["id"] == "K1"


def test_the_look_round_and_tools_are_lists(client: httpx.Client) -> None:
    job = keep(client, example("mill-cellar"))
    at = "/look_round/seen"
    body = {f"w:{at}": "", f"f:{at}": ["mould", "bats"], "w:/you/tools": "long knife"}
    client.post(f"/jobs/{job}/fields", data=body)
    data = document(client, job)
    assert data["look_round"]["seen"] == ["mould", "bats"]
    assert "tools" not in data["you"]


def test_the_document_as_text(client: httpx.Client) -> None:
    job = keep(client, example("mill-cellar"))
    text = example("mill-cellar")
    client.post(f"/jobs/{job}/document", data={"text": text.replace("days = 4", "days = 5"), "version": "1"})
    assert document(client, job)["you"]["days"] == 5
    stale = {"text": text.replace("hands = 2", "hands = 1"), "version": "1"}
    client.post(f"/jobs/{job}/document", data=stale)
    assert document(client, job)["you"] == {"hands": 1, "tools": ["long knife"], "days": 5}  # merged
    clash = {"text": text.replace("days = 4", "days = 9"), "version": "1"}
    answer = client.post(f"/jobs/{job}/document", data=clash)
    assert answer.status_code == 409
    assert "days = 9" in answer.text  # what was typed stands in the field
    broken = client.post(f"/jobs/{job}/document", data={"text": "x = ", "version": "3"})
    assert broken.status_code == 303
    assert (
        "not valid TOML" in client.get(f"/jobs/{job}/document").text
        or "not TOML" in client.get(f"/jobs/{job}/document").text
    )
    assert client.get(f"/jobs/{job}/measure").status_code == 200
    client.post(f"/jobs/{job}/restore", data={"number": "3"})
    assert document(client, job)["you"]["days"] == 5
    sent = client.get(f"/jobs/{job}/job.toml")
    assert sent.headers["content-disposition"] == f'attachment; filename="{job}.toml"'


def test_a_new_job_starts_without_faces_and_says_what_is_missing(client: httpx.Client) -> None:
    body = {"title": "Loft", "units": "ft-in", "climate": "Portland, ME", "fuel": "oil", "space": "Top loft"}
    answer = client.post("/jobs", data=body | {"width": "22", "height": "30", "clear_run": "60"})
    page = client.get(answer.headers["location"]).text
    assert "Add the first face" in page
    assert client.post("/jobs", data={"title": " "}).status_code == 422
    job = answer.headers["location"].split("/")[2]
    assert document(client, job)["zones"][2] == {
        "id": "top-loft", "title": "Top loft", "kind": "buffer", "may_come_inside": True,
    }  # fmt: skip
    assert tomllib.loads(
        blank_document("x", dict.fromkeys(("units", "climate", "fuel", "space", "width", "height", "clear_run"), ""))
    )


def test_a_job_can_be_taken_off_the_list_and_brought_back(client: httpx.Client) -> None:
    job = keep(client, example("mill-cellar"), "off the list")
    page = client.get(client.post(f"/jobs/{job}/remove").headers["location"]).text
    assert "Bring it back" in page
    assert job not in [j["id"] for j in client.get("/api/jobs").json()]
    client.post(f"/jobs/{job}/bring-back")
    assert job in [j["id"] for j in client.get("/api/jobs").json()]


def test_a_file_is_opened_or_refused_with_a_reason(client: httpx.Client) -> None:
    sent = client.post("/jobs/file", files={"file": ("a.toml", example("bakery-rim").encode())})
    again = client.post("/jobs/file", files={"file": ("b.toml", b"\xef\xbb\xbf" + example("bakery-rim").encode())})
    assert again.headers["location"] == sent.headers["location"], "the same file is one job, however often it is opened"
    assert sent.headers["location"].endswith("/measure")
    for body, words in ((b"\xff\xfe\x00", "UTF-8"), (b"x = ", "TOML")):
        answer = client.post("/jobs/file", files={"file": ("a.toml", body)})
        assert answer.status_code == 422
        assert words in answer.text
    assert client.post("/jobs/file", data={"x": "y"}).status_code == 422


def test_places_are_suggested(client: httpx.Client) -> None:
    assert "Dresden" in client.get("/places?q=Dresd").text
    assert "option" not in client.get("/places?q=x").text


def test_readings_and_hours_go_into_the_document(client: httpx.Client) -> None:
    job = keep(client, example("ferry-cottage"))
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


def test_a_step_stays_shut_until_its_cautions_are_read(client: httpx.Client, app: FastAPI) -> None:
    job = keep(client, example("ferry-cottage"), "guarded")
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


def test_the_clock_writes_the_log_once(client: httpx.Client, app: FastAPI) -> None:
    job = keep(client, example("ferry-cottage"), "clock")
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
    assert not app.state.desk.stale(job, kept, app.state.desk.store.jobs.head(job))  # the log changes no plan
    client.post(f"/jobs/{job}/fields", data=form((WIDTH, "14' 2", "14' 3")))
    assert app.state.desk.stale(job, kept, app.state.desk.store.jobs.head(job))
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


def test_a_cold_space_starts_with_its_rough_volume(client: httpx.Client) -> None:
    said = {"title": "Eaves", "units": "ft-in", "climate": "Portland, ME", "space": "North eaves"}
    said |= {"width": "22", "height": "30", "clear_run": "58"}
    sizes = {"space_length": "20'", "space_width": "60", "space_height": "1.2 m"}
    job = client.post("/jobs", data={**said, **sizes}).headers["location"].split("/")[2]
    (space,) = [z for z in document(client, job)["zones"] if z["kind"] == "buffer"]
    assert space["volume_m3"] == pytest.approx(6.096 * 1.524 * 1.2 / 2, abs=0.05)
    job = client.post("/jobs", data=said).headers["location"].split("/")[2]
    face = {"shape": "rectangle", "warm": "inside", "cold": "outside", "version": "1"}
    client.post(f"/jobs/{job}/faces", data=face)
    sides = {"w:/faces/R1/outline/width": "", "f:/faces/R1/outline/width": "40"}
    sides |= {"w:/faces/R1/outline/height": "", "f:/faces/R1/outline/height": "40"}
    client.post(f"/jobs/{job}/fields", data=sides)
    page = client.get(f"/jobs/{job}/measure").text
    assert "air volume" in page  # what is wrong beside the faces is told here too
    assert f'href="/jobs/{job}/about"' in page
    assert client.post("/jobs", data={**said, **sizes, "space_width": "wide"}).status_code == 422


def test_an_empty_file_is_no_job(client: httpx.Client) -> None:
    before = client.get("/api/jobs").json()
    for body in (b"", b"# only a remark"):
        answer = client.post("/jobs/file", files={"file": ("a.toml", body, "text/plain")})
        assert (answer.status_code, "The file is empty." in answer.text) == (422, True)
    assert client.get("/api/jobs").json() == before
