"""Loggers' files on the page: brought in under the document's name, read by proof and plan, never from outside."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from fastapi import FastAPI
from tests.web.running import client_of

from snugbay.base import UnknownName
from snugbay.disk import within
from snugbay.document import example
from snugbay.prove.stage import unread_loggers
from snugbay.web.beside import take_in_folder, with_files
from snugbay.web.opened import open_text

LOGGED = """
[[loggers]]
file = "nights/cellar.csv"
when = "before"
channels = [
    { column = "Room °C", kind = "room air", zone = "inside" },
    { column = "Out °C", kind = "outdoor air", zone = "outside" },
    { column = "Wall °C", kind = "surface, contact", face = "C1" },
]
"""
DOCUMENT = example("mill-cellar") + LOGGED
CSV = "time,Room °C,Out °C,Wall °C\n" + "".join(f"2026-01-10T{h:02d}:00,20.5,-4.0,16.{h}\n" for h in range(2, 7))


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[httpx.Client, FastAPI, str]]:
    with client_of(tmp_path_factory.mktemp("loggers")) as (client, app):
        yield client, app, client.post("/api/jobs", json={"document": DOCUMENT}).json()["id"]


def bring(client: httpx.Client, job: str, text: str | bytes, name: str = "nights/cellar.csv") -> httpx.Response:
    body = text.encode() if isinstance(text, str) else text
    return client.post(f"/jobs/{job}/loggers", data={"name": name}, files={"file": ("cellar.csv", body, "text/csv")})


def test_a_file_brought_in_is_read_by_proof_and_plan(shop: tuple[httpx.Client, FastAPI, str]) -> None:
    client, app, job = shop
    desk = app.state.desk
    _, opened = desk.open(job)
    assert "not there yet" in client.get(f"/jobs/{job}/prove").text
    before = with_files(desk.store, job, opened.job)
    assert before.temperatures == ()
    assert [f.code for f in unread_loggers(before)] == ["prove.logger-unread"]
    assert bring(client, job, CSV).status_code == 303
    shown = client.get(f"/jobs/{job}/prove").text
    assert "not there yet" not in shown
    assert "nights/cellar.csv" in shown
    assert "readings 0 to 14" in shown
    after = with_files(desk.store, job, opened.job)
    assert len(after.temperatures) == 15
    assert {t.value for t in after.temperatures if t.zone == "outside"} == {-4.0}
    assert unread_loggers(after) == ()
    assert bring(client, job, CSV.replace("-4.0", "-7.0")).status_code == 303
    newer = with_files(desk.store, job, opened.job)
    assert {t.value for t in newer.temperatures if t.zone == "outside"} == {-7.0}


@pytest.mark.parametrize(
    ("text", "name", "said"),
    [
        (CSV, "other.csv", "names no logger&#39;s file"),
        (CSV.replace("Wall °C", "Floor °C"), "nights/cellar.csv", "no channel"),
        ("rubbish", "nights/cellar.csv", "starts with a time"),
        (CSV.encode("latin-1"), "nights/cellar.csv", "UTF-8"),
        (CSV, "../../etc/passwd", "names no logger&#39;s file"),
    ],
)
def test_a_file_that_cannot_be_used_is_refused(
    shop: tuple[httpx.Client, FastAPI, str], text: str | bytes, name: str, said: str
) -> None:
    client, app, job = shop
    held = app.state.desk.store.beside.newest(job)
    answer = bring(client, job, text, name)
    assert answer.status_code == 422
    assert said in answer.text
    assert app.state.desk.store.beside.newest(job) == held


def test_only_what_lies_in_the_jobs_folder_is_taken_in(tmp_path: Path, shop: tuple[httpx.Client, FastAPI, str]) -> None:
    _, app, _ = shop
    store = app.state.desk.store
    folder = tmp_path / "job"
    (folder / "nights").mkdir(parents=True)
    (folder / "nights" / "cellar.csv").write_text(CSV)
    (tmp_path / "outside.csv").write_text(CSV)
    (folder / "link.csv").symlink_to(tmp_path / "outside.csv")
    assert within(folder, "nights/cellar.csv") is not None
    for name in ("../outside.csv", str(tmp_path / "outside.csv"), "link.csv", "/dev/zero"):
        assert within(folder, name) is None, name
    for name, there in (("nights/cellar.csv", True), ("../outside.csv", False), ("link.csv", False)):
        document = DOCUMENT.replace("nights/cellar.csv", name)
        job = store.jobs.create("Folder", document, "test").job
        opened = open_text(document).job
        assert opened is not None
        assert take_in_folder(store, job, opened, folder) == ()
        assert (store.beside.text(job, name) is not None) == there


def test_what_is_wrong_with_a_file_in_the_folder_is_said(
    tmp_path: Path, shop: tuple[httpx.Client, FastAPI, str]
) -> None:
    _, app, _ = shop
    store = app.state.desk.store
    (tmp_path / "nights").mkdir()
    (tmp_path / "nights" / "cellar.csv").write_text("rubbish")
    job = store.jobs.create("Folder", DOCUMENT, "test").job
    opened = open_text(DOCUMENT).job
    assert opened is not None
    (fault,) = take_in_folder(store, job, opened, tmp_path)
    assert "starts with a time" in str(fault)
    assert store.beside.text(job, "nights/cellar.csv") is None


def test_a_file_needs_a_job(shop: tuple[httpx.Client, FastAPI, str]) -> None:
    with pytest.raises(UnknownName):
        shop[1].state.desk.store.beside.keep("nobody", "a.csv", CSV)
