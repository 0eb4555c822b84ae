"""Pages without a browser: every page of every example is sound HTML, whatever a job is called."""

from __future__ import annotations

import html
import re
from html.parser import HTMLParser

import httpx
import pytest
from fastapi import FastAPI
from tests.booklet.plan_fixture import PLAN
from tests.web.jobs_on_it import keep

from snugbay.document import EXAMPLES, example


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
