"""Whatever document was kept, every page of its job answers."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from fastapi import FastAPI
from tests.web.running import client_of

from snugbay.document import example

COTTAGE = example("mill-cellar")
SPOILT = {
    "a misspelt shape": COTTAGE.replace('shape = "rectangle"', 'shape = "rectangel"'),
    "zones a number": 'name = "a"\nunits = "mm"\nzones = 0\n',
    "log a list": COTTAGE + "\nlog = []\n" if "[" not in COTTAGE else "log = []\n" + COTTAGE,
    "faces a text": 'name = "a"\nfaces = "all"\n',
    "faces of numbers": 'name = "a"\nfaces = [1, 2]\n',
    "joins a number": "joins = 3\n" + COTTAGE,
    "place a list": 'name = "a"\nplace = []\n',
    "units a table": "[units]\na = 1\n",
    "name a date": "name = 2026-01-01\n",
    "you a number": "you = 1\n" + COTTAGE,
    "wishes a text": 'wishes = "warm"\n' + COTTAGE,
    "stock a list": "stock = [1]\n" + COTTAGE,
    "readings a number": "temperatures = 1\nloggers = 2\nreadings = 3\n" + COTTAGE,
    "shapes a table": "shapes = {a = 1}\n" + COTTAGE,
    "spaces a table": "spaces = {a = 1}\n" + COTTAGE,
    "title a number": "title = 4\n" + COTTAGE,
    "nothing known": "a = 1\n",
}
PAGES = ("measure", "about", "weigh", "cut", "fit", "prove", "files", "document", "history", "settings", "")


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[httpx.Client, FastAPI]]:
    with client_of(Path(tmp_path_factory.mktemp("home"))) as both:
        yield both


@pytest.mark.parametrize("kind", SPOILT)
def test_no_kept_document_breaks_a_page(shop: tuple[httpx.Client, FastAPI], kind: str) -> None:
    client, app = shop
    job = app.state.desk.store.jobs.create(kind, SPOILT[kind], "test").job
    for page in PAGES:
        answer = client.get(f"/jobs/{job}/{page}", follow_redirects=True)
        assert answer.status_code < 500, (page, answer.text[:400])
    assert client.get("/").status_code == 200
    assert client.get(f"/api/jobs/{job}").status_code < 500
